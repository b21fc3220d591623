package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"fairburn/quantity"
	"fairburn/reduce"
)

// Units prints figures in one system. It is the only place that chooses the
// unit and the digits of a metric; values and widths are in SI, temperatures in °C.
type Units quantity.System

// String names them: "metric units", "US units".
func (u Units) String() string {
	return strings.Replace(quantity.System(u).String(), "us", "US", 1) + " units"
}

// absent stands where there is no figure.
const absent = "—"

// scaled is a metric's value in the unit that it is printed in, with the digits
// after the point that a plain figure gets.
type scaled struct {
	value  float64
	unit   string
	digits int
}

func (u Units) scale(m reduce.Metric, v float64) scaled {
	sys, info := quantity.System(u), m.Info()
	with := func(digits int) func(float64, string) scaled {
		return func(x float64, unit string) scaled { return scaled{x, unit, digits} }
	}
	metric := sys == quantity.Metric
	switch info.Kind {
	case reduce.Time:
		return scaled{v, "s", 0}
	case reduce.Mass:
		return with(pick(metric, 1, 2))(quantity.In(quantity.Mass(v), sys))
	case reduce.Volume:
		return with(pick(metric, 1, 2))(quantity.In(quantity.Volume(v), sys))
	case reduce.MassPerMass:
		return pick(metric, scaled{v * 1e3, "g/kg", 1}, scaled{v * 16, "oz/lb", 2})
	case reduce.EnergyPerMass:
		return pick(info.Scale == 1e6, scaled{v / 1e6, "MJ/kg", 2}, scaled{v / 1e3, "kJ/kg", 0})
	case reduce.Energy:
		return with(1)(quantity.In(quantity.Energy(v), sys))
	case reduce.Power:
		return with(0)(quantity.In(quantity.Power(v), sys))
	case reduce.MassPerTime:
		x, unit := quantity.In(quantity.Mass(v*60), sys)
		return scaled{x, unit + "/min", pick(metric, 2, 3)}
	case reduce.Share:
		return with(1)(quantity.In(quantity.Ratio(v), sys))
	case reduce.Temperature:
		return with(1)(quantity.In(quantity.Celsius(v), sys))
	}
	return scaled{v, "", 3}
}

func pick[T any](first bool, a, b T) T {
	if first {
		return a
	}
	return b
}

// Unit is the unit that a metric is printed in: "g", "m:ss", "%"; "" for a number.
func (u Units) Unit(m reduce.Metric) string {
	if m.Info().Kind == reduce.Time {
		return "m:ss"
	}
	return u.scale(m, 0).unit
}

// Number is a value in the unit of Unit, times in seconds: for the axis of a chart.
func (u Units) Number(m reduce.Metric, v float64) float64 { return u.scale(m, v).value }

// Value prints a value alone with the digits usual for it: "6:15", "12.6 g",
// "52.4 %". A time that never came is "never", a value that is not known "—".
func (u Units) Value(m reduce.Metric, v float64) string {
	s := u.scale(m, v)
	switch {
	case math.IsNaN(v):
		return absent
	case math.IsInf(v, 1):
		return "never"
	case m.Info().Kind == reduce.Time:
		return clock(v, 0)
	}
	return s.text(strconv.FormatFloat(s.value, 'f', s.digits, 64))
}

func (s scaled) text(number string) string { return strings.TrimSpace(number + " " + s.unit) }

// PlusMinus prints a value with its half-width, rounded by it: "12.60 ± 0.31 g",
// "7:08 ± 7 s". Without a half-width it prints as Value does.
func (u Units) PlusMinus(m reduce.Metric, v, half float64) string {
	if !(half > 0) || math.IsInf(half, 0) || math.IsNaN(v) || math.IsInf(v, 0) {
		return u.Value(m, v)
	}
	if m.Info().Kind == reduce.Time {
		tenths := tenthsOf(half)
		return clock(v, tenths) + " ± " + strconv.FormatFloat(half, 'f', tenths, 64) + " s"
	}
	s := u.scale(m, v)
	value, width := s.rounded(s.value, u.width(m, v, half), s.digits+1)
	return s.text(value + " ± " + width)
}

// Within prints a value rounded as its interval deserves, without the interval.
func (u Units) Within(m reduce.Metric, v, low, high float64) string {
	half := (high - low) / 2
	if !(half > 0) || math.IsInf(half, 0) || math.IsNaN(v) || math.IsInf(v, 0) {
		return u.Value(m, v)
	}
	if m.Info().Kind == reduce.Time {
		return clock(v, tenthsOf(half))
	}
	s := u.scale(m, v)
	value, _ := s.rounded(s.value, u.width(m, v, half), s.digits)
	return s.text(value)
}

