package stats

import (
	"fmt"
	"math"
	"testing"
)

// Source: ASTM E691, Table 5, critical values at 0.5 % (from memory; two
// decimals), and ISO 5725-2:1994, Table 6 (from memory).
func TestMandelHMeetsTheStandards(t *testing.T) {
	for _, row := range []struct {
		alpha float64
		from3 []float64 // by laboratories, from 3
	}{
		{0.005, []float64{1.15, 1.49, 1.74, 1.92, 2.05, 2.15, 2.23, 2.29}},
		{0.01, []float64{1.15, 1.49, 1.72, 1.87, 1.98, 2.06, 2.13, 2.18}},
		{0.05, []float64{1.15, 1.42, 1.57, 1.66, 1.71, 1.75, 1.78, 1.80}},
	} {
		for i, want := range row.from3 {
			got := must[float64](t)(MandelH(row.alpha, i+3))
			within(t, fmt.Sprintf("h of %d at %g", i+3, row.alpha), got, want, 5.0001e-3)
		}
	}
}

// Source: ASTM E691, Table 5, critical values at 0.5 % for 2 and 3 results a
// laboratory (from memory; two decimals).
func TestMandelKMeetsE691(t *testing.T) {
	for n, from3 := range map[int][]float64{
		2: {1.72, 1.95, 2.11, 2.22, 2.30, 2.36, 2.41, 2.45},
		3: {1.67, 1.82, 1.92, 1.98, 2.03, 2.06, 2.09, 2.11},
	} {
		for i, want := range from3 {
			p := i + 3
			got := must[float64](t)(MandelK(0.005, float64(n-1), float64((p-1)*(n-1))))
			within(t, fmt.Sprintf("k of %d laboratories, %d results", p, n), got, want, 5.0001e-3)
		}
	}
}

// Source: ISO 5725-2:1994, Table 4 (from memory; three decimals), after
// Eisenhart, Hastay, Wallis 1947, Techniques of Statistical Analysis, whose four
// decimals stand in for the standard's three where those end on a half (5 of 3).
func TestCochranLimitMeetsISO(t *testing.T) {
	for _, row := range []struct {
		p, n      int
		one, five float64 // per cent
	}{
		{2, 3, 0.995, 0.975}, {2, 4, 0.979, 0.939}, {3, 2, 0.993, 0.967}, {3, 3, 0.942, 0.871}, {3, 4, 0.883, 0.798},
		{4, 2, 0.968, 0.906}, {4, 3, 0.864, 0.768}, {4, 4, 0.781, 0.684}, {5, 2, 0.928, 0.841},
		{8, 2, 0.794, 0.680}, {8, 3, 0.615, 0.516},
	} {
		at := fmt.Sprintf("C of %d laboratories, %d results", row.p, row.n)
		within(t, at, must[float64](t)(CochranLimit(0.01, row.p, row.n)), row.one, 5.0001e-4)
		within(t, at, must[float64](t)(CochranLimit(0.05, row.p, row.n)), row.five, 5.0001e-4)
	}
	within(t, "C of 5 laboratories, 3 results", must[float64](t)(CochranLimit(0.01, 5, 3)), 0.7885, 5.0001e-5)
}

// Source: the formulas with qt and qf of R 4.2.2.
func TestLimitsMeetR(t *testing.T) {
	near(t, "h", must[float64](t)(MandelH(0.005, 8)), 2.15249152952, 1e-10)
	near(t, "h of many", must[float64](t)(MandelH(0.05, 12)), 1.82899162749, 1e-10)
	near(t, "k", must[float64](t)(MandelK(0.005, 2, 14)), 2.06084006455, 1e-10)
	near(t, "k of unequal n", must[float64](t)(MandelK(0.05, 3, 19)), 1.55696089351, 1e-10)
	near(t, "C", must[float64](t)(CochranLimit(0.05, 8, 3)), 0.515687457037, 1e-10)
}

// bcg is the vaccine trials of Colditz et al. 1994, JAMA 271:698: cases and
// others among the vaccinated, cases and others among the rest.
var bcg = [][4]float64{
	{4, 119, 11, 128}, {6, 300, 29, 274}, {3, 228, 11, 209}, {62, 13536, 248, 12619}, {33, 5036, 47, 5761},
	{180, 1361, 372, 1079}, {8, 2537, 10, 619}, {505, 87886, 499, 87892}, {29, 7470, 45, 7232}, {17, 1699, 65, 1600},
	{186, 50448, 141, 27197}, {5, 2493, 3, 2338}, {27, 16886, 29, 17825},
}

// logRisks are the logs of the ratios of risks.
func logRisks(rows [][4]float64) []Estimate {
	var es []Estimate
	for _, r := range rows {
		x, y := r[0]+r[1], r[2]+r[3]
		es = append(es, Estimate{Value: math.Log(r[0] / x * y / r[2]), SE: math.Sqrt(1/r[0] - 1/x + 1/r[2] - 1/y)})
	}
	return es
}

// The mean and Hartung and Knapp's standard error at a given τ².
//
// Source: the R package metafor (Viechtbauer 2010, Journal of Statistical
// Software 36:3), printed output of its random-effects model with REML and the
// Knapp-Hartung test for these data: tau² 0.3132, Q 152.2330 on 12, estimate
// -0.7145, se 0.1808, t -3.9522, interval -1.1084 to -0.3206.
func TestHartungKnappMeetsBCG(t *testing.T) {
	es := logRisks(bcg)
	within(t, "Q", weigh(es, 0).sum, 152.2330, 5.001e-5)
	m := weigh(es, 0.3132)
	se := math.Sqrt(m.sum / 12 / m.weight)
	within(t, "estimate", m.mean, -0.7145, 1e-4)
	within(t, "se", se, 0.1808, 1e-4)
	within(t, "t", m.mean/se, -3.9522, 2e-3)
	within(t, "low", m.mean-upperT(0.025, 12)*se, -1.1084, 2e-4)
	within(t, "high", m.mean+upperT(0.025, 12)*se, -0.3206, 2e-4)
}

// Source: tau² 0.3181 of the BCG data by Paule and Mandel's estimator, the R
// package metafor (from memory).
func TestPauleMandelMeetsBCG(t *testing.T) {
	within(t, "tau²", pauleMandel(logRisks(bcg)), 0.3181, 5.001e-5)
}

// Source: output of the R package metafor for Paule and Mandel's estimator with
// the Knapp-Hartung test, as cited beside a published regression test: m
// 0.22957, tau² 0.05930, prediction interval -0.70650 to 1.16564 by t_3.
func TestCombineMeetsFourGroups(t *testing.T) {
	var es []Estimate
	for i, y := range []float64{0.40, -0.20, 0.55, 0.10} {
		es = append(es, Estimate{Value: y, SE: math.Sqrt([]float64{0.05, 0.06, 0.04, 0.05}[i])})
	}
	c := must[Combined](t)(Combine(es, 0.95))
	within(t, "m", c.Value, 0.22957, 5.001e-6)
	within(t, "tau²", c.BetweenSD*c.BetweenSD, 0.05930, 5.001e-6)
	next := upperT(0.025, 3) * math.Hypot(c.SE, c.BetweenSD)
	within(t, "low", c.Value-next, -0.70650, 5.001e-6)
	within(t, "high", c.Value+next, 1.16564, 5.001e-6)
}
