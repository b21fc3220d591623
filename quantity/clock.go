package quantity

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
)

func wantSpan() string {
	return "a time as minutes:seconds (7:12, 7:12.5) or hours:minutes:seconds (1:02:33)"
}

func wantClock() string { return "a time of day on the 24-hour clock, 14:03 or 14:03:20" }

var colonText = regexp.MustCompile(`^ *(?:([0-9]{1,9}):)?([0-9]{1,9}):([0-9]{2})((?:\.[0-9]+)?) *`)

// colonTime is a time with colons, as written: the fields before the last, the
// last with its fraction, and the half-width in s.
type colonTime struct {
	fields    []int64
	last      float64
	places    int // digits after the point
	tolerance float64
}

// ParseDuration reads a mark or a span: "7:12" and "7:12.5" (minutes:seconds),
// "1:02:33" (hours:minutes:seconds), "90 s", "7.2 min", "1 h 2 min". A bare
// number and a negative time are refused. Value is to the nanosecond; Step and
// Tolerance are in s.
func ParseDuration(s string) (Reading[time.Duration], error) {
	if strings.Contains(s, ":") {
		return parseMark(s)
	}
	a, err := read(s, spanTable)
	if err != nil {
		return Reading[time.Duration]{}, err
	}
	if a.value*float64(time.Second) >= math.MaxInt64 {
		return Reading[time.Duration]{}, spanTable.fail(s, 1, "a time span is at most 292 years")
	}
	return reading(nanoseconds(a.value), s, a), nil
}

// parseMark reads m:ss or h:mm:ss.
func parseMark(s string) (Reading[time.Duration], error) {
	c, err := scanColons(s, wantSpan)
	if err != nil {
		return Reading[time.Duration]{}, err
	}
	minutes, unit := c.fields[0], "m:ss"
	if len(c.fields) == 2 {
		minutes, unit = 60*c.fields[0]+c.fields[1], "h:mm:ss"
	}
	if c.last >= 60 || len(c.fields) == 2 && c.fields[1] >= 60 {
		return Reading[time.Duration]{}, newScanner(s, wantSpan).fail(1, "minutes after hours, and seconds, stay under 60")
	}
	const most = math.MaxInt64/int64(time.Minute) - 1
	if minutes > most {
		return Reading[time.Duration]{}, newScanner(s, wantSpan).fail(1, "a time span is at most 292 years")
	}
	d := time.Duration(minutes)*time.Minute + nanoseconds(c.last)
	return reading(d, s, amount{step: math.Pow10(-c.places), tolerance: c.tolerance, unit: unit}), nil
}

// ParseClock reads a time of day, "14:03:20", "9:05" or "14:03:20.5", as the
// time since midnight. The day, and what happens over midnight, the caller knows.
func ParseClock(s string) (Reading[time.Duration], error) {
	c, err := scanColons(s, wantClock)
	if err != nil {
		return Reading[time.Duration]{}, err
	}
	hour, minute, second, unit, step := c.fields[0], c.last, 0.0, "h:mm", 60.0
	if len(c.fields) == 2 {
		minute, second, unit, step = float64(c.fields[1]), c.last, "h:mm:ss", math.Pow10(-c.places)
	}
	fail := newScanner(s, wantClock).fail
	switch {
	case hour > 23 || minute > 59 || second >= 60:
		return Reading[time.Duration]{}, fail(1, "hours run from 0 to 23, minutes and seconds from 0 to 59")
	case len(c.fields) == 1 && c.places > 0:
		return Reading[time.Duration]{}, fail(1, "write seconds after a second colon")
	}
	// The last digits of 23:59:59.9999999999 are cut, not carried into tomorrow.
	d := time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute + min(nanoseconds(second), time.Minute-1)
	return reading(d, s, amount{step: step, tolerance: c.tolerance, unit: unit}), nil
}

// scanColons reads the fields, and the half-width after ± with its own unit.
func scanColons(s string, want func() string) (colonTime, error) {
	sc := newScanner(s, want)
	m := colonText.FindStringSubmatch(sc.plain)
	if m == nil {
		return colonTime{}, sc.fail(1, "write two digits after each colon and no sign, such as 7:05")
	}
	sc.at = len(m[0])
	var c colonTime
	for _, field := range m[1:3] {
		if n, err := strconv.ParseInt(field, 10, 64); err == nil {
			c.fields = append(c.fields, n)
		}
	}
	c.last, _ = strconv.ParseFloat(m[3]+m[4], 64)
	c.places = max(0, len(m[4])-1)
	switch {
	case sc.rest() == "":
		return c, nil
	case strings.HasPrefix(sc.rest(), ","):
		return c, sc.fail(sc.column(), "use a decimal point: %q", strings.TrimSpace(strings.Replace(sc.plain, ",", ".", 1)))
	case !sc.skip(plusMinus):
		return c, sc.fail(sc.column(), "nothing but ± may follow the time: leave %q out", sc.rest())
	}
	w, err := sc.tolerance(writing{text: s, parts: []part{{}}})
	if err != nil {
		return c, err
	}
	u, err := spanTable.unitOf(w, *w.tolerance)
	c.tolerance = w.tolerance.value * u.factor
	return c, err
}

// nanoseconds rounds seconds to a time.Duration.
func nanoseconds(s float64) time.Duration {
	return time.Duration(math.Round(s * float64(time.Second)))
}
