package reduce

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fairburn/burn"
	"fairburn/matter/fuel"
	"fairburn/matter/water"
	"fairburn/quantity"
)

// bath is a pot of water as a body whose water takes heat by its own specific
// heat at every temperature: the heating that the closed form stands for with
// one mean capacity.
type bath struct {
	water, pot, loss, air float64 // kg, J/K, W/K, °C
	pressure              quantity.Pressure
}

// seconds integrates dt = [m c_p(T) + C] dT/[P − U(T − T_a)] by Simpson's rule.
func (b bath) seconds(t require, power, from, to float64) float64 {
	const n = 64
	step, sum := (to-from)/n, 0.0
	for i := range n + 1 {
		at := from + float64(i)*step
		c, err := water.SpecificHeat(quantity.Celsius(at), b.pressure)
		if err != nil {
			t.Fatalf("%v", err)
		}
		weight := 2 + 2*float64(i%2)
		if i == 0 || i == n {
			weight = 1
		}
		sum += weight * (b.water*float64(c) + b.pot) / (power - b.loss*(at-b.air))
	}
	return sum * step / 3
}

// The correction against the heating equation integrated by number: boil time
// and fuel of a burner of known useful power are carried to what it would have
// taken at reference. The mean capacity is worth 0.05 % of K where rises are
// within the range of the correction and the pot loses up to 2 W/K.
func TestCorrectionAgainstHeatingEquation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMade(t)
		m.loss = rapid.Float64Range(0, 2).Draw(t, "loss, W/K")
		p, err := pressureAt(m.boil)
		if err != nil {
			t.Fatalf("%v", err)
		}
		own := bath{m.water * 1e-3, m.pot, m.loss, m.air, p}
		ref := bath{0.5, m.pot, m.loss, m.air, quantity.StandardAtmosphere}
		heat := own.seconds(t, m.power, m.start, m.boil)
		k := ref.seconds(t, m.power, 20, 100) / heat
		r, s, _ := m.burn(t)
		r.Marks = marks(times{potOn: m.prime, boil: m.prime + heat, out: m.prime + heat + 60})
		r.Fuel.AtPotOn = grams(58.5, 0.1) // 1.5 g before pot-on, 15 g to the boil
		got := Reduce(r, s)
		for metric, want := range map[Metric]float64{
			Correction: k, RefTime: m.prime + heat*k, RefFuelBatch: 1.5e-3 + 13.5e-3*k,
		} {
			if f, ok := got.Figure(metric); !ok || math.Abs(f.Value/want-1) > 5e-4 {
				t.Fatalf("%+v: %s = %g, integrated %g", m, metric.Info().Key, f.Value, want)
			}
		}
		// The heat that the water took up is the same by both routes.
		if f, _ := got.Figure(HeatWater); math.Abs(f.Value/(own.water*float64(rise(t, m.start, m.boil, p)))-1) > 1e-9 {
			t.Fatalf("%+v: heat in the water %g J", m, f.Value)
		}
	})
}

func rise(t require, from, to float64, p quantity.Pressure) quantity.SpecificEnergy {
	low, errLow := water.Enthalpy(quantity.Celsius(from), p)
	high, errHigh := water.Enthalpy(quantity.Celsius(to), p)
	if errLow != nil || errHigh != nil {
		t.Fatalf("%v %v", errLow, errHigh)
	}
	return high - low
}

