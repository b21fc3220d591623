package dataset

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/pack"
	"fairburn/reduce"
	"fairburn/report"
	"fairburn/sheet"
	"fairburn/trial"
	"fairburn/verdict"
)

// TestFiguresAreTheReportsOwn compares every figure with the JSON of the report.
func TestFiguresAreTheReportsOwn(t *testing.T) {
	for _, s := range samples() {
		var b bytes.Buffer
		if err := report.JSON(&b, s.v, s.r); err != nil {
			t.Fatal(err)
		}
		var all struct {
			Burns []map[string]any `json:"burns"`
		}
		if err := json.Unmarshal(b.Bytes(), &all); err != nil {
			t.Fatal(err)
		}
		ts := s.tables(t, Options{})
		burns, figures, budgets := ts["burns"], ts["figures"], ts["budgets"]
		n, causes := 0, 0
		for row, j := range all.Burns {
			if burns.at(row, "status") != j["status"] || burns.at(row, "burn") != j["burn"] {
				t.Errorf("%s: burn %v is %v", s.name, j["burn"], burns.at(row, "status"))
			}
			n += len(j["u"].(map[string]any))
			for _, m := range reduce.Metrics() {
				key := m.Info().Key
				if burns.at(row, key) != j[key] || burns.at(row, "u_"+key) != j["u"].(map[string]any)[key] {
					t.Errorf("%s: burn %v, %s: got %v, want %v", s.name, j["burn"], key, burns.at(row, key), j[key])
				}
			}
			for _, kind := range []string{"at_most", "at_least", "estimated", "out_of_range"} {
				apart, _ := j[kind].(map[string]any)
				n += len(apart)
			}
			for _, shares := range j["budget"].(map[string]any) {
				causes += len(shares.([]any))
			}
		}
		if len(figures.rows) < n {
			t.Errorf("%s: %d figures, want at least %d", s.name, len(figures.rows), n)
		}
		for row := range figures.rows {
			sameFigure(t, figures, row, all.Burns)
		}
		if large := countShares(budgets); large != causes {
			t.Errorf("%s: %d causes of a thousandth and more, want %d", s.name, large, causes)
		}
	}
}

func sameFigure(t *testing.T, figures table, row int, burns []map[string]any) {
	i := slices.IndexFunc(burns, func(j map[string]any) bool { return j["burn"] == figures.at(row, "burn") })
	j, key, kind := burns[i], figures.at(row, "metric").(string), figures.at(row, "kind").(string)
	value, u := j[key], j["u"].(map[string]any)[key]
	if kind != "measured" {
		apart := j[kind].(map[string]any)[key].(map[string]any)
		value, u = apart["value"], apart["u"]
	}
	if figures.at(row, "value") != value || figures.at(row, "u") != u {
		t.Errorf("burn %v, %s %s: got %v ± %v, want %v ± %v", j["burn"], kind, key, figures.at(row, "value"), figures.at(row, "u"), value, u)
	}
	if basis, _ := j["basis"].(map[string]any)[key]; kind == "measured" && figures.at(row, "basis") != basis {
		t.Errorf("burn %v, %s: basis %v, want %v", j["burn"], key, figures.at(row, "basis"), basis)
	}
}

func countShares(budgets table) (n int) {
	for row := range budgets.rows {
		if math.Abs(budgets.at(row, "share").(float64)) >= 0.001 {
			n++
		}
	}
	return n
}

// TestBudgetsAddUp: the shares of a figure add to 1, by a sum of our own.
func TestBudgetsAddUp(t *testing.T) {
	for _, s := range samples() {
		sums := map[string]float64{}
		b := s.tables(t, Options{})["budgets"]
		for row := range b.rows {
			sums[fmt.Sprint(b.at(row, "burn"), b.at(row, "metric"))] += b.at(row, "share").(float64)
		}
		for of, sum := range sums {
			if math.Abs(sum-1) > 1e-9 {
				t.Errorf("%s %s: shares add to %v", s.name, of, sum)
			}
		}
	}
}

