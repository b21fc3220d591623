package reduce

import (
	"math"
	"time"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/uncertainty"
)

// slot is the place of an input in the model's arguments; the zero slot is an
// input that this burn does not have.
type slot int

// of returns the input's value, or what stands for a missing one.
func (s slot) of(x []float64, missing float64) float64 {
	if s == 0 {
		return missing
	}
	return x[s-1]
}

// inputs are the arguments of the model of one burn. A quantity and each
// further cause of its error are inputs of their own (errors have value 0, or
// 1 where they multiply), so that what two burns share can be told apart.
type inputs struct {
	list []uncertainty.Input

	water, waterScale, waterMeasure, waterEnd slot
	start, probe, peak, boiling               slot
	pressure, boilCall, boilMark              slot
	tables, heatingValue, density             slot
	pot, loss, air, noAir                     slot
	total, boil, prime, fuelScale             slot
	noPrime, prorated, extrapolated           slot
	potOn, end, bloom                         slot
	simmerFuel                                slot
}

func (in *inputs) add(i uncertainty.Input) slot {
	in.list = append(in.list, i)
	return slot(len(in.list))
}

// gather turns the readings of a burn into inputs with their uncertainties.
func gather(b *bench) *inputs {
	in := &inputs{list: make([]uncertainty.Input, 0, 28)}
	in.addWater(b)
	in.addTemperatures(b)
	in.addFuel(b)
	in.addTimes(b)
	in.addSurroundings(b)
	return in
}

// Linearity of a scale and class of a thermometer whose limits nobody wrote
// down (common practice, no source).
const (
	unknownLinearity = 2.5 // display steps
	unknownLimit     = 1.0 // K
	unknownMeasure   = 0.05
	pourScale        = 1e-4 // kg, step of a scale whose readings show none
)

// addScale adds the error of linearity that all readings of one scale for one
// use share, and returns the display step that holds for the reading.
func (in *inputs) addScale(b *bench, instrument string, use gear.Use, read float64) (slot, float64) {
	scale, ok := gear.Pick(b.setup.Tools.Scales, instrument, use)
	step := read
	if ok && scale.Step.Given {
		step = float64(scale.Step.Value)
	}
	if step <= 0 {
		step = pourScale
	}
	linearity := unknownLinearity * step
	if ok && scale.Linearity.Given {
		linearity = float64(scale.Linearity.Value)
	}
	key := "scale: " + named(scale.Name) + ", " + string(use)
	return in.add(uncertainty.Rectangular("linearity of the scale, "+string(use), 0, linearity).Via(key)), step
}

func (in *inputs) addWater(b *bench) {
	w := b.burn.Water
	switch {
	case w.Mass.Given:
		scale, step := in.addScale(b, w.Mass.Instrument, gear.ForWater, w.Mass.Step)
		in.waterScale = scale
		in.water = in.add(uncertainty.ResolutionOfDifference("water mass", b.water, step))
		if b.steamKnown {
			in.waterEnd = in.add(uncertainty.ResolutionOfDifference("water left", float64(w.End.Value), step))
		}
	case b.water > 0:
		tolerance, key := in.measure(b, w.Volume.Instrument, gear.ForWater)
		in.waterMeasure = in.add(uncertainty.Rectangular("measure of the water", 1, tolerance).Via(key))
		in.water = in.add(uncertainty.Resolution("water volume", b.water, b.water*w.Volume.Step/float64(w.Volume.Value)))
	}
	in.tables = in.add(uncertainty.Rectangular("specific heat of water", 0, 5.0/4188).Via("water tables"))
}

// measure returns the tolerance of the vessel that was poured with.
func (in *inputs) measure(b *bench, instrument string, use gear.Use) (float64, string) {
	m, ok := gear.Pick(b.setup.Tools.Measures, instrument, use)
	if ok && m.Tolerance.Given {
		return float64(m.Tolerance.Value), "measure: " + m.Name
	}
	return unknownMeasure, "measure: " + named(m.Name)
}

func (in *inputs) addTemperatures(b *bench) {
	w := b.burn.Water
	probe, ok := gear.Pick(b.setup.Tools.Thermometers, w.Start.Instrument, gear.ForWater)
	step := func(r quantity.Reading[quantity.Temperature]) float64 {
		if ok && probe.Step.Given {
			return float64(probe.Step.Value)
		}
		return r.Step
	}
	limit := unknownLimit
	if ok && probe.Limit.Given {
		limit = float64(probe.Limit.Value)
	}
	read := func(name string, r quantity.Reading[quantity.Temperature], half float64) slot {
		u := math.Hypot(step(r)/math.Sqrt(12), half/math.Sqrt(3))
		return in.add(uncertainty.Normal(name, r.Value.Celsius(), u))
	}
	if w.Start.Given || b.heated() {
		in.probe = in.add(uncertainty.Rectangular("thermometer", 0, limit).Via("thermometer: " + named(probe.Name)))
	}
	if w.Start.Given {
		in.start = read("start temperature", w.Start, float64(b.setup.Rules.Stratification))
	}
	if b.outcome.status.HasBoil() {
		in.boilCall = in.add(uncertainty.Rectangular("temperature at which the boil is called", 0, float64(b.setup.Rules.BoilCall)))
	}
	switch {
	case b.pressure.known:
		in.pressure = in.add(uncertainty.Rectangular("station pressure", float64(b.pressure.value), float64(b.pressure.half)).Via(b.pressure.from))
	case w.Boiling.Given:
		in.boiling = read("temperature at the boil", w.Boiling, 0)
	}
	if b.heated() {
		in.peak = read("highest temperature", w.Peak, float64(b.setup.Rules.Stratification))
	}
}

