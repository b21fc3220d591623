// Package burn holds one burn as a person recorded it: what was weighed, read
// and marked, as written. It computes no metric.
//
// Read record.go (what a burn holds), mark.go (moments, faults, failure
// codes), check.go (what a burn alone shows to be wrong or missing).
package burn

import (
	"time"

	"fairburn/finding"
	"fairburn/quantity"
)

// Record is one burn. Missing readings stay missing.
type Record struct {
	ID      string // unique in its trial
	Entry   string // name of the entry that burned
	Block   string // day or session in which every entry burns once; "" = not blocked
	Order   int    // place in the order of burning over the whole trial, from 1; 0 = unknown
	Tester  string
	Date    string            // as written
	Station int               // place on the bench, 0 = the only one
	Levels  map[string]string // level of each crossed factor, such as wind = "fan low"

	Fuel   Fuel
	Water  Water
	Site   Site                                   // readings that differ from the trial's site
	Burner quantity.Reading[quantity.Temperature] // the burner's body at light, if it was not at air temperature

	Marks    map[Mark]quantity.Reading[time.Duration] // from light
	BoilBy   BoilKind
	Faults   []Fault
	Failures []Failure
	Simmer   Simmer

	Void  string // reason for leaving the burn out, decided by the tester; "" = it counts
	Notes string
	Where finding.Place
}

// At returns the time of a mark from light; light itself is always known.
func (r Record) At(m Mark) (time.Duration, bool) {
	if m == Light {
		return 0, true
	}
	t, ok := r.Marks[m]
	return t.Value, ok && t.Given
}

// Unlit reports a burn that was left out before anybody lit it: nothing is missing in it.
func (r Record) Unlit() bool {
	for _, t := range r.Marks {
		if t.Given {
			return false
		}
	}
	return r.Void != "" && len(r.Faults) == 0
}

// FaultBefore returns the first fault that came before t, or at an unknown time.
func (r Record) FaultBefore(t time.Duration) (Fault, bool) {
	for _, f := range r.Faults {
		if f.Kind != BoilOver && (!f.At.Given || f.At.Value <= t) {
			return f, true
		}
	}
	return Fault{}, false
}

// Fault is one thing that went wrong, with its time from light when known.
type Fault struct {
	Kind FaultKind
	At   quantity.Reading[time.Duration]
}

// Weighed says what stood on the scale at each stage of the fuel.
type Weighed string

// What may stand on the scale. Only differences are used, so the same tare
// must hold at every stage.
const (
	FuelOnly      Weighed = "fuel"
	BurnerAndFuel Weighed = "burner and fuel"
	Stack         Weighed = "stack" // burner, stand, pot and water: the loss holds steam too
)

// ToBoilBy says how the fuel burned up to the boil is known.
type ToBoilBy string

// The ways. NotMeasured: the burn timed the boil but did not weigh it.
// AllBurned is never written down: it is what a boil just after flame-out amounts to.
const (
	NotMeasured   ToBoilBy = ""
	AllBurned     ToBoilBy = "all of it, out before the boil"
	SnuffedAtBoil ToBoilBy = "snuffed at the boil"
	ScaleBurner   ToBoilBy = "scale under the burner"
	ScaleStack    ToBoilBy = "scale under the stack"
	Prorated      ToBoilBy = "prorated"
)

// Fuel holds the dose and the masses in stages, as read.
type Fuel struct {
	// Dose is what was poured by measure or by mass; it is never taken for
	// what was burned.
	DoseVolume  quantity.Reading[quantity.Volume]
	DoseMass    quantity.Reading[quantity.Mass]
	Temperature quantity.Reading[quantity.Temperature] // of the fuel when measured out

	Weighed Weighed
	// The stages: after pouring, when the pot went on, at the boil, and what
	// was left at the end.
	Poured, AtPotOn, AtBoil, Left quantity.Reading[quantity.Mass]
	// LeftNothing: the tester saw the burner dry after flame-out and did not weigh it.
	LeftNothing bool
	ToBoilBy    ToBoilBy
}

// Water holds the water in the pot. Masses are weighed; a volume is turned
// into a mass by its density, with the measure's tolerance.
type Water struct {
	Mass    quantity.Reading[quantity.Mass]
	Volume  quantity.Reading[quantity.Volume]
	End     quantity.Reading[quantity.Mass] // left at the boil, or when the pot came off
	Start   quantity.Reading[quantity.Temperature]
	Peak    quantity.Reading[quantity.Temperature] // highest stirred reading, when it did not boil
	PeakAt  quantity.Reading[time.Duration]
	Boiling quantity.Reading[quantity.Temperature] // read at the boil
}

// Simmer is a low-power phase of steady burning, with weighings at its ends.
type Simmer struct {
	FuelStart, FuelEnd   quantity.Reading[quantity.Mass]
	WaterStart, WaterEnd quantity.Reading[quantity.Mass]
}

// Site is where a burn took place. Of the pressures, station pressure leads;
// else altimeter setting with elevation; else elevation alone, with a finding.
type Site struct {
	Name      string
	Station   quantity.Reading[quantity.Pressure]
	Altimeter quantity.Reading[quantity.Pressure] // QNH: what an altimeter is set to
	Elevation quantity.Reading[quantity.Length]   // from the map, above sea level
	Air       quantity.Reading[quantity.Temperature]
	Humidity  quantity.Reading[quantity.Ratio]
	Wind      quantity.Reading[quantity.Speed]
	WindWord  string // "still", "draught", "breeze", as seen
}

// Over returns s with every reading that o gives in place of its own. A height
// of its own leaves the barometer behind; an altimeter setting still holds there.
func (s Site) Over(o Site) Site {
	if o.Name != "" {
		s.Name = o.Name
	}
	if o.Station.Given || o.Altimeter.Given {
		// A pressure of the burn replaces both of the trial's: an older
		// barometer reading must not outrank a newer altimeter setting.
		s.Station, s.Altimeter = o.Station, o.Altimeter
	}
	if o.Elevation.Given {
		if !o.Station.Given && (!s.Elevation.Given || o.Elevation.Value != s.Elevation.Value) {
			s.Station = quantity.Reading[quantity.Pressure]{} // it was read at another height
		}
		s.Elevation = o.Elevation
	}
	if o.Air.Given {
		s.Air = o.Air
	}
	if o.Humidity.Given {
		s.Humidity = o.Humidity
	}
	if o.Wind.Given || o.WindWord != "" {
		s.Wind, s.WindWord = o.Wind, o.WindWord
	}
	return s
}

// Usable returns the site without readings that are not numbers, and what was
// found; the findings' places have only their field.
func (s Site) Usable() (Site, []finding.Finding) {
	var c checker
	number(&c, "site.station_pressure", &s.Station, float64(s.Station.Value))
	number(&c, "site.altimeter_setting", &s.Altimeter, float64(s.Altimeter.Value))
	number(&c, "site.elevation", &s.Elevation, float64(s.Elevation.Value))
	number(&c, "site.humidity", &s.Humidity, float64(s.Humidity.Value))
	number(&c, "site.wind", &s.Wind, float64(s.Wind.Value))
	temperature(&c, "site.air", &s.Air)
	for i := range c.found {
		c.found[i].Where.Subject = ""
	}
	return s, c.found
}
