package reduce

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/matter/fuel"
	"fairburn/matter/water"
	"fairburn/quantity"
	"fairburn/uncertainty"
)

// made is a burn of a burner whose useful power and heat loss are constant and
// known: an oracle for the correction, by another route.
type made struct {
	power, loss, air  float64 // W, W/K, °C
	start, boil       float64 // °C
	water, pot, prime float64 // g, J/K, s before pot-on
}

func drawMade(t *rapid.T) made {
	return made{
		power: rapid.Float64Range(250, 900).Draw(t, "power"), loss: rapid.OneOf(rapid.Just(0.), rapid.Float64Range(0.01, 1.5)).Draw(t, "loss"),
		air: rapid.Float64Range(-5, 35).Draw(t, "air"), start: rapid.Float64Range(5, 30).Draw(t, "start"),
		boil: rapid.Float64Range(94, 100.5).Draw(t, "boil"), water: rapid.Float64Range(420, 580).Draw(t, "water"),
		pot: rapid.Float64Range(30, 200).Draw(t, "pot"), prime: rapid.Float64Range(0, 90).Draw(t, "prime"),
	}
}

// seconds is the closed form written out by itself, J/K and °C.
func (m made) seconds(capacity, from, to float64) float64 {
	if m.loss == 0 {
		return capacity * (to - from) / m.power
	}
	return capacity / m.loss * math.Log((m.power-m.loss*(from-m.air))/(m.power-m.loss*(to-m.air)))
}

// capacity is that of water and pot over a rise.
func (m made) capacity(t require, grams, from, to float64, p quantity.Pressure) float64 {
	low, errLow := water.Enthalpy(quantity.Celsius(from), p)
	high, errHigh := water.Enthalpy(quantity.Celsius(to), p)
	if errLow != nil || errHigh != nil {
		t.Fatalf("%v %v", errLow, errHigh)
	}
	return grams*1e-3*float64(high-low)/(to-from) + m.pot
}

type require interface{ Fatalf(string, ...any) }

func (m made) burn(t require) (r burn.Record, s Setup, reference float64) {
	p, err := pressureAt(m.boil)
	if err != nil {
		t.Fatalf("%v", err)
	}
	s = setupFor(float64(p)/100, fuel.Ethanol, 0.96)
	s.Pot = potOf(m.pot)
	s.Pot.Loss = quantity.Given(quantity.Conductance(m.loss))
	s.Site.Air = quantity.Given(quantity.Celsius(m.air))
	heat := m.seconds(m.capacity(t, m.water, m.start, m.boil, p), m.start, m.boil)
	r = burn.Record{
		ID: "1", Entry: "made",
		Marks: marks(times{potOn: m.prime, boil: m.prime + heat, out: m.prime + heat + 60}),
		Water: burn.Water{Mass: grams(m.water, 0.1), Start: celsius(m.start, 0.1)},
		Fuel:  burn.Fuel{Weighed: burn.BurnerAndFuel, Poured: grams(60, 0.1), AtBoil: grams(45, 0.1), Left: grams(40, 0.1)},
	}
	return r, s, m.prime + m.seconds(m.capacity(t, 500, 20, 100, quantity.StandardAtmosphere), 20, 100)
}

// The corrected time is what the same burner would have taken.
func TestCorrectionIsTheBurnAtReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMade(t)
		r, s, reference := m.burn(t)
		got := Reduce(r, s)
		f, ok := got.Figure(RefTime)
		if !ok || math.Abs(f.Value/reference-1) > 1e-6 {
			t.Fatalf("%+v: reference time %.4f s, by the burner's own power %.4f s", m, f.Value, reference)
		}
		k, _ := got.Figure(Correction)
		back := (f.Value-m.prime)/k.Value + m.prime
		if raw, _ := got.Figure(BoilTime); math.Abs(back/raw.Value-1) > 1e-9 {
			t.Fatalf("raw %g, corrected back %g", raw.Value, back)
		}
	})
}

