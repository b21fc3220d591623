package reduce

import (
	"cmp"
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

// read is a temperature as read: its own error, and that of its thermometer.
type read struct{ value, thermometer slot }

func (r read) of(x []float64) float64 { return r.value.of(x, nan) + r.thermometer.of(x, 0) }

// weight is a difference of masses: of two readings, or of one against a tare.
type weight struct{ before, after slot }

func (w weight) of(x []float64) float64 { return w.before.of(x, nan) - w.after.of(x, 0) }

// inputs are the arguments of the model of one burn. A quantity and each
// further cause of its error are inputs of their own (errors have value 0, or
// 1 where they multiply), so that what two burns share can be told apart.
type inputs struct {
	list []uncertainty.Input

	water, waterScale, waterMeasure, waterEnd slot
	start, peak, boiling                      read
	pressure, boilCall, boilMark              slot
	tables, heatingValue, density             slot
	pot, noPot, loss, air, noAir              slot
	total, boil, prime, simmer                weight
	fuelScale, fuelMeasure, residue           slot
	noPrime, prorated, extrapolated           slot
	potOn, end, bloom                         slot

	fuelStep float64
}

func (in *inputs) add(i uncertainty.Input) slot {
	in.list = append(in.list, i)
	return slot(len(in.list))
}

// gather turns the readings of a burn into inputs with their uncertainties.
func gather(b *bench) *inputs {
	in := &inputs{list: make([]uncertainty.Input, 0, 32)}
	in.addWater(b)
	in.addTemperatures(b)
	in.addProperties(b)
	in.addFuel(b)
	in.addDoubts(b)
	in.addTimes(b)
	in.addSurroundings(b)
	return in
}

// What instruments are worth whose limits nobody wrote down (common practice,
// no source; a kitchen measure by a housewares standard).
const (
	unknownLinearity = 2.5  // display steps
	unknownLimit     = 1.0  // K
	unknownMeasure   = 0.05 // of the volume
	unknownStep      = 1e-4 // kg, of a scale whose readings show none
	unknownPot       = 100  // J/K: pots and lids of 50 to 160 g
)

// scale adds the error of linearity that all readings of one scale for one
// use share, and returns the display step that holds for the reading.
func (in *inputs) scale(b *bench, instrument string, use gear.Use, step float64) (slot, float64) {
	scale, ok := gear.Pick(b.setup.Tools.Scales, instrument, use)
	if ok && given(scale.Step) {
		step = float64(scale.Step.Value)
	}
	if !(step > 0) {
		step = unknownStep
	}
	linearity := unknownLinearity * step
	if ok && given(scale.Linearity) {
		linearity = float64(scale.Linearity.Value)
	}
	key := "scale: " + cmp.Or(scale.Name, instrument, unnamed) + ", " + string(use)
	return in.add(uncertainty.Rectangular("linearity of the scale, "+string(use), 0, linearity).Via(key)), step
}

// measure adds the error that all doses of the vessel share, as a factor.
func (in *inputs) measure(b *bench, instrument string, use gear.Use) slot {
	m, ok := gear.Pick(b.setup.Tools.Measures, instrument, use)
	tolerance := unknownMeasure
	if ok && given(m.Tolerance) {
		tolerance = float64(m.Tolerance.Value)
	}
	key := "measure: " + cmp.Or(m.Name, instrument, unnamed)
	return in.add(uncertainty.Rectangular("measure, "+string(use), 1, tolerance).Via(key))
}

// widened adds the half-width written beside a reading to what its display brings.
func widened(i uncertainty.Input, half float64) uncertainty.Input {
	i.U = math.Hypot(i.U, half/math.Sqrt(3))
	return i
}

func (in *inputs) addWater(b *bench) {
	w := &b.burn.Water
	switch {
	case w.Mass.Given:
		var step float64
		in.waterScale, step = in.scale(b, w.Mass.Instrument, gear.ForWater, w.Mass.Step)
		in.water = in.add(widened(uncertainty.ResolutionOfDifference("water mass", b.water, step), w.Mass.Tolerance))
		if b.steam.known {
			in.waterEnd = in.add(widened(uncertainty.ResolutionOfDifference("water left", float64(w.End.Value), step), w.End.Tolerance))
		}
	case finite(b.water):
		each := b.water / float64(w.Volume.Value)
		in.waterMeasure = in.measure(b, w.Volume.Instrument, gear.ForWater)
		in.water = in.add(widened(uncertainty.Resolution("how closely the water's volume was read", b.water, each*w.Volume.Step), each*w.Volume.Tolerance))
	}
}

// temperature adds a reading whose water was uncertain by half, and the error
// of its thermometer, once for all its readings.
func (in *inputs) temperature(b *bench, name string, r quantity.Reading[quantity.Temperature], half float64) read {
	probe, ok := gear.Pick(b.setup.Tools.Thermometers, r.Instrument, gear.ForWater)
	step, limit := r.Step, unknownLimit
	if ok && given(probe.Step) {
		step = float64(probe.Step.Value)
	}
	if ok && given(probe.Limit) {
		limit = float64(probe.Limit.Value)
	}
	i := uncertainty.Normal(name, r.Value.Celsius(), math.Hypot(step/math.Sqrt(12), half/math.Sqrt(3)))
	value := in.add(widened(i, r.Tolerance))
	key := "thermometer: " + cmp.Or(probe.Name, r.Instrument, unnamed)
	for i := range in.list {
		if in.list[i].Shared == key {
			return read{value, slot(i + 1)}
		}
	}
	return read{value, in.add(uncertainty.Rectangular(key, 0, limit).Via(key))}
}

func (in *inputs) addTemperatures(b *bench) {
	w, rules := &b.burn.Water, &b.setup.Rules
	if w.Start.Given {
		in.start = in.temperature(b, "start temperature", w.Start, float64(rules.Stratification))
	}
	switch {
	case b.pressure.known:
		in.pressure = in.add(uncertainty.Rectangular("station pressure", float64(b.pressure.value), float64(b.pressure.half)).Via(b.pressure.from))
	case finite(b.tb):
		in.boiling = in.temperature(b, "temperature at the boil", w.Boiling, 0)
	}
	if b.outcome.status.HasBoil() {
		in.boilCall = in.add(uncertainty.Rectangular("temperature at which the boil is called", 0, float64(rules.BoilCall)))
	}
	if b.heated() {
		in.peak = in.temperature(b, "highest temperature", w.Peak, float64(rules.Stratification))
	}
}

// addProperties adds what tables and labels leave open.
func (in *inputs) addProperties(b *bench) {
	in.tables = in.add(uncertainty.Rectangular("specific heat of water", 0, 5.0/4188).Via("water tables"))
	batch := "fuel: " + cmp.Or(b.setup.Batch.Name, unnamed)
	if f := &b.looked.batch; finite(f.lhv) {
		in.heatingValue = in.add(uncertainty.Normal("heating value of the fuel", f.lhv, f.lhvU).Via(batch))
	}
	if f := &b.looked.batch; finite(f.density) {
		in.density = in.add(uncertainty.Normal("density of the fuel", f.density, f.densityU).Via(batch + ", density"))
	}
}

// stage adds one reading of the fuel, once for all differences that it stands in.
func (in *inputs) stage(s stage, shape func(name string, value, d float64) uncertainty.Input, step float64) slot {
	for i := range in.list {
		if in.list[i].Name == s.name {
			return slot(i + 1)
		}
	}
	return in.add(widened(shape(s.name, float64(s.Value), step), s.Tolerance))
}

// weigh adds a difference of fuel masses, or a dose that was measured out.
func (in *inputs) weigh(b *bench, d *difference) weight {
	switch {
	case !d.known:
		return weight{}
	case d.poured:
		if in.fuelMeasure == 0 {
			in.fuelMeasure = in.measure(b, d.before.Instrument, gear.ForFuel)
		}
		return weight{before: in.stage(d.before, uncertainty.Resolution, d.before.Step)}
	case in.fuelScale == 0:
		in.fuelScale, in.fuelStep = in.scale(b, d.before.Instrument, gear.ForFuel, max(d.before.Step, d.after.Step))
	}
	if !d.after.Given {
		return weight{before: in.stage(d.before, uncertainty.ResolutionOfDifference, in.fuelStep)}
	}
	return weight{in.stage(d.before, uncertainty.Resolution, in.fuelStep), in.stage(d.after, uncertainty.Resolution, in.fuelStep)}
}

func (in *inputs) addFuel(b *bench) {
	f, simmer := &b.fuel, &b.burn.Simmer
	in.total = in.weigh(b, &f.total)
	switch f.by {
	case burn.AllBurned, burn.SnuffedAtBoil, burn.Prorated: // the same weighing
	default:
		in.boil = in.weigh(b, &f.boil)
	}
	in.prime = in.weigh(b, &f.prime)
	if b.simmer > 0 {
		d := less(stage{"fuel as simmering began", simmer.FuelStart}, stage{"fuel as simmering ended", simmer.FuelEnd})
		in.simmer = in.weigh(b, &d)
	}
}

// addDoubts adds what stands for weighings that were not made. Each is one
// draw for an entry: repeats do not shrink it.
func (in *inputs) addDoubts(b *bench) {
	entry := b.burn.Entry
	if b.fuel.dry {
		in.residue = in.add(uncertainty.Rectangular("residue of a burner seen dry", 0, dryResidue).Via("residue of a burner seen dry: " + entry))
	}
	if b.fuel.by == burn.Prorated {
		half := float64(b.setup.Rules.Proration)
		in.prorated = in.add(uncertainty.Rectangular("prorating fuel to boil from the total", 1, half).Via("fuel to boil only prorated: " + entry))
	}
	if !b.fuel.prime.known && b.potOn > 0 {
		in.noPrime = in.add(uncertainty.Rectangular("fuel before pot-on was not weighed", 1, 1).Via("fuel before pot-on not weighed: " + entry))
	}
	if b.heated() {
		in.extrapolated = in.add(uncertainty.Rectangular("carrying a burn without boil to the boil", 1, 0.5).Via("carried to the boil: " + entry))
	}
}

// addTimes adds the marks. A mark by eye is worth BoilMark at the boil; others
// are worth a second (common practice, no source), unless the mark says better.
func (in *inputs) addTimes(b *bench) {
	half := func(m burn.Mark, usual time.Duration) float64 {
		if t := b.burn.Marks[m].Tolerance; t > 0 {
			return t
		}
		return usual.Seconds()
	}
	if b.outcome.status.HasBoil() {
		late := half(burn.Boil, b.setup.Rules.BoilMark)
		if b.outcome.status == Interval {
			late = max(late, (b.outcome.boil-b.outcome.notBefore).Seconds()/2)
		}
		in.boilMark = in.add(uncertainty.Rectangular("boil mark", 0, late))
	}
	if b.potOnKnown {
		in.potOn = in.add(uncertainty.Rectangular("pot-on mark", b.potOn, half(burn.PotOn, time.Second)))
	}
	if b.outcome.endKnown {
		mark := burn.Out
		if b.outcome.snuffed {
			mark = burn.Snuffed
		}
		in.end = in.add(uncertainty.Rectangular("end of the flame", b.outcome.end.Seconds(), half(mark, time.Second)))
	}
	if t, ok := b.burn.At(burn.Bloom); ok {
		in.bloom = in.add(uncertainty.Rectangular("bloom mark", t.Seconds(), half(burn.Bloom, time.Second)))
	}
}

func (in *inputs) addSurroundings(b *bench) {
	pot, vessel := &b.setup.Pot, b.looked.pot
	names := cmp.Or(pot.Name, unnamed)
	if lid := b.setup.Lid.Name; lid != "" {
		names += ", " + lid
	}
	key := "pot: " + names
	if finite(vessel.capacity) {
		in.pot = in.add(uncertainty.Normal("heat capacity of pot and lid", vessel.capacity, vessel.u).Via(key))
	} else {
		in.noPot = in.add(uncertainty.Rectangular("heat capacity of pot and lid is unknown", 0, unknownPot).Via(key))
	}
	value, half := float64(b.setup.Rules.Loss), float64(b.setup.Rules.LossHalf)
	if given(pot.Loss) {
		value, half = float64(pot.Loss.Value), max(pot.Loss.Tolerance, pot.Loss.Step/2)
	}
	in.loss = in.add(uncertainty.Rectangular("heat loss of the pot", value, half).Via("heat loss: " + names)) // a lid changes it
	if !b.site.Air.Given {
		in.noAir = in.add(uncertainty.Rectangular("air temperature is unknown", 0, 1).Via("air temperature not read"))
		return
	}
	a := b.site.Air
	in.air = in.add(uncertainty.Rectangular("air temperature", a.Value.Celsius(), max(a.Tolerance, 0.5)))
}
