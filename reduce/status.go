package reduce

import (
	"time"

	"fairburn/burn"
)

// Status is what a burn's boil counts as.
type Status string

// The statuses.
const (
	Boiled          Status = "boiled"            // boil before the flame ended
	BoiledPostFlame Status = "boiled_post_flame" // boil within the grace after the flame's end
	NoBoil          Status = "no_boil"           // the flame went out first; an outcome, never dropped
	RightCensored   Status = "right_censored"    // the tester stopped it before a boil
	Interval        Status = "interval"          // the boil is only known between two looks
	Invalid         Status = "invalid"           // a fault before the boil, or marks that cannot be
)

// HasBoil reports whether the burn has a boil time.
func (s Status) HasBoil() bool { return s == Boiled || s == BoiledPostFlame || s == Interval }

// outcome is how a burn ended, with its times from light.
type outcome struct {
	status     Status
	boil       time.Duration // of a boil
	notBefore  time.Duration // of an interval: the last look without a boil
	censor     time.Duration // of a burn without a boil
	end        time.Duration // of the flame
	endKnown   bool
	snuffed    bool
	flameOut   bool // the competing event: the flame ended before a boil
	late       bool // a boil mark was rejected for coming too long after the flame's end
	disordered bool // the marks cannot be
	fault      burn.Fault
}

// boilAt is the boil in seconds: of an interval, its middle.
func (o *outcome) boilAt() float64 {
	if o.status == Interval {
		return (o.boil + o.notBefore).Seconds() / 2
	}
	return o.boil.Seconds()
}

// classify finds the status that the marks amount to.
func classify(r *burn.Record, grace time.Duration) outcome {
	var o outcome
	out, isOut := r.At(burn.Out)
	snuff, isSnuff := r.At(burn.Snuffed)
	o.snuffed = isSnuff && !isOut
	o.end, o.endKnown = out, isOut
	if o.snuffed {
		o.end, o.endKnown = snuff, true
	}
	boil, hasBoil := r.At(burn.Boil)
	potOn, _ := r.At(burn.PotOn)
	if !r.InOrder() || hasBoil && boil <= potOn || o.endKnown && o.end <= potOn {
		return outcome{status: Invalid, disordered: true}
	}
	if hasBoil && o.endKnown && boil > o.end+grace {
		o.late, hasBoil = true, false
	}
	if hasBoil {
		o.boil = boil
		o.status, o.notBefore = boiledStatus(r, o)
	} else {
		o = noBoil(r, o)
	}
	if f, ok := r.FaultBefore(max(o.boil, o.censor)); ok {
		return outcome{status: Invalid, fault: f, end: o.end, endKnown: o.endKnown, snuffed: o.snuffed, late: o.late}
	}
	return o
}

// boiledStatus tells the three kinds of boil apart. A boil between two looks of which
// the first was made while the flame burned may have been before its end.
func boiledStatus(r *burn.Record, o outcome) (s Status, notBefore time.Duration) {
	looked, isLooked := r.At(burn.NotBoiling)
	switch {
	case isLooked && (!o.endKnown || looked < o.end):
		return Interval, looked
	case o.endKnown && o.boil > o.end:
		return BoiledPostFlame, 0
	}
	return Boiled, 0
}

func noBoil(r *burn.Record, o outcome) outcome {
	off, isOff := r.At(burn.PotOff)
	switch {
	case isOff && (!o.endKnown || off < o.end):
		o.status, o.censor = RightCensored, off
	case o.snuffed:
		o.status, o.censor = RightCensored, o.end
	case o.endKnown:
		o.status, o.censor, o.flameOut = NoBoil, o.end, true
	default:
		o.status = Invalid
	}
	return o
}