// A burn that stood at reference conditions is left as it is.
func TestReferenceIsItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMade(t)
		m.start, m.boil, m.water = 20, 100, 500
		r, s, _ := m.burn(t)
		got := Reduce(r, s)
		raw, _ := got.Figure(BoilTime)
		if f, _ := got.Figure(RefTime); math.Abs(f.Value/raw.Value-1) > 2e-5 { // enthalpies at two pressures
			t.Fatalf("%+v: raw %g s, corrected %g s", m, raw.Value, f.Value)
		}
	})
}

// K grows with the start temperature; without loss it is the plain ratio of
// heats; from a cold start a lossier pot has the larger K.
func TestCorrectionOrder(t *testing.T) {
	k := func(t *rapid.T, m made) float64 {
		r, s, _ := m.burn(t)
		r.Marks = marks(times{potOn: 45, boil: 445, out: 520}) // the same times whatever the power
		got := Reduce(r, s)
		f, ok := got.Figure(Correction)
		if !ok {
			t.Fatalf("no correction: %v", got.Findings)
		}
		return f.Value
	}
	rapid.Check(t, func(t *rapid.T) {
		m := drawMade(t)
		warmer := m
		warmer.start += 0.5
		if cold, warm := k(t, m), k(t, warmer); warm <= cold {
			t.Fatalf("%+v: K %g, half a kelvin warmer %g", m, cold, warm)
		}
		m.loss = 0
		p, _ := pressureAt(m.boil)
		plain := m.capacity(t, 500, 20, 100, quantity.StandardAtmosphere) * 80 / (m.capacity(t, m.water, m.start, m.boil, p) * (m.boil - m.start))
		if got := k(t, m); math.Abs(got/plain-1) > 1e-9 {
			t.Fatalf("%+v: K %g, plain ratio %g", m, got, plain)
		}
		m.start, m.boil = rapid.Float64Range(5, 19).Draw(t, "cold"), 100
		lossy, lossier := m, m
		lossy.loss, lossier.loss = 0.5, 1.0
		if a, b, c := k(t, m), k(t, lossy), k(t, lossier); !(a < b && b < c) {
			t.Fatalf("%+v: K %g, %g, %g for 0, 0.5, 1 W/K", m, a, b, c)
		}
	})
}

// Without air temperature: the plain ratio, and a wider uncertainty.
func TestNoAirTemperature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMade(t)
		r, s, _ := m.burn(t)
		s.Rules.Loss, s.Pot.Loss.Given = 1, false
		s.Site.Air.Given = false
		p, _ := pressureAt(m.boil)
		plain := m.capacity(t, 500, 20, 100, quantity.StandardAtmosphere) * 80 / (m.capacity(t, m.water, m.start, m.boil, p) * (m.boil - m.start))
		got := Reduce(r, s)
		f, _ := got.Figure(Correction)
		if math.Abs(f.Value/plain-1) > 1e-9 {
			t.Fatalf("%+v: K %g, plain ratio %g", m, f.Value, plain)
		}
		s.Rules.Loss = 0
		if without := Reduce(r, s); without.figures[Correction].U > f.U {
			t.Fatalf("%+v: u of K %g with a usual loss, %g without", m, f.U, without.figures[Correction].U)
		}
	})
}