// Energy in is energy out: what the fuel held is what water, pot and steam took
// and what the efficiency says was lost; powers over their times give the same
// energies back.
func TestEnergyBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMade(t)
		r, s, _ := m.burn(t)
		r.Marks = marks(times{potOn: m.prime, boil: m.prime + 400, out: m.prime + 460})
		steam := rapid.Float64Range(1, 20).Draw(t, "steam, g")
		r.Water.End = grams(m.water-steam, 0.1)
		r.Fuel.AtPotOn, r.Fuel.AtBoil, r.Fuel.Left = grams(58.5, 0.1), grams(35, 0.1), grams(33, 0.1)
		got := Reduce(r, s)
		v := func(m Metric) float64 { return got.figures[m].Value }
		latent, err := water.LatentHeat(quantity.Celsius(m.boil))
		if err != nil {
			t.Fatalf("%v", err)
		}
		same := func(what string, a, b float64) {
			if !(math.Abs(a-b) <= 1e-9*math.Abs(b)) {
				t.Fatalf("%+v: %s: %g J, %g J", m, what, a, b)
			}
		}
		same("heat in all", v(EtaAll)*v(EnergyIn), v(HeatWater)+v(HeatPot)+v(HeatSteam))
		same("water and steam", v(EtaWaterEvap)*v(EnergyIn), v(HeatWater)+v(HeatSteam))
		same("water and pot", v(EtaWaterPot)*v(EnergyIn), v(HeatWater)+v(HeatPot))
		same("steam at the boiling point", v(HeatSteam), steam*1e-3*float64(latent))
		same("power while heating, and before pot-on", v(HeatingPower)*v(HeatTime)+v(FuelPrime)*v(HeatingValue), v(EnergyIn))
		same("mean power over the burn", v(MeanPower)*v(BurnTime), v(FuelTotal)*v(HeatingValue))
		same("burn rate", v(BurnRate)*v(HeatTime)+v(FuelPrime), v(FuelToBoil))
		same("cooking power", v(CookingPower)*v(HeatTime), v(HeatWater)+v(HeatSteam))
		same("energy for a kilogram", v(EnergyPerWater)*m.water*1e-3, v(EnergyIn))
		same("as ethanol", v(RefFuel)*float64(fuel.Ethanol.LHV()), v(RefFuelBatch)*v(HeatingValue))
	})
}

// bruteBurn is a burn on a scale under the burner with nothing but plain
// numbers: readings as they were, in g, °C, s, hPa, W/K, J/K, MJ/kg.
type bruteBurn struct {
	water, start, hPa, air, loss, pot, lhv      float64
	light, atPotOn, atBoil, left                float64
	potOn, boil, out                            float64
	call, tables, lateBoil, linearity, wideness float64
}

// figures works the burn out by the definitions, without model or inputs: time
// is the closed form, solved for the useful power by bisection.
func (b bruteBurn) figures(t require) map[Metric]float64 {
	p := quantity.Pressure(b.hPa * 100)
	tb, err := water.SaturationTemperature(p)
	if err != nil {
		t.Fatalf("%v", err)
	}
	end, boil := tb.Celsius()+b.call, b.boil+b.lateBoil
	kilos, heat := (b.water+b.wideness)*1e-3, boil-b.potOn
	warmed := kilos * float64(rise(t, b.start, end, p))
	seconds := func(power, capacity, from, to float64) float64 {
		return capacity / b.loss * math.Log((power-b.loss*(from-b.air))/(power-b.loss*(to-b.air)))
	}
	capacity := warmed/(end-b.start) + b.pot
	low, high := b.loss*(end-b.air)*(1+1e-9)+1e-9, 1e4
	for range 60 {
		if mid := (low + high) / 2; seconds(mid, capacity, b.start, end) > heat {
			low = mid
		} else {
			high = mid
		}
	}
	reference := 0.5*float64(rise(t, 20, 100, quantity.StandardAtmosphere))/80 + b.pot
	k := seconds(low, reference, 20, 100) / heat
	rate := (b.light - b.atBoil - (b.light - b.atPotOn)) / (b.boil - b.potOn)
	burned := b.light - b.atBoil + b.linearity + rate*b.lateBoil
	prime := b.light - b.atPotOn
	energy := burned * b.lhv * 1e3 // J
	warmed *= 1 + b.tables
	return map[Metric]float64{
		Correction: k, RefTime: b.potOn + heat*k, FuelToBoil: burned * 1e-3, EtaWater: warmed / energy,
		EtaWaterPot:  (warmed + b.pot*(end-b.start)) / energy,
		RefFuel:      (prime + (burned-prime)*k) * 1e-3 * b.lhv * 1e6 / float64(fuel.Ethanol.LHV()),
		HeatingPower: (burned - prime) * b.lhv * 1e3 / heat,
		MeanPower:    (b.light - b.left + b.linearity) * b.lhv * 1e3 / b.out,
		BoilingPoint: tb.Celsius(),
	}
}

