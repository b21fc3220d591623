package reduce

import (
	"time"

	"fairburn/burn"
)

// Status is what a burn's boil counts as.
type Status string

// The statuses, by rules R1 to R6.
const (
	Boiled          Status = "boiled"            // R1: boil before the flame ended
	BoiledPostFlame Status = "boiled_post_flame" // R2: boil within the grace after flame-out
	NoBoil          Status = "no_boil"           // R3: the flame ended first; an outcome, never dropped
	RightCensored   Status = "right_censored"    // R4: the tester stopped it before a boil
	Interval        Status = "interval"          // R5: the boil is only known between two looks
	Invalid         Status = "invalid"           // R6: a fault before the boil, or marks that cannot be
)

// HasBoil reports whether the burn has a boil time.
func (s Status) HasBoil() bool { return s == Boiled || s == BoiledPostFlame || s == Interval }

// outcome is how a burn ended, with its times from light.
type outcome struct {
	status    Status
	boil      time.Duration // of a boil
	notBefore time.Duration // of an interval: the last look without a boil
	censor    time.Duration // of a burn without a boil
	end       time.Duration // of the flame
	endKnown  bool
	snuffed   bool
	flameOut  bool // the competing event: the flame ended before a boil
	late      bool // a boil mark was rejected for coming too long after flame-out
	fault     burn.Fault
}

// classify applies R1 to R6 to the marks.
func classify(r burn.Record, grace time.Duration) outcome {
	var o outcome
	out, isOut := r.At(burn.Out)
	snuff, isSnuff := r.At(burn.Snuffed)
	o.snuffed = isSnuff && !isOut
	o.end, o.endKnown = out, isOut
	if o.snuffed {
		o.end, o.endKnown = snuff, true
	}
	boil, hasBoil := r.At(burn.Boil)
	if hasBoil && isOut && boil > out+grace {
		o.late, hasBoil = true, false
	}
	last := o.end
	if hasBoil {
		last = boil
	}
	if f, ok := r.FaultBefore(last); ok {
		o.status, o.fault = Invalid, f
		return o
	}
	if hasBoil {
		o.boil = boil
		o.status = boiledStatus(r, &o, isOut, out)
		return o
	}
	return noBoil(r, o, isOut)
}

func boiledStatus(r burn.Record, o *outcome, isOut bool, out time.Duration) Status {
	if isOut && o.boil > out {
		return BoiledPostFlame
	}
	if looked, ok := r.At(burn.NotBoiling); ok {
		o.notBefore = looked
		return Interval
	}
	return Boiled
}

func noBoil(r burn.Record, o outcome, isOut bool) outcome {
	off, isOff := r.At(burn.PotOff)
	switch {
	case isOff && (!o.endKnown || off < o.end):
		o.status, o.censor = RightCensored, off
	case isOut:
		o.status, o.censor, o.flameOut = NoBoil, o.end, true
	case o.snuffed:
		o.status, o.censor = RightCensored, o.end
	default:
		o.status = Invalid
	}
	return o
}
