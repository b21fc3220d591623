// Package stats is statistics for small samples: a few groups of a few values
// each, judged with the uncertainty that so few values leave.
//
// It knows nothing of what the values are. It refuses to answer where the
// values cannot carry an answer: too few of them, no spread at all, a value
// that is not a finite number, or a request outside the range in which a method
// was checked. It never removes a value, never picks the scale or the test by
// which gives the smaller p, and draws every random number from a seed that the
// caller gives.
//
// Lower is better wherever the word "best" occurs; callers turn the sign of
// quantities of which more is better.
//
// Reading order: stats.go (a group in three numbers, a difference of two);
// welch.go (two groups), pairs.go (all pairs of several), studentized.go (the
// distribution behind pairs.go); anova.go, interlab.go and consistency.go (spread
// within and between groups), combine.go (what several groups found); predict.go,
// tolerance.go and best.go (what to expect next, and which group can be the best);
// power.go (how many values are needed). Then groups measured in blocks:
// regression.go, blocks.go, blockpairs.go and blockspread.go. Then methods that
// assume less: rank.go, permutation.go, bootstrap.go and outlier.go. Last, events
// that may not happen: proportion.go, survival.go, logrank.go, censored.go and
// likelihood.go.
package stats

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

var (
	// ErrTooFew is wrapped by the errors for samples with too few values.
	ErrTooFew = errors.New("too few values")
	// ErrNoSpread is wrapped by the errors for values that are all equal where
	// their spread is the yardstick.
	ErrNoSpread = errors.New("no spread")
	// ErrNotFinite is wrapped by the errors for NaN or infinite values.
	ErrNotFinite = errors.New("not a finite number")
	// ErrOutOfRange is wrapped by the errors for an argument outside the range
	// in which the method means anything or was checked.
	ErrOutOfRange = errors.New("out of range")
)

// Summary is one group in three numbers. SD is the sample standard deviation
// (divisor N-1); it is NaN for fewer than two values, and Mean is NaN for none.
type Summary struct {
	N        int
	Mean, SD float64
}

// Summarize returns count, mean and standard deviation of x. It subtracts the
// smallest value before adding, so digits survive a large common offset, and
// adds in sorted order, so that the order of x changes no digit. A NaN or
// infinite value makes Mean and SD NaN.
//
// Source: Chan, Golub, LeVeque 1983, Algorithms for computing the sample
// variance, The American Statistician 37:242, eq. 1.7 (corrected two-pass).
func Summarize(x []float64) Summary {
	if len(x) == 0 {
		return Summary{Mean: math.NaN(), SD: math.NaN()}
	}
	d := slices.Sorted(slices.Values(x)) // NaN sorts first and then spoils every difference
	low := d[0]
	for i := range d {
		d[i] -= low
	}
	mean, sd := meanSD(d)
	return Summary{N: len(x), Mean: low + mean, SD: sd}
}

// meanSD returns mean and standard deviation of x by the corrected two passes.
func meanSD(x []float64) (mean, sd float64) {
	n := float64(len(x))
	mean = floats.Sum(x) / n
	squares, rest := 0.0, 0.0
	for _, v := range x {
		squares += (v - mean) * (v - mean)
		rest += v - mean
	}
	return mean, math.Sqrt((squares - rest*rest/n) / (n - 1))
}

// check reports why s cannot serve as a group of at least need values.
func (s Summary) check(need int) error {
	switch {
	case s.N < need:
		return fmt.Errorf("%w: %d, at least %d needed", ErrTooFew, s.N, need)
	case !finite(s.Mean) || !finite(s.SD):
		return fmt.Errorf("%w: mean %g, standard deviation %g", ErrNotFinite, s.Mean, s.SD)
	case s.SD < 0:
		return fmt.Errorf("%w: standard deviation %g, expected 0 or more", ErrOutOfRange, s.SD)
	}
	return nil
}

// meanVar returns the variance of the group's mean, SD²/N.
func (s Summary) meanVar() float64 { return s.SD * s.SD / float64(s.N) }

// Interval is the closed range from Lo to Hi.
type Interval struct{ Lo, Hi float64 }

// Contains reports whether x lies in the interval, ends included.
func (iv Interval) Contains(x float64) bool { return iv.Lo <= x && x <= iv.Hi }

// Inside reports whether the whole interval lies strictly inside the other.
// A simultaneous interval inside the margin of indifference means "equal in
// practice" at the confidence of that interval.
func (iv Interval) Inside(other Interval) bool { return other.Lo < iv.Lo && iv.Hi < other.Hi }

// Difference is the estimated difference of two groups, I minus J, with its
// standard error, its degrees of freedom, the two-sided p of "no difference"
// and its confidence interval. What P and Interval allow for (this pair only or
// all pairs together) is said by the function that made it.
type Difference struct {
	I, J                int
	Estimate, SE, DF, P float64
	Interval
}

// finite reports whether x is neither NaN nor infinite.
func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// checkProbability reports a probability that does not lie strictly between 0 and 1.
func checkProbability(what string, p float64) error {
	if p > 0 && p < 1 {
		return nil
	}
	return fmt.Errorf("%w: %s %g, expected more than 0 and less than 1", ErrOutOfRange, what, p)
}
