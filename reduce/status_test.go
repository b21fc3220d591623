package reduce

import (
	"math"
	"testing"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/matter/fuel"
	"fairburn/quantity"
)

type times = map[burn.Mark]float64

const (
	light, bloom, potOn, notBoiling = burn.Light, burn.Bloom, burn.PotOn, burn.NotBoiling
	boil, potOff, out, snuffed      = burn.Boil, burn.PotOff, burn.Out, burn.Snuffed
)

func fault(kind burn.FaultKind, at float64) []burn.Fault {
	return []burn.Fault{{Kind: kind, At: quantity.Given(time.Duration(at * float64(time.Second)))}}
}

// Each status on both sides of its limit.
func TestStatus(t *testing.T) {
	for _, c := range []struct {
		name     string
		at       times
		faults   []burn.Fault
		status   Status
		boil     float64 // from light; 0: none
		censor   float64
		flameOut bool
	}{
		{"boil well before flame-out", times{potOn: 45, boil: 432, out: 520}, nil, Boiled, 432, 0, false},
		{"boil at flame-out", times{potOn: 45, boil: 520, out: 520}, nil, Boiled, 520, 0, false},
		{"no end marked", times{potOn: 45, boil: 432}, nil, Boiled, 432, 0, false},
		{"pot from light", times{boil: 432, out: 520}, nil, Boiled, 432, 0, false},
		{"just after flame-out", times{potOn: 45, boil: 520.001, out: 520}, nil, BoiledPostFlame, 520.001, 0, false},
		{"at the end of the grace", times{potOn: 45, boil: 580, out: 520}, nil, BoiledPostFlame, 580, 0, false},
		{"after snuffing", times{potOn: 45, boil: 530, snuffed: 520}, nil, BoiledPostFlame, 530, 0, false},
		{"past the grace", times{potOn: 45, boil: 580.001, out: 520}, nil, NoBoil, 0, 520, true},
		{"no boil", times{potOn: 45, out: 520}, nil, NoBoil, 0, 520, true},
		{"pot off after flame-out", times{potOn: 45, out: 520, potOff: 530}, nil, NoBoil, 0, 520, true},
		{"pot off at flame-out", times{potOn: 45, out: 520, potOff: 520}, nil, NoBoil, 0, 520, true},
		{"pot off before flame-out", times{potOn: 45, out: 520, potOff: 519.999}, nil, RightCensored, 0, 519.999, false},
		{"pot off, end unknown", times{potOn: 45, potOff: 300}, nil, RightCensored, 0, 300, false},
		{"snuffed", times{potOn: 45, snuffed: 400}, nil, RightCensored, 0, 400, false},
		{"boil too long after snuffing", times{potOn: 45, snuffed: 400, boil: 460.001}, nil, RightCensored, 0, 400, false},
		{"between two looks", times{potOn: 45, notBoiling: 400, boil: 440, out: 520}, nil, Interval, 440, 0, false},
		{"the flame went out between the looks", times{potOn: 45, notBoiling: 519.9, boil: 540, out: 520}, nil, Interval, 540, 0, false},
		{"both looks after flame-out", times{potOn: 45, notBoiling: 520, boil: 540, out: 520}, nil, BoiledPostFlame, 540, 0, false},
		{"spill before", times{potOn: 45, boil: 432, out: 520}, fault(burn.Spill, 431.999), Invalid, 0, 0, false},
		{"spill at the boil", times{potOn: 45, boil: 432, out: 520}, fault(burn.Spill, 432), Invalid, 0, 0, false},
		{"at an unknown time", times{potOn: 45, boil: 432, out: 520}, []burn.Fault{{Kind: burn.PotLifted}}, Invalid, 0, 0, false},
		{"relit before flame-out", times{potOn: 45, out: 520}, fault(burn.Relit, 100), Invalid, 0, 0, false},
		{"lid changed before the pot came off", times{potOn: 45, potOff: 300}, fault(burn.LidChanged, 200), Invalid, 0, 0, false},
		{"lid changed after the pot came off", times{potOn: 45, potOff: 300}, fault(burn.LidChanged, 301), RightCensored, 0, 300, false},
		{"spill after", times{potOn: 45, boil: 432, out: 520}, fault(burn.Spill, 432.001), Boiled, 432, 0, false},
		{"boil-over at an unknown time", times{potOn: 45, boil: 432, out: 520}, []burn.Fault{{Kind: burn.BoilOver}}, Boiled, 432, 0, false},
		{"nothing marked", nil, nil, Invalid, 0, 0, false},
		{"pot on alone", times{potOn: 45}, nil, Invalid, 0, 0, false},
		{"boil at pot-on", times{potOn: 45, boil: 45, out: 520}, nil, Invalid, 0, 0, false},
		{"boil before pot-on", times{potOn: 45, boil: 40, out: 520}, nil, Invalid, 0, 0, false},
		{"pot on at flame-out", times{potOn: 520, out: 520}, nil, Invalid, 0, 0, false},
		{"flame-out at light", times{out: 0}, nil, Invalid, 0, 0, false},
		{"boil before light", times{boil: -1, out: 520}, nil, Invalid, 0, 0, false},
		{"pot off before its boil", times{potOn: 45, boil: 432, potOff: 400, out: 520}, nil, Invalid, 0, 0, false},
		{"looks the wrong way round", times{potOn: 45, notBoiling: 440, boil: 432, out: 520}, nil, Invalid, 0, 0, false},
		{"bloom after flame-out is no matter", times{bloom: 600, potOn: 45, boil: 432, out: 520}, nil, Boiled, 432, 0, false},
	} {
		got := classify(&burn.Record{Marks: marks(c.at), Faults: c.faults}, 60*time.Second)
		if got.status != c.status || got.boil.Seconds() != c.boil || got.censor.Seconds() != c.censor || got.flameOut != c.flameOut {
			t.Errorf("%s: %+v, want %s, boil %g, censored %g, flame-out %t", c.name, got, c.status, c.boil, c.censor, c.flameOut)
		}
	}
}

