package report

import (
	"math"
	"testing"

	"fairburn/quantity"
	"fairburn/reduce"
)

// Every kind of metric in both systems. Units by definition: 1 oz is
// 28.349523125 g and 1 US fl oz 29.5735295625 mL (NIST SP 811, 2008, B.8).
func TestValueChoosesUnits(t *testing.T) {
	for _, row := range []struct {
		metric     reduce.Metric
		value      float64
		metricText string
		us         string
	}{
		{reduce.BoilTime, 432, "7:12", "7:12"},
		{reduce.BoilTime, 59.6, "1:00", "1:00"},
		{reduce.BoilTime, 3723, "1:02:03", "1:02:03"},
		{reduce.FuelTotal, 0.0141747615625, "14.2 g", "0.50 oz"},
		{reduce.RefFuelVolume, 29.5735295625e-6, "29.6 mL", "1.00 fl oz"},
		{reduce.FuelPerWater, 0.0252, "25.2 g/kg", "0.40 oz/lb"},
		{reduce.EnergyPerWater, 646e3, "646 kJ/kg", "646 kJ/kg"},
		{reduce.HeatingValue, 25.635e6, "25.64 MJ/kg", "25.64 MJ/kg"},
		{reduce.HeatWater, 169.38e3, "169.4 kJ", "169.4 kJ"},
		{reduce.MeanPower, 749.33, "749 W", "749 W"},
		{reduce.BurnRate, 1.7829e-3 / 60, "1.78 g/min", "0.063 oz/min"},
		{reduce.EtaWater, 0.52439, "52.4 %", "52.4 %"},
		{reduce.Correction, 0.98907, "0.989", "0.989"},
		{reduce.BoilingPoint, 100, "100.0 °C", "212.0 °F"},
		{reduce.BoilTime, math.Inf(1), "never", "never"},
		{reduce.FuelTotal, math.NaN(), "—", "—"},
	} {
		if got := Units(quantity.Metric).Value(row.metric, row.value); got != row.metricText {
			t.Errorf("%s of %g: %q, expected %q", row.metric.Info().Key, row.value, got, row.metricText)
		}
		if got := Units(quantity.US).Value(row.metric, row.value); got != row.us {
			t.Errorf("%s of %g in US units: %q, expected %q", row.metric.Info().Key, row.value, got, row.us)
		}
	}
}

func TestEveryMetricHasAUnit(t *testing.T) {
	for _, m := range reduce.Metrics() {
		for _, sys := range []quantity.System{quantity.Metric, quantity.US, quantity.Imperial} {
			if unit := Units(sys).Unit(m); unit == "" && m.Info().Kind != reduce.Number {
				t.Errorf("%s has no unit in %v", m.Info().Key, sys)
			}
		}
	}
}

// Half-widths decide digits, on both sides of where they change.
func TestDigitsFollowTheHalfWidth(t *testing.T) {
	u := Units(quantity.Metric)
	for _, row := range []struct{ got, want string }{
		{u.PlusMinus(reduce.RefTime, 427.77, 7.4), "7:08 ± 7 s"},
		{u.PlusMinus(reduce.RefTime, 427.77, 1), "7:08 ± 1 s"},
		{u.PlusMinus(reduce.RefTime, 427.77, 0.94), "7:07.8 ± 0.9 s"},
		{u.PlusMinus(reduce.FuelTotal, 0.0252, 0.00031), "25.20 ± 0.31 g"},
		{u.PlusMinus(reduce.FuelTotal, 0.0252, 0.0031), "25.2 ± 3.1 g"},
		{u.PlusMinus(reduce.FuelTotal, 0.0252, 0.012), "25 ± 12 g"},
		{u.PlusMinus(reduce.FuelTotal, 0.0252, 0), "25.2 g"},
		{u.PlusMinus(reduce.FuelTotal, 0.0252, math.NaN()), "25.2 g"},
		{u.PlusMinus(reduce.BoilingPoint, 98.2071, 0.033), "98.21 ± 0.03 °C"},
		{Units(quantity.US).PlusMinus(reduce.BoilingPoint, 100, 1), "212.0 ± 1.8 °F"},
		{u.Interval(reduce.RefTime, 376, 410), "6:16 to 6:50"},
		{u.Interval(reduce.RefTime, 376, 377.9), "6:16.0 to 6:17.9"},
		{u.Interval(reduce.FuelTotal, 0.012, 0.01446), "12.0 to 14.5 g"},
		{u.Interval(reduce.FuelTotal, 0.012, 0.01204), "12.00 to 12.04 g"},
		{u.Interval(reduce.FuelTotal, 0.012, 0.012), "—"},
		{u.Interval(reduce.FuelTotal, 0, math.Inf(1)), "—"},
		{u.Within(reduce.MeanPower, 811.4, 700, 930), "810 W"},
		{u.Within(reduce.MeanPower, 811.4, 805, 818), "811 W"},
		{u.Within(reduce.MeanPower, 811.4, 0, 0), "811 W"},
		{u.Mass(14.3 * quantity.Gram), "14.3 g (1/2 oz)"},
		{Units(quantity.US).Mass(14.3 * quantity.Gram), "1/2 oz (14.3 g)"},
	} {
		if row.got != row.want {
			t.Errorf("%q, expected %q", row.got, row.want)
		}
	}
}

// A figure of a burn carries what limits it.
func TestFiguresAreMarked(t *testing.T) {
	u := Units(quantity.Metric)
	for _, row := range []struct {
		figure reduce.Figure
		want   string
	}{
		{reduce.Figure{}, "12.0 g"},
		{reduce.Figure{Bound: reduce.AtMost}, "≤ 12.0 g"},
		{reduce.Figure{Bound: reduce.AtLeast}, "≥ 12.0 g"},
		{reduce.Figure{Estimated: true}, "est. 12.0 g"},
		{reduce.Figure{OutOfRange: true}, "12.0 g (outside the range)"},
	} {
		if got := mark(row.figure, u.Value(reduce.FuelTotal, 0.012)); got != row.want {
			t.Errorf("%+v is printed %q, expected %q", row.figure, got, row.want)
		}
	}
}
