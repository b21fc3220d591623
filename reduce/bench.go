package reduce

import (
	"fmt"
	"math"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/matter/water"
	"fairburn/quantity"
)

// bench is a burn with everything looked up that its model needs: properties
// are fetched once here, and what is out of range is a finding.
type bench struct {
	burn    burn.Record // without the readings that cannot be used
	setup   *Setup
	site    burn.Site
	outcome outcome
	fuel    fuelUse
	found   []finding.Finding
	looked  *lookedUp

	pressure    pressure
	tb, tbSlope float64 // °C, K/Pa
	latent      float64 // J/kg at tb

	water     float64 // kg, NaN when unknown
	steam     difference
	steamLate bool // the water was weighed well after the boil

	cold, hot point // enthalpy of the water about the two ends of the rise

	potOnKnown bool
	potOnAt    time.Duration
	potOn      float64 // s
	rate       float64 // kg/s while heating, for what a boil mark's error is in fuel
	simmer     float64 // s
}

// point is a place on the enthalpy of water with its slope.
type point struct{ celsius, enthalpy, slope float64 }

func (p point) at(celsius float64) float64 { return p.enthalpy + p.slope*(celsius-p.celsius) }

// newBench looks everything up.
func newBench(r burn.Record, s Setup) *bench {
	if s.looked == nil {
		s = s.Prepared()
	}
	b := &bench{setup: &s, looked: s.looked, site: s.Site.Over(r.Site)}
	b.burn, b.found = r.Usable()
	b.outcome = classify(&b.burn, s.Rules.Grace)
	b.tell(s.looked.found)
	b.lookUpSite()
	b.lookUpMarks()
	b.lookUpBoiling()
	b.lookUpWater()
	b.lookUpSteam()
	b.lookUpRise()
	b.lookUpFuel()
	return b
}

func (b *bench) say(code string, sev finding.Severity, field, sentence, remedy string) {
	p := b.burn.Where
	p.Subject, p.Field = "burn "+b.burn.ID, field
	b.found = append(b.found, finding.Finding{Code: code, Severity: sev, Where: p, Sentence: sentence, Remedy: remedy})
}

// tell adds findings that know only their field.
func (b *bench) tell(fs []finding.Finding) {
	for _, f := range fs {
		b.say(f.Code, f.Severity, f.Where.Field, f.Sentence, f.Remedy)
	}
}

func (b *bench) lookUpSite() {
	var found []finding.Finding
	b.site, found = b.site.Usable()
	b.tell(found)
	if !b.site.Air.Given {
		b.say("air_temperature_missing", finding.Note, "site.air",
			"no air temperature is given, so the correction to reference is the plain ratio of rises, with a wider uncertainty", "read the air temperature beside the burner")
	}
}

func (b *bench) lookUpMarks() {
	b.potOnAt, b.potOnKnown = b.burn.At(burn.PotOn)
	if !b.potOnKnown {
		b.say("pot_on_missing", finding.Note, "marks.pot_on", "no mark says when the pot went on; it is taken to have stood there from light", "mark pot-on")
	}
	b.potOn = b.potOnAt.Seconds()
	start, okStart := b.burn.At(burn.SimmerStart)
	end, okEnd := b.burn.At(burn.SimmerEnd)
	if okStart && okEnd && (end-start).Seconds() >= steady {
		b.simmer = (end - start).Seconds()
	}
}

// lookUpBoiling finds the boiling point with its slope, and the latent heat
// there: from the pressure, else from the thermometer at the boil.
func (b *bench) lookUpBoiling() {
	b.tb, b.latent = nan, nan
	p, found := stationPressure(&b.site, b.setup, b.day())
	read := b.burn.Water.Boiling
	if !p.known && read.Given {
		b.tb = read.Value.Celsius()
		b.say("boiling_point_from_thermometer", finding.Note, "water.boiling",
			"nothing says what the pressure was; the boiling point is what the thermometer showed at the boil", "write the station pressure, to check the thermometer by it")
	} else {
		b.tell(found)
	}
	if p.known {
		tb, err := water.SaturationTemperature(p.value)
		if err != nil {
			b.say("boiling_point_unknown", finding.Fault, "site", err.Error(), "check the station pressure")
			return
		}
		slope, _ := water.SaturationSlope(p.value)
		b.pressure, b.tb, b.tbSlope = p, tb.Celsius(), slope
	}
	if l, err := water.LatentHeat(quantity.Celsius(b.tb)); err == nil {
		b.latent = float64(l)
	}
}

