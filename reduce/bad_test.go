package reduce

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/quantity"
)

// full is example A with every reading that a burn may have.
func full() (burn.Record, Setup) {
	r, s := exampleA()
	s.Pot, s.Lid = potOf(120), gear.Lid{Name: "lid", Material: "aluminium", Mass: grams(30, 0.1)}
	s.Pot.Loss = quantity.Reading[quantity.Conductance]{Value: 1, Step: 0.1, Tolerance: 0.2, Given: true}
	s.Tools.Barometers = []gear.Barometer{{Name: "b", Limit: quantity.Given(quantity.Hectopascal)}}
	s.Tools.Measures = []gear.Measure{{Name: "m", Tolerance: quantity.Given(quantity.Ratio(0.05))}}
	s.Site.Altimeter, s.Site.Elevation = quantity.Given(1013*quantity.Hectopascal), quantity.Given(230*quantity.Metre)
	r.Fuel.DoseMass, r.Fuel.DoseVolume, r.Fuel.Temperature = grams(16, 0.1), quantity.Given(20*quantity.Millilitre), celsius(18, 1)
	r.Water.Volume, r.Water.Peak, r.Water.Boiling = quantity.Given(0.5*quantity.Litre), celsius(99, 0.1), celsius(99.1, 0.1)
	r.Simmer.FuelStart, r.Simmer.FuelEnd = grams(80, 0.1), grams(70, 0.1)
	r.Marks[burn.SimmerStart], r.Marks[burn.SimmerEnd] = quantity.Given(100*time.Second), quantity.Given(420*time.Second)
	r.Site.Humidity = quantity.Given(quantity.Ratio(0.5))
	return r, s
}

// leaves calls f for every number under v, with its place, and a way to set it.
func leaves(v reflect.Value, place string, f func(place string, set func(float64))) {
	switch {
	case v.Type() == reflect.TypeFor[quantity.Temperature]():
		old := v.Interface()
		f(place, func(x float64) { v.Set(reflect.ValueOf(quantity.Kelvin(x))) })
		v.Set(reflect.ValueOf(old))
	case v.Kind() == reflect.Float64:
		old := v.Float()
		f(place, v.SetFloat)
		v.SetFloat(old)
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() && v.Type() != reflect.TypeFor[Rules]() { // rules are read, not measured
				leaves(v.Field(i), place+"."+v.Type().Field(i).Name, f)
			}
		}
	case v.Kind() == reflect.Slice:
		for i := range v.Len() {
			leaves(v.Index(i), place, f)
		}
	}
}

// Every number of a burn and its setup in turn made to be none, infinite, or
// absurd: nothing panics, nothing shows what is not a number, and what is
// shown is a number.
func TestNotANumber(t *testing.T) {
	for _, status := range []func(*burn.Record){
		func(*burn.Record) {},
		func(r *burn.Record) { delete(r.Marks, burn.Boil) },
		func(r *burn.Record) { r.Water.Mass = none },
		func(r *burn.Record) { r.Fuel.Weighed = burn.Stack },
		func(r *burn.Record) { r.Fuel.DoseMass, r.Fuel.Poured = none, none },
	} {
		r, s := full()
		status(&r)
		n := 0
		try := func(place string, set func(float64)) {
			for _, x := range []float64{math.NaN(), math.Inf(-1), -1, 0, 1e300} {
				set(x)
				sound(t, place, x, Reduce(r, s))
				n++
			}
		}
		leaves(reflect.ValueOf(&r).Elem(), "burn", try)
		leaves(reflect.ValueOf(&s).Elem(), "setup", try)
		if n < 400 {
			t.Errorf("only %d numbers were tried", n)
		}
	}
}

func sound(t *testing.T, place string, x float64, got Result) {
	t.Helper()
	for _, f := range got.Findings {
		if text := f.String(); strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
			t.Errorf("%s = %g: %s", place, x, text)
		}
	}
	for _, m := range Metrics() {
		if f, ok := got.Figure(m); ok && (!finite(f.Value) || !finite(f.U)) {
			t.Errorf("%s = %g: %s is %g, u %g", place, x, m.Info().Key, f.Value, f.U)
		}
	}
	if !math.IsNaN(x) {
		return // writing takes more than reducing
	}
	if text, err := json.Marshal(got); err != nil {
		t.Errorf("%s = %g: %v", place, x, err)
	} else if strings.Contains(string(text), "NaN") {
		t.Errorf("%s = %g: %s", place, x, text)
	}
}

