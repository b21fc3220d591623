package reduce

import (
	"fmt"
	"math"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/matter/fuel"
	"fairburn/matter/material"
	"fairburn/matter/water"
	"fairburn/quantity"
)

// bench is a burn with everything looked up that its model needs: properties
// are fetched once here, and what is out of range is a finding.
type bench struct {
	burn    burn.Record
	setup   Setup
	site    burn.Site
	outcome outcome
	fuel    fuelUse
	found   []finding.Finding

	pressure    pressure
	tb, tbSlope float64 // °C, K/Pa
	latent      float64 // J/kg at tb

	water      float64 // kg
	steamKnown bool

	// Enthalpy of the water about its two temperatures: base, value, slope.
	cold, hot         point
	reference         float64 // J/kg, enthalpy over the reference rise
	potKnown          bool
	potCapacity       float64
	potCapacityU      float64
	lhvKnown          bool
	lhv, lhvU         float64
	referenceLHV      float64
	densityKnown      bool
	density, densityU float64
	fuelStep          float64
	potOnKnown        bool
	potOnAt           time.Duration
	potOn, boilAt     float64 // s
	rate              float64 // kg/s while heating, for the boil mark's share of the fuel
	simmer            float64 // s
}

// point is a place on the enthalpy of water with its slope.
type point struct{ celsius, enthalpy, slope float64 }

func (p point) at(celsius float64) float64 { return p.enthalpy + p.slope*(celsius-p.celsius) }

// newBench looks everything up.
func newBench(r burn.Record, s Setup) *bench {
	b := &bench{burn: r, setup: s, site: s.Site.Over(r.Site), referenceLHV: float64(fuel.Ethanol.LHV())}
	b.outcome = classify(r, s.Rules.Grace)
	b.lookUpMarks()
	b.lookUpBoiling()
	b.lookUpWater()
	b.lookUpPot()
	b.lookUpFuel()
	return b
}

func (b *bench) say(code string, sev finding.Severity, field, sentence, remedy string) {
	p := b.burn.Where
	p.Subject, p.Field = "burn "+b.burn.ID, field
	b.found = append(b.found, finding.Finding{Code: code, Severity: sev, Where: p, Sentence: sentence, Remedy: remedy})
}

func (b *bench) lookUpMarks() {
	b.potOnAt, b.potOnKnown = b.burn.At(burn.PotOn)
	if !b.potOnKnown {
		b.say("pot_on_missing", finding.Note, "marks.pot_on", "no mark says when the pot went on; it is taken to have stood there from light", "mark pot-on")
	}
	b.potOn = b.potOnAt.Seconds()
	b.boilAt = b.outcome.boil.Seconds()
	if b.outcome.status == Interval {
		b.boilAt = (b.outcome.boil + b.outcome.notBefore).Seconds() / 2
	}
	start, okStart := b.burn.At(burn.SimmerStart)
	end, okEnd := b.burn.At(burn.SimmerEnd)
	if okStart && okEnd && (end-start).Seconds() >= steady {
		b.simmer = (end - start).Seconds()
	}
}

// lookUpBoiling finds the boiling point with its slope, and the latent heat there.
func (b *bench) lookUpBoiling() {
	p, found := stationPressure(b.site, b.setup.Tools, b.setup.Rules)
	for _, f := range found {
		f.Where = b.place(f.Where.Field)
		b.found = append(b.found, f)
	}
	b.tb = nan
	if p.known {
		tb, err := water.SaturationTemperature(p.value)
		if err != nil {
			b.say("boiling_point_unknown", finding.Fault, "site", err.Error(), "check the station pressure")
			return
		}
		slope, _ := water.SaturationSlope(p.value)
		b.pressure, b.tb, b.tbSlope = p, tb.Celsius(), slope
	} else if b.burn.Water.Boiling.Given {
		b.tb = b.burn.Water.Boiling.Value.Celsius()
	}
	if l, err := water.LatentHeat(quantity.Celsius(b.tb)); err == nil {
		b.latent = float64(l)
	}
}

func (b *bench) place(field string) finding.Place {
	p := b.burn.Where
	p.Subject, p.Field = "burn "+b.burn.ID, field
	return p
}

// lookUpWater finds the mass of the water and its enthalpy about both ends of the rise.
func (b *bench) lookUpWater() {
	w := b.burn.Water
	p := b.pressure.value
	if !b.pressure.known {
		p = quantity.StandardAtmosphere
	}
	start := quantity.Celsius(20)
	if w.Start.Given {
		start = w.Start.Value
	}
	switch {
	case w.Mass.Given:
		b.water = float64(w.Mass.Value)
	case w.Volume.Given:
		rho, err := water.Density(start, p)
		if err != nil {
			b.say("water_out_of_range", finding.Fault, "water.start", err.Error(), "check the start temperature")
			return
		}
		b.water = float64(rho) * float64(w.Volume.Value)
	}
	_, boiledOver := b.boiledOver()
	b.steamKnown = w.Mass.Given && w.End.Given && !boiledOver && b.outcome.status.HasBoil()
	b.cold = b.enthalpyAt("water.start", start, p)
	if end := b.endTemperature(); !math.IsNaN(end) {
		b.hot = b.enthalpyAt("water.peak", quantity.Celsius(end), p)
	}
	ref := b.setup.Reference
	from, errFrom := water.Enthalpy(ref.From, quantity.StandardAtmosphere)
	to, errTo := water.Enthalpy(ref.To, quantity.StandardAtmosphere)
	if errFrom != nil || errTo != nil || ref.Water <= 0 || ref.To.Sub(ref.From) <= 0 {
		b.say("reference_impossible", finding.Fault, "reference", "the reference conditions do not describe heating liquid water", "write water, from and to such as 500 g, 20 °C and 100 °C")
		b.reference = nan
		return
	}
	b.reference = float64(to - from)
}