// What a burn is written in changes nothing.
func TestUnitsCancel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, s := exampleA()
		s.Pot = potOf(145.3)
		g := func(label string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, label) }
		water, start, hPa := g("water", 420, 580), g("start", 5, 30), g("hPa", 850, 1030)
		poured, boil, left := g("poured", 60, 70), g("boil", 48, 52), g("left", 40, 45)
		one, other := r, r
		one.Water, other.Water = burn.Water{Mass: grams(water, 0)}, burn.Water{}
		one.Water.Start = celsius(start, 0)
		other.Water.Mass = read1(t, quantity.ParseMass, "%.12f oz", water*1e-3/float64(quantity.Ounce))
		other.Water.Start = read1(t, quantity.ParseTemperature, "%.12f °F", start*1.8+32)
		one.Site.Station = quantity.Given(quantity.Pressure(hPa * 100))
		other.Site.Station = read1(t, quantity.ParsePressure, "%.12f inHg", hPa*100/float64(quantity.InchOfMercury))
		one.Fuel, other.Fuel = burn.Fuel{Weighed: burn.BurnerAndFuel}, burn.Fuel{Weighed: burn.BurnerAndFuel}
		one.Fuel.Poured, one.Fuel.AtBoil, one.Fuel.Left = grams(poured, 0), grams(boil, 0), grams(left, 0)
		lb := func(g float64) quantity.Reading[quantity.Mass] {
			return read1(t, quantity.ParseMass, "%.12f lb", g*1e-3/float64(quantity.Pound))
		}
		other.Fuel.Poured, other.Fuel.AtBoil, other.Fuel.Left = lb(poured), lb(boil), lb(left)
		a, b := Reduce(one, s), Reduce(other, s)
		for _, m := range Metrics() {
			x, okX := a.Figure(m)
			y, okY := b.Figure(m)
			if okX != okY || okX && (math.Abs(x.Value/y.Value-1) > 1e-8 || math.Abs(x.U-y.U) > 1e-4*x.U) {
				t.Fatalf("%s: %g ± %g in metric, %g ± %g in US units", m.Info().Key, x.Value, x.U, y.Value, y.U)
			}
		}
	})
}

func read1[T any](t require, parse func(string) (quantity.Reading[T], error), format string, x float64) quantity.Reading[T] {
	r, err := parse(fmt.Sprintf(format, x))
	if err != nil {
		t.Fatalf("%v", err)
	}
	r.Step = 0 // the digits of the test are no display
	return r
}

// More water, less fuel or a colder start never lower the efficiency.
func TestEfficiencyOrder(t *testing.T) {
	eta := func(t *rapid.T, m made, boiled float64) float64 {
		r, s, _ := m.burn(t)
		r.Fuel.AtBoil = grams(boiled, 0.1)
		got := Reduce(r, s)
		f, ok := got.Figure(EtaWater)
		if !ok {
			t.Fatalf("no efficiency: %v", got.Findings)
		}
		return f.Value
	}
	rapid.Check(t, func(t *rapid.T) {
		m := drawMade(t)
		colder, more := m, m
		colder.start--
		more.water += 10
		e := eta(t, m, 45)
		if eta(t, colder, 45) <= e || eta(t, more, 45) <= e || eta(t, m, 46) <= e {
			t.Fatalf("%+v: efficiency %g, colder %g, more water %g, less fuel %g", m, e, eta(t, colder, 45), eta(t, more, 45), eta(t, m, 46))
		}
	})
}

// The same burn gives the same result, findings in the same order, prepared or
// not, and Reduce leaves its arguments alone.
func TestSameAgain(t *testing.T) {
	r, s := full()
	r.Marks[burn.Bloom], r.Marks[burn.NotBoiling] = quantity.Given(600*time.Second), quantity.Given(500*time.Second)
	r.Water.Start = celsius(120, 0.1)
	before := fmt.Sprint(r)
	first := Reduce(r, s)
	for range 20 {
		for _, again := range []Result{Reduce(r, s), Reduce(r, s.Prepared())} {
			if diff := cmp.Diff(first.Findings, again.Findings); diff != "" {
				t.Fatal(diff)
			}
			for _, m := range Metrics() {
				if a, b := first.figures[m], again.figures[m]; a != b && !(math.IsNaN(a.Value) && math.IsNaN(b.Value)) {
					t.Fatalf("%s: %+v, then %+v", m.Info().Key, a, b)
				}
			}
		}
	}
	if after := fmt.Sprint(r); before != after {
		t.Errorf("the burn was changed:\n%s\n%s", before, after)
	}
}