// Interval prints an interval, both ends rounded by half its width: "5:58 to
// 6:32", "12.3 to 12.9 g"; "—" where there is none.
func (u Units) Interval(m reduce.Metric, low, high float64) string {
	half := (high - low) / 2
	if !(half > 0) || math.IsInf(half, 0) {
		return absent
	}
	if m.Info().Kind == reduce.Time {
		return clock(low, tenthsOf(half)) + " to " + clock(high, tenthsOf(half))
	}
	s, width := u.scale(m, low), u.width(m, low, half)
	from, _ := s.rounded(s.value, width, s.digits)
	to, _ := s.rounded(u.scale(m, high).value, width, s.digits)
	return s.text(from + " to " + to)
}

// rounded rounds a value by its half-width, to two digits of that, but to no
// more than so many after the point (one more where even that would hide the
// half-width): nobody reads a thousandth of a degree.
func (s scaled) rounded(value, half float64, most int) (string, string) {
	if half < math.Pow10(-most) {
		most++
	}
	stated := quantity.State(value, half, quantity.NearestEven)
	if _, decimals, _ := strings.Cut(stated.HalfWidth, "."); len(decimals) <= most {
		return stated.Value, stated.HalfWidth
	}
	return strconv.FormatFloat(value, 'f', most, 64), strconv.FormatFloat(max(half, math.Pow10(-most)), 'f', most, 64)
}

// width is a half-width in the unit of the metric, about v: a temperature's
// zero does not count.
func (u Units) width(m reduce.Metric, v, half float64) float64 {
	return u.scale(m, v+half).value - u.scale(m, v).value
}

// half prints a standard uncertainty or a contribution to one, two digits: "3.1 s".
func (u Units) half(m reduce.Metric, v, part float64) string {
	width := math.Abs(u.width(m, v, part))
	if !(width > 0) {
		return absent
	}
	return u.scale(m, v).text(quantity.State(v, width, quantity.NearestEven).HalfWidth)
}

// tenthsOf is the digits after the point of seconds with a half-width: marks by
// eye deserve whole seconds.
func tenthsOf(half float64) int { return pick(half < 1, 1, 0) }

func clock(seconds float64, digits int) string {
	return quantity.FormatDuration(time.Duration(math.Round(seconds*1e9)), digits)
}

// Mass prints the mass of a thing: grams and the nearest eighth of an ounce,
// which is how the trade speaks, whatever the system: "14.2 g (1/2 oz)".
func (u Units) Mass(m quantity.Mass) string {
	if quantity.System(u) == quantity.Metric {
		return fmt.Sprintf("%s (%s)", quantity.Format(m, quantity.Metric), quantity.FormatEighths(m))
	}
	return fmt.Sprintf("%s (%s)", quantity.FormatEighths(m), quantity.Format(m, quantity.Metric))
}

// Of prints a metric of a burn with its half-width at the level and what limits
// it: "≤ 12.6 g", "est. 15.2 ± 3.1 g", "6:15 ± 8 s (outside the range)"; "—" without one.
func (u Units) Of(r *reduce.Result, m reduce.Metric, level float64) string {
	f, ok := r.Figure(m)
	if !ok {
		return absent
	}
	text := u.PlusMinus(m, f.Value, halfWidth(r, m, level))
	return mark(f, text)
}

// Raw prints a metric of a burn without its half-width; a corrected figure
// outside the range of the correction is only named as such.
func (u Units) Raw(r *reduce.Result, m reduce.Metric) string {
	f, ok := r.Figure(m)
	if !ok {
		return absent
	}
	if f.OutOfRange {
		return "outside"
	}
	return mark(f, u.Value(m, f.Value))
}

// mark adds to a figure what limits it.
func mark(f reduce.Figure, text string) string {
	switch f.Bound {
	case reduce.AtMost:
		text = "≤ " + text
	case reduce.AtLeast:
		text = "≥ " + text
	}
	if f.Estimated {
		text = "est. " + text
	}
	if f.OutOfRange {
		text += " (outside the range)"
	}
	return text
}

// halfWidth is the expanded uncertainty of a burn's metric, 0 when unknown.
func halfWidth(r *reduce.Result, m reduce.Metric, level float64) float64 {
	b, ok := r.Budget(m)
	if !ok {
		return 0
	}
	x, err := b.Expanded(level)
	if err != nil {
		return 0
	}
	return x.U
}
