package stats

import (
	"fmt"
	"math"
)

// Standing is what can be said of one group among several where lower is better.
type Standing struct {
	RuledOutBy []int // groups shown to be lower; empty if this one could be the best
	AsGood     bool  // shown to lie within the margin of the best, whichever that is
}

// CouldBeBest reports whether no other group was shown to be lower.
func (s Standing) CouldBeBest() bool { return len(s.RuledOutBy) == 0 }

// Best returns the standing of each of k groups from their pairwise differences
// (estimate, standard error and degrees of freedom are used, from whichever
// model they come). With se the standard error of m_i-m_j and c a one-sided
// limit for the k-1 comparisons of one group with the others:
//
//	j rules i out if       m_i - m_j - c·se > 0
//	i is as good as best if m_i - m_j + c·se < margin for every j
//
// c is Dunnett's limit when all differences share one standard error and one
// number of degrees of freedom (one pooled spread, equal n), else Student's
// one-sided limit with Bonferroni's allowance. The set of groups that could be
// best holds the true best with confidence conf. A pair without a difference
// rules nobody out and shows nobody as good. The margin is 0 or more; at 0 no
// group but the single best can be shown as good.
//
// Source: Gupta 1965, On some multiple decision rules, Technometrics 7:225; Hsu
// 1984, Constrained simultaneous confidence intervals for multiple comparisons
// with the best, Annals of Statistics 12:1136.
func Best(k int, pairs []Difference, margin, conf float64) ([]Standing, error) {
	if k < 2 {
		return nil, fmt.Errorf("%w: %d groups, at least 2 needed", ErrTooFew, k)
	}
	if err := checkProbability("confidence", conf); err != nil {
		return nil, err
	}
	if !(margin >= 0) || !finite(margin) {
		return nil, fmt.Errorf("%w: margin %g, expected 0 or more", ErrOutOfRange, margin)
	}
	limit := oneSidedLimit(k, pairs, 1-conf)
	standings := make([]Standing, k)
	near := make([]int, k) // how many others each is shown to lie within the margin of
	for _, d := range pairs {
		if d.I < 0 || d.I >= k || d.J < 0 || d.J >= k || d.I == d.J {
			return nil, fmt.Errorf("%w: difference of groups %d and %d, expected two of 0 to %d", ErrOutOfRange, d.I, d.J, k-1)
		}
		reach := limit(d.DF) * d.SE
		if d.Estimate-reach > 0 {
			standings[d.I].RuledOutBy = append(standings[d.I].RuledOutBy, d.J)
		}
		if -d.Estimate-reach > 0 {
			standings[d.J].RuledOutBy = append(standings[d.J].RuledOutBy, d.I)
		}
		if d.Estimate+reach < margin {
			near[d.I]++
		}
		if -d.Estimate+reach < margin {
			near[d.J]++
		}
	}
	for i := range standings {
		standings[i].AsGood = near[i] == k-1
	}
	return standings, nil
}

// oneSidedLimit returns the one-sided limit of the k-1 comparisons of one group
// with the others, as a function of the degrees of freedom.
func oneSidedLimit(k int, pairs []Difference, alpha float64) func(nu float64) float64 {
	if k > 2 && len(pairs) == k*(k-1)/2 && oneSpread(pairs) {
		c := DunnettLimit(k-1, pairs[0].DF, alpha)
		return func(float64) float64 { return c }
	}
	return func(nu float64) float64 { return upperT(alpha/float64(k-1), nu) }
}

// oneSpread reports whether all differences have the same standard error and
// degrees of freedom to rounding.
func oneSpread(pairs []Difference) bool {
	const rounding = 1e-9
	for _, d := range pairs {
		if !(math.Abs(d.SE/pairs[0].SE-1) <= rounding && math.Abs(d.DF/pairs[0].DF-1) <= rounding) { // NaN is not one spread
			return false
		}
	}
	return true
}

// DunnettLimit returns the one-sided limit c that the largest of several
// t-values exceeds with probability alpha when each compares another group with
// one common group, all groups have the same n and one standard deviation
// estimated with nu degrees of freedom:
//
//	1-alpha = ∫ f(s) ∫ φ(z) Φ(z+√2·c·s)^comparisons dz ds
//
// comparisons is 1 or more, nu positive and 0 < alpha < ½; any other gives NaN.
//
// Source: Dunnett 1955, A multiple comparison procedure for comparing several
// treatments with a control, J. American Statistical Association 50:1096.
func DunnettLimit(comparisons int, nu, alpha float64) float64 {
	if comparisons < 1 || !(nu > 0) || !(alpha > 0 && alpha < 0.5) {
		return math.NaN()
	}
	excess := func(c float64) float64 {
		return overScale(nu, 0.3, func(s float64) float64 { return 1 - allBelow(comparisons, math.Sqrt2*c*s) }) - alpha
	}
	return root(excess, upperT(alpha, nu), upperT(alpha/float64(comparisons), nu))
}

// allBelow returns ∫ φ(z) Φ(z+w)^k dz by the trapezoidal rule, which converges
// faster than any power of the step for an integrand that dies at both ends.
func allBelow(k int, w float64) float64 {
	const step, end = 0.25, 8.5
	sum := 0.0
	for z := -end; z <= end; z += step {
		sum += math.Exp(-z*z/2) * math.Pow(normalCDF(z+w), float64(k))
	}
	return sum * step / math.Sqrt(2*math.Pi)
}
