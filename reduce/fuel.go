package reduce

import (
	"slices"
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
	dose               difference // no figure may exceed it
	bound              bool       // boil is only an upper bound
	dry                bool       // nothing left was seen, not weighed
	disputed           bool       // the record names another way than its readings allow
}

// stage is one reading of a scale, by a name that stands in budgets.
type stage struct {
	name string
	quantity.Reading[quantity.Mass]
}

// difference is one mass less another of the same scale. Differences of one
// burn may have a stage in common, whose error then cancels between them.
type difference struct {
	known         bool
	value         float64
	before, after stage // nothing was given after where the scale was tared
	// poured: not weighed but measured by volume; before then holds the volume, as mass.
	poured bool
}

func less(before, after stage) difference {
	if !before.Given || !after.Given {
		return difference{}
	}
	return difference{known: true, value: float64(before.Value - after.Value), before: before, after: after}
}

// dryResidue is the half-width of what a burner seen dry may still hold
// (a prior value for jets and gaps; common practice, no source).
const dryResidue = 0.3e-3 // kg

// longAfter is how long after the boil a burner may be snuffed and the
// weighing still count as fuel to boil (common practice, no source).
const longAfter = 10 * time.Second

// weighings chooses between the readings of a burn's fuel.
type weighings struct {
	*burn.Record
	outcome *outcome
	first   stage
	steam   difference // water gone as steam up to the boil
	use     *fuelUse
}

// fuelOf reads the stages. dose is the dose as a mass, steam what the water lost.
func fuelOf(r *burn.Record, o *outcome, dose, steam difference) fuelUse {
	u := fuelUse{dose: dose}
	w := weighings{r, o, stage{"fuel at light", r.Fuel.Poured}, steam, &u}
	if !w.first.Given && r.Fuel.Weighed == burn.FuelOnly {
		w.first = stage{"dose", r.Fuel.DoseMass}
	}
	u.prime = less(w.first, stage{"fuel at pot-on", r.Fuel.AtPotOn})
	if !w.happened(burn.Refilled) { // what was poured again was not in the first weighing
		u.total, u.dry = w.total()
	}
	if !o.status.HasBoil() {
		return u
	}
	u.boil, u.by = w.toBoil()
	named := r.Fuel.ToBoilBy
	u.disputed = named != burn.NotMeasured && named != u.by && u.by != burn.AllBurned
	if u.by == burn.ScaleStack {
		u.bound = !steam.known
	}
	if u.by == burn.NotMeasured {
		u.boil, u.bound = u.total, true
		if !u.total.known {
			u.boil = dose
		}
	}
	return u
}

func (w *weighings) happened(kinds ...burn.FaultKind) bool {
	return slices.ContainsFunc(w.Faults, func(f burn.Fault) bool { return slices.Contains(kinds, f.Kind) })
}

// onStack reports a scale that carried the water too.
func (w *weighings) onStack() bool {
	return w.Fuel.Weighed == burn.Stack || w.Fuel.ToBoilBy == burn.ScaleStack
}

// total is all that burned: weighed, or the dose of a burner that ran dry.
func (w *weighings) total() (d difference, dry bool) {
	if !w.onStack() {
		if d := less(w.first, stage{"fuel left", w.Fuel.Left}); d.known {
			return d, false
		}
	}
	if w.Fuel.LeftNothing && !w.outcome.snuffed {
		return w.use.dose, w.use.dose.known
	}
	return difference{}, false
}

// toBoil is the fuel burned up to the boil by the way that the record names,
// if its readings allow that, else by the best that they do allow.
func (w *weighings) toBoil() (difference, burn.ToBoilBy) {
	for _, by := range [...]burn.ToBoilBy{burn.AllBurned, w.Fuel.ToBoilBy, burn.ScaleStack, burn.ScaleBurner, burn.SnuffedAtBoil, burn.Prorated} {
		if d := w.by(by); d.known {
			return d, by
		}
	}
	return difference{}, burn.NotMeasured
}

// by is the mass that stands for fuel to boil by one way, unknown if the
// burn does not have it.
func (w *weighings) by(by burn.ToBoilBy) difference {
	o := w.outcome
	switch {
	case by == burn.AllBurned && o.status == BoiledPostFlame:
		return w.use.total
	case by == burn.ScaleStack && w.onStack():
		return w.stackLoss()
	case by == burn.ScaleBurner && !w.onStack():
		return w.atBoil()
	case by == burn.SnuffedAtBoil && (o.snuffed && o.end <= o.boil+longAfter || !o.endKnown && w.Fuel.ToBoilBy == by):
		return w.use.total
	case by == burn.Prorated && o.endKnown && !w.happened(burn.Relit, burn.BlownOut): // no clock of the flame with gaps
		return w.use.total
	}
	return difference{}
}

func (w *weighings) atBoil() difference {
	return less(w.first, stage{"fuel at the boil", w.Fuel.AtBoil})
}

// stackLoss is what a scale under burner, stand and pot lost up to the boil,
// less the steam when the water was weighed again.
func (w *weighings) stackLoss() difference {
	d := w.atBoil()
	d.value -= w.steam.value
	d.known = d.known && d.value > 0 // else one of the two scales is wrong
	return d
}
