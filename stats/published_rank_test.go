package stats

import (
	"testing"
)

// Hollander and Wolfe 1973, Nonparametric Statistical Methods, p. 69,
// permeability of chorioamnion; the example of R's wilcox.test.
var (
	chorionTerm  = []float64{0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46}
	chorionEarly = []float64{1.15, 0.88, 0.90, 0.74, 1.21}
)

// Efron and Tibshirani 1993, An Introduction to the Bootstrap, table 2.1,
// survival of mice in days.
var (
	miceTreated = []float64{94, 197, 16, 38, 99, 141, 23}
	miceControl = []float64{52, 104, 146, 10, 51, 30, 40, 27, 46}
)

func TestRankSumMeetsHollanderWolfe(t *testing.T) {
	r := must[RankSum](t)(RankSumTest(chorionTerm, chorionEarly))
	within(t, "W", r.W, 35, 0)                                      // Hollander and Wolfe 1973, p. 69
	within(t, "one-sided p, four digits", r.PAbove, 0.1272, 0.5e-4) // Hollander and Wolfe 1973, p. 69
	within(t, "one-sided p", r.PAbove, 0.127206127206, 1e-12)       // R 4.2.2 wilcox.test
	within(t, "two-sided p", r.P, 0.254412254412, 1e-12)            // R 4.2.2 wilcox.test
}

func TestShiftMeetsReferenceOutput(t *testing.T) {
	rows := []struct {
		name             string
		x, y             []float64
		level            float64
		estimate, lo, hi float64
	}{ // R 4.2.2, wilcox.test(x, y, conf.int = TRUE, conf.level = level)
		{"chorioamnion", chorionTerm, chorionEarly, 0.95, 0.305, -0.15, 0.76},
		{"six against seven", []float64{0.80, 0.83, 1.89, 1.04, 1.45, 1.38}, []float64{1.15, 0.88, 0.90, 0.74, 1.21, 1.9, 2.2}, 0.95, -0.03, -0.82, 0.64},
		{"three against three", []float64{0.80, 0.83, 1.89}, []float64{1.15, 0.88, 0.90}, 0.90, -0.07, -0.35, 1.01},
	}
	for _, r := range rows {
		s := must[Shift](t)(ShiftBetween(r.x, r.y, r.level))
		within(t, r.name+": estimate", s.Estimate, r.estimate, 1e-12)
		within(t, r.name+": lower limit", s.Lo, r.lo, 1e-12)
		within(t, r.name+": upper limit", s.Hi, r.hi, 1e-12)
		if s.Reached < r.level-1e-12 {
			t.Errorf("%s: reached %g, want at least %g", r.name, s.Reached, r.level)
		}
	}
}

// The least two-sided p of n against n untied values is 2/C(2n, n): Hollander
// and Wolfe 1973, table A.5, prints these tails to three digits.
func TestSmallestRankSumP(t *testing.T) {
	for n, want := range map[int]float64{3: 0.100, 4: 0.028, 5: 0.008, 6: 0.002} {
		var x, y []float64
		for i := range n {
			x, y = append(x, float64(i)), append(y, float64(10+i))
		}
		r := must[RankSum](t)(RankSumTest(x, y))
		within(t, "smallest p", r.SmallestP, want, 1e-3)
		within(t, "p of separate samples", r.P, r.SmallestP, 0)
	}
}

func TestPermutationMeetsTheMice(t *testing.T) {
	r := must[Permutation](t)(PermuteMeans([]Arms{{X: miceTreated, Y: miceControl}}, Resampling{}))
	within(t, "difference", r.Difference, 30.63, 0.005)   // Efron and Tibshirani 1993, table 2.1
	within(t, "achieved level", r.PAbove, 0.14, 0.02)     // same, section 15.2, by sampling: about 0.13 to 0.14, from memory
	within(t, "p above", r.PAbove, 0.140996503497, 1e-12) // R 4.2.2, combn over all 11,440
	within(t, "two-sided p", r.P, 0.278321678322, 1e-12)  // R 4.2.2, combn over all 11,440
	if r.Arrangements != 11440 || r.Sampled {             // C(16, 7)
		t.Errorf("arrangements %d sampled %t, want all 11440", r.Arrangements, r.Sampled)
	}
}

func TestBootstrapMeetsTheSpatialData(t *testing.T) {
	// Efron and Tibshirani 1993, table 14.1, test A of 26 children; the
	// statistic is the variance with divisor n.
	scores := []float64{48, 36, 20, 29, 42, 42, 20, 42, 22, 41, 45, 14, 6, 0, 33, 28, 34, 4, 32, 24, 47, 41, 24, 26, 30, 41}
	variance := func(s [][]float64) float64 {
		n, mean, sum := float64(len(s[0])), 0.0, 0.0
		for _, v := range s[0] {
			mean += v / n
		}
		for _, v := range s[0] {
			sum += (v - mean) * (v - mean)
		}
		return sum / n
	}
	r := must[BCa](t)(Bootstrap([][]float64{scores}, variance, 0.90, Resampling{Draws: 20_000, Seed: 14}))
	within(t, "estimate", r.Estimate, 171.5, 0.05)              // same, section 14.3
	within(t, "acceleration, three digits", r.A, 0.061, 0.0005) // same, section 14.3
	within(t, "acceleration", r.A, 0.0612401198123, 1e-9)       // R 4.2.2, package boot, empinf
	within(t, "z0", r.Z0, 0.180, 0.05)                          // R 4.2.2, 200,000 resamples; the book has 0.146 from 2,000
	within(t, "lower limit", r.Lo, 115.8, 3.5)                  // the book, 2,000 resamples
	within(t, "upper limit", r.Hi, 259.6, 7)                    // the book, 2,000 resamples
	within(t, "lower limit", r.Lo, 115.7, 1)                    // R 4.2.2, 200,000 resamples
	within(t, "upper limit", r.Hi, 261.3, 2.5)                  // R 4.2.2, 200,000 resamples
}

