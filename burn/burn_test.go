package burn

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/finding"
	"fairburn/quantity"
)

func grams(g float64) quantity.Reading[quantity.Mass] {
	return quantity.Reading[quantity.Mass]{Value: quantity.Mass(g) * quantity.Gram, Text: fmt.Sprintf("%g g", g), Given: true}
}

func celsius(c float64) quantity.Reading[quantity.Temperature] {
	return quantity.Reading[quantity.Temperature]{Value: quantity.Celsius(c), Text: fmt.Sprintf("%g °C", c), Given: true}
}

func at(s map[Mark]float64) map[Mark]quantity.Reading[time.Duration] {
	m := map[Mark]quantity.Reading[time.Duration]{}
	for k, v := range s {
		m[k] = quantity.Given(time.Duration(v * float64(time.Second)))
	}
	return m
}

// whole is a burn with nothing wrong.
func whole() Record {
	return Record{
		ID: "7", Entry: "can",
		Fuel:  Fuel{Weighed: BurnerAndFuel, Poured: grams(50), AtPotOn: grams(49), AtBoil: grams(38), Left: grams(35)},
		Water: Water{Mass: grams(500), End: grams(494), Start: celsius(18)},
		Marks: at(map[Mark]float64{Bloom: 20, PotOn: 45, Boil: 432, PotOff: 440, Out: 520}),
	}
}