// figures names what a result must and must not have.
func figures(t *testing.T, name string, r Result, with, without []Metric) {
	t.Helper()
	for _, m := range with {
		if f, ok := r.Figure(m); !ok || !finite(f.U) {
			t.Errorf("%s: %s is missing (%+v)", name, m.Info().Key, f)
		}
	}
	for _, m := range without {
		if f, ok := r.Figure(m); ok {
			t.Errorf("%s: %s is %g, want none", name, m.Info().Key, f.Value)
		}
	}
}

func value(t *testing.T, r Result, m Metric) float64 {
	t.Helper()
	f, ok := r.Figure(m)
	if !ok {
		t.Fatalf("%s is missing; findings %v", m.Info().Key, r.Findings)
	}
	return f.Value
}

func bounded(t *testing.T, r Result, side Bound, metrics ...Metric) {
	t.Helper()
	for _, m := range metrics {
		if f, ok := r.Figure(m); !ok || f.Bound != side {
			t.Errorf("%s: bound %q (given %t), want %q", m.Info().Key, f.Bound, ok, side)
		}
	}
}

var none quantity.Reading[quantity.Mass]

func TestDoseIsNotBurned(t *testing.T) {
	r, s := exampleA()
	r.Fuel = burn.Fuel{DoseVolume: quantity.Given(25 * quantity.Millilitre)}
	got := Reduce(r, s)
	bounded(t, got, AtMost, FuelToBoil, RefFuel, RefFuelBatch, RefFuelVolume, FuelPerWater, EnergyPerWater, EnergyIn, BurnRate, HeatingPower)
	bounded(t, got, AtLeast, EtaWater, EtaWaterEvap)
	figures(t, "dose alone", got, []Metric{BoilTime, RefTime, CookingPower}, []Metric{FuelTotal, MeanPower, FuelPrime})
	if got.FuelBy != burn.NotMeasured || !finding.Has(got.Findings, "fuel_to_boil_not_measured") {
		t.Errorf("known by %q, findings %v", got.FuelBy, got.Findings)
	}
	within(t, "the dose as mass, g", value(t, got, FuelToBoil)*1e3, 25*0.8012, 0.02) // OIML R 22 at 20 °C, 96 % by mass
	// A measure of unknown make is worth 5 %.
	within(t, "relative u of the dose", got.figures[FuelToBoil].U/got.figures[FuelToBoil].Value, 0.05/math.Sqrt(3), 0.002)

	r.Fuel.DoseMass = grams(20, 0.1)
	within(t, "a dose that was weighed leads, g", value(t, Reduce(r, s), FuelToBoil)*1e3, 20, 1e-9)

	r.Fuel = burn.Fuel{DoseMass: grams(20, 0.1), Weighed: burn.BurnerAndFuel, Poured: grams(60, 0.1), Left: grams(44, 0.1)}
	r.Marks = marks(times{potOn: 45, boil: 432})
	got = Reduce(r, s)
	bounded(t, got, AtMost, FuelToBoil)
	within(t, "what burned is a closer bound than the dose, g", value(t, got, FuelToBoil)*1e3, 16, 1e-9)

	r.Fuel = burn.Fuel{}
	got = Reduce(r, s)
	figures(t, "no fuel at all", got, []Metric{BoilTime, RefTime, HeatWater}, []Metric{FuelToBoil, FuelTotal, EtaWater, EnergyIn, BurnRate, RefFuel})
}

