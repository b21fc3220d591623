package stats

import (
	"fmt"
	"math"
	"slices"
)

// BlockOptions says how pairs of a blocked trial are judged.
type BlockOptions struct {
	// Level is the confidence of all intervals together, such as 0.95.
	Level float64
	// Extra is a variance to add to the squared standard error of a pair: the
	// uncertainty of inputs that the two groups do not share and that no repeat
	// shows. It counts as known (infinite degrees of freedom). Nil adds nothing.
	Extra func(i, j int) float64
	// Seed starts the draws of [BlockedPairs].
	Seed uint64
}

// extra returns the variance to add for a pair.
func (o BlockOptions) extra(i, j int) (float64, error) {
	if o.Extra == nil {
		return 0, nil
	}
	v := o.Extra(i, j)
	if !finite(v) || v < 0 {
		return 0, fmt.Errorf("%w: extra variance %g for groups %d and %d, expected 0 or more", ErrOutOfRange, v, i, j)
	}
	return v, nil
}

// widened adds the extra variance u of a pair to its standard error, with the
// degrees of freedom of Satterthwaite, ν·(1 + u/se²)².
//
// Source: F. E. Satterthwaite, 1946, An approximate distribution of estimates
// of variance components, Biometrics Bulletin 2:110.
func widened(d Difference, u float64) Difference {
	if u == 0 {
		return d
	}
	d.DF *= math.Pow(1+u/(d.SE*d.SE), 2)
	d.SE = math.Sqrt(d.SE*d.SE + u)
	return d
}

// judged fills interval and p from half-width and tail.
func judged(d Difference, critical, p float64) Difference {
	d.P = min(1, p)
	d.Interval = Interval{Lo: d.Estimate - critical*d.SE, Hi: d.Estimate + critical*d.SE}
	return d
}

// eachPair calls judge for every pair of k groups in order, I below J.
func eachPair(k int, judge func(i, j int) (Difference, error)) ([]Difference, error) {
	var out []Difference
	for i := range k {
		for j := i + 1; j < k; j++ {
			d, err := judge(i, j)
			if err != nil {
				return nil, err
			}
			out = append(out, d)
		}
	}
	return out, nil
}

// BlockedTukey compares all pairs by the studentized range on the additive
// model: limits d ± q(Level; k, ν)·se/√2 with one spread for all groups.
//
// It holds its level only if all groups scatter alike: with spreads in the ratio
// 1 to 4 it errs in up to 11 of 100 trials instead of 5 (docs/blocked-trials.md),
// which is why [BlockedPairs] does not use it. With missing cells it is
// conservative.
//
// Errors: those of [FitBlocks], fewer than 2 groups, no residual degrees of
// freedom, no scatter, level outside (0, 1), a negative extra variance.
//
// Source: C. Y. Kramer, 1957, Extension of multiple range tests to group
// correlated adjusted means, Biometrics 13:13.
func BlockedTukey(data Blocked, how BlockOptions) ([]Difference, error) {
	fit, err := fitPairs(data, how)
	if err != nil {
		return nil, err
	}
	return eachPair(fit.Groups, func(i, j int) (Difference, error) {
		u, err := how.extra(i, j)
		if err != nil {
			return Difference{}, err
		}
		d := Difference{I: i, J: j, DF: float64(fit.Model.DF)}
		d.Estimate, d.SE = fit.Between(i, j)
		d = widened(d, u)
		q := StudentizedRange{K: fit.Groups, Nu: d.DF}
		return judged(d, q.Quantile(how.Level)/math.Sqrt2, q.Survival(math.Sqrt2*math.Abs(d.Estimate)/d.SE)), nil
	})
}