// Two burns of one entry differ by nothing that their bottle, scales and probe
// share; of two entries with proration, each brings its own.
func TestSharedCancels(t *testing.T) {
	r, s := exampleA()
	again, other := r, r
	again.ID, other.ID, other.Entry = "2", "3", "B"
	budget := func(r burn.Record, m Metric) uncertainty.Budget {
		got := Reduce(r, s)
		b, ok := got.Budget(m)
		if !ok {
			t.Fatal(got.Findings)
		}
		return b
	}
	for _, m := range []Metric{EtaWater, RefTime, FuelToBoil} {
		if v := uncertainty.DifferenceVariance(budget(r, m), budget(again, m)); v != 0 {
			t.Errorf("%s: two equal burns differ by a shared variance of %g", m.Info().Key, v)
		}
	}
	r.Fuel.AtBoil, again.Fuel.AtBoil, other.Fuel.AtBoil = none, none, none
	if v := uncertainty.DifferenceVariance(budget(r, FuelToBoil), budget(again, FuelToBoil)); v != 0 {
		t.Errorf("proration does not cancel inside an entry: %g", v)
	}
	own := budget(r, FuelToBoil).Shared()["fuel to boil only prorated: A"]
	within(t, "proration between entries", uncertainty.DifferenceVariance(budget(r, FuelToBoil), budget(other, FuelToBoil)), 2*own*own, 1e-18)
}

// Weather on an elevation alone is one error for the burns of a block, or of a
// date where there are no blocks, and another for the next; the heat loss that a
// pot is taken to have is another with another lid.
func TestWeatherOfADay(t *testing.T) {
	shared := func(m Metric, change func(*burn.Record, *Setup)) uncertainty.Budget {
		r, s := exampleA()
		s.Site.Station, s.Site.Elevation = quantity.Reading[quantity.Pressure]{}, quantity.Given(4000*quantity.Metre)
		s.Rules.Loss, s.Rules.LossHalf = 1, 0.5
		s.Pot = potOf(120)
		change(&r, &s)
		got := Reduce(r, s)
		b, ok := got.Budget(m)
		if !ok || !slices.ContainsFunc(got.Findings, func(f finding.Finding) bool {
			return strings.Contains(f.Sentence, "up to 30 hPa and the boiling point by 1.3 °C") // 0.0418 K/hPa at 616 hPa
		}) {
			t.Fatal(got.Findings)
		}
		return b
	}
	plain := shared(BoilingPoint, func(*burn.Record, *Setup) {})
	within(t, "u of the boiling point, K", plain.U, 30*0.0418/math.Sqrt(3), 0.002)
	one := shared(BoilingPoint, func(r *burn.Record, _ *Setup) { r.Block = "1" })
	dated := shared(BoilingPoint, func(r *burn.Record, _ *Setup) { r.Block, r.Date = "1", "3 Oct" })
	two := shared(BoilingPoint, func(r *burn.Record, _ *Setup) { r.Block, r.Date = "2", "3 Oct" })
	loose := shared(BoilingPoint, func(r *burn.Record, _ *Setup) { r.Date = "3 Oct" })
	for _, c := range []struct {
		name string
		a, b uncertainty.Budget
		want float64 // variances of one burn
	}{{"no day named", plain, plain, 0}, {"one block", one, dated, 0}, {"two blocks", one, two, 2}, {"a block and a date alone", dated, loose, 2}} {
		within(t, c.name, uncertainty.DifferenceVariance(c.a, c.b)/(plain.U*plain.U), c.want, 1e-9)
	}
	bare := shared(RefTime, func(*burn.Record, *Setup) {})
	lid := shared(RefTime, func(_ *burn.Record, s *Setup) {
		s.Lid = gear.Lid{Name: "lid", Material: "aluminium", Mass: grams(20, 0.1)}
	})
	if v := uncertainty.DifferenceVariance(bare, lid); !(v > 0) {
		t.Error("heat loss with a lid cancels against heat loss without")
	}
}