func (in *inputs) addFuel(b *bench) {
	if !b.lhvKnown {
		return
	}
	batch := "fuel: " + named(b.setup.Batch.Name)
	in.heatingValue = in.add(uncertainty.Normal("heating value of the fuel", b.lhv, b.lhvU).Via(batch))
	f := b.fuel
	weighing := func(name string, d difference) slot {
		if !d.known {
			return 0
		}
		scale, step := in.fuelScale, d.step
		if scale == 0 {
			scale, step = in.addScale(b, d.scale, gear.ForFuel, d.step)
			in.fuelScale, b.fuelStep = scale, step
		}
		return in.add(uncertainty.ResolutionOfDifference(name, d.value, b.fuelStep))
	}
	in.total = weighing("fuel burned", f.total)
	if f.by != burn.SnuffedAtBoil && f.by != burn.Prorated {
		in.boil = weighing("fuel to boil", f.boil)
	}
	in.prime = weighing("fuel before pot-on", f.prime)
	if f.by == burn.Prorated {
		half := float64(b.setup.Rules.Proration)
		in.prorated = in.add(uncertainty.Rectangular("prorating fuel to boil from the total", 1, half).Via("prorated: " + b.burn.Entry))
	}
	if !f.prime.known && b.potOn > 0 {
		in.noPrime = in.add(uncertainty.Rectangular("fuel before pot-on was not weighed", 1, 1).Via("no prime: " + b.burn.Entry))
	}
	if b.heated() {
		in.extrapolated = in.add(uncertainty.Rectangular("carrying a burn without boil to the boil", 1, 0.5).Via("extrapolated: " + b.burn.Entry))
	}
	if b.densityKnown {
		in.density = in.add(uncertainty.Normal("density of the fuel", b.density, b.densityU).Via(batch + ", density"))
	}
	if s := less(b.burn.Simmer.FuelStart, b.burn.Simmer.FuelEnd); s.known {
		in.simmerFuel = in.add(uncertainty.ResolutionOfDifference("fuel while simmering", s.value, s.step))
	}
}

// addTimes adds the marks. A mark by eye is worth BoilMark at the boil; others
// are worth a second (common practice, no source).
func (in *inputs) addTimes(b *bench) {
	second := func(name string, t time.Duration) slot {
		return in.add(uncertainty.Rectangular(name, t.Seconds(), 1))
	}
	if b.outcome.status.HasBoil() {
		half := b.setup.Rules.BoilMark.Seconds()
		if b.outcome.status == Interval {
			half = max(half, (b.outcome.boil-b.outcome.notBefore).Seconds()/2)
		}
		in.boilMark = in.add(uncertainty.Rectangular("boil mark", 0, half))
	}
	if b.potOnKnown {
		in.potOn = second("pot-on mark", b.potOnAt)
	}
	if b.outcome.endKnown {
		in.end = second("end of the flame", b.outcome.end)
	}
	if t, ok := b.burn.At(burn.Bloom); ok {
		in.bloom = second("bloom mark", t)
	}
}

func (in *inputs) addSurroundings(b *bench) {
	if b.potKnown {
		key := "pot: " + named(b.setup.Pot.Name) + ", " + named(b.setup.Lid.Name)
		in.pot = in.add(uncertainty.Normal("heat capacity of pot and lid", b.potCapacity, b.potCapacityU).Via(key))
	}
	if !b.site.Air.Given {
		in.noAir = in.add(uncertainty.Rectangular("air temperature not given", 0, 1).Via("no air temperature"))
		return
	}
	pot := b.setup.Pot
	value, half := float64(b.setup.Rules.Loss), float64(b.setup.Rules.LossHalf)
	if pot.Loss.Given {
		value, half = float64(pot.Loss.Value), max(pot.Loss.Tolerance, pot.Loss.Step/2)
	}
	in.loss = in.add(uncertainty.Rectangular("heat loss of the pot", value, half).Via("heat loss: " + named(pot.Name)))
	a := b.site.Air
	in.air = in.add(uncertainty.Rectangular("air temperature", a.Value.Celsius(), max(a.Tolerance, 0.5)))
}