// TestComparisonsAreTheVerdicts compares pairs and means with the verdict.
func TestComparisonsAreTheVerdicts(t *testing.T) {
	for _, s := range samples() {
		ts := s.tables(t, Options{})
		pairs, means := ts["pairs"], ts["means"]
		row, mean := 0, 0
		for _, a := range s.v.Axes {
			for _, p := range a.Pairs {
				ratio, _ := pairs.at(row, "ratio").(float64)
				low, _ := pairs.at(row, "low").(float64)
				if pairs.at(row, "a") != p.A || pairs.at(row, "class") != string(p.Class) || ratio != p.Ratio || low != p.Lo {
					t.Errorf("%s: %s against %s: %v", s.name, p.A, p.B, pairs.rows[row])
				}
				row++
			}
			for _, g := range a.Groups {
				value, _ := means.at(mean, "value").(float64)
				if means.at(mean, "entry") != g.Entry || math.Abs(value*a.Metric.Info().Scale-g.Center) > 1e-11*g.Center {
					t.Errorf("%s: mean of %s: %v, want %v", s.name, g.Entry, value, g.Center)
				}
				mean++
			}
		}
		if row != len(pairs.rows) {
			t.Errorf("%s: %d pairs, want %d", s.name, len(pairs.rows), row)
		}
	}
}

// TestReadingsStandAsTyped: text and value of the awkward trial.
func TestReadingsStandAsTyped(t *testing.T) {
	b := samples()[0].tables(t, everything)["burns"]
	for _, c := range []struct {
		row   int
		field string
		want  any
	}{
		{0, "poured_g", 25.4}, {0, "poured_typed", "25.4 g"}, {0, "water_start_C", 14.2}, {0, "water_start_typed", "14.2 °C"},
		{0, "air_C", -3.5}, {0, "air_typed", "-3.5 °C"}, {0, "elevation_m", -2.0}, {0, "humidity_share", 0.55}, {0, "wind_m_s", 2.0},
		{0, "station_pressure_hPa", 1013.0}, {1, "water_volume_typed", "2 cups"}, {1, "water_volume_mL", 500.0}, {1, "water_mass_g", nil},
		{0, "levels", "dose = 20 mL; wind = still"}, {0, "notes", "Quillhilda held the lid\nfor a while"}, {0, "dose_volume_mL", 20.0},
		{1, "notes", nil}, {1, "place", "Drossel Hut"}, {1, "status", "invalid"}, {2, "status", "no_boil"}, {2, "water_peak_C", 91.0},
		{3, "void", "@spilled"}, {3, "status", "boiled_post_flame"}, {4, "burn", "x 5"}, {4, "entry", "not listed"}, {4, "tester", nil},
	} {
		if got := b.at(c.row, c.field); got != c.want {
			t.Errorf("row %d, %s: got %#v, want %#v", c.row, c.field, got, c.want)
		}
	}
	e := samples()[0].tables(t, everything)["entries"]
	if e.at(3, "entry") != "not listed" || e.at(3, "system_mass_g") != nil || e.at(0, "jets") != "16 of 1.0 mm, 30 mm, side, drill; 8" || e.at(0, "pot_loss_W_K") != 1.2 {
		t.Errorf("entries: %v", e.rows)
	}
	f := samples()[0].tables(t, everything)["fuels"]
	if f.at(0, "components_typed") != "ethanol the rest; water 4 % vol to 8 % vol" || f.at(2, "fuel") != "gone" || f.at(1, "strength_share") != 0.95 {
		t.Errorf("fuels: %v", f.rows)
	}
	faults := samples()[0].tables(t, everything)["faults"]
	if len(faults.rows) != 3 || faults.at(0, "at_s") != 200.0 || faults.at(1, "at_s") != nil || faults.at(2, "fault") != "uneven" {
		t.Errorf("faults: %v", faults.rows)
	}
}