// A reading that is not a number is named where it stands and its figures go.
func TestNotANumberIsFound(t *testing.T) {
	missing := math.NaN()
	for field, c := range map[string]struct {
		set     func(*burn.Record)
		without []Metric
	}{
		"water.mass":      {func(r *burn.Record) { r.Water.Mass.Value = quantity.Mass(missing) }, []Metric{HeatWater, RefTime, EtaWater}},
		"water.start":     {func(r *burn.Record) { r.Water.Start.Value = quantity.Celsius(missing) }, []Metric{HeatWater, RefTime, EtaWater}},
		"fuel.poured":     {func(r *burn.Record) { r.Fuel.Poured.Value = quantity.Mass(missing) }, []Metric{FuelToBoil, FuelTotal, MeanPower, EtaWater}},
		"fuel.at_boil":    {func(r *burn.Record) { r.Fuel.AtBoil.Value = quantity.Mass(missing) }, nil}, // prorated then
		"fuel.left":       {func(r *burn.Record) { r.Fuel.Left.Value = quantity.Mass(missing) }, []Metric{FuelTotal, MeanPower}},
		"water.end":       {func(r *burn.Record) { r.Water.End.Step = missing }, []Metric{HeatSteam, EtaAll}},
		"site.air":        {func(r *burn.Record) { r.Site.Air = quantity.Given(quantity.Celsius(missing)) }, nil},
		"site.elevation":  {func(r *burn.Record) { r.Site.Elevation = quantity.Given(quantity.Length(missing)) }, []Metric{BoilingPoint}},
		"fuel.at_pot_on":  {func(r *burn.Record) { r.Fuel.AtPotOn.Tolerance = missing }, []Metric{FuelPrime}},
		"water.boiling":   {func(r *burn.Record) { r.Water.Boiling = celsius(missing, 0.1) }, nil},
		"fuel.dose":       {func(r *burn.Record) { r.Fuel.DoseVolume = quantity.Given(quantity.Volume(missing)) }, nil},
		"simmer.fuel_end": {func(r *burn.Record) { r.Simmer.FuelEnd = grams(missing, 0.1) }, []Metric{SimmerPower}},
	} {
		r, s := exampleA()
		c.set(&r)
		got := Reduce(r, s)
		figures(t, field, got, nil, c.without)
		named := false
		for _, f := range got.Findings {
			named = named || f.Code == "not_a_number" && f.Where.Field == field && f.Where.Subject == "burn A" && f.Severity == finding.Fault
		}
		if !named {
			t.Errorf("%s: %v", field, got.Findings)
		}
	}
}

// With nothing at all there are findings and no figures.
func TestMissingEverything(t *testing.T) {
	got := Reduce(burn.Record{ID: "0"}, Setup{})
	for _, m := range Metrics() {
		if f, ok := got.Figure(m); ok {
			t.Errorf("%s = %g", m.Info().Key, f.Value)
		}
		if _, ok := got.Budget(m); ok {
			t.Errorf("%s has a budget", m.Info().Key)
		}
	}
	var codes []string
	for _, f := range got.Findings {
		codes = append(codes, f.Code)
	}
	want := "water_missing start_temperature_missing dose_missing end_missing fuel_unknown pot_heat_unknown reference_impossible air_temperature_missing pot_on_missing pressure_missing outcome_unknown"
	if strings.Join(codes, " ") != want {
		t.Errorf("codes %v", codes)
	}
}