// The budget against brute force: readings, instruments and rules of 20 random
// burns are disturbed in plain numbers, each by the half-width that it is
// stated with, and worked out anew. The scatter must be the budget's u.
func TestBudgetAgainstBruteForce(t *testing.T) {
	const draws = 5000 // the scatter is then known to 1 %
	rng := rand.New(rand.NewPCG(7, 0))
	within := func(half float64) float64 { return half * (2*rng.Float64() - 1) }
	between := func(low, high float64) float64 { return low + (high-low)*rng.Float64() }
	for i := range 20 {
		b := bruteBurn{
			water: between(420, 580), start: between(5, 30), hPa: between(830, 1030), air: between(-5, 30),
			loss: between(0.3, 1.5), light: 60, atPotOn: 60 - between(0.3, 2), potOn: between(15, 90),
		}
		b.boil = b.potOn + between(240, 700)
		b.atBoil = 60 - between(10, 20)
		b.out, b.left = b.boil+between(5, 60), b.atBoil-between(0, 3)
		potMass, share := between(60, 250), between(0.90, 0.97)
		r, s := b.record(potMass, share)
		got := Reduce(r, s)
		lhv, okLHV := got.Figure(HeatingValue)
		setup := s.Prepared()
		b.lhv, b.pot = lhv.Value/1e6, setup.looked.pot.capacity
		if !okLHV {
			t.Fatal(got.Findings)
		}
		sum, square := map[Metric]float64{}, map[Metric]float64{}
		for metric, v := range b.figures(t) {
			if f, ok := got.Figure(metric); !ok || math.Abs(f.Value/v-1) > 1e-6 {
				t.Errorf("burn %d: %s = %g, by hand %g", i, metric.Info().Key, f.Value, v)
			}
		}
		for range draws {
			d := b
			for _, mass := range []*float64{&d.light, &d.atPotOn, &d.atBoil, &d.left} {
				*mass += within(0.05)
			}
			d.water += within(0.05) + within(0.05) // full less empty
			d.wideness, d.linearity = within(0.5), within(0.1)
			d.start += within(0.05) + within(0.3) + within(0.5)
			d.hPa += within(2)
			d.air += within(0.5)
			d.loss = b.loss + within(0.2)
			d.pot *= 1 + 0.02*rng.NormFloat64()
			d.lhv += lhv.U / 1e6 * rng.NormFloat64()
			d.potOn += within(1)
			d.out += within(1)
			d.call, d.lateBoil, d.tables = within(0.5), within(3), within(5.0/4188)
			for metric, v := range d.figures(t) {
				v -= got.figures[metric].Value
				sum[metric] += v
				square[metric] += v * v
			}
		}
		for metric := range sum {
			mean := sum[metric] / draws
			sd := math.Sqrt(square[metric]/draws - mean*mean)
			if u := got.figures[metric].U; math.Abs(u/sd-1) > 0.03 {
				t.Errorf("burn %d: %s has u %.4g, brute force %.4g (%+.1f %%)", i, metric.Info().Key, u, sd, 100*(u/sd-1))
			}
		}
	}
}

// record is the burn as a bench writes it down.
func (b bruteBurn) record(potMass, share float64) (burn.Record, Setup) {
	s := setupFor(b.hPa, fuel.Ethanol, share)
	s.Pot = potOf(145.3)
	s.Pot.Mass = grams(potMass, 0.1)
	s.Pot.Loss = quantity.Reading[quantity.Conductance]{Value: quantity.Conductance(b.loss), Tolerance: 0.2, Given: true}
	s.Site.Air = quantity.Given(quantity.Celsius(b.air))
	at := func(seconds float64) quantity.Reading[time.Duration] {
		return quantity.Given(time.Duration(seconds * float64(time.Second)))
	}
	return burn.Record{
		ID: fmt.Sprint(b.boil), Entry: "made",
		Marks: map[burn.Mark]quantity.Reading[time.Duration]{burn.PotOn: at(b.potOn), burn.Boil: at(b.boil), burn.Out: at(b.out)},
		Water: burn.Water{Mass: grams(b.water, 0.1), Start: celsius(b.start, 0.1)},
		Fuel: burn.Fuel{
			Weighed: burn.BurnerAndFuel, Poured: grams(b.light, 0.1),
			AtPotOn: grams(b.atPotOn, 0.1), AtBoil: grams(b.atBoil, 0.1), Left: grams(b.left, 0.1),
		},
	}, s
}