// TestPeopleAndPlacesOnlyIfAsked looks for names in every byte of every file.
func TestPeopleAndPlacesOnlyIfAsked(t *testing.T) {
	people, places := []string{"Quillhilda", "Bartholofew"}, []string{"Drossel", "Ledge under"}
	for _, c := range []struct {
		o                     Options
		people, places, notes bool
	}{
		{Options{Contributors: []string{"Quillhilda"}}, false, false, false},
		{Options{Names: true}, true, false, false},
		{Options{Places: true, Contributors: []string{"Quillhilda"}}, false, true, false},
		{everything, true, true, true},
	} {
		var all []byte
		for _, f := range samples()[0].files(t, c.o) {
			all = append(all, f.Data...)
		}
		seen := func(words ...string) bool {
			return slices.ContainsFunc(words, func(w string) bool { return bytes.Contains(all, []byte(w)) })
		}
		if seen(people...) != c.people || seen(places...) != c.places || seen("a gift of", "held the lid", "seen by") != c.notes {
			t.Errorf("%+v: people %v, places %v, notes %v", c.o, seen(people...), seen(places...), seen("a gift of", "held the lid", "seen by"))
		}
		if seen("awkward.toml", "testdata") {
			t.Errorf("%+v: the path of the sheet is published", c.o)
		}
	}
	b := samples()[0].tables(t, Options{})["burns"]
	got := fmt.Sprint(b.at(0, "tester"), b.at(1, "tester"), b.at(2, "tester"), b.at(0, "place"), b.at(3, "place"))
	if want := "tester 1tester 2tester 1place 1place 2"; strings.ReplaceAll(got, " ", "") != strings.ReplaceAll(want, " ", "") {
		t.Errorf("got %s, want %s", got, want)
	}
}

// TestHiddenSaysNoMoreThanTheData: the sheet and the report of a hidden trial
// name nobody, its data are the same, and the trial itself is left alone.
func TestHiddenSaysNoMoreThanTheData(t *testing.T) {
	s := samples()[0]
	before, err := sheet.Write(s.r.Trial)
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range []Options{{}, {Names: true}, {Places: true}, everything} {
		h := Hidden(s.r.Trial, o)
		text, err := sheet.Write(h)
		if err != nil {
			t.Fatal(err)
		}
		var page bytes.Buffer
		r := h.Reduce()
		v := verdict.Judge(r)
		if err := report.HTML(&page, v, r, report.Options{}); err != nil {
			t.Fatal(err)
		}
		text = append(text, page.Bytes()...)
		seen := func(word string) bool { return bytes.Contains(text, []byte(word)) }
		if seen("Quillhilda") != o.Names || seen("Drossel") != o.Places || seen("held the lid") != o.notes() || seen("a gift of") != o.notes() {
			t.Errorf("%+v: tester %v, place %v, notes %v", o, seen("Quillhilda"), seen("Drossel"), seen("held the lid"))
		}
		for name, x := range s.tables(t, o) {
			if y := (sample{"hidden", v, r}).tables(t, o)[name]; name != "findings" && !bytes.Equal(x.csv(), y.csv()) {
				t.Errorf("%+v: table %s of the hidden trial differs", o, name)
			}
		}
	}
	after, err := sheet.Write(s.r.Trial)
	if err != nil || !bytes.Equal(before, after) {
		t.Errorf("the trial itself was changed: %v", err)
	}
}

// TestCSVHoldsTheTable reads the CSV with the standard library and takes off the
// apostrophes: the table must come back to the last digit.
func TestCSVHoldsTheTable(t *testing.T) {
	for _, s := range samples() {
		files := s.files(t, everything)
		for name, x := range s.tables(t, everything) {
			data := files[Folder+"/"+name+".csv"].Data
			lines, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
			if err != nil || len(lines) != len(x.rows)+1 || bytes.Contains(data, []byte("\r")) {
				t.Fatalf("%s %s: %v, %d lines for %d rows", s.name, name, err, len(lines), len(x.rows))
			}
			for i, row := range x.rows {
				for k, want := range row {
					if got := uncell(lines[i+1][k], x.fields[k].kind); got != want {
						t.Errorf("%s %s row %d %s: got %#v, want %#v", s.name, name, i, x.fields[k].name, got, want)
					}
				}
			}
		}
	}
}

func uncell(s string, k kind) any {
	switch {
	case s == "":
		return nil
	case k == decimal:
		x, _ := strconv.ParseFloat(s, 64)
		return x
	case k == integer:
		x, _ := strconv.ParseInt(s, 10, 64)
		return x
	case k == boolean:
		return s == "true"
	}
	return strings.TrimPrefix(s, "'")
}