// WithinBlocks compares all pairs by the differences within the blocks that hold
// both (of cell means where a cell repeats): paired t, with Bonferroni's
// allowance for all k(k−1)/2 pairs in P and interval. A pair with fewer than 2
// shared blocks has SE, DF, P and limits NaN, without blocks its estimate too.
//
// It needs no common spread and no chain of blocks, and never errs too often for
// normal errors. It is wide: 28 pairs on 3 blocks leave each pair 2 degrees of
// freedom and a multiple of 33.
//
// Errors: bad data as in [FitBlocks], fewer than 2 groups, a pair whose
// differences are all equal, level outside (0, 1), a negative extra variance.
//
// Source: Student, 1908, The probable error of a mean, Biometrika 6:1;
// O. J. Dunn, 1961, Multiple comparisons among means, Journal of the American
// Statistical Association 56:52.
func WithinBlocks(data Blocked, how BlockOptions) ([]Difference, error) {
	if err := data.check(); err != nil {
		return nil, err
	}
	if err := checkProbability("level", how.Level); err != nil {
		return nil, err
	}
	k, _ := data.size()
	if k < 2 {
		return nil, fmt.Errorf("%w: 1 group, at least 2 needed", ErrTooFew)
	}
	pairs := float64(k*(k-1)) / 2
	return eachPair(k, func(i, j int) (Difference, error) {
		u, err := how.extra(i, j)
		if err != nil {
			return Difference{}, err
		}
		s := Summarize(data.Within(i, j))
		d := Difference{I: i, J: j, Estimate: s.Mean, SE: math.NaN(), DF: math.NaN()}
		if s.N < 2 {
			return judged(d, math.NaN(), math.NaN()), nil
		}
		if s.SD == 0 {
			return d, fmt.Errorf("%w: groups %d and %d differ by %g in all %d blocks", ErrNoSpread, i, j, s.Mean, s.N)
		}
		d.SE, d.DF = math.Sqrt(s.meanVar()), float64(s.N-1)
		d = widened(d, u)
		return judged(d, upperT((1-how.Level)/2/pairs, d.DF), 2*pairs*tailT(math.Abs(d.Estimate)/d.SE, d.DF)), nil
	})
}

// BlockMethod names how [BlockedPairs] judged.
type BlockMethod string

const (
	// PairedT is the t test of the differences within blocks.
	PairedT BlockMethod = "paired t"
	// SharedSpread is the largest-difference test with spreads that lean on each
	// other; see [BlockedPairs].
	SharedSpread BlockMethod = "largest difference, spreads partly shared"
)

// BlockedComparison is the judgement of all pairs of a blocked trial.
type BlockedComparison struct {
	Method BlockMethod
	Why    string // one sentence: why this method
	// Critical is the multiple of the standard error of scatter that the limits
	// of a pair without extra variance stand off.
	Critical float64
	Pairs    []Difference // all pairs, I below J; P and limits allow for all of them
	Fit      *BlockFit    // nil for PairedT
}

