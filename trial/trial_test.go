package trial

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/matter/fuel"
	"fairburn/quantity"
	"fairburn/reduce"
)

func grams(g float64) quantity.Reading[quantity.Mass] {
	return quantity.Reading[quantity.Mass]{Value: quantity.Mass(g) * quantity.Gram, Step: 1e-4, Given: true}
}

// made is an invented trial of two entries, three burns each.
func made() *Trial {
	t := &Trial{
		Title: "two cans", Invented: true, Settings: DefaultSettings(),
		Site: burn.Site{Station: quantity.Given(985 * quantity.Hectopascal), Air: quantity.Given(quantity.Celsius(16))},
		Shelf: gear.Shelf{
			Burners: []gear.Burner{{Name: "side", DryMass: grams(9)}, {Name: "top", DryMass: grams(12)}},
			Pots:    []gear.Pot{{Name: "pot", Material: "titanium", Mass: grams(110)}}, Lids: []gear.Lid{{Name: "lid", Material: "titanium", Mass: grams(30)}},
			Screens: []gear.Screen{{Name: "foil"}}, Stands: []gear.Stand{{Name: "wire", Mass: grams(15)}},
			Batches: []gear.FuelBatch{{Name: "bottle", Components: []gear.Component{
				{Substance: fuel.Ethanol, Low: quantity.Given(quantity.Strength{Basis: quantity.ByMass, Value: 0.94})}, {Substance: fuel.Water, Rest: true},
			}}},
		},
		Entries: []Entry{
			{Name: "A", Burner: "side", Pot: "pot", Lid: "lid", Screen: "foil", Stand: "wire", Fuel: "bottle"},
			{Name: "B", Burner: "top", Pot: "pot", Lid: "lid", Screen: "foil", Fuel: "bottle"},
		},
	}
	for i := range 6 {
		t.Burns = append(t.Burns, burned(fmt.Sprint(i+1), []string{"A", "B"}[i%2], float64(420+7*i)))
	}
	return t
}

func burned(id, entry string, boil float64) burn.Record {
	seconds := func(s float64) quantity.Reading[time.Duration] {
		return quantity.Given(time.Duration(s * float64(time.Second)))
	}
	return burn.Record{
		ID: id, Entry: entry, BoilBy: burn.Rolling,
		Fuel:  burn.Fuel{Weighed: burn.BurnerAndFuel, Poured: grams(40), AtBoil: grams(27), Left: grams(24)},
		Water: burn.Water{Mass: grams(500), Start: quantity.Given(quantity.Celsius(18))},
		Marks: map[burn.Mark]quantity.Reading[time.Duration]{burn.PotOn: seconds(40), burn.Boil: seconds(boil), burn.Out: seconds(boil + 80)},
	}
}

// lines are findings without their remedies.
func lines(t *testing.T, fs []finding.Finding) []string {
	t.Helper()
	var ls []string
	for _, f := range fs {
		line, remedy, _ := strings.Cut(f.String(), "; ")
		if remedy == "" {
			t.Errorf("%s has no remedy", f.Code)
		}
		ls = append(ls, line)
	}
	return ls
}

