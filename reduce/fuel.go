package reduce

import (
	"time"

	"fairburn/burn"
	"fairburn/quantity"
)

// fuelUse is what the weighings of a burn say about fuel gone, in kg. A mass
// that was not weighed is missing, whatever the dose was: a dose is an upper
// bound of what can have burned and nothing more.
type fuelUse struct {
	total, boil, prime difference
	by                 burn.ToBoilBy
	dose               float64 // mass of the dose, 0 when unknown: no figure may exceed it
	boilBound          bool    // boil is only an upper bound
	dry                bool    // nothing left was seen, not weighed
}

// difference is one mass less another of the same scale.
type difference struct {
	known bool
	value float64
	step  float64 // of the display
	scale string
}

func less(before, after quantity.Reading[quantity.Mass]) difference {
	if !before.Given || !after.Given {
		return difference{}
	}
	return difference{
		known: true, value: float64(before.Value - after.Value),
		step: max(before.Step, after.Step), scale: before.Instrument,
	}
}

// dryResidue is the half-width of what a burner seen dry may still hold
// (a prior value for jets and gaps; common practice, no source).
const dryResidue = 0.3e-3 // kg

// longAfter is how long after the boil a burner may be snuffed and the
// weighing still count as fuel to boil (common practice, no source).
const longAfter = 10 * time.Second

// fuelOf reads the stages. doseMass is the dose as a mass, 0 when unknown.
func fuelOf(r burn.Record, o outcome, doseMass float64) fuelUse {
	f := r.Fuel
	u := fuelUse{dose: doseMass}
	first := f.Poured
	if !first.Given && f.Weighed == burn.FuelOnly {
		first = f.DoseMass
	}
	u.prime = less(first, f.AtPotOn)
	if f.Weighed != burn.Stack {
		u.total = less(first, f.Left)
	}
	if !u.total.known && f.LeftNothing && doseMass > 0 {
		u.total, u.dry = difference{known: true, value: doseMass, step: first.Step, scale: first.Instrument}, true
	}
	u.by = toBoilBy(f, o)
	switch u.by {
	case burn.SnuffedAtBoil:
		u.boil = u.total
	case burn.ScaleBurner:
		u.boil = less(first, f.AtBoil)
	case burn.ScaleStack:
		u.boil = stackLoss(r, first)
		u.boilBound = !r.Water.End.Given
	case burn.Prorated:
		u.boil = difference{known: u.total.known, value: u.total.value, step: u.total.step, scale: u.total.scale}
	}
	if !u.boil.known && o.status.HasBoil() && u.dose > 0 {
		u.by, u.boilBound = burn.NotMeasured, true
		u.boil = difference{known: true, value: u.dose, step: first.Step, scale: first.Instrument}
	}
	return u
}

// toBoilBy is what the record says of how fuel to boil is known, or what its
// weighings amount to.
func toBoilBy(f burn.Fuel, o outcome) burn.ToBoilBy {
	switch {
	case !o.status.HasBoil():
		return burn.NotMeasured
	case f.ToBoilBy != burn.NotMeasured:
		return f.ToBoilBy
	case f.AtBoil.Given && f.Weighed == burn.Stack:
		return burn.ScaleStack
	case f.AtBoil.Given:
		return burn.ScaleBurner
	case o.snuffed && o.end <= o.boil+longAfter:
		return burn.SnuffedAtBoil
	case o.endKnown:
		return burn.Prorated
	}
	return burn.NotMeasured
}

// stackLoss is what a scale under burner, stand and pot lost up to the boil,
// less the steam when the water was weighed again.
func stackLoss(r burn.Record, first quantity.Reading[quantity.Mass]) difference {
	d := less(first, r.Fuel.AtBoil)
	if steam := less(r.Water.Mass, r.Water.End); d.known && steam.known {
		d.value -= steam.value
		d.step = max(d.step, steam.step)
	}
	return d
}