func TestSeenDry(t *testing.T) {
	r, s := exampleA()
	r.Fuel = burn.Fuel{DoseMass: grams(15.2, 0.1), LeftNothing: true}
	got := Reduce(r, s)
	within(t, "fuel burned, g", value(t, got, FuelTotal)*1e3, 15.2, 1e-9)
	if got.FuelBy != burn.Prorated || !finding.Has(got.Findings, "residue_not_weighed") {
		t.Errorf("by %q, %v", got.FuelBy, got.Findings)
	}
	// Tared display of 0.1 g, linearity 0.1 g, residue up to 0.3 g.
	within(t, "u, g", got.figures[FuelTotal].U*1e3, math.Sqrt(0.01/6+0.01/3+0.09/3), 1e-6)
	r.Marks = marks(times{potOn: 45, boil: 432, snuffed: 520})
	figures(t, "put out, so not dry", Reduce(r, s), nil, []Metric{FuelTotal})
	r, s = exampleA()
	r.Fuel = burn.Fuel{DoseVolume: quantity.Given(20 * quantity.Millilitre), LeftNothing: true}
	s.Tools.Measures = []gear.Measure{{Name: "syringe", For: gear.ForFuel, Tolerance: quantity.Given(quantity.Ratio(0.04))}}
	got = Reduce(r, s)
	b, _ := got.Budget(FuelTotal)
	if part := b.Shared()["measure: syringe"] / b.Value; math.Abs(part-0.04/math.Sqrt(3)) > 1e-3 {
		t.Errorf("the syringe brings %.4f of the dose", part)
	}
}

func TestStack(t *testing.T) {
	r, s := exampleA()
	// Burner, pot and water together lose the fuel and 6.5 g of steam.
	r.Fuel = burn.Fuel{Weighed: burn.Stack, Poured: grams(800, 0.1), AtBoil: grams(800-12.6-6.5, 0.1), Left: grams(770, 0.1)}
	got := Reduce(r, s)
	within(t, "fuel less steam, g", value(t, got, FuelToBoil)*1e3, 12.6, 1e-6)
	if got.FuelBy != burn.ScaleStack || finding.Has(got.Findings, "steam_in_loss") {
		t.Errorf("by %q, %v", got.FuelBy, got.Findings)
	}
	figures(t, "stack", got, []Metric{EtaWater}, []Metric{FuelTotal, MeanPower})
	exact := got.figures[FuelToBoil]
	if exact.Bound != Exact {
		t.Errorf("bound %q with the steam weighed", exact.Bound)
	}
	if want := math.Sqrt(2*0.01/12 + 2*0.01/6 + 0.01/3); exact.U*1e3 < want {
		t.Errorf("u %.4f g leaves out the steam's own weighings, at least %.4f g", exact.U*1e3, want)
	}

	upper := func(name string, change func(*burn.Record), loss float64) {
		t.Helper()
		r := r
		change(&r)
		got := Reduce(r, s)
		bounded(t, got, AtMost, FuelToBoil, RefFuel)
		bounded(t, got, AtLeast, EtaWater)
		within(t, name+", g", value(t, got, FuelToBoil)*1e3, loss, 1e-6)
		if !finding.Has(got.Findings, "steam_in_loss") {
			t.Errorf("%s: %v", name, got.Findings)
		}
	}
	upper("water not weighed again", func(r *burn.Record) { r.Water.End = none }, 19.1)
	upper("boil-over", func(r *burn.Record) { r.Faults = []burn.Fault{{Kind: burn.BoilOver}} }, 19.1)
	upper("water weighed long after", func(r *burn.Record) {
		r.Marks = marks(times{potOn: 45, boil: 432, potOff: 442.001, out: 520})
	}, 19.1)
	upper("water by volume", func(r *burn.Record) {
		r.Water.Mass, r.Water.Volume = none, quantity.Given(0.5*quantity.Litre)
	}, 19.1)

	// Named as if the scale carried the burner alone: the stack leads and it is told.
	r.Fuel.ToBoilBy = burn.ScaleBurner
	if got := Reduce(r, s); got.FuelBy != burn.ScaleStack || !finding.Has(got.Findings, "to_boil_by_contradicted") {
		t.Errorf("by %q, %v", got.FuelBy, got.Findings)
	}
	// More steam than the stack lost in all.
	r.Fuel.ToBoilBy, r.Water.End = burn.NotMeasured, grams(470, 0.1)
	figures(t, "loss below zero", Reduce(r, s), nil, []Metric{FuelToBoil})
}