// day says in shared keys which burns stood in one weather: those of one block,
// beside which a date is often left out, else of one date, else all.
func (b *bench) day() string {
	switch {
	case b.burn.Block != "":
		return ", block " + b.burn.Block
	case b.burn.Date != "":
		return ", " + b.burn.Date
	}
	return ""
}

// ambient is the pressure on the water for properties that hardly depend on it.
func (b *bench) ambient() quantity.Pressure {
	if b.pressure.known {
		return b.pressure.value
	}
	return quantity.StandardAtmosphere
}

// lookUpWater finds the mass of the water.
func (b *bench) lookUpWater() {
	w := &b.burn.Water
	b.water = nan
	switch {
	case w.Mass.Given:
		b.water = float64(w.Mass.Value)
	case w.Volume.Given:
		start := quantity.Celsius(20)
		if w.Start.Given {
			start = w.Start.Value
		}
		rho, err := water.Density(start, b.ambient())
		if err != nil {
			b.say("water_out_of_range", finding.Fault, "water.start", err.Error(), "check the start temperature")
			return
		}
		b.water = float64(rho) * float64(w.Volume.Value)
	}
}

// lookUpSteam finds what the water lost up to the boil. After a boil-over or
// a spill the water left says nothing of steam.
func (b *bench) lookUpSteam() {
	if !b.outcome.status.HasBoil() {
		return
	}
	w := &b.burn.Water
	for _, f := range b.burn.Faults {
		if (f.Kind == burn.BoilOver || f.Kind == burn.Spill) && w.End.Given {
			b.say("steam_unknown", finding.Note, "water.end", burn.Mark(f.Kind).Label()+": water lost is not all steam, so figures with steam are missing", "weigh the water at the boil")
			return
		}
	}
	b.steam = less(stage{"water", w.Mass}, stage{"water left", w.End})
	off, isOff := b.burn.At(burn.PotOff)
	b.steamLate = b.steam.known && isOff && off > b.outcome.boil+longAfter
}

// lookUpRise finds the enthalpy of the water about both ends of its rise. A
// reading hotter than water can be here is not used.
func (b *bench) lookUpRise() {
	w := &b.burn.Water
	b.cold, b.hot = point{nan, nan, nan}, point{nan, nan, nan}
	if w.Start.Given && w.Start.Value.Celsius() >= b.tb {
		b.tooHot("water.start", w.Start)
		w.Start.Given = false
	}
	if w.Peak.Given && w.Peak.Value.Celsius() > b.tb+probeSlack {
		b.tooHot("water.peak", w.Peak)
		w.Peak.Given = false
	}
	if w.Start.Given {
		b.cold = b.enthalpyAt("water.start", w.Start.Value)
	}
	switch {
	case b.outcome.status.HasBoil() && finite(b.tb):
		b.hot = b.enthalpyAt("site", quantity.Celsius(b.tb))
	case b.heated():
		b.hot = b.enthalpyAt("water.peak", w.Peak.Value)
	}
}

func (b *bench) tooHot(field string, r quantity.Reading[quantity.Temperature]) {
	b.say("hotter_than_boiling", finding.Fault, field,
		fmt.Sprintf("%s is not below the boiling point here, %s", b.degrees(r.Value.Celsius()), b.degrees(b.tb)), "check the reading, its unit and the station pressure")
}

// degrees prints a temperature in °C.
func (b *bench) degrees(celsius float64) string {
	return quantity.Format(quantity.Celsius(celsius), b.setup.Units)
}

// probeSlack is how far above the boiling point a thermometer in water that
// never boiled may read and still be believed, K (common practice, no source).
const probeSlack = 1.5

