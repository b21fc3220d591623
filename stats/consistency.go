package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// MandelH returns the value that |h| of one of p laboratories exceeds by chance
// with probability alpha:
//
//	h = (p-1)·t / √(p·(t²+p-2)),  t = t_{p-2, 1-alpha/2}
//
// Two laboratories always have |h| = 1/√2, so 3 are needed; with 3 no h can
// exceed 2/√3 = 1.155, which is why the limits there say little.
//
// Source: ISO 5725-2:1994, Table 6 (values without formula); ASTM E691, Table 5
// (the same at 0.5 %); formula: Wilrich 2013, Critical values of Mandel's h and
// k, the Grubbs and the Cochran test statistic, AStA Advances in Statistical
// Analysis 97:1.
func MandelH(alpha float64, p int) (float64, error) {
	if err := checkProbability("significance", alpha); err != nil {
		return 0, err
	}
	if p < 3 {
		return 0, fmt.Errorf("%w: %d laboratories, at least 3 needed for h", ErrTooFew, p)
	}
	t, n := upperT(alpha/2, float64(p-2)), float64(p)
	return (n - 1) * t / math.Sqrt(n*(t*t+n-2)), nil
}

// MandelK returns the value that k of one laboratory, its standard deviation
// over s_r, exceeds by chance with probability alpha. own is the degrees of
// freedom of its results, others those of all other laboratories together:
//
//	k = √((own+others)·F / (own·F+others)),  F = F_{own, others, 1-alpha}
//
// which for p laboratories of n results each is √(p / (1+(p-1)/F)).
//
// Source: ISO 5725-2:1994, Table 7; ASTM E691, Table 5; formula: Wilrich 2013
// (see [MandelH]), here for any degrees of freedom.
func MandelK(alpha, own, others float64) (float64, error) {
	if err := checkProbability("significance", alpha); err != nil {
		return 0, err
	}
	if !(own >= 1 && others >= 1 && finite(own) && finite(others)) {
		return 0, fmt.Errorf("%w: %g degrees of freedom against %g, at least 1 needed of each", ErrTooFew, own, others)
	}
	share := mathext.InvRegIncBeta(own/2, others/2, 1-alpha)
	f := others * share / (own * (1 - share))
	return math.Sqrt((own + others) * f / (own*f + others)), nil
}

// CochranLimit returns the value that Cochran's C of p laboratories with n
// results each exceeds by chance with probability of at most alpha. C = k²/p of
// the largest k, so it is the limit of k at alpha/p.
//
// Source: ISO 5725-2:1994, Table 4; formula: Wilrich 2013 (see [MandelH]);
// 't Lam 2010, Scrutiny of variance results for outliers: Cochran's test
// optimized, Analytica Chimica Acta 659:68, for laboratories of unequal n,
// which [MandelK] at alpha/p serves.
func CochranLimit(alpha float64, p, n int) (float64, error) {
	if p < 2 || n < 2 {
		return 0, fmt.Errorf("%w: %d laboratories of %d results, at least 2 of 2 needed", ErrTooFew, p, n)
	}
	k, err := MandelK(alpha/float64(p), float64(n-1), float64((p-1)*(n-1)))
	return k * k / float64(p), err
}

// RepeatabilityInterval returns the interval of s_r at confidence conf, from
// chi-squared with N-p degrees of freedom.
func (l Interlab) RepeatabilityInterval(conf float64) (Interval, error) {
	return spreadInterval(l.RepeatabilitySD, l.withinDF, conf)
}

// ReproducibilityInterval returns the approximate interval of s_R at confidence
// conf. s_R² is a sum of two mean squares, s_d²/n̄ + (1-1/n̄)·s_r², which is
// taken as chi-squared with as many degrees of freedom as give the sum's
// variance. With two laboratories the upper end is some thirty times s_R.
//
// Source: Satterthwaite 1946, An approximate distribution of estimates of
// variance components, Biometrics Bulletin 2:110.
func (l Interlab) ReproducibilityInterval(conf float64) (Interval, error) {
	a, b := l.between/l.perLab, (1-1/l.perLab)*l.RepeatabilitySD*l.RepeatabilitySD
	nu := (a + b) * (a + b) / (a*a/l.betweenDF + b*b/l.withinDF)
	return spreadInterval(l.ReproducibilitySD, nu, conf)
}

// spreadInterval is the interval of a standard deviation with nu degrees of freedom.
func spreadInterval(sd, nu, conf float64) (Interval, error) {
	if err := checkProbability("confidence", conf); err != nil {
		return Interval{}, err
	}
	above := func(tail float64) float64 { return 2 * mathext.GammaIncRegCompInv(nu/2, tail) }
	tail := (1 - conf) / 2
	return Interval{sd * math.Sqrt(nu/above(tail)), sd * math.Sqrt(nu/above(1-tail))}, nil
}