// boiledOver reports a boil-over or a spill at any time: the water then left
// says nothing about steam (R7).
func (b *bench) boiledOver() (burn.Fault, bool) {
	for _, f := range b.burn.Faults {
		if f.Kind == burn.BoilOver || f.Kind == burn.Spill {
			return f, true
		}
	}
	return burn.Fault{}, false
}

func (b *bench) endTemperature() float64 {
	switch {
	case b.outcome.status.HasBoil():
		return b.tb
	case b.burn.Water.Peak.Given:
		return b.burn.Water.Peak.Value.Celsius()
	}
	return nan
}

func (b *bench) enthalpyAt(field string, t quantity.Temperature, p quantity.Pressure) point {
	h, err := water.Enthalpy(t, p)
	if err != nil {
		b.say("water_out_of_range", finding.Fault, field, err.Error(), "check the temperature and the pressure")
		return point{nan, nan, nan}
	}
	c, err := water.SpecificHeat(t, p)
	if err != nil {
		return point{nan, nan, nan}
	}
	return point{t.Celsius(), float64(h), float64(c)}
}

// heatOfRise is h(to) − h(from), J/kg.
func (b *bench) heatOfRise(from, to float64) float64 { return b.hot.at(to) - b.cold.at(from) }

// heated reports a burn that did not boil but whose highest temperature is known.
func (b *bench) heated() bool { return !b.outcome.status.HasBoil() && b.burn.Water.Peak.Given }

// midRise is the temperature at which a pot's specific heat is taken: the
// middle of a rise from 20 to 100 °C.
var midRise = quantity.Celsius(60)

// lookUpPot adds the heat capacities of pot and lid.
func (b *bench) lookUpPot() {
	if b.setup.Pot.Name == "" {
		return
	}
	var square float64
	b.potKnown = true
	for _, part := range []struct {
		name, material string
		mass           quantity.Reading[quantity.Mass]
	}{{b.setup.Pot.Name, b.setup.Pot.Material, b.setup.Pot.Mass}, {b.setup.Lid.Name, b.setup.Lid.Material, b.setup.Lid.Mass}} {
		if part.name == "" {
			continue
		}
		metal, err := material.Find(part.material)
		if err != nil || !part.mass.Given {
			b.potKnown = false
			b.say("pot_heat_unknown", finding.Note, "pot", fmt.Sprintf("the heat that %s takes up is unknown: its mass or material is missing", part.name), "weigh it and name its material")
			return
		}
		c, err := metal.SpecificHeat(midRise)
		if err != nil {
			b.potKnown = false
			b.say("pot_heat_unknown", finding.Note, "pot", err.Error(), "")
			return
		}
		heat := float64(part.mass.Value) * float64(c)
		b.potCapacity += heat
		square += math.Pow(heat*float64(metal.Uncertainty), 2)
	}
	b.potCapacityU = math.Sqrt(square)
}

// lookUpFuel finds heating value and density of the batch and what burned.
func (b *bench) lookUpFuel() {
	blend, err := b.setup.Batch.Blend()
	if err != nil {
		b.say("fuel_unknown", finding.Caution, "fuel", err.Error(), "write its strength, such as 95 % vol, or its components")
	} else {
		lhv, u := blend.LHV()
		b.lhvKnown, b.lhv, b.lhvU = true, float64(lhv), float64(u)
		if rho, u, err := blend.Density(quantity.Celsius(20)); err == nil {
			b.densityKnown, b.density, b.densityU = true, float64(rho), float64(u)
		}
	}
	b.fuel = fuelOf(b.burn, b.outcome, b.doseMass(blend, err == nil))
	if b.fuel.boil.known && b.outcome.status.HasBoil() && b.boilAt > b.potOn {
		b.rate = b.fuel.boil.value / b.boilAt
		if b.fuel.prime.known {
			b.rate = (b.fuel.boil.value - b.fuel.prime.value) / (b.boilAt - b.potOn)
		}
	}
}

// doseMass is the dose as a mass, 0 when it is unknown.
func (b *bench) doseMass(blend fuel.Blend, known bool) float64 {
	f := b.burn.Fuel
	if f.DoseMass.Given {
		return float64(f.DoseMass.Value)
	}
	if !f.DoseVolume.Given || !known {
		return 0
	}
	t := quantity.Celsius(20)
	if f.Temperature.Given {
		t = f.Temperature.Value
	} else if b.site.Air.Given {
		t = b.site.Air.Value
	}
	m, _, err := blend.MassOf(f.DoseVolume.Value, t)
	if err != nil {
		b.say("dose_out_of_range", finding.Caution, "fuel.dose", err.Error(), "check the fuel's temperature")
		return 0
	}
	return float64(m)
}

// referenceHeating is the reference boil in the same pot and the same air.
func (b *bench) referenceHeating(own heating, pot float64) heating {
	ref := b.setup.Reference
	own.capacity = float64(ref.Water)*b.reference/float64(ref.To.Sub(ref.From)) + pot
	own.from, own.to = ref.From.Celsius(), ref.To.Celsius()
	return own
}