// One thing of example A left out or changed: what is said, word for word, and
// which figures go.
func TestFindings(t *testing.T) {
	type change func(*burn.Record, *Setup)
	corrected := []Metric{Correction, RefTime, RefFuel}
	for _, c := range []struct {
		name     string
		change   change
		code     string
		severity finding.Severity
		field    string
		sentence string // "" where it is somebody else's
		without  []Metric
	}{
		{"no water", func(r *burn.Record, _ *Setup) { r.Water.Mass = none }, "water_missing", finding.Caution, "water.mass",
			"the water was neither weighed nor measured", append(corrected, EtaWater, HeatWater)},
		{"no start", func(r *burn.Record, _ *Setup) { r.Water.Start.Given = false }, "start_temperature_missing", finding.Caution, "water.start",
			"the start temperature of the water was not read", append(corrected, EtaWater, HeatWater)},
		{"no pot-on", func(r *burn.Record, _ *Setup) { delete(r.Marks, burn.PotOn) }, "pot_on_missing", finding.Note, "marks.pot_on",
			"no mark says when the pot went on; it is taken to have stood there from light", nil},
		{"no pressure", func(_ *burn.Record, s *Setup) { s.Site.Station.Given = false }, "pressure_missing", finding.Caution, "site.station_pressure",
			"neither station pressure nor elevation is given, so the boiling point is unknown and nothing is corrected", append(corrected, BoilingPoint, EtaWater)},
		{"altimeter without height", func(_ *burn.Record, s *Setup) {
			s.Site.Station.Given, s.Site.Altimeter = false, quantity.Given(1013*quantity.Hectopascal)
		}, "pressure_missing", finding.Caution, "site.station_pressure",
			"the altimeter setting says nothing of the pressure here without the elevation, so the boiling point is unknown and nothing is corrected", corrected},
		{"pressure from elevation", func(_ *burn.Record, s *Setup) {
			s.Site.Station.Given = false
			s.Site.Elevation, _ = quantity.ParseElevation("240 m")
		}, "pressure_from_elevation", finding.Note, "site.elevation",
			"station pressure is taken from the elevation alone (240 m), which weather moves by up to 30 hPa and the boiling point by 0.8 °C", nil},
		{"sea-level pressure too high", func(_ *burn.Record, s *Setup) { s.Site.Station.Value = 1085.01 * quantity.Hectopascal }, "pressure_implausible", finding.Caution, "site.station_pressure",
			"station pressure 1085.0 hPa: expected 450 hPa to 1085 hPa", nil},
		{"pressure too low", func(_ *burn.Record, s *Setup) { s.Site.Station.Value = 449.9 * quantity.Hectopascal }, "pressure_implausible", finding.Caution, "site.station_pressure",
			"station pressure 449.9 hPa: expected 450 hPa to 1085 hPa", nil},
		{"elevation nobody stands on", func(_ *burn.Record, s *Setup) {
			s.Site.Station.Given, s.Site.Elevation = false, quantity.Given(90*1000*quantity.Metre)
		}, "pressure_out_of_range", finding.Fault, "site", "", corrected},
		{"no air", func(_ *burn.Record, s *Setup) { s.Site.Air.Given = false }, "air_temperature_missing", finding.Note, "site.air",
			"no air temperature is given, so the correction to reference is the plain ratio of rises, with a wider uncertainty", nil},
		{"thermometer for pressure", func(r *burn.Record, s *Setup) { s.Site.Station.Given, r.Water.Boiling = false, celsius(99.2, 0.1) }, "boiling_point_from_thermometer", finding.Note, "water.boiling",
			"nothing says what the pressure was; the boiling point is what the thermometer showed at the boil", nil},
		{"thermometer off", func(r *burn.Record, _ *Setup) { r.Water.Boiling = celsius(98.1, 0.1) }, "thermometer_offset", finding.Caution, "water.boiling",
			"the thermometer showed 98.1 °C at the boil where 99.2 °C is expected, 1.1 °C off", nil},
		{"start above boiling", func(r *burn.Record, _ *Setup) { r.Water.Start = celsius(99.3, 0.1) }, "hotter_than_boiling", finding.Fault, "water.start",
			"99.3 °C is not below the boiling point here, 99.2 °C", append(corrected, EtaWater)},
		{"boil too late", func(r *burn.Record, _ *Setup) { r.Marks[burn.Boil] = quantity.Given(585 * time.Second) }, "boil_mark_rejected_late", finding.Caution, "marks.boil",
			"the boil is marked 65 s after the flame ended: expected within 60 s, so the burn counts as not boiled", append(corrected, BoilTime)},
		{"fault", func(r *burn.Record, _ *Setup) { r.Faults = fault(burn.LidChanged, 99) }, "fault_before_boil", finding.Caution, "faults",
			"lid changed before the boil: boil time and efficiency do not count", append(corrected, BoilTime, EtaWater)},
		{"no end and no boil", func(r *burn.Record, _ *Setup) { r.Marks = marks(times{potOn: 45}) }, "outcome_unknown", finding.Caution, "marks",
			"neither a boil nor an end of the flame is marked, so nothing says how the burn ended", append(corrected, BoilTime, EtaWater)},
		{"interval", func(r *burn.Record, _ *Setup) { r.Marks[burn.NotBoiling] = quantity.Given(400 * time.Second) }, "boil_interval", finding.Note, "marks.not_boiling",
			"the boil is only known to lie between 6:40 and 7:12; its middle is used", nil},
		{"boil-over", func(r *burn.Record, _ *Setup) { r.Faults = []burn.Fault{{Kind: burn.BoilOver}} }, "steam_unknown", finding.Note, "water.end",
			"boil over: water lost is not all steam, so figures with steam are missing", []Metric{EtaWaterEvap, HeatSteam, CookingPower}},
		{"steam", func(r *burn.Record, _ *Setup) { r.Water.End = grams(430, 0.1) }, "high_evaporation", finding.Caution, "water.end",
			"14 % of the water went as steam before the boil: expected under 10 %", nil},
		{"prorated", func(r *burn.Record, _ *Setup) { r.Fuel.AtBoil = none }, "prorated", finding.Note, "fuel",
			"fuel to boil is prorated from the whole burn, with a half-width of 15 % that repeats do not shrink", nil},
		{"dose alone", func(r *burn.Record, _ *Setup) { r.Fuel = burn.Fuel{DoseMass: grams(16, 0.1)} }, "fuel_to_boil_not_measured", finding.Note, "fuel",
			"fuel to boil was not weighed: all that is known is that it was at most the dose", []Metric{FuelTotal, MeanPower}},
		{"more than the dose", func(r *burn.Record, _ *Setup) { r.Fuel.DoseMass = grams(13.8, 0.1) }, "burned_above_dose", finding.Caution, "fuel.left",
			"15.2 g burned of a dose of 13.8 g", nil},
		{"fluid ounce of 21 g", func(r *burn.Record, _ *Setup) {
			r.Fuel.DoseMass, r.Fuel.DoseVolume = grams(21, 0.1), quantity.Given(quantity.USFluidOunce)
		}, "implausible_fuel_density", finding.Caution, "fuel.dose",
			"the dose by mass over the dose by volume: density 0.710 g/mL at 20 °C (21.0 g in a US fluid ounce), expected 0.785 to 0.820 g/mL for fuel-strength spirit: this is no alcohol", nil},
		{"no fuel", func(_ *burn.Record, s *Setup) { s.Batch = gear.FuelBatch{} }, "fuel_unknown", finding.Caution, "fuel",
			"no fuel is named, so nothing is known of its heat", []Metric{EtaWater, RefFuel, MeanPower}},
		{"fuel of no strength", func(_ *burn.Record, s *Setup) { s.Batch = gear.FuelBatch{Name: "can"} }, "fuel_unknown", finding.Caution, "fuel",
			`fuel "can": the composition of the fuel is not given`, []Metric{EtaWater, RefFuel, MeanPower}},
		{"no pot", func(_ *burn.Record, s *Setup) { s.Pot = gear.Pot{} }, "pot_heat_unknown", finding.Note, "pot",
			"no pot is named, so the heat that it takes up is unknown", []Metric{HeatPot, EtaWaterPot, EtaAll}},
		{"pot not weighed", func(_ *burn.Record, s *Setup) { s.Pot.Mass = none }, "pot_heat_unknown", finding.Note, "pot",
			"the heat that pot takes up is unknown: it was not weighed", []Metric{HeatPot, EtaAll}},
		{"more heat than fuel", func(r *burn.Record, _ *Setup) { r.Fuel.AtPotOn, r.Fuel.AtBoil = none, grams(93, 0.1) }, "eta_above_1", finding.Fault, "fuel",
			"efficiency 1.09: expected at most 1 (net, water, pot and steam, to the boil)", []Metric{EtaWater, FuelToBoil, FuelTotal, MeanPower, RefFuel, EnergyIn}},
		{"water a hundredth", func(r *burn.Record, s *Setup) { r.Water.Mass, r.Water.End, s.Pot = grams(5, 0.1), none, gear.Pot{} }, "eta_below_0.02", finding.Caution, "fuel", "", nil},
		{"reference", func(_ *burn.Record, s *Setup) { s.Reference.To = s.Reference.From }, "reference_impossible", finding.Fault, "reference",
			"the reference conditions do not describe heating liquid water", corrected},
		{"cold dose", func(r *burn.Record, _ *Setup) {
			r.Fuel.DoseVolume, r.Fuel.Temperature = quantity.Given(20*quantity.Millilitre), celsius(-30, 1)
		}, "dose_out_of_range", finding.Caution, "fuel.dose",
			"ethanol: density: temperature in °C -30 is outside -20 to 40 (OIML R 22)", nil},
	} {
		r, s := exampleA()
		s.Pot = potOf(145.3)
		c.change(&r, &s)
		got := Reduce(r, s)
		figures(t, c.name, got, nil, c.without)
		found := false
		for _, f := range got.Findings {
			if f.Code != c.code {
				continue
			}
			found = true
			if f.Severity != c.severity || f.Where.Field != c.field || f.Where.Subject != "burn A" || c.sentence != "" && f.Sentence != c.sentence {
				t.Errorf("%s: %v at %q: %s", c.name, f.Severity, f.Where.Field, f.Sentence)
			}
			if strings.HasSuffix(f.Sentence, ".") || f.Remedy == "" {
				t.Errorf("%s: %q, remedy %q", c.name, f.Sentence, f.Remedy)
			}
		}
		if !found {
			t.Errorf("%s: no %s in %v", c.name, c.code, got.Findings)
		}
	}
	r, s := exampleA()
	s.Pot = potOf(145.3)
	if got := Reduce(r, s); len(got.Findings) > 0 {
		t.Errorf("example A as it is: %v", got.Findings)
	}
}

