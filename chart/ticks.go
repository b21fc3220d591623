package chart

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Scale is how an axis divides and writes its numbers.
type Scale uint8

// The scales.
const (
	Plain   Scale = iota // decimal numbers
	Clock                // values in seconds, written m:ss
	Percent              // values as fractions, written in per cent
	Whole                // counts, such as days: no tick between two of them
)

// tick is a round value with its text.
type tick struct {
	at   float64
	text string
}

// ticks divides lo to hi, widened to round values, into at most most steps.
// The first tick is at or below lo, the last at or above hi.
func (s Scale) ticks(lo, hi float64, most int) []tick {
	lo, hi = apart(lo, hi)
	if s == Whole && hi-lo < 1 {
		lo = math.Floor(lo)
		hi = max(hi, lo+1)
	}
	step := s.step((hi - lo) / float64(most))
	for steps(lo, hi, step) > most {
		step = s.step(step * 1.0001)
	}
	first := floor(lo / step)
	all := make([]tick, steps(lo, hi, step)+1)
	for i := range all {
		v := (first+float64(i))*step + 0 // + 0 turns -0 into 0
		all[i] = tick{v, s.write(v, step)}
	}
	return all
}

// apart widens a range that is too narrow to be divided.
func apart(lo, hi float64) (float64, float64) {
	size := max(math.Abs(lo), math.Abs(hi))
	if hi-lo > size*1e-9 {
		return lo, hi
	}
	if size < negligible {
		size = 10
	}
	return lo - size/20, hi + size/20
}

// negligible is what no axis can tell from zero.
const negligible = 1e-200

func steps(lo, hi, step float64) int { return int(ceil(hi/step) - floor(lo/step)) }

// floor and ceil forgive a quotient that misses a whole number by rounding.
func floor(q float64) float64 { return math.Floor(q + 1e-9) }
func ceil(q float64) float64  { return math.Ceil(q - 1e-9) }

// clockSteps are the round numbers of seconds up to an hour.
var clockSteps = []float64{1, 2, 5, 10, 15, 20, 30, 60, 120, 300, 600, 900, 1200, 1800, 3600}

// step is the smallest round step of at least want.
func (s Scale) step(want float64) float64 {
	if s == Whole {
		return Plain.step(max(want, 1))
	}
	if s == Clock && want > 0.5 {
		for _, c := range clockSteps {
			if want <= c*(1+1e-9) {
				return c
			}
		}
		return 3600 * Plain.step(want/3600)
	}
	power := math.Pow(10, math.Floor(math.Log10(want)))
	for _, m := range []float64{1, 2, 5, 10} {
		if want <= m*power*(1+1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// write writes a tick with the digits that its step needs.
func (s Scale) write(v, step float64) string {
	switch s {
	case Clock:
		return clock(v, step)
	case Percent:
		return decimal(100*v, 100*step) + "\u00a0%"
	}
	return decimal(v, step)
}

func decimal(v, step float64) string {
	digits := int(max(0, -floor(math.Log10(step))))
	text := strconv.FormatFloat(v, 'f', digits, 64)
	if digits > 6 || math.Abs(v) >= 1e7 {
		text = strconv.FormatFloat(v, 'g', 4, 64)
	}
	return strings.Replace(text, "-", "\u2212", 1)
}

// clock writes seconds as m:ss, with a decimal if the step is below a second.
func clock(v, step float64) string {
	sign := ""
	if v < 0 {
		sign, v = "\u2212", -v
	}
	digits := int(max(0, -floor(math.Log10(step))))
	unit := math.Pow(10, float64(digits))
	whole := math.Round(v * unit)
	minutes := math.Floor(whole / (60 * unit))
	seconds := (whole - minutes*60*unit) / unit
	width := 2
	if digits > 0 {
		width = 3 + digits
	}
	return fmt.Sprintf("%s%.0f:%0*.*f", sign, minutes, width, digits, seconds)
}