func TestCheck(t *testing.T) {
	if fs := whole().Check(); fs != nil {
		t.Errorf("a burn with nothing wrong: %v", fs)
	}
	none := quantity.Reading[quantity.Mass]{}
	for _, c := range []struct {
		name   string
		change func(*Record)
		want   []string
	}{
		{"no water", func(r *Record) { r.Water.Mass = none }, []string{"burn 7: water.mass: caution: the water was neither weighed nor measured"}},
		{"water by volume", func(r *Record) { r.Water.Mass, r.Water.Volume = none, quantity.Given(quantity.Litre) }, nil},
		{"no start", func(r *Record) { r.Water.Start.Given = false }, []string{"burn 7: water.start: caution: the start temperature of the water was not read"}},
		{"no fuel", func(r *Record) { r.Fuel = Fuel{} }, []string{"burn 7: fuel.poured: caution: neither the fuel's mass nor the dose is written down"}},
		{"dose by volume", func(r *Record) { r.Fuel = Fuel{DoseVolume: quantity.Given(quantity.USFluidOunce)} }, []string{"burn 7: fuel.poured: note: the dose was measured by volume and not weighed"}},
		{"dose by mass", func(r *Record) { r.Fuel = Fuel{DoseMass: grams(20)} }, nil},
		{"no end", func(r *Record) { delete(r.Marks, Out) }, []string{"burn 7: marks.out: caution: no mark says when the flame ended"}},
		{"two ends", func(r *Record) { r.Marks[Snuffed] = quantity.Given(500 * time.Second) }, []string{"burn 7: marks.snuffed: fault: the burn both ended by itself and was put out"}},
		{"a stage heavier", func(r *Record) { r.Fuel.AtBoil = grams(49.5) }, []string{"burn 7: fuel.at_boil: fault: 49.5 g is heavier than 49 g at the stage before"}},
		{"heavier two stages on", func(r *Record) { r.Fuel.AtPotOn, r.Fuel.AtBoil, r.Fuel.Left = none, none, grams(50.25) },
			[]string{"burn 7: fuel.left: fault: 50.25 g is heavier than 50 g at the stage before"}},
		{"heavier than the dose", func(r *Record) { r.Fuel = Fuel{Weighed: FuelOnly, DoseMass: grams(20), Left: grams(21)} },
			[]string{"burn 7: fuel.left: fault: 21 g is heavier than 20 g at the stage before"}},
		{"no prime", func(r *Record) { r.Fuel.AtPotOn = grams(50) }, nil},
		{"nothing burned", func(r *Record) { r.Fuel.AtPotOn, r.Fuel.AtBoil, r.Fuel.Left = none, none, grams(50) },
			[]string{"burn 7: fuel.left: fault: 50 g at the end is what there was at the start"}},
		{"more poured than dosed", func(r *Record) { r.Fuel = Fuel{Weighed: FuelOnly, DoseMass: grams(20), Poured: grams(21.1)} },
			[]string{"burn 7: fuel.poured: caution: 21.1 g was weighed where the dose was 20 g"}},
		{"poured as dosed", func(r *Record) { r.Fuel = Fuel{Weighed: FuelOnly, DoseMass: grams(20), Poured: grams(21)} }, nil},
		{"burner and fuel are more than the dose", func(r *Record) { r.Fuel.DoseMass = grams(16) }, nil},
		{"water grew", func(r *Record) { r.Water.End = grams(501) }, []string{"burn 7: water.end: fault: 501 g at the end is more than 500 g at the start"}},
		{"water stayed", func(r *Record) { r.Water.End = grams(500) }, nil},
		{"water cooled", func(r *Record) { r.Water.Peak = celsius(17) }, []string{"burn 7: water.peak: fault: the highest temperature 17 °C lies below the start 18 °C"}},
		{"a mass of nothing", func(r *Record) { r.Water.Mass = quantity.Given(quantity.Mass(0)) }, []string{"burn 7: water.mass: fault: 0.0 g was read where something is expected"}},
		{"nothing left", func(r *Record) { r.Fuel.Weighed, r.Fuel.Left = FuelOnly, grams(0) }, nil},
		{"below zero", func(r *Record) { r.Fuel.Left = grams(-0.1) }, []string{"burn 7: fuel.left: fault: -0.1 g is below zero"}},
		{"not a number", func(r *Record) { r.Fuel.Left = grams(math.NaN()) }, []string{"burn 7: fuel.left: fault: the reading is not a number"}},
		{"no number to its step", func(r *Record) { r.Water.Start.Step = math.Inf(1) }, []string{"burn 7: water.start: fault: the reading is not a number"}},
		{"before light", func(r *Record) { r.Marks[PotOn] = quantity.Given(-5 * time.Second) }, []string{"burn 7: marks.pot_on: fault: pot on at -0:05 lies before light at 0:00"}},
		{"boil before pot on", func(r *Record) { r.Marks[Boil] = quantity.Given(44 * time.Second) }, []string{"burn 7: marks.boil: fault: boil at 0:44 lies before pot on at 0:45"}},
		{"boil after the end", func(r *Record) { r.Marks[Boil] = quantity.Given(530 * time.Second); delete(r.Marks, PotOff) }, nil},
		{"pot off before its boil", func(r *Record) { r.Marks[PotOff] = quantity.Given(431 * time.Second) }, []string{"burn 7: marks.pot_off: fault: pot off at 7:11 lies before boil at 7:12"}},
		{"bloom after the end", func(r *Record) { r.Marks[Bloom] = quantity.Given(3600 * time.Second) }, []string{"burn 7: marks.out: fault: out at 8:40 lies before bloom at 1:00:00"}},
	} {
		r := whole()
		c.change(&r)
		var got []string
		for _, f := range r.Check() {
			line, _, _ := strings.Cut(f.String(), ";")
			got = append(got, line)
			if f.Remedy == "" {
				t.Errorf("%s: %s has no remedy", c.name, f.Code)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: got\n%s\nwant\n%s", c.name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

// A finding says where the burn was written.
func TestPlace(t *testing.T) {
	r := whole()
	r.Where = finding.Place{File: "trial.toml", Line: 12}
	r.Water.Start.Given = false
	if got := r.Check()[0].Where; got != (finding.Place{File: "trial.toml", Line: 12, Subject: "burn 7", Field: "water.start"}) {
		t.Error(got)
	}
}

// What Usable takes out, and that the record it was asked about stays.
func TestUsable(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Record)
		gone   func(Record) bool
	}{
		"all stages of fuel that grew": {func(r *Record) { r.Fuel.AtBoil = grams(60) }, func(r Record) bool {
			f := r.Fuel
			return !f.Poured.Given && !f.AtPotOn.Given && !f.AtBoil.Given && !f.Left.Given
		}},
		"left where nothing burned":   {func(r *Record) { r.Fuel = Fuel{Poured: grams(50), Left: grams(50)} }, func(r Record) bool { return r.Fuel.Poured.Given && !r.Fuel.Left.Given }},
		"water left that grew":        {func(r *Record) { r.Water.End = grams(600) }, func(r Record) bool { return r.Water.Mass.Given && !r.Water.End.Given }},
		"a peak below the start":      {func(r *Record) { r.Water.Peak = celsius(0) }, func(r Record) bool { return r.Water.Start.Given && !r.Water.Peak.Given }},
		"no number":                   {func(r *Record) { r.Water.Start = celsius(math.NaN()) }, func(r Record) bool { return !r.Water.Start.Given }},
		"bloom out of order, not out": {func(r *Record) { r.Marks[Bloom] = quantity.Given(time.Hour) }, func(r Record) bool { _, b := r.At(Bloom); _, o := r.At(Out); return !b && o }},
		"simmer out of order": {func(r *Record) {
			r.Marks[SimmerStart], r.Marks[SimmerEnd] = quantity.Given(400*time.Second), quantity.Given(100*time.Second)
		}, func(r Record) bool { _, a := r.At(SimmerStart); _, b := r.At(SimmerEnd); return !a && !b }},
		"marks of the boil stay though": {func(r *Record) { r.Marks[Boil] = quantity.Given(time.Second) }, func(r Record) bool { _, ok := r.At(Boil); return ok && !r.InOrder() }},
	} {
		r := whole()
		c.change(&r)
		before := fmt.Sprint(r)
		got, found := r.Usable()
		if !c.gone(got) || len(found) == 0 {
			t.Errorf("%s: %+v, %v", name, got, found)
		}
		if fmt.Sprint(r) != before {
			t.Errorf("%s: the record itself was changed", name)
		}
		if again, _ := got.Usable(); !reflect.DeepEqual(again, got) {
			t.Errorf("%s: what is usable changes when asked again", name)
		}
	}
	r := whole()
	if got, found := r.Usable(); !reflect.DeepEqual(got, r) || found != nil {
		t.Errorf("a burn with nothing wrong: %+v, %v", got, found)
	}
}

func TestInOrder(t *testing.T) {
	for _, c := range []struct {
		marks map[Mark]float64
		want  bool
	}{
		{nil, true},
		{map[Mark]float64{PotOn: 45, Boil: 45}, true}, // equal is in order
		{map[Mark]float64{PotOn: 45, Boil: 44.999}, false},
		{map[Mark]float64{Out: 100, Boil: 150}, true},
		{map[Mark]float64{PotOn: 101, Out: 100}, false},
		{map[Mark]float64{PotOn: 101, Snuffed: 100}, false},
		{map[Mark]float64{NotBoiling: 100, Boil: 99}, false},
		{map[Mark]float64{Bloom: 200, Out: 100}, true},
		{map[Mark]float64{SimmerEnd: 200, SimmerStart: 300}, true},
		{map[Mark]float64{Boil: -1}, false},
		{map[Mark]float64{Bloom: -1}, true},
	} {
		if got := (Record{Marks: at(c.marks)}).InOrder(); got != c.want {
			t.Errorf("%v: in order %t", c.marks, got)
		}
	}
}

func TestFaultBefore(t *testing.T) {
	spill := Fault{Spill, quantity.Given(100 * time.Second)}
	unknown := Fault{Kind: Relit}
	over := Fault{Kind: BoilOver}
	for _, c := range []struct {
		faults []Fault
		t      float64
		want   FaultKind
	}{
		{[]Fault{spill}, 99.999, ""}, {[]Fault{spill}, 100, Spill}, {[]Fault{unknown}, 0, Relit}, {[]Fault{over}, 1000, ""}, {[]Fault{over, spill, unknown}, 100, Spill}, {nil, 100, ""},
	} {
		got, ok := Record{Faults: c.faults}.FaultBefore(time.Duration(c.t * float64(time.Second)))
		if got.Kind != c.want || ok != (c.want != "") {
			t.Errorf("%v before %g s: %v %t", c.faults, c.t, got, ok)
		}
	}
}

func TestAt(t *testing.T) {
	r := Record{Marks: map[Mark]quantity.Reading[time.Duration]{Boil: {Value: time.Minute}, Light: quantity.Given(time.Hour)}}
	if d, ok := r.At(Boil); ok {
		t.Errorf("a mark that was not given is at %v", d)
	}
	if d, ok := r.At(Light); d != 0 || !ok {
		t.Errorf("light at %v %t", d, ok)
	}
}

func TestSiteOver(t *testing.T) {
	station, altimeter := quantity.Given(985*quantity.Hectopascal), quantity.Given(1013*quantity.Hectopascal)
	low, high := quantity.Given(200*quantity.Metre), quantity.Given(2000*quantity.Metre)
	still := quantity.Given(quantity.Speed(0))
	home := Site{Name: "garage", Station: station, Altimeter: altimeter, Elevation: low, Air: celsius(15), Humidity: quantity.Given(quantity.Ratio(0.5)), Wind: still, WindWord: "still"}
	for name, c := range map[string]struct {
		burn Site
		want func(*Site)
	}{
		"nothing of its own": {Site{}, func(*Site) {}},
		"its own barometer": {Site{Station: quantity.Given(980 * quantity.Hectopascal)}, func(s *Site) {
			s.Station, s.Altimeter = quantity.Given(980*quantity.Hectopascal), quantity.Reading[quantity.Pressure]{}
		}},
		"its own altimeter leaves the older barometer": {Site{Altimeter: quantity.Given(1000 * quantity.Hectopascal)}, func(s *Site) {
			s.Station, s.Altimeter = quantity.Reading[quantity.Pressure]{}, quantity.Given(1000*quantity.Hectopascal)
		}},
		"another height leaves the barometer behind": {Site{Elevation: high}, func(s *Site) { s.Station, s.Elevation = quantity.Reading[quantity.Pressure]{}, high }},
		"the same height does not":                   {Site{Elevation: low}, func(*Site) {}},
		"another height with its barometer": {Site{Elevation: high, Station: quantity.Given(790 * quantity.Hectopascal)}, func(s *Site) {
			s.Elevation, s.Station, s.Altimeter = high, quantity.Given(790*quantity.Hectopascal), quantity.Reading[quantity.Pressure]{}
		}},
		"air, humidity, name":                  {Site{Name: "pass", Air: celsius(-5), Humidity: quantity.Given(quantity.Ratio(0.2))}, func(s *Site) { s.Name, s.Air, s.Humidity = "pass", celsius(-5), quantity.Given(quantity.Ratio(0.2)) }},
		"wind as seen leaves the measured one": {Site{WindWord: "breeze"}, func(s *Site) { s.Wind, s.WindWord = quantity.Reading[quantity.Speed]{}, "breeze" }},
	} {
		want := home
		c.want(&want)
		if got := home.Over(c.burn); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %+v\nwant %+v", name, got, want)
		}
	}
	plain := Site{Station: station}
	if got := plain.Over(Site{Elevation: high}); got.Station.Given {
		t.Error("a barometer read who knows where leads at 2000 m")
	}
}

func TestSiteUsable(t *testing.T) {
	bad := math.NaN()
	s := Site{
		Station: quantity.Given(quantity.Pressure(bad)), Altimeter: quantity.Given(quantity.Pressure(bad)), Elevation: quantity.Given(quantity.Length(bad)),
		Air: celsius(bad), Humidity: quantity.Given(quantity.Ratio(bad)), Wind: quantity.Given(quantity.Speed(bad)), WindWord: "still",
	}
	got, found := s.Usable()
	if !reflect.DeepEqual(got, Site{WindWord: "still"}) {
		t.Errorf("%+v", got)
	}
	var fields []string
	for _, f := range found {
		fields = append(fields, f.Where.Field)
		if f.Where.Subject != "" || f.Code != "not_a_number" || f.Severity != finding.Fault {
			t.Error(f)
		}
	}
	if strings.Join(fields, " ") != "site.station_pressure site.altimeter_setting site.elevation site.humidity site.wind site.air" {
		t.Error(fields)
	}
}

func TestWords(t *testing.T) {
	if m := Marks(); len(m) != 10 || m[0] != Light || PotOn.Label() != "pot on" {
		t.Error(m, PotOn.Label())
	}
	Marks()[0] = "changed"
	if Marks()[0] != Light {
		t.Error("a caller can change the list of marks")
	}
	for _, list := range [][]string{texts(Marks()), texts(FaultKinds()), texts(Failures()), texts(BoilKinds())} {
		for i, s := range list {
			if s == "" || slices.Contains(list[:i], s) || strings.ToLower(s) != s {
				t.Errorf("%q in %v", s, list)
			}
		}
	}
}

func texts[T ~string](list []T) []string {
	var s []string
	for _, x := range list {
		s = append(s, string(x))
	}
	return s
}