// Findings that must not appear just inside their limits.
func TestFindingsInside(t *testing.T) {
	for code, change := range map[string]func(*burn.Record, *Setup){
		"thermometer_offset":      func(r *burn.Record, _ *Setup) { r.Water.Boiling = celsius(98.2, 0.1) },
		"hotter_than_boiling":     func(r *burn.Record, _ *Setup) { r.Water.Start = celsius(99.1, 0.1) },
		"boil_mark_rejected_late": func(r *burn.Record, _ *Setup) { r.Marks[burn.Boil] = quantity.Given(580 * time.Second) },
		"burned_above_dose":       func(r *burn.Record, _ *Setup) { r.Fuel.DoseMass = grams(13.82, 0.1) },
		"implausible_fuel_density": func(r *burn.Record, _ *Setup) {
			r.Fuel.DoseMass, r.Fuel.DoseVolume = grams(23.7, 0.1), quantity.Given(quantity.USFluidOunce)
		},
		"pressure_implausible": func(_ *burn.Record, s *Setup) { s.Site.Station.Value = 1085 * quantity.Hectopascal },
		"eta_above_1":          func(r *burn.Record, _ *Setup) { r.Fuel.AtBoil, r.Fuel.AtPotOn = grams(92.2, 0.1), none },
	} {
		r, s := exampleA()
		s.Pot = potOf(145.3)
		change(&r, &s)
		if got := Reduce(r, s); finding.Has(got.Findings, code) {
			t.Errorf("%s in %v", code, got.Findings)
		}
	}
	if got := checkEfficiency(0.75); got != nil {
		t.Error(got)
	}
	if got := checkEfficiency(0.7501); !finding.Has(got, "eta_above_0.75") {
		t.Error(got)
	}
	if got := checkEfficiency(1); !finding.Has(got, "eta_above_0.75") || finding.Has(got, "eta_above_1") {
		t.Error(got)
	}
	if got := checkEfficiency(0.02); got != nil {
		t.Error(got)
	}
	for _, c := range []Claim{{}, {Heat: 1}, {Heat: -1, Fuel: 1, HeatingValue: 1}, {Heat: 1, Fuel: quantity.Mass(math.NaN()), HeatingValue: 1}} {
		if eta, found := c.Efficiency(); !math.IsNaN(float64(eta)) || !finding.Has(found, "claim_incomplete") {
			t.Errorf("%+v: %g %v", c, eta, found)
		}
	}
}

