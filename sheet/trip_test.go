package sheet

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"fairburn/carry"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/trial"
)

func (d draw) price() quantity.Reading[carry.Money] {
	r := given(d, prices, "2.50", "12", "0")
	r.Instrument = ""
	return r
}

func (d draw) leg() carry.Leg {
	l := carry.Leg{
		Name: d.words(), Days: d.whole(5), WaterStart: d.temperature(), SnowShare: given(d, ratios, "50 %", "100 %"), SnowTemperature: d.temperature(),
		Elevation: given(d, elevations, "2100 m", "6900 ft"), Air: d.temperature(), Wind: carry.Wind(d.pick("", "still", "gale")),
	}
	l.Resupply = several(d, func() carry.Kind { return carry.Kind(d.pick("spirit", "gas", "tablets")) })
	l.Boils = several(d, func() carry.Boil {
		b := carry.Boil{Name: d.words(), PerDay: d.whole(3), PerPerson: d.yes(), Simmer: given(d, spans, "5:00", "10 min"), Volume: d.volume()}
		if !b.Volume.Given {
			b.Mass = given(d, masses, "500 g", "1 lb")
		}
		return b
	})
	return l
}

func (d draw) part(slot carry.Slot) carry.Part {
	p := carry.Part{Name: d.words(), Slot: slot, Mass: d.mass(), Price: d.price(), With: d.names()}
	if slot == carry.Pot {
		p.Material, p.Holds, p.Loss = d.words(), d.volume(), given(d, losses, "1.2 ± 0.3 W/K")
	}
	return p
}

func (d draw) things() carry.Shelf {
	var s carry.Shelf
	s.Stoves = several(d, func() carry.Stove {
		return carry.Stove{
			Name: d.words(), Kind: carry.Kind(d.pick("spirit", "gas", "tablets", "none")), Mass: d.mass(), Price: d.price(),
			Needs: several(d, func() carry.Slot { return carry.Stand }), Fuel: carry.Fuel{Name: d.words()}, PerLitre: d.mass(), Power: given(d, powers, "1.2 kW", "500 ± 50 W"),
		}
	})
	for _, kind := range []carry.Kind{carry.Spirit, carry.Gas, carry.Tablets} {
		s.Vessels = append(s.Vessels, several(d, func() carry.Vessel {
			v := carry.Vessel{Name: d.words(), For: kind, Mass: d.mass(), Price: d.price(), Count: d.whole(3)}
			switch kind {
			case carry.Spirit:
				v.Holds = d.volume()
			case carry.Gas:
				v.Fuel = d.mass()
			case carry.Tablets:
				v.Fuel = v.Mass
			}
			return v
		})...)
	}
	for _, slot := range carry.Slots() {
		s.Parts = append(s.Parts, several(d, func() carry.Part { return d.part(slot) })...)
	}
	return s
}

func (d draw) reserve() carry.Reserve {
	x := float64(d.whole(40)) + 0.5
	return rapid.SampledFrom([]carry.Reserve{
		{}, {Rule: carry.ByDays, Days: 1}, {Rule: carry.ByDays, Days: x}, {Rule: carry.ByDays},
		{Rule: carry.ByShare, Share: quantity.Ratio(x / 100)}, {Rule: carry.ByChance, Chance: quantity.Ratio(x / 100)},
	}).Draw(d.T, "reserve")
}

func (d draw) trip() *Trip {
	t := &Trip{System: d.system, Leave: d.names(), Shelf: d.things()}
	t.Title, t.Invented, t.People, t.Notes = d.words(), d.yes(), d.whole(4), d.notes()
	t.Reserve, t.Choose = d.reserve(), rapid.SampledFrom(append(carry.Objectives(), "")).Draw(d.T, "choose")
	t.Seed, t.Draws, t.Currency = rapid.Uint64().Draw(d.T, "seed"), d.whole(20000), d.words()
	t.Limits = carry.Limits{Start: d.mass(), Cost: d.price(), Wait: given(d, spans, "45 min")}
	t.Legs = several(d, d.leg)
	t.Rules = several(d, func() carry.RuleNote {
		return carry.RuleNote{Place: d.words(), Text: d.notes(), Checked: d.words(), Link: d.words()}
	})
	t.Fuels = several(d, func() TripFuel { return TripFuel{d.batch(), d.price()} })
	t.Past = several(d, func() carry.Past {
		return carry.Past{Trip: d.words(), Stove: d.words(), Planned: d.mass(), Used: d.mass()}
	})
	return t
}

func TestATripWrittenAndReadBackIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := draw{T: t, system: rapid.SampledFrom([]quantity.System{quantity.Metric, quantity.US, quantity.Imperial}).Draw(t, "system")}
		want := d.trip()
		text, err := WriteTrip(want)
		if err != nil {
			t.Fatal(err)
		}
		got, fs, err := ReadTrip("x.toml", text)
		if err != nil || len(fs) > 0 {
			if len(want.Legs) == 0 && err == nil {
				return
			}
			t.Fatalf("%v\n%v\n%s", err, fs, text)
		}
		if d := cmp.Diff(want, got, same); d != "" {
			t.Fatalf("%s\n%s", d, text)
		}
	})
}

// Every trip of testdata/trips says what stands beside it in a .txt file.
func TestFaultsOfTripsAndTheirMessages(t *testing.T) {
	faultsBeside(t, "testdata/trips/*.toml", func(name string, data []byte) ([]finding.Finding, error) {
		_, fs, err := ReadTrip(name, data)
		return fs, err
	})
}

// faultsBeside holds what is said of every file of a pattern to the .txt beside it.
func faultsBeside(t *testing.T, pattern string, read func(name string, data []byte) ([]finding.Finding, error)) {
	t.Helper()
	files, err := filepath.Glob(pattern)
	if err != nil || len(files) == 0 {
		t.Fatal("no files", pattern, err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		fs, err := read(filepath.Base(file), data)
		var got strings.Builder
		for _, f := range fs {
			fmt.Fprintf(&got, "%s\n", f)
		}
		if err != nil {
			fmt.Fprintf(&got, "error: %s\n", err)
		}
		golden := strings.TrimSuffix(file, ".toml") + ".txt"
		if *update {
			if err := os.WriteFile(golden, []byte(got.String()), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(golden)
		if err != nil {
			t.Fatal(err)
		}
		if got.String() != string(want) {
			t.Errorf("%s: got\n%s\nwant\n%s", file, got.String(), want)
		}
	}
}

func TestASheetOfTheOtherKindIsRefused(t *testing.T) {
	_, _, err := Read("x.toml", []byte("fairburn = 1\ntitle = \"A walk\"\n[[leg]]\ndays = 2\n"))
	want := "x.toml:3:3: the file cannot be used: it is the sheet of a trip, which holds leg, and a trial's was expected; fairburn carry answers it"
	if err == nil || err.Error() != want || !errors.Is(err, ErrUnusable) {
		t.Errorf("got %v", err)
	}
	_, _, err = ReadTrip("x.toml", []byte("fairburn = 1\n[[entry]]\nname = \"Fern\"\n"))
	want = "x.toml:2:3: the file cannot be used: it is the sheet of a trial, which holds entry, and a trip's was expected, with a [[leg]]; fairburn judge, reduce and plan read it"
	if err == nil || err.Error() != want || !errors.Is(err, ErrUnusable) {
		t.Errorf("got %v", err)
	}
}

func TestReserve(t *testing.T) {
	for text, want := range map[string]carry.Reserve{
		"1 day": {Rule: carry.ByDays, Days: 1}, "1.5 days": {Rule: carry.ByDays, Days: 1.5}, "0 days": {Rule: carry.ByDays},
		"25 % more": {Rule: carry.ByShare, Share: 0.25}, "2% dry": {Rule: carry.ByChance, Chance: 0.02},
	} {
		got, err := ParseReserve(text)
		if err != nil || got != want {
			t.Errorf("%q: got %+v %v", text, got, err)
		}
		again, err := ParseReserve(ReserveText(got))
		if err != nil || again != got {
			t.Errorf("%q: written as %q", text, ReserveText(got))
		}
	}
	for text, want := range map[string]string{
		"25 %":      `read "25 %", column 1: expected a reserve; write "25 % more" for fuel beyond the middle of what is likely, or "25 % dry" for the chance of running dry`,
		"0 % dry":   `read "0 % dry", column 1: expected a reserve; the chance of running dry lies above 0 % and below 100 %`,
		"100 % dry": `read "100 % dry", column 1: expected a reserve; the chance of running dry lies above 0 % and below 100 %`,
		"1 day dry": `read "1 day dry", column 1: expected a reserve; write "1 day" alone`,
		"1..2 days": `read "1..2 days", column 1: expected a reserve; "1..2" is no number`,
		"-1 day":    `read "-1 day", column 1: expected a reserve; write "1 day", "25 % more" or "2 % dry"`,
	} {
		if _, err := ParseReserve(text); err == nil || err.Error() != want {
			t.Errorf("%q: got %v", text, err)
		}
	}
}

// Take joins what the sheet lists with what the trial's shelf holds.
func TestTake(t *testing.T) {
	read := func(text string) *Trip {
		trip, fs, err := ReadTrip("x.toml", []byte("fairburn = 1\n[[leg]]\ndays = 1\n"+text))
		if err != nil || len(fs) > 0 {
			t.Fatal(fs, err)
		}
		return trip
	}
	strength, _ := quantity.ParseStrength("95 % vol")
	bench := &trial.Reduced{Trial: &trial.Trial{Shelf: gear.Shelf{
		Burners: []gear.Burner{{Name: "Fern"}, {Name: "Rue"}}, Pots: []gear.Pot{{Name: "mug"}},
		Batches: []gear.FuelBatch{{Name: "autumn", Strength: strength}},
	}}, Results: []trial.Burned{}}
	trip := read("[[fuel]]\nname = \"autumn\"\nprice = \"3\"\n[[stove]]\nname = \"Sage\"\nburns = \"spirit\"\nmass = \"9 g\"\nfuel = \"autumn\"\n")
	trip.Leave = []string{"Rue"}
	shelf, fs := trip.Take(bench)
	if len(fs) > 0 || len(shelf.Stoves) != 2 || shelf.Stoves[0].Name != "Sage" || shelf.Stoves[1].Name != "Fern" || len(shelf.Parts) != 1 {
		t.Fatalf("%v %+v", fs, shelf)
	}
	if f := shelf.Stoves[0].Fuel; f.Price.Value != 3 || f.LHV <= 0 || f.Density <= 0 || f.Name != "autumn" {
		t.Errorf("got %+v", f)
	}
	if len(trip.Shelf.Stoves) != 1 || trip.Shelf.Stoves[0].Fuel.LHV != 0 {
		t.Error("the trip was changed")
	}

}

func TestTakeSaysWhatIsMissing(t *testing.T) {
	trip, _, err := ReadTrip("x.toml", []byte("fairburn = 1\nleave = [\"Thyme\"]\n[[leg]]\ndays = 1\n[[fuel]]\nname = \"odd\"\nprice = 2\n[[stove]]\nname = \"Sage\"\nburns = \"spirit\"\nfuel = \"odd\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	_, fs := trip.Take()
	var got []string
	for _, f := range fs {
		got = append(got, f.Sentence)
	}
	want := []string{`nothing on the shelf is called "Thyme"`, `stove "Sage" burns "odd", which neither the sheet nor the bench lists`}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// inOrder puts what shares a list into the order of the sheet's sections.
func inOrder(t *Trip) {
	slices.SortStableFunc(t.Shelf.Parts, func(a, b carry.Part) int {
		return slices.Index(carry.Slots(), a.Slot) - slices.Index(carry.Slots(), b.Slot)
	})
	order := []carry.Kind{carry.Spirit, carry.Gas, carry.Tablets}
	slices.SortStableFunc(t.Shelf.Vessels, func(a, b carry.Vessel) int { return slices.Index(order, a.For) - slices.Index(order, b.For) })
}

func FuzzReadTrip(f *testing.F) {
	for _, pattern := range []string{"testdata/trips/*.toml", "../docs/examples/*.toml"} {
		files, _ := filepath.Glob(pattern)
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		first, fs, err := ReadTrip("x.toml", data)
		if err != nil || len(fs) > 0 {
			return
		}
		text, err := WriteTrip(first)
		if err != nil {
			t.Fatal(err)
		}
		second, fs, err := ReadTrip("x.toml", text)
		if err != nil || len(fs) > 0 {
			t.Fatalf("%v %v\n%s", err, fs, text)
		}
		inOrder(first)
		inOrder(second)
		if d := cmp.Diff(first, second, same); d != "" {
			t.Fatalf("%s\n%s", d, text)
		}
	})
}