func TestSnuffedAtBoil(t *testing.T) {
	at := func(end float64) Result {
		r, s := exampleA()
		r.Fuel.AtBoil, r.Fuel.ToBoilBy, r.Fuel.AtPotOn = none, burn.NotMeasured, none
		r.Marks = marks(times{boil: 400, snuffed: end})
		r.Fuel.Left = grams(100-12, 0.1)
		return Reduce(r, s)
	}
	for _, c := range []struct {
		end  float64
		by   burn.ToBoilBy
		want float64
	}{
		{400, burn.SnuffedAtBoil, 12},
		{410, burn.SnuffedAtBoil, 12 * 400. / 410}, // ten seconds' fuel less
		{410.001, burn.Prorated, 12 * 400. / 410.001},
	} {
		got := at(c.end)
		if got.FuelBy != c.by {
			t.Errorf("snuffed at %g s: by %q, want %q", c.end, got.FuelBy, c.by)
		}
		within(t, "fuel to boil, g", value(t, got, FuelToBoil)*1e3, c.want, 1e-6)
		bounded(t, got, AtLeast, BurnTime)
	}
	// Said to be snuffed at the boil, but it burned out.
	r, s := exampleA()
	r.Fuel.ToBoilBy = burn.SnuffedAtBoil
	if got := Reduce(r, s); got.FuelBy != burn.ScaleBurner || !finding.Has(got.Findings, "to_boil_by_contradicted") {
		t.Errorf("by %q, %v", got.FuelBy, got.Findings)
	}
	bounded(t, Reduce(r, s), Exact, BurnTime)
}

func TestInterval(t *testing.T) {
	r, s := exampleA()
	r.Marks = marks(times{potOn: 45, notBoiling: 400, boil: 440, out: 520})
	got := Reduce(r, s)
	within(t, "the middle, s", value(t, got, BoilTime), 420, 1e-9)
	within(t, "u, s", got.figures[BoilTime].U, 20/math.Sqrt(3), 1e-9)
	// The scale was read at 440 s: twenty seconds' fuel less.
	rate := (12.6 - 1.1) / (440 - 45)
	within(t, "fuel to boil, g", value(t, got, FuelToBoil)*1e3, 12.6-20*rate, 1e-6)
	if o := got.Outcome; o.NotBefore != 400*time.Second || o.Boil != 440*time.Second {
		t.Errorf("outcome %+v", o)
	}
	// Looks nearer than the mark itself is worth leave that.
	r.Marks = marks(times{potOn: 45, notBoiling: 439, boil: 440, out: 520})
	within(t, "u of close looks, s", Reduce(r, s).figures[BoilTime].U, 3/math.Sqrt(3), 1e-9)
	// Prorated over flame-out: never more than all of it.
	r.Fuel.AtBoil, r.Fuel.ToBoilBy = none, burn.NotMeasured
	r.Marks = marks(times{potOn: 45, notBoiling: 515, boil: 535, out: 520})
	within(t, "all of it, g", value(t, Reduce(r, s), FuelToBoil)*1e3, 15.2, 1e-6)
}

func TestProrated(t *testing.T) {
	r, s := exampleA()
	r.Fuel.AtBoil, r.Fuel.ToBoilBy = none, burn.NotMeasured
	got := Reduce(r, s)
	b, _ := got.Budget(FuelToBoil)
	within(t, "prorated, g", b.Value*1e3, 15.2*432/520, 1e-9)
	within(t, "half-width by share", b.Shared()["fuel to boil only prorated: A"]/b.Value, 0.15/math.Sqrt(3), 1e-9)
	for _, kind := range []burn.FaultKind{burn.Relit, burn.BlownOut} {
		r.Faults = fault(kind, 450)
		got := Reduce(r, s)
		bounded(t, got, AtMost, FuelToBoil, BurnTime)
		bounded(t, got, AtLeast, MeanPower)
		if got.FuelBy != burn.NotMeasured {
			t.Errorf("%s: prorated over a gap", kind)
		}
	}
	r.Faults = fault(burn.Refilled, 450)
	got = Reduce(r, s)
	figures(t, "refilled", got, []Metric{BoilTime, RefTime, BurnTime}, []Metric{FuelTotal, MeanPower, FuelToBoil})
	if !finding.Has(got.Findings, "refill_not_weighed") {
		t.Error(got.Findings)
	}
}