// The range in which the correction holds, on both sides of each limit.
func TestCorrectionRange(t *testing.T) {
	at := func(change func(*burn.Record, *Setup)) Result {
		r, s := exampleA()
		s.Site.Station.Value, _ = pressureAt(98)
		change(&r, &s)
		return Reduce(r, s)
	}
	boils := func(celsius float64) func(*burn.Record, *Setup) {
		return func(_ *burn.Record, s *Setup) { s.Site.Station.Value, _ = pressureAt(celsius) }
	}
	for _, c := range []struct {
		name    string
		inside  func(*burn.Record, *Setup)
		outside func(*burn.Record, *Setup)
	}{
		{"rise 96 K", func(r *burn.Record, _ *Setup) { r.Water.Start = celsius(2.001, 0.1) }, func(r *burn.Record, _ *Setup) { r.Water.Start = celsius(1.99, 0.1) }},
		{"rise 64 K", func(r *burn.Record, _ *Setup) { r.Water.Start = celsius(33.999, 0.1) }, func(r *burn.Record, _ *Setup) { r.Water.Start = celsius(34.01, 0.1) }},
		{"water 600 g", func(r *burn.Record, _ *Setup) { r.Water.Mass, r.Water.End = grams(599.99, 0.1), none }, func(r *burn.Record, _ *Setup) { r.Water.Mass, r.Water.End = grams(600.1, 0.1), none }},
		{"water 400 g", func(r *burn.Record, _ *Setup) { r.Water.Mass, r.Water.End = grams(400.01, 0.1), none }, func(r *burn.Record, _ *Setup) { r.Water.Mass, r.Water.End = grams(399.9, 0.1), none }},
		{"boiling at 93 °C", boils(93.001), boils(92.999)},
	} {
		in, beyond := at(c.inside), at(c.outside)
		for _, m := range ofReference {
			if f, ok := in.Figure(m); !ok || f.OutOfRange {
				t.Errorf("%s: %s is out of range inside", c.name, m.Info().Key)
			}
			if f, ok := beyond.Figure(m); !ok || !f.OutOfRange {
				t.Errorf("%s: %s is in range outside", c.name, m.Info().Key)
			}
		}
		if beyond.figures[BoilTime].OutOfRange || finding.Has(in.Findings, "outside_correction_range") || !finding.Has(beyond.Findings, "outside_correction_range") {
			t.Errorf("%s: in %v, out %v", c.name, in.Findings, beyond.Findings)
		}
	}
}