func TestFormulasAreMadeInert(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"", ""}, {"Heron", "Heron"}, {"a=b", "a=b"}, {"6:26", "6:26"}, {"Ünruly", "Ünruly"}, {" =1", " =1"},
		{"=1+1", "'=1+1"}, {"@SUM(A1)", "'@SUM(A1)"}, {"+1", "+1"}, {"+bottle", "'+bottle"}, {"-", "'-"}, {"--", "'--"},
		{"-3.5 °C", "-3.5 °C"}, {"-282 ft", "-282 ft"}, {"-9 grams, plain", "-9 grams, plain"}, {"+4 %", "+4 %"}, {"-3,5 °C", "-3,5 °C"},
		{"-1+1", "'-1+1"}, {"-2+3+cmd|' /C calc'!A0", "'-2+3+cmd|' /C calc'!A0"}, {"+1*2", "'+1*2"}, {"-1=1", "'-1=1"}, {"-A1", "'-A1"}, {"-1;=2", "'-1;=2"},
		{"\t=1", "'\t=1"}, {"\r=1", "'\r=1"}, {"\n=1", "'\n=1"}, {"'x", "''x"}, {"'", "''"},
	} {
		got := inert(c.text)
		if got != c.want {
			t.Errorf("%q: got %q, want %q", c.text, got, c.want)
		}
		if back := strings.TrimPrefix(got, "'"); back != c.text {
			t.Errorf("%q comes back as %q", c.text, back)
		}
	}
}

func TestNumbersLoseTheDetourAlone(t *testing.T) {
	for _, c := range []struct {
		x    float64
		want any
	}{{20.000000000000004, 20.0}, {14.199999999999989, 14.2}, {-3.5000000000000004, -3.5}, {0, 0.0}, {24.80586406, 24.80586406}, {math.NaN(), nil}, {math.Inf(1), nil}, {math.MaxFloat64, 1.79769313486e308}} {
		if got := tidy(c.x); got != c.want {
			t.Errorf("%v: got %v, want %v", c.x, got, c.want)
		}
	}
}

func TestTheSameTrialGivesTheSameBytes(t *testing.T) {
	s := samples()[0]
	a, b := s.files(t, everything), s.files(t, everything)
	for name, f := range a {
		if !bytes.Equal(f.Data, b[name].Data) {
			t.Errorf("%s differs", name)
		}
		if f.Says == "" || !strings.HasPrefix(name, Folder+"/") {
			t.Errorf("%s says %q", name, f.Says)
		}
	}
	if _, err := pack.New(pack.About{Tool: "t", Title: s.v.Title, Made: everything.Made}, slices.Collect(values(a))); err != nil {
		t.Error(err)
	}
}

func values(m map[string]pack.File) func(func(pack.File) bool) {
	return func(yield func(pack.File) bool) {
		for _, f := range m {
			if !yield(f) {
				return
			}
		}
	}
}

func TestRowsThatCannotBeToldApartAreRefused(t *testing.T) {
	for _, c := range []struct {
		change func(*trial.Trial)
		want   string
	}{
		{func(t *trial.Trial) { t.Burns = []burn.Record{{ID: "7", Entry: "a"}, {ID: "7", Entry: "a"}} },
			`the data of "t" cannot be published: table burns has two rows for "7", expected each burn once: rename one`},
		{func(t *trial.Trial) { t.Burns = []burn.Record{{Entry: "a"}} },
			`the data of "t" cannot be published: table burns, row 1 has no burn, expected one: give it a name of its own`},
		{func(t *trial.Trial) { t.Entries = []trial.Entry{{Name: "a"}, {Name: "a"}} },
			`the data of "t" cannot be published: table entries has two rows for "a", expected each entry once: rename one`},
		{func(t *trial.Trial) { t.Shelf.Batches = []gear.FuelBatch{{Name: "f"}, {Name: "f"}} },
			`the data of "t" cannot be published: table fuels has two rows for "f", expected each fuel once: rename one`},
	} {
		x := &trial.Trial{Title: "t", Settings: trial.DefaultSettings()}
		c.change(x)
		r := x.Reduce()
		if _, err := Files(verdict.Judge(r), r, Options{}); err == nil || err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
}

// BenchmarkFiles writes the data of a trial of eighteen burns.
func BenchmarkFiles(b *testing.B) {
	s := samples()[3]
	for b.Loop() {
		if _, err := Files(s.v, s.r, everything); err != nil {
			b.Fatal(err)
		}
	}
}