func TestSteam(t *testing.T) {
	withSteam := []Metric{HeatSteam, EtaWaterEvap, EtaAll, CookingPower}
	r, s := exampleA()
	s.Pot = potOf(145.3)
	r.Water.End = grams(450, 0.1) // 10 %, the limit itself
	if got := Reduce(r, s); finding.Has(got.Findings, "high_evaporation") {
		t.Error("10 % is flagged")
	}
	r.Water.End = grams(449.9, 0.1)
	if got := Reduce(r, s); !finding.Has(got.Findings, "high_evaporation") || got.Status != Boiled {
		t.Error("more than 10 % is not flagged")
	}
	r.Water.End = grams(493.5, 0.1)
	figures(t, "steam", Reduce(r, s), withSteam, nil)
	r.Marks[potOff] = quantity.Given(442 * time.Second)
	if f := Reduce(r, s).figures[EtaAll]; f.Bound != Exact {
		t.Error("pot off ten seconds after the boil makes a bound")
	}
	r.Marks[potOff] = quantity.Given(443 * time.Second)
	got := Reduce(r, s)
	bounded(t, got, AtMost, withSteam...)
	bounded(t, got, Exact, EtaWater, EtaWaterPot)
	r.Faults = []burn.Fault{{Kind: burn.BoilOver}}
	got = Reduce(r, s)
	figures(t, "boil-over", got, []Metric{EtaWater, FuelToBoil, RefTime}, withSteam)
	if !finding.Has(got.Findings, "steam_unknown") {
		t.Error(got.Findings)
	}
}

func TestInvalidKeepsWholeBurn(t *testing.T) {
	r, s := exampleA()
	r.Faults = fault(burn.LidChanged, 100)
	got := Reduce(r, s)
	figures(t, "fault before the boil", got, []Metric{BurnTime, MeanPower, FuelTotal}, []Metric{BoilTime, RefTime, EtaWater, FuelToBoil, RefFuel, HeatWater})
	if got.Outcome.Boil != 0 {
		t.Errorf("an invalid burn has a boil at %v", got.Outcome.Boil)
	}
	r, s = exampleA()
	r.Marks[boil] = quantity.Given(20 * time.Second)
	got = Reduce(r, s)
	figures(t, "disorder", got, []Metric{FuelTotal, HeatingValue}, []Metric{BurnTime, MeanPower, BoilTime, EtaWater})
	for _, code := range []string{"mark_order", "marks_impossible"} {
		if !finding.Has(got.Findings, code) {
			t.Errorf("no %s in %v", code, got.Findings)
		}
	}
	if finding.Has(got.Findings, "outcome_unknown") || finding.Has(got.Findings, "outside_correction_range") {
		t.Error(got.Findings)
	}
}

func TestFuelUnknown(t *testing.T) {
	r, s := exampleA()
	s.Batch = gear.FuelBatch{}
	got := Reduce(r, s)
	figures(t, "no fuel named", got,
		[]Metric{FuelToBoil, FuelTotal, FuelPrime, FuelPerWater, BurnRate, RefFuelBatch, RefTime, HeatWater},
		[]Metric{HeatingValue, EnergyIn, EtaWater, RefFuel, RefFuelVolume, MeanPower, HeatingPower, EnergyPerWater})
	if !finding.Has(got.Findings, "fuel_unknown") {
		t.Error(got.Findings)
	}
	r.Marks[boil] = quantity.Given(540 * time.Second)
	within(t, "all of it, g", value(t, Reduce(r, s), FuelToBoil)*1e3, 15.2, 1e-9)
	s.Batch = gear.FuelBatch{Name: "water", Components: []gear.Component{{Substance: fuel.Water, Low: quantity.Given(quantity.Strength{Basis: quantity.ByMass, Value: 1})}}}
	got = Reduce(r, s)
	figures(t, "water", got, []Metric{FuelTotal}, []Metric{HeatingValue, EtaWater})
	if !finding.Has(got.Findings, "fuel_without_heat") {
		t.Error(got.Findings)
	}
}