// Fuel before pot-on and to the boil share the reading at light, so the fuel
// between them rests on two readings, not four, and on the scale's linearity
// as any weighed difference does.
func TestStagesAreReadOnce(t *testing.T) {
	r, s := exampleA()
	got := Reduce(r, s)
	b, _ := got.Budget(BurnRate)
	var square float64
	for _, row := range b.Rows() {
		switch row.Name {
		case "fuel at light":
			within(t, row.Name, row.Contribution/b.Value, 0, 1e-9)
		case "linearity of the scale, fuel":
			near(t, row.Name, row.Contribution, 0.1e-3/math.Sqrt(3)/387, 1e-6)
		case "fuel at pot-on", "fuel at the boil":
			square += row.Contribution * row.Contribution
		}
	}
	near(t, "two readings", math.Sqrt(square), 0.1e-3/math.Sqrt(6)/387, 1e-6)
	// A dose weighed into a burner that ran dry is the reading at light too.
	for _, f := range []burn.Fuel{{Poured: grams(16, 0.1)}, {DoseMass: grams(16, 0.1)}} {
		f.Weighed, f.AtPotOn, f.LeftNothing = burn.FuelOnly, grams(15, 0.1), true
		r.Fuel = f
		total, prime := budgetOf(t, Reduce(r, s), FuelTotal), budgetOf(t, Reduce(r, s), FuelPrime)
		for i := range total.Inputs {
			if a, b := total.Sensitivities[i], prime.Sensitivities[i]; math.Abs(a-1) < 1e-6 && total.Inputs[i].Shape != uncertainty.ShapeRectangular && math.Abs(b-1) > 1e-9 {
				t.Errorf("%s weighs in the total and not before pot-on", total.Inputs[i].Name)
			}
		}
	}
}

func budgetOf(t *testing.T, r Result, m Metric) uncertainty.Budget {
	t.Helper()
	b, ok := r.Budget(m)
	if !ok {
		t.Fatal(r.Findings)
	}
	return b
}

// Half-widths that a person wrote lead or add, and are not lost.
func TestWrittenHalfWidths(t *testing.T) {
	contribution := func(m Metric, input string, change func(*burn.Record, *Setup)) float64 {
		r, s := exampleA()
		change(&r, &s)
		got := Reduce(r, s)
		b, _ := got.Budget(m)
		for _, row := range b.Rows() {
			if row.Name == input {
				return math.Abs(row.U)
			}
		}
		t.Fatalf("%s has no input %q", m.Info().Key, input)
		return 0
	}
	root3 := math.Sqrt(3)
	for _, c := range []struct {
		metric Metric
		input  string
		change func(*burn.Record, *Setup)
		want   float64
	}{
		{EtaWater, "start temperature", func(r *burn.Record, _ *Setup) { r.Water.Start.Tolerance = 2 }, math.Sqrt(0.01/12 + 0.09/3 + 4./3)},
		{EtaWater, "water mass", func(r *burn.Record, _ *Setup) { r.Water.Mass.Tolerance = 5e-3 }, math.Sqrt(0.01e-6/6 + 25e-6/3)},
		{EtaWater, "fuel at the boil", func(r *burn.Record, _ *Setup) { r.Fuel.AtBoil.Tolerance = 1e-3 }, math.Sqrt(0.01e-6/12 + 1e-6/3)},
		{EtaWater, "station pressure", func(_ *burn.Record, s *Setup) { s.Site.Station.Tolerance = 50 }, 50 / root3},
		{RefTime, "boil mark", func(r *burn.Record, _ *Setup) {
			r.Marks[burn.Boil] = quantity.Reading[time.Duration]{Value: 432 * time.Second, Tolerance: 0.5, Given: true}
		}, 0.5 / root3},
		{RefTime, "air temperature", func(_ *burn.Record, s *Setup) { s.Site.Air.Tolerance = 3 }, 3 / root3},
		{RefTime, "heat loss of the pot", func(_ *burn.Record, s *Setup) {
			s.Pot.Loss = quantity.Reading[quantity.Conductance]{Value: 0.9, Tolerance: 0.2, Given: true}
		}, 0.2 / root3},
	} {
		near(t, c.input, contribution(c.metric, c.input, c.change), c.want, 1e-9)
	}
}
