package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/combin"
)

// Proportion is how often something happened: S times of N.
type Proportion struct{ S, N int }

// Next is the probability that it happens the next time, (S+½)/(N+1): the mean
// of the posterior Beta(S+½, N−S+½) under Jeffreys' prior.
//
// Source: A. Gelman et al., 2013, Bayesian Data Analysis, 3rd edition, sections
// 2.4 and 2.8.
func (p Proportion) Next() float64 { return (float64(p.S) + 0.5) / float64(p.N+1) }

func (p Proportion) shape() (alpha, beta float64) {
	return float64(p.S) + 0.5, float64(p.N-p.S) + 0.5
}

func (p Proportion) check() error {
	if p.N < 1 || p.S < 0 || p.S > p.N {
		return fmt.Errorf("%w: %d of %d, expected 0 to n of at least 1", ErrOutOfRange, p.S, p.N)
	}
	return nil
}

// Jeffreys is the equal-tailed interval of Beta(S+½, N−S+½), with the lower
// limit 0 where nothing happened and the upper limit 1 where it always did.
//
// Errors: N below 1, S outside 0 to N, level outside (0, 1).
//
// Source: L. D. Brown, T. T. Cai and A. DasGupta, 2001, Interval estimation for
// a binomial proportion, Statistical Science 16:101, section 3.1.3.
func (p Proportion) Jeffreys(level float64) (Interval, error) {
	if err := p.check(); err != nil {
		return Interval{}, err
	}
	if err := checkLevel(level); err != nil {
		return Interval{}, err
	}
	alpha, beta := p.shape()
	limits := Interval{Lo: 0, Hi: 1}
	if p.S > 0 {
		limits.Lo = mathext.InvRegIncBeta(alpha, beta, (1-level)/2)
	}
	if p.S < p.N {
		limits.Hi = mathext.InvRegIncBeta(alpha, beta, (1+level)/2)
	}
	return limits, nil
}

// FisherExact is the two-sided p of "both happen equally often": the sum of the
// hypergeometric probabilities of all tables with the same totals that are no
// more probable than the table seen (within 1e-7 relative, against rounding).
//
// Errors: N below 1, S outside 0 to N.
//
// Source: R. A. Fisher, 1935, The Design of Experiments, chapter II; two-sided
// by probability: J. O. Irwin, 1935, Metron 12:83.
func FisherExact(a, b Proportion) (float64, error) {
	if err := a.check(); err != nil {
		return 0, err
	}
	if err := b.check(); err != nil {
		return 0, err
	}
	happened := a.S + b.S
	chance := func(s int) float64 {
		return math.Exp(combin.LogGeneralizedBinomial(float64(a.N), float64(s)) +
			combin.LogGeneralizedBinomial(float64(b.N), float64(happened-s)) -
			combin.LogGeneralizedBinomial(float64(a.N+b.N), float64(happened)))
	}
	seen, p := chance(a.S), 0.0
	for s := max(0, happened-b.N); s <= min(a.N, happened); s++ {
		if c := chance(s); c <= seen*(1+1e-7) {
			p += c
		}
	}
	return min(1, p), nil
}

// Exceeds is the posterior probability that a happens more often than b in the
// long run, ∫ beta_A(p)·F_B(p) dp under Jeffreys' priors. It is no p value.
//
// With p = sin²θ the integrand is smooth at both ends:
// 2·sin^{2S}θ·cos^{2(N−S)}θ/B(S+½, N−S+½), by Gauss–Legendre in 400 points.
//
// Errors: N below 1 or above 1,000 (where the points no longer resolve the
// posterior), S outside 0 to N.
//
// Source: Gelman et al. 2013, chapter 2.
func Exceeds(a, b Proportion) (float64, error) {
	for _, p := range []Proportion{a, b} {
		if err := p.check(); err != nil {
			return 0, err
		}
		if p.N > 1000 {
			return 0, fmt.Errorf("%w: %d trials, expected at most 1000", ErrOutOfRange, p.N)
		}
	}
	alphaA, betaA := a.shape()
	alphaB, betaB := b.shape()
	scale := math.Ln2 - mathext.Lbeta(alphaA, betaA)
	f := func(theta float64) float64 {
		sin, cos := math.Sincos(theta)
		log := scale + float64(2*a.S)*math.Log(sin) + float64(2*(a.N-a.S))*math.Log(cos)
		return math.Exp(log) * mathext.RegIncBeta(alphaB, betaB, sin*sin)
	}
	return quad.Fixed(f, 0, math.Pi/2, 400, quad.Legendre{}, 0), nil
}

// NextTime splits what may happen when A and B each run once more into parts
// that add up to 1.
type NextTime struct {
	A, B, Neither float64 // A wins, B wins, it happens to neither
}

// SplitNext gives the chances of the next run of A against B, where whoever it
// happens to sooner wins and it may happen to neither:
// A wins = π_A(1−π_B) + π_A·π_B·P(T_A < T_B | both), neither = (1−π_A)(1−π_B),
// with π from Proportion.Next.
//
// Errors: N below 1, S outside 0 to N, sooner outside 0 to 1.
//
// Source: the definition of conditional probability, with independent runs.
func SplitNext(a, b Proportion, sooner float64) (NextTime, error) {
	if err := a.check(); err != nil {
		return NextTime{}, err
	}
	if err := b.check(); err != nil {
		return NextTime{}, err
	}
	if !(sooner >= 0 && sooner <= 1) {
		return NextTime{}, fmt.Errorf("%w: probability %v that A is sooner, expected 0 to 1", ErrOutOfRange, sooner)
	}
	pa, pb := a.Next(), b.Next()
	return NextTime{
		A:       pa*(1-pb) + pa*pb*sooner,
		B:       pb*(1-pa) + pa*pb*(1-sooner),
		Neither: (1 - pa) * (1 - pb),
	}, nil
}