func TestCheck(t *testing.T) {
	if fs := made().Check(); fs != nil {
		t.Errorf("a trial with nothing wrong: %v", fs)
	}
	slots := func(entries string) Plan {
		var p Plan
		for i, e := range entries {
			p.Slots = append(p.Slots, Slot{Order: i + 1, Entry: string(e)})
		}
		return p
	}
	for _, c := range []struct {
		name   string
		change func(*Trial)
		want   []string
	}{
		{"the shelf's own", func(t *Trial) { t.Shelf.Pots = append(t.Shelf.Pots, t.Shelf.Pots[0]) }, []string{`pot pot: fault: two pots are named "pot"`}},
		{"entry twice", func(t *Trial) { t.Entries = append(t.Entries, t.Entries[0]) }, []string{`entry A: fault: two entries are named "A"`}},
		{"entry without a name", func(t *Trial) { t.Entries[1].Name = ""; t.Burns = t.Burns[:1] }, []string{
			"entry : fault: an entry has no name", "entry : note: the entry has no burns"}},
		{"gear unknown", func(t *Trial) {
			t.Entries[1] = Entry{Name: "B", Burner: "b", Pot: "p", Lid: "l", Screen: "s", Stand: "st", Fuel: "f"}
		}, []string{
			`entry B: burner: fault: burner "b" is not on the shelf`, `entry B: pot: fault: pot "p" is not on the shelf`, `entry B: lid: fault: lid "l" is not on the shelf`,
			`entry B: screen: fault: screen "s" is not on the shelf`, `entry B: stand: fault: stand "st" is not on the shelf`, `entry B: fuel: fault: fuel "f" is not on the shelf`}},
		{"gear missing", func(t *Trial) { t.Entries[1] = Entry{Name: "B"} }, []string{
			"entry B: burner: caution: the entry names no burner", "entry B: pot: caution: the entry names no pot", "entry B: fuel: caution: the entry names no fuel"}},
		{"id twice", func(t *Trial) { t.Burns[3].ID = "2" }, []string{`burn 2: fault: two burns have the id "2"`}},
		{"id missing", func(t *Trial) { t.Burns[3].ID = ""; t.Burns[3].Where = finding.Place{File: "trial.toml", Line: 9} }, []string{"trial.toml:9: burn : fault: a burn has no id"}},
		{"entry unknown", func(t *Trial) { t.Burns[3].Entry = "C" }, []string{`burn 4: fault: entry "C" is not listed, so nothing says which pot and fuel were used`}},
		{"entry not burned", func(t *Trial) { t.Burns = t.Burns[:1] }, []string{"entry B: note: the entry has no burns"}},
		{"nothing burned yet", func(t *Trial) { t.Burns = nil }, nil},
		{"plan kept", func(t *Trial) { t.Plan = slots("ABBAAB") }, nil},
		{"more than planned", func(t *Trial) { t.Plan = slots("ABBAB") }, []string{"entry A: caution: 3 burns count where 2 were planned: going on until a difference shows finds differences that are not there"}},
		{"fewer than planned", func(t *Trial) { t.Plan = slots("ABBAABA") }, []string{"entry A: note: 3 of 4 planned burns count so far"}},
		{"a void burn does not count", func(t *Trial) { t.Plan = slots("ABBAAB"); t.Burns[0].Void = "wind" }, []string{"entry A: note: 2 of 3 planned burns count so far"}},
		{"not in the plan", func(t *Trial) { t.Plan = slots("AAA") }, []string{"entry B: caution: 3 burns count where 0 were planned: going on until a difference shows finds differences that are not there"}},
		{"planned and not listed", func(t *Trial) { t.Plan = slots("ABBAABCC") }, []string{`plan: fault: entry "C" is planned and not listed`}},
	} {
		trial := made()
		c.change(trial)
		if got := lines(t, trial.Check()); !slices.Equal(got, c.want) {
			t.Errorf("%s: got\n%s\nwant\n%s", c.name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

func TestReduce(t *testing.T) {
	trial := made()
	trial.Burns[0].Void = "wind"
	rand.New(rand.NewPCG(1, 2)).Shuffle(len(trial.Burns), func(i, j int) { trial.Burns[i], trial.Burns[j] = trial.Burns[j], trial.Burns[i] })
	before := fmt.Sprint(trial)
	r := trial.Reduce()
	if after := fmt.Sprint(trial); after != before {
		t.Errorf("the trial was changed:\n%s\n%s", before, after)
	}
	for i, b := range r.Results {
		if want := fmt.Sprint(i + 1); b.ID != want || b.Result.Burn != want || r.Burns[i].ID != want {
			t.Errorf("burn %d is %q, its result %q", i+1, b.ID, b.Result.Burn)
		}
		alone := reduce.Reduce(b.Record, r.Setup(b.Entry))
		x, _ := b.Result.Figure(reduce.RefTime)
		y, ok := alone.Figure(reduce.RefTime)
		if !ok || x != y {
			t.Errorf("burn %s: %+v in the trial, %+v alone", b.ID, x, y)
		}
	}
	if n := len(r.Of("A")); n != 2 {
		t.Errorf("%d burns of A count, one of three is void", n)
	}
	if r.Of("nobody") != nil {
		t.Error("burns of an entry that is not there")
	}
	if len(r.Findings) > 0 {
		t.Errorf("a fair trial: %v", r.Findings)
	}
	if again := trial.Reduce(); !reflect.DeepEqual(figures(r), figures(again)) {
		t.Error("the same trial reduces differently")
	}
}

func figures(r *Reduced) (fs []reduce.Figure) {
	for i := range r.Results {
		for _, m := range reduce.Metrics() {
			if f, ok := r.Results[i].Result.Figure(m); ok {
				fs = append(fs, f)
			}
		}
	}
	return fs
}

func TestSetup(t *testing.T) {
	trial := made()
	s := trial.Setup("A")
	if s.Pot.Name != "pot" || s.Lid.Name != "lid" || s.Batch.Name != "bottle" || s.Reference != trial.Settings.Reference {
		t.Errorf("%+v", s)
	}
	if s := trial.Setup("nobody"); s.Pot.Name != "" || s.Batch.Name != "" || s.Site != trial.Site {
		t.Errorf("%+v", s)
	}
}

// The reference water is the trial's own nominal, unless the sheet names one.
func TestNominalWater(t *testing.T) {
	water := func(masses ...float64) *Trial {
		trial := made()
		trial.Burns = nil
		for i, m := range masses {
			b := burned(fmt.Sprint(i), "A", 420)
			b.Water.Mass = grams(m)
			trial.Burns = append(trial.Burns, b)
		}
		return trial
	}
	nominal := func(trial *Trial) float64 { return float64(trial.Reduce().Settings.Reference.Water / quantity.Gram) }
	for _, c := range []struct {
		masses []float64
		want   float64
	}{
		{[]float64{400.4, 399.7, 402}, 400}, {[]float64{473.2}, 473}, {nil, 500},
		{[]float64{500, 400, 500, 400}, 400}, // a mass that was boiled, not one between
		{[]float64{math.NaN(), 350, math.NaN()}, 350}, {[]float64{0, 350}, 350},
	} {
		if got := nominal(water(c.masses...)); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%v: nominal %g g, want %g g", c.masses, got, c.want)
		}
	}
	void := water(300, 300, 450)
	void.Burns[0].Void, void.Burns[1].Void = "wind", "wind"
	if got := nominal(void); math.Abs(got-450) > 1e-9 {
		t.Errorf("void burns make the nominal %g g", got)
	}
	cups := water(0)
	cups.Burns[0].Water = burn.Water{Volume: quantity.Given(2 * quantity.USCup)}
	if got := nominal(cups); math.Abs(got-472) > 1e-9 { // 473.18 mL at 998.2 kg/m³
		t.Errorf("two cups are %g g", got)
	}
	set := water(400, 400, 400)
	set.Settings.NominalSet = true
	if got := nominal(set); got != 500 {
		t.Errorf("the sheet's 500 g became %g g", got)
	}
}

func TestFairness(t *testing.T) {
	starts := func(a, b float64) []finding.Finding {
		trial := made()
		for i := range trial.Burns {
			start := a
			if trial.Burns[i].Entry == "B" {
				start = b
			}
			trial.Burns[i].Water.Start = quantity.Given(quantity.Celsius(start))
		}
		return trial.Reduce().Findings
	}
	if fs := starts(15, 19.99); len(fs) > 0 {
		t.Error(fs)
	}
	if got := lines(t, starts(15, 20.01)); !slices.Equal(got, []string{"trial: note: B began with water at 20.0 °C on average and A at 15.0 °C"}) {
		t.Error(got)
	}
	trial := made()
	for i := range trial.Burns {
		trial.Burns[i].Water.Start.Given = false
	}
	if fs := trial.Reduce().Findings; len(fs) > 0 {
		t.Error(fs)
	}
	kinds := func(change func(*Trial)) []string {
		trial := made()
		change(trial)
		return lines(t, trial.Reduce().Findings)
	}
	if got := kinds(func(t *Trial) { t.Burns[0].BoilBy, t.Burns[1].BoilBy = burn.Plateau, burn.Bubbles }); !slices.Equal(got, []string{
		"trial: caution: the boil was called by different rules in different burns (bubbles, plateau, rolling), and first bubbles and a rolling boil differ by many seconds"}) {
		t.Error(got)
	}
	for name, change := range map[string]func(*Trial){
		"a rule not written":      func(t *Trial) { t.Burns[0].BoilBy = "" },
		"a void burn's rule":      func(t *Trial) { t.Burns[0].BoilBy, t.Burns[0].Void = burn.Bubbles, "wind" },
		"a burn without its boil": func(t *Trial) { t.Burns[0].BoilBy = burn.Bubbles; delete(t.Burns[0].Marks, burn.Boil) },
	} {
		if got := kinds(change); len(got) > 0 {
			t.Errorf("%s: %v", name, got)
		}
	}
}

func TestSystemMass(t *testing.T) {
	trial := made()
	for _, c := range []struct {
		entry   Entry
		grams   float64
		missing []string
	}{
		{trial.Entries[0], 9 + 110 + 30 + 15, []string{"foil"}},
		{Entry{Burner: "side", Pot: "gone"}, 9, []string{"gone"}},
		{Entry{}, 0, nil},
	} {
		mass, missing := trial.SystemMass(c.entry)
		if math.Abs(float64(mass/quantity.Gram)-c.grams) > 1e-9 || !slices.Equal(missing, c.missing) {
			t.Errorf("%+v: %g g, not weighed %v", c.entry, float64(mass/quantity.Gram), missing)
		}
	}
}

func TestMoreThanBurner(t *testing.T) {
	trial := made()
	if got := MoreThanBurner(trial.Entries[0], trial.Entries[1]); !slices.Equal(got, []string{"stand"}) {
		t.Error(got)
	}
	if got := MoreThanBurner(Entry{Name: "x", Burner: "a"}, Entry{Name: "y", Burner: "b", Notes: "n"}); got != nil {
		t.Error(got)
	}
	if got := MoreThanBurner(Entry{}, Entry{Pot: "p", Lid: "l", Screen: "s", Stand: "t", Fuel: "f"}); !slices.Equal(got, []string{"pot", "lid", "screen", "stand", "fuel"}) {
		t.Error(got)
	}
}

func TestMarker(t *testing.T) {
	trial := &Trial{
		Shelf:   gear.Shelf{Burners: []gear.Burner{{Name: "a"}, {Name: "b", Marker: 1}, {Name: "c", Marker: 1}, {Name: "d", Marker: 7}}},
		Entries: []Entry{{Name: "A", Burner: "a"}, {Name: "B", Burner: "b"}, {Name: "C", Burner: "c"}, {Name: "D", Burner: "d"}, {Name: "B again", Burner: "b"}, {Name: "none"}},
	}
	for entry, want := range map[string]int{"A": 2, "B": 1, "C": 3, "D": 7, "B again": 4, "none": 5, "nobody": 0} {
		if got := trial.Marker(entry); got != want {
			t.Errorf("%s has marker %d, want %d", entry, got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		var trial Trial
		for i := range rapid.IntRange(1, 9).Draw(t, "entries") {
			name := fmt.Sprint(i)
			trial.Shelf.Burners = append(trial.Shelf.Burners, gear.Burner{Name: name, Marker: rapid.IntRange(0, 6).Draw(t, "marker")})
			trial.Entries = append(trial.Entries, Entry{Name: name, Burner: fmt.Sprint(rapid.IntRange(0, i).Draw(t, "burner"))})
		}
		seen := map[int]string{}
		for _, e := range trial.Entries {
			m := trial.Marker(e.Name)
			if other, ok := seen[m]; ok || m < 1 {
				t.Fatalf("%s and %s share marker %d", other, e.Name, m)
			}
			seen[m] = e.Name
		}
	})
}

func TestCompareIDs(t *testing.T) {
	want := []string{"-1", "0", "01", "1", "2", "10", "99999999999999999999", "A10", "A2", "b"}
	ids := slices.Clone(want)
	for range 20 {
		rand.New(rand.NewPCG(3, 4)).Shuffle(len(ids), func(i, j int) { ids[i], ids[j] = ids[j], ids[i] })
		slices.SortFunc(ids, CompareIDs)
		if !slices.Equal(ids, want) {
			t.Fatalf("%v", ids)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		id := rapid.StringMatching(`[+0-9]{0,3}[a-c]?`)
		a, b, c := id.Draw(t, "a"), id.Draw(t, "b"), id.Draw(t, "c")
		if (CompareIDs(a, b) == 0) != (a == b) || CompareIDs(a, b) != -CompareIDs(b, a) {
			t.Fatalf("%q and %q: %d, %d", a, b, CompareIDs(a, b), CompareIDs(b, a))
		}
		if CompareIDs(a, b) < 0 && CompareIDs(b, c) < 0 && CompareIDs(a, c) >= 0 {
			t.Fatalf("%q < %q < %q, but not the ends", a, b, c)
		}
	})
}

func TestFindsByName(t *testing.T) {
	trial := made()
	if e, ok := trial.Entry("B"); !ok || e.Burner != "top" {
		t.Error(e, ok)
	}
	if e, ok := trial.Entry("C"); ok || e != (Entry{}) {
		t.Error(e, ok)
	}
	if b, ok := trial.Burner(trial.Entries[0]); !ok || b.Name != "side" {
		t.Error(b, ok)
	}
	if axes := JudgeBys(); len(axes) != 4 || axes[0] != DefaultSettings().JudgeBy {
		t.Error(axes)
	}
}

func TestOnePressureOverSeveralDaysIsTold(t *testing.T) {
	days := func(station bool, dates ...string) *Trial {
		tr := &Trial{}
		if station {
			tr.Site.Station = quantity.Given(950 * quantity.Hectopascal)
		}
		for _, d := range dates {
			tr.Burns = append(tr.Burns, burn.Record{ID: d, Date: d})
		}
		return tr
	}
	for _, row := range []struct {
		trial *Trial
		told  bool
	}{
		{days(true, "3 Oct", "4 Oct"), true},
		{days(true, "3 Oct", "3 Oct"), false},
		{days(false, "3 Oct", "4 Oct"), false},
		{days(true, "", ""), false},
	} {
		if got := finding.Has(row.trial.Check(), "pressure_of_one_day"); got != row.told {
			t.Errorf("%v: told %v, expected %v", row.trial.Burns, got, row.told)
		}
	}
}