func (b *bench) enthalpyAt(field string, t quantity.Temperature) point {
	h, err := water.Enthalpy(t, b.ambient())
	if err != nil {
		b.say("water_out_of_range", finding.Fault, field, err.Error(), "check the temperature and the pressure")
		return point{nan, nan, nan}
	}
	c, _ := water.SpecificHeat(t, b.ambient()) // of the same range
	return point{t.Celsius(), float64(h), float64(c)}
}

// heatOfRise is h(to) − h(from), J/kg.
func (b *bench) heatOfRise(from, to float64) float64 { return b.hot.at(to) - b.cold.at(from) }

// heated reports a burn that did not boil but whose highest temperature is known.
func (b *bench) heated() bool {
	return (b.outcome.status == NoBoil || b.outcome.status == RightCensored) && b.burn.Water.Peak.Given
}

// lookUpFuel finds what burned.
func (b *bench) lookUpFuel() {
	b.fuel = fuelOf(&b.burn, &b.outcome, b.dose(), b.steamAtBoil())
	f := &b.fuel
	if by := f.by; f.bound || !f.boil.known || by == burn.AllBurned || by == burn.Prorated {
		return
	}
	weighedAt := b.outcome.boil
	if f.by == burn.SnuffedAtBoil && b.outcome.endKnown {
		weighedAt = b.outcome.end
	}
	b.rate = f.boil.value / weighedAt.Seconds()
	if f.prime.known {
		b.rate = (f.boil.value - f.prime.value) / (weighedAt - b.potOnAt).Seconds()
	}
}

// steamAtBoil is the steam of water weighed at the boil and not long after.
func (b *bench) steamAtBoil() difference {
	if b.steamLate {
		return difference{}
	}
	return b.steam
}

// dose is the dose as a mass, by its reading or by its volume.
func (b *bench) dose() difference {
	f := &b.burn.Fuel
	switch {
	case f.DoseMass.Given:
		return difference{known: true, value: float64(f.DoseMass.Value), before: stage{"dose", f.DoseMass}}
	case f.Weighed == burn.FuelOnly && f.Poured.Given:
		return difference{known: true, value: float64(f.Poured.Value), before: stage{"fuel at light", f.Poured}}
	case !f.DoseVolume.Given || !b.looked.batch.known:
		return difference{}
	}
	m, _, err := b.looked.batch.blend.MassOf(f.DoseVolume.Value, b.doseTemperature())
	if err != nil {
		b.say("dose_out_of_range", finding.Caution, "fuel.dose", err.Error(), "check the fuel's temperature")
		return difference{}
	}
	each := float64(m) / float64(f.DoseVolume.Value)
	return difference{known: true, value: float64(m), poured: true, before: stage{"dose", quantity.Reading[quantity.Mass]{
		Value: m, Step: each * f.DoseVolume.Step, Tolerance: each * f.DoseVolume.Tolerance, Instrument: f.DoseVolume.Instrument, Given: true,
	}}}
}

func (b *bench) doseTemperature() quantity.Temperature {
	switch {
	case b.burn.Fuel.Temperature.Given:
		return b.burn.Fuel.Temperature.Value
	case b.site.Air.Given:
		return b.site.Air.Value
	}
	return quantity.Celsius(20)
}

// referenceHeating is the reference boil in the same pot and the same air.
func (b *bench) referenceHeating(own heating, pot float64) heating {
	ref := b.setup.Reference
	own.capacity = float64(ref.Water)*b.looked.reference/float64(ref.To.Sub(ref.From)) + pot
	own.from, own.to = ref.From.Celsius(), ref.To.Celsius()
	return own
}

// inRange reports whether the correction to reference conditions holds for the
// burn: rise and water near the reference, boiling point not too low. Without
// one of them there is no corrected figure that could be out of range.
func (b *bench) inRange() bool {
	ref, rules := b.setup.Reference, b.setup.Rules
	rise, water := b.tb-b.cold.celsius, b.water
	if !finite(rise) || !finite(water) || !finite(b.looked.reference) {
		return true
	}
	near := func(value, reference float64) bool { return math.Abs(value/reference-1) <= float64(rules.Range) }
	return near(rise, float64(ref.To.Sub(ref.From))) && near(water, float64(ref.Water)) && b.tb >= rules.LowestBoil.Celsius()
}