func TestBootstrapOfMeansMeetsReferenceOutput(t *testing.T) {
	// The mice with two more treated, R 4.2.2, package boot 1.3-28, 100,000
	// resamples stratified by group, set.seed(1); limits ± 0.15 of the bootstrap
	// standard error, about 4 times the Monte Carlo error of 10,000 resamples.
	treated := append(append([]float64{}, miceTreated...), 60, 71)
	drawn := must[[]Resampled](t)(ResampleMeans([][]float64{treated, miceControl}, Resampling{Draws: 10_000, Seed: 3}))
	r := must[BCa](t)(drawn[0].Minus(drawn[1], 0.95))
	within(t, "acceleration", r.A, 0.008695884509506, 1e-12)
	near(t, "standard error", r.SE, 22.75398178413, 0.03)
	within(t, "lower limit", r.Lo, -16.88888888889, 0.15*22.754)
	within(t, "upper limit", r.Hi, 72.55555555556, 0.15*22.754)
}

func TestGrubbsMeetsItsTables(t *testing.T) {
	// F. E. Grubbs, 1969, Technometrics 11:1, table 1, one-sided 5 % and 2.5 %,
	// n = 3 to 12; from memory, and R 4.2.2 with qt to four digits.
	oneSided := []float64{1.1531, 1.4625, 1.6714, 1.8221, 1.9381, 2.0317, 2.1096, 2.1761, 2.2339, 2.2850}
	twoSided := []float64{1.1543, 1.4813, 1.7150, 1.8871, 2.0200, 2.1266, 2.2150, 2.2900, 2.3547, 2.4116}
	for i := range oneSided {
		within(t, "one-sided critical G", must[float64](t)(GrubbsCritical(i+3, 0.10)), oneSided[i], 6e-5)
		within(t, "two-sided critical G", must[float64](t)(GrubbsCritical(i+3, 0.05)), twoSided[i], 6e-5)
	}
	// Tietjen and Moore's uranium isotope data, NIST/SEMATECH e-Handbook section
	// 1.3.5.17.1: G = 2.4687, critical 2.032.
	g := must[Grubbs](t)(GrubbsTest([]float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}))
	within(t, "G", g.G, 2.4687, 1e-4)
	within(t, "critical G", must[float64](t)(GrubbsCritical(8, 0.10)), 2.032, 5e-4)
	if g.Index != 7 {
		t.Errorf("index %d, want 7", g.Index)
	}
}

func TestFisherMeetsItsTables(t *testing.T) {
	rows := []struct {
		name string
		a, b Proportion
		want float64
	}{
		{"tea tasting, Fisher 1935 chapter II: 34/70", Proportion{3, 4}, Proportion{1, 4}, 0.4857142857143},
		{"convicted twins, Fisher 1970; R 4.2.2 fisher.test", Proportion{2, 17}, Proportion{10, 13}, 0.0005367241191434},
		{"R 4.2.2 fisher.test", Proportion{6, 6}, Proportion{2, 6}, 0.06060606060606},
		{"R 4.2.2 fisher.test", Proportion{5, 5}, Proportion{3, 8}, 0.07536907536908},
	}
	for _, r := range rows {
		near(t, r.name, must[float64](t)(FisherExact(r.a, r.b)), r.want, 1e-10)
	}
}

func TestJeffreysMeetsReferenceOutput(t *testing.T) {
	rows := []struct {
		p      Proportion
		level  float64
		lo, hi float64
	}{ // R 4.2.2, qbeta(., s + 1/2, n − s + 1/2); 0 and 1 at the ends by Brown, Cai and DasGupta 2001
		{Proportion{3, 6}, 0.95, 0.1668081973318, 0.8331918026682},
		{Proportion{0, 5}, 0.95, 0, 0.3793771422990},
		{Proportion{5, 5}, 0.95, 0.620622857701, 1},
		{Proportion{2, 12}, 0.90, 0.04973349625338, 0.38995878523885},
		{Proportion{49, 50}, 0.95, 0.9103196489430, 0.9978335058247},
	}
	for _, r := range rows {
		iv := must[Interval](t)(r.p.Jeffreys(r.level))
		within(t, "lower limit", iv.Lo, r.lo, 1e-10)
		within(t, "upper limit", iv.Hi, r.hi, 1e-10)
	}
}

func TestExceedsMeetsReferenceOutput(t *testing.T) {
	rows := []struct {
		a, b Proportion
		want float64
	}{ // R 4.2.2, integrate(dbeta·pbeta), rel.tol 1e-12; 1000 of 1000 by a midpoint sum in R, divided by its total
		{Proportion{5, 6}, Proportion{3, 6}, 0.8893555471594},
		{Proportion{6, 6}, Proportion{2, 6}, 0.9955434236575},
		{Proportion{0, 4}, Proportion{0, 4}, 0.5},
		{Proportion{3, 12}, Proportion{8, 10}, 0.004281617059684},
		{Proportion{0, 1}, Proportion{1, 1}, 9.4715265430649e-02},
		{Proportion{5, 12}, Proportion{9, 11}, 2.2766343080547e-02},
		{Proportion{1000, 1000}, Proportion{999, 1000}, 0.8183894736},
		{Proportion{400, 1000}, Proportion{395, 1000}, 5.9035107538776e-01},
		{Proportion{3, 1000}, Proportion{7, 12}, 2.0882988970227e-14},
	}
	for _, r := range rows {
		within(t, "P(a above b)", must[float64](t)(Exceeds(r.a, r.b)), r.want, 1e-10)
	}
}
