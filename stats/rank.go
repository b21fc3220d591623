package stats

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// MaxExactRanks is the largest number of values, both samples together, for
// which the exact rank distribution is built.
const MaxExactRanks = 120

// RankSum is the exact Wilcoxon rank-sum test of two samples.
type RankSum struct {
	// W counts the pairs with x above y, a tied pair as one half: the rank sum
	// of x less n(n+1)/2 (the statistic that R prints as W).
	W float64
	// XBelow is the share of pairs with x below y plus half of the tied pairs:
	// an estimate of P(X < Y) + P(X = Y)/2. For times it is the chance that x
	// beats y; 0.5 is no difference.
	XBelow float64
	// PBelow and PAbove are the one-sided p values for x lying below and above y.
	PBelow, PAbove float64
	// P is two-sided: the share of all arrangements of the midranks in two
	// groups of these sizes with |W − mean| at least as large as observed.
	P float64
	// SmallestP is the least two-sided p that any arrangement of these values
	// could give. Where it is above the level asked for, the test cannot speak.
	SmallestP float64
}

// RankSumTest compares two samples by their ranks, with p exact given the ties.
//
// A value may be +Inf, "did not happen": all such values tie at the last rank,
// which makes this the worst-rank comparison of times that may never come. No
// value is dropped and no censoring assumed. The null distribution is counted
// by a recurrence over the midranks, f(j, s) = number of ways to choose j of
// them with sum s, so ties cost nothing in exactness.
//
// Errors: fewer than 2 values in a sample, NaN or −Inf, more than MaxExactRanks
// values together.
//
// Source: F. Wilcoxon, 1945, Individual comparisons by ranking methods,
// Biometrics Bulletin 1:80; worst rank: J. M. Lachin, 1999, Worst-rank score
// analysis with informatively missing observations in clinical trials,
// Controlled Clinical Trials 20:408; recurrence with ties: B. Streitberg and
// J. Röhmel, 1986, Exact distributions for permutation and rank tests,
// Statistical Software Newsletter 12:10.
func RankSumTest(x, y []float64) (RankSum, error) {
	if err := errors.Join(checkRankable("x", x), checkRankable("y", y)); err != nil {
		return RankSum{}, err
	}
	n, m := len(x), len(y)
	if n+m > MaxExactRanks {
		return RankSum{}, fmt.Errorf("exact rank test: %w: %d values together, expected at most %d", ErrOutOfRange, n+m, MaxExactRanks)
	}
	ranks := doubledMidranks(slices.Concat(x, y))
	sum := 0
	for _, r := range ranks[:n] {
		sum += r
	}
	w := float64(sum)/2 - float64(n*(n+1))/2
	t := RankSum{W: w, XBelow: 1 - w/float64(n*m)}
	t.tails(subsetSums(ranks, n), sum, n*(n+m+1))
	return t, nil
}

// tails fills the p values from the counts of each doubled rank sum. mean is
// the doubled mean, an integer, so "at least as far" needs no tolerance.
func (t *RankSum) tails(counts []float64, observed, mean int) {
	total, below, above, far, farthest, most := 0.0, 0.0, 0.0, 0.0, 0.0, -1
	for s, c := range counts {
		if c == 0 {
			continue
		}
		total += c
		if s <= observed {
			below += c
		}
		if s >= observed {
			above += c
		}
		d := max(s-mean, mean-s)
		if d >= max(observed-mean, mean-observed) {
			far += c
		}
		switch {
		case d > most:
			most, farthest = d, c
		case d == most:
			farthest += c
		}
	}
	t.PBelow, t.PAbove, t.P, t.SmallestP = below/total, above/total, far/total, farthest/total
}

// doubledMidranks returns twice the rank of each value, tied values sharing the
// mean of their ranks, so that every entry is a whole number.
func doubledMidranks(v []float64) []int {
	order := make([]int, len(v))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		switch {
		case v[a] < v[b]:
			return -1
		case v[a] > v[b]:
			return 1
		}
		return 0
	})
	ranks := make([]int, len(v))
	for lo := 0; lo < len(order); {
		hi := lo
		for hi < len(order) && v[order[hi]] == v[order[lo]] {
			hi++
		}
		for _, i := range order[lo:hi] {
			ranks[i] = lo + 1 + hi
		}
		lo = hi
	}
	return ranks
}

// subsetSums returns at [s] the number of ways to choose k of the weights with
// sum s, as float64: exact up to 2^53 and to rounding beyond.
func subsetSums(weights []int, k int) []float64 {
	total := 0
	for _, w := range weights {
		total += w
	}
	ways := make([][]float64, k+1)
	for j := range ways {
		ways[j] = make([]float64, total+1)
	}
	ways[0][0] = 1
	reached := 0
	for _, w := range weights {
		reached += w
		for j := k; j >= 1; j-- {
			into, from := ways[j], ways[j-1]
			for s := reached; s >= w; s-- {
				into[s] += from[s-w]
			}
		}
	}
	return ways[k]
}