// BlockedPairs compares all pairs of groups of a blocked trial so that in at
// most 1−Level of trials any true difference lies outside its interval, also
// when the groups do not scatter alike.
//
// Two groups: paired t on the differences within blocks. More: on the additive
// model of [FitBlocks] each group's variance is
//
//	v_g = ¾·RSS_g/Σ(1−h) + ¼·RSS/DF
//
// (own residuals over their own degrees of freedom, h the leverages; residuals
// of all), a pair's se² is Σ_g v_g·Σ a², a the weights of the values in the
// difference, and limits are d ± c·se. The multiple c is the largest Level
// quantile of max |d|/se among trials of the same layout drawn from normal
// errors with equal spreads, spreads rising evenly from 1 to 4, one group at 4
// times the rest and one at a quarter; p is the largest share of such trials at
// or above |d|/se, (1+hits)/(1+draws), so never below 1/20001. For two groups
// the same formula is the paired t. The rule was chosen by the simulation in
// docs/blocked-trials.md: Tukey's test errs too often when spreads differ,
// within-block differences with Bonferroni never but with limits 1.3 to 7 times
// as wide.
//
// An extra variance u enters by Satterthwaite: se² + u on ν = DF·(1 + u/se²)²,
// the multiple carried over at equal tail of t, never below q(Level; k, ∞)/√2.
//
// Errors: those of [FitBlocks], fewer than 2 groups, fewer than 3 blocks for
// more than 2 groups, no residual degrees of freedom, no scatter, a level
// outside (0, 1) or above 1 − 1/1000, a negative extra variance.
//
// Source: the form of the test, P. H. Westfall and S. S. Young, 1993,
// Resampling-Based Multiple Testing, section 2.3 (single step, largest
// statistic); a variance leaning on the pool, G. K. Smyth, 2004, Linear models
// and empirical Bayes methods, Statistical Applications in Genetics and
// Molecular Biology 3:3; share and multiple, own simulation.
func BlockedPairs(data Blocked, how BlockOptions) (*BlockedComparison, error) {
	if err := data.check(); err != nil {
		return nil, err
	}
	if k, _ := data.size(); k == 2 {
		return pairedT(data, how)
	}
	fit, err := fitPairs(data, how)
	if err != nil {
		return nil, err
	}
	const most = 1 - 1e-3
	if fit.Blocks < 3 {
		return nil, fmt.Errorf("%w: %d blocks for %d groups, at least 3 needed", ErrTooFew, fit.Blocks, fit.Groups)
	}
	if how.Level > most {
		return nil, fmt.Errorf("%w: level %g, expected at most %g with %d draws", ErrOutOfRange, how.Level, most, blockDraws)
	}
	layout := newBlockLayout(fit)
	null := layout.null(how.Seed)
	out := &BlockedComparison{Method: SharedSpread, Fit: fit, Critical: null.quantile(how.Level),
		Why: fmt.Sprintf("%d groups that may scatter differently: limits hold for spreads up to 1 to 4", fit.Groups)}
	variances := make([]float64, fit.Groups)
	layout.variances(variances, fit.Model.Residuals)
	out.Pairs, err = eachPair(fit.Groups, func(i, j int) (Difference, error) {
		u, err := how.extra(i, j)
		if err != nil {
			return Difference{}, err
		}
		d := Difference{I: i, J: j, Estimate: fit.Means[i] - fit.Means[j], DF: float64(fit.Model.DF)}
		d.SE = math.Sqrt(layout.pairVariance(i, j, variances))
		if u == 0 {
			return judged(d, out.Critical, null.tail(math.Abs(d.Estimate)/d.SE)), nil
		}
		d = widened(d, u)
		return null.judgeWidened(d, how.Level, out.Critical), nil
	})
	return out, err
}

// pairedT is the comparison of two groups.
func pairedT(data Blocked, how BlockOptions) (*BlockedComparison, error) {
	pairs, err := WithinBlocks(data, how)
	if err != nil {
		return nil, err
	}
	n := len(data.Within(0, 1))
	if n < 2 {
		return nil, fmt.Errorf("%w: %d blocks hold both groups, at least 2 needed", ErrTooFew, n)
	}
	return &BlockedComparison{Method: PairedT, Pairs: pairs, Critical: upperT((1-how.Level)/2, float64(n-1)),
		Why: fmt.Sprintf("2 groups: the differences within the %d blocks that hold both are the whole answer", n)}, nil
}

// fitPairs fits the model and checks that it can judge pairs.
func fitPairs(data Blocked, how BlockOptions) (*BlockFit, error) {
	fit, err := FitBlocks(data)
	if err != nil {
		return nil, err
	}
	switch m := fit.Model; {
	case fit.Groups < 2:
		return nil, fmt.Errorf("%w: 1 group, at least 2 needed", ErrTooFew)
	case m.DF < 1:
		return nil, fmt.Errorf("%w: %d values for %d groups in %d blocks leave no residual degrees of freedom", ErrTooFew, len(m.Residuals), fit.Groups, fit.Blocks)
	case m.ResidualSD <= 1e-12*slices.Max(magnitudes(data.Values)):
		return nil, fmt.Errorf("%w: group and block explain every value exactly", ErrNoSpread)
	}
	return fit, checkProbability("level", how.Level)
}

func magnitudes(v []float64) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = math.Abs(v[i])
	}
	return out
}