// The fuel's heating value against that of ethanol, both sides of 15 %.
func TestFuelRange(t *testing.T) {
	for percent, far := range map[float64]bool{0.86: true, 0.87: false} {
		r, s := exampleA()
		s.Batch.Components[0].Low.Value.Value = percent
		lhv := percent*26.805 - (1-percent)*2.4426
		if (math.Abs(lhv/26.805-1) > 0.15) != far {
			t.Fatal("the case does not straddle the limit")
		}
		if got := Reduce(r, s); finding.Has(got.Findings, "fuel_far_from_reference") != far {
			t.Errorf("%g by mass: %v", percent, got.Findings)
		}
	}
}

// Three ounces for 48 ounces of water can be read two ways: as mass it is
// 59.9 g a litre, as fluid ounces of 0.81 g/mL 50.6 g a litre (common practice,
// no source). So a bare ounce is refused.
func TestBareOunce(t *testing.T) {
	if _, err := quantity.ParseDose("3 oz", quantity.US); err == nil {
		t.Error("a bare oz is taken as a dose")
	}
	perLitre := func(mass quantity.Mass) float64 {
		return float64(mass/quantity.Gram) / float64(48*quantity.USFluidOunce/quantity.Litre)
	}
	within(t, "by mass", perLitre(3*quantity.Ounce), 59.9, 0.05)
	within(t, "by volume", perLitre(quantity.Mass(float64(3*quantity.USFluidOunce)*810)), 50.6, 0.05)
}