// Shift is the Hodges–Lehmann estimate of how far x lies above y.
type Shift struct {
	Estimate float64 // median of all differences x_i − y_j
	Interval         // ordered differences at the exact rank-sum quantile
	// Reached is the confidence of the limits, exact for continuous data without
	// ties: at least the level asked for, except where even the two outermost
	// differences do not reach it (3 against 3 values stop at 0.90).
	Reached float64
}

// ShiftBetween estimates the shift between two samples that differ in location,
// with the limits that belong to the exact rank-sum test.
//
// With D(1) ≤ … ≤ D(nm) the ordered differences and q the smallest w with
// P(W ≤ w) ≥ (1−level)/2, at least 1, the limits are D(q) and D(nm+1−q) and
// their confidence is 1 − 2·P(W ≤ q−1).
//
// Errors: fewer than 2 values in a sample, a value that is not finite, more
// than MaxExactRanks values together, level outside (0, 1).
//
// Source: J. L. Hodges and E. L. Lehmann, 1963, Estimates of location based on
// rank tests, Annals of Mathematical Statistics 34:598; limits: M. Hollander
// and D. A. Wolfe, 1973, Nonparametric Statistical Methods, section 4.3.
func ShiftBetween(x, y []float64, level float64) (Shift, error) {
	if err := errors.Join(checkFinite("x", x), checkFinite("y", y), checkLevel(level)); err != nil {
		return Shift{}, err
	}
	n, m := len(x), len(y)
	if n+m > MaxExactRanks {
		return Shift{}, fmt.Errorf("exact shift limits: %w: %d values together, expected at most %d", ErrOutOfRange, n+m, MaxExactRanks)
	}
	diffs := make([]float64, 0, n*m)
	for _, a := range x {
		for _, b := range y {
			diffs = append(diffs, a-b)
		}
	}
	slices.Sort(diffs)
	q, outside := rankSumQuantile(n, m, (1-level)/2)
	return Shift{
		Estimate: medianOfSorted(diffs),
		Interval: Interval{Lo: diffs[q-1], Hi: diffs[n*m-q]},
		Reached:  1 - 2*outside,
	}, nil
}

// rankSumQuantile returns q, the smallest w ≥ 1 with P(W ≤ w) ≥ p for untied
// samples of n and m, and P(W ≤ q−1).
func rankSumQuantile(n, m int, p float64) (q int, outside float64) {
	ranks := make([]int, n+m)
	for i := range ranks {
		ranks[i] = i + 1
	}
	counts := subsetSums(ranks, n)[n*(n+1)/2:]
	total := 0.0
	for _, c := range counts {
		total += c
	}
	below := counts[0]
	for q = 1; (below+counts[q])/total < p*(1-1e-12); q++ {
		below += counts[q]
	}
	return q, below / total
}

// Median returns the middle value, or the mean of the two middle values. A
// value may be +Inf, "did not happen": the median is +Inf once half or more of
// the values are. It is NaN for no values.
func Median(values []float64) float64 {
	if len(values) == 0 {
		return math.NaN()
	}
	return medianOfSorted(slices.Sorted(slices.Values(values)))
}

func medianOfSorted(v []float64) float64 {
	n := len(v)
	if n%2 == 1 {
		return v[n/2]
	}
	return v[n/2-1]/2 + v[n/2]/2
}

// checkRankable refuses what has no rank: NaN, and −Inf, which no "did not
// happen" means.
func checkRankable(name string, v []float64) error {
	if len(v) < 2 {
		return fmt.Errorf("sample %s: %w: %d, expected at least 2", name, ErrTooFew, len(v))
	}
	for i, a := range v {
		if math.IsNaN(a) || math.IsInf(a, -1) {
			return fmt.Errorf("sample %s: %w: value %d is %v, expected a number or +Inf", name, ErrNotFinite, i+1, a)
		}
	}
	return nil
}

// checkFinite refuses a sample of fewer than two values or with NaN or ±Inf.
func checkFinite(name string, v []float64) error {
	if len(v) < 2 {
		return fmt.Errorf("sample %s: %w: %d, expected at least 2", name, ErrTooFew, len(v))
	}
	for i, a := range v {
		if !finite(a) {
			return fmt.Errorf("sample %s: %w: value %d is %v, expected a finite number", name, ErrNotFinite, i+1, a)
		}
	}
	return nil
}

// normalQuantile is the inverse of normalCDF, with ∓Inf at 0 and 1.
func normalQuantile(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }

func checkLevel(level float64) error { return checkProbability("confidence level", level) }
