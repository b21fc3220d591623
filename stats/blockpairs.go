package stats

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

const (
	// PairedT takes the differences of two groups within the blocks that hold
	// both: interval d ± t·s_d/√n at error rate alpha over the number of pairs, p
	// adjusted by [Holm].
	//
	// Source: Student 1908, The probable error of a mean, Biometrika 6:1; Dunn
	// 1961, Multiple comparisons among means, Journal of the American Statistical
	// Association 56:52.
	PairedT Method = "paired-t"
	// LeaningSpreads takes the additive model with a spread for each group that
	// leans on the spread of all; see [BlockedPairs].
	LeaningSpreads Method = "leaning-spreads"
)

// widened adds an extra variance to the standard error of d, with Satterthwaite's
// degrees of freedom ν·(1 + extraVar/se²)².
func widened(d Difference, extraVar float64) (Difference, error) {
	if err := checkExtraVar(extraVar); err != nil {
		return d, err
	}
	more := 1 + extraVar/(d.SE*d.SE)
	d.DF *= more * more
	d.SE *= math.Sqrt(more)
	return d, nil
}

// BlockedTukey compares all pairs by the studentized range on the additive model
// of [FitBlocks]: limits d ± q(conf; k, ν)·se/√2 with one spread for all groups.
//
// It holds its level only if all groups scatter alike: with spreads from 1 to 4
// and 8 groups it errs in 11 of 100 trials instead of 5
// (docs/blocked-trials.md), which is why [BlockedPairs] does not use it. With
// missing cells it is conservative.
//
// Errors: those of [FitBlocks], fewer than 2 groups, no residual degrees of
// freedom, no scatter, conf not between 0 and 1, a negative extra variance.
//
// Source: Kramer 1957, Extension of multiple range tests to group correlated
// adjusted means, Biometrics 13:13.
func BlockedTukey(data Blocked, extra ExtraVar, conf float64) (Pairs, error) {
	fit, err := fitPairs(data, conf)
	if err != nil {
		return Pairs{}, err
	}
	p := Pairs{Method: TukeyKramer, Confidence: conf}
	for i := range fit.Groups {
		for j := i + 1; j < fit.Groups; j++ {
			d := Difference{I: i, J: j, DF: float64(fit.Model.DF)}
			d.Estimate, d.SE = fit.Between(i, j)
			if d, err = widened(d, extra.of(i, j)); err != nil {
				return Pairs{}, err
			}
			p.Differences = append(p.Differences, d)
		}
	}
	p.allowByRange(fit.Groups)
	return p, nil
}

// WithinBlocks compares all pairs by [PairedT], the differences within the
// blocks that hold both groups (of cell means where a cell repeats). A pair with
// fewer than 2 such blocks, or with equal differences in all of them, is listed
// as unjudged and still counts in the allowance.
//
// It needs no common spread and no chain of blocks, and never errs too often for
// normal errors. The price is width: 28 pairs on 3 blocks leave each pair 2
// degrees of freedom and limits at 23.6 standard errors.
//
// Errors: bad data as in [FitBlocks], fewer than 2 groups, conf not between 0
// and 1, a negative extra variance.
func WithinBlocks(data Blocked, extra ExtraVar, conf float64) (Pairs, error) {
	if err := errors.Join(data.check(), checkProbability("confidence", conf)); err != nil {
		return Pairs{}, err
	}
	k, _ := data.size()
	if k < 2 {
		return Pairs{}, fmt.Errorf("%w: 1 group, at least 2 needed", ErrTooFew)
	}
	p := Pairs{Method: PairedT, Confidence: conf}
	for i := range k {
		for j := i + 1; j < k; j++ {
			if err := checkExtraVar(extra.of(i, j)); err != nil {
				return Pairs{}, err
			}
			d, err := pairedDifference(data, i, j, extra.of(i, j))
			if err != nil {
				p.Unjudged = append(p.Unjudged, Unjudged{i, j, err})
				continue
			}
			p.Differences = append(p.Differences, d)
		}
	}
	p.allowByBonferroni()
	return p, nil
}

func pairedDifference(data Blocked, i, j int, extraVar float64) (Difference, error) {
	s := Summarize(data.Within(i, j))
	switch {
	case s.N < 2:
		return Difference{}, fmt.Errorf("groups %d and %d: %w: %d blocks hold both, at least 2 needed", i+1, j+1, ErrTooFew, s.N)
	case s.SD == 0:
		return Difference{}, fmt.Errorf("groups %d and %d: %w: they differ by %g in all %d blocks; finer readings or more blocks needed", i+1, j+1, ErrNoSpread, s.Mean, s.N)
	}
	return widened(Difference{I: i, J: j, Estimate: s.Mean, SE: math.Sqrt(s.meanVar()), DF: float64(s.N - 1)}, extraVar)
}

// BlockedComparison is the judgement of all pairs of a blocked trial.
type BlockedComparison struct {
	Pairs
	Why string // one sentence: why this method
	// Multiple is how many standard errors the limits of a pair without extra
	// variance stand off.
	Multiple float64
	// Fit is the additive model, its values in order of block, group and size, so
	// that the order of the data changes no digit; nil for PairedT.
	Fit *BlockFit

	layout *blockLayout
	null   blockNull
	seed   uint64
}

// BlockedPairs compares all pairs of groups of a blocked trial so that in at
// most 1−conf of trials any true difference lies outside its interval, also when
// the groups do not scatter alike.
//
// Two groups: [PairedT]. More: on the additive model of [FitBlocks] each group's
// variance leans on that of all,
//
//	v_g = ¾·RSS_g/Σ(1−h) + ¼·RSS/DF
//
// (its own residuals over their own degrees of freedom, h the leverages; the
// residuals of all), a pair's se² is Σ_g v_g·Σa², a the weights of the values in
// the difference, and its limits are d ± c·se. The multiple c is the largest
// conf quantile of the largest |d|/se among trials of the same layout drawn from
// normal errors with equal spreads, with spreads rising evenly from 1 to 4, with
// one, two or half of the groups at 4 times the rest, and with one at a quarter.
// p is the largest share of such trials at or above |d|/se, (1+hits)/(1+draws),
// so never below 1/20001. For two groups the same formula would be the paired t.
//
// The rule was chosen by the simulation in docs/blocked-trials.md: Tukey's test
// errs too often when spreads differ; within-block differences with Bonferroni
// never do, but their limits are up to 4.5 times as wide.
//
// An extra variance u widens the limits to d ± √(c²·se² + q²·u/2), q the conf
// point of the range of k normal values; SE and DF then are √(se² + u) and
// Satterthwaite's, for the record. (Satterthwaite's degrees of freedom with a
// multiple carried over at equal tail of t err in up to 7 % of trials of 3 groups
// and 3 blocks.)
//
// Errors: those of [FitBlocks], fewer than 2 groups, fewer than 3 blocks for
// more than 2 groups, no residual degrees of freedom, no scatter, conf not
// between 0 and 1 or, for more than 2 groups, above 0.999, a negative extra
// variance.
//
// Source: form of the test, Westfall, Young 1993, Resampling-Based Multiple
// Testing, section 2.3 (single step, largest statistic); variances that lean on
// a pool, Smyth 2004, Linear models and empirical Bayes methods, Statistical
// Applications in Genetics and Molecular Biology 3:3; share and patterns, own
// simulation.
func BlockedPairs(data Blocked, extra ExtraVar, conf float64, seed uint64) (*BlockedComparison, error) {
	return (&BlockedComparison{seed: seed}).Again(data, extra, conf)
}

// Again compares the pairs of other data, such as the same values less a few, as
// [BlockedPairs] does with the seed of c. It takes over the draws of c where both
// layouts are large and nearly the same: as many groups and blocks, in each group
// 60 residual degrees of freedom of its own or more, and of these at most 5 % more or
// fewer than in c. The multiple, about z·(1 + (z²+1)/4ν) on ν degrees of freedom,
// then moves by less than 0.3 %, which is what 20 000 draws leave open.
//
// Errors: those of BlockedPairs.
//
// Source: expansion of the quantile of t, R. A. Fisher and E. A. Cornish, 1960,
// The percentile points of distributions having known cumulants, Technometrics
// 2:209.
func (c *BlockedComparison) Again(data Blocked, extra ExtraVar, conf float64) (*BlockedComparison, error) {
	if err := data.check(); err != nil {
		return nil, err
	}
	data = data.sorted()
	if k, _ := data.size(); k == 2 {
		return pairedT(data, extra, conf, c.seed)
	}
	fit, err := fitPairs(data, conf)
	if err != nil {
		return nil, err
	}
	const most = 0.999
	switch {
	case fit.Blocks < 3:
		return nil, fmt.Errorf("%w: %d blocks for %d groups, at least 3 needed", ErrTooFew, fit.Blocks, fit.Groups)
	case conf > most:
		return nil, fmt.Errorf("%w: confidence %g, expected at most %g with %d draws", ErrOutOfRange, conf, most, blockDraws)
	}
	out := &BlockedComparison{
		Pairs:  Pairs{Method: LeaningSpreads, Confidence: conf},
		Why:    fmt.Sprintf("%d groups that may scatter differently: the limits hold while none scatters more than 4 times as much as another", fit.Groups),
		Fit:    fit,
		layout: newBlockLayout(fit),
		seed:   c.seed,
	}
	if out.null = c.null; !out.layout.like(c.layout) {
		out.null = out.layout.null(out.seed)
	}
	out.Multiple = out.null.quantile(1 - conf)
	if err := out.judge(extra); err != nil {
		return nil, err
	}
	return out, nil
}

// judge fills in the differences.
func (c *BlockedComparison) judge(extra ExtraVar) error {
	variances := c.Fit.squares()
	c.layout.variances(variances)
	known := c.null.rangeMultiple(1 - c.Confidence)
	for i := range c.Fit.Groups {
		for j := i + 1; j < c.Fit.Groups; j++ {
			u, scatter := extra.of(i, j), c.layout.pairVariance(i, j, variances)
			d := Difference{I: i, J: j, Estimate: c.Fit.Means[i] - c.Fit.Means[j], SE: math.Sqrt(scatter), DF: float64(c.Fit.Model.DF)}
			var err error
			if d, err = widened(d, u); err != nil {
				return err
			}
			d.P = c.null.tail(math.Abs(d.Estimate) / d.SE)
			if u > 0 {
				d.P = c.null.tailWidened(d.Estimate, scatter, u)
			}
			d.Interval = around(d.Estimate, halfWidth(c.Multiple, known, scatter, u))
			c.Differences = append(c.Differences, d)
		}
	}
	return nil
}

// pairedT is the comparison of two groups.
func pairedT(data Blocked, extra ExtraVar, conf float64, seed uint64) (*BlockedComparison, error) {
	pairs, err := WithinBlocks(data, extra, conf)
	if err != nil {
		return nil, err
	}
	if len(pairs.Unjudged) > 0 {
		return nil, pairs.Unjudged[0].Err
	}
	n := len(data.Within(0, 1))
	return &BlockedComparison{
		Pairs:    pairs,
		Why:      fmt.Sprintf("2 groups: the differences within the %d blocks that hold both are the whole answer", n),
		Multiple: upperT((1-conf)/2, float64(n-1)),
		seed:     seed,
	}, nil
}

// fitPairs fits the model and checks that it can judge pairs.
func fitPairs(data Blocked, conf float64) (*BlockFit, error) {
	fit, err := FitBlocks(data)
	if err != nil {
		return nil, err
	}
	switch m := fit.Model; {
	case fit.Groups < 2:
		return nil, fmt.Errorf("%w: 1 group, at least 2 needed", ErrTooFew)
	case m.DF < 1:
		return nil, fmt.Errorf("%w: %d values for %d groups in %d blocks leave no residual degrees of freedom", ErrTooFew, len(m.Residuals), fit.Groups, fit.Blocks)
	case m.ResidualSD <= 1e-12*max(math.Abs(slices.Max(data.Values)), math.Abs(slices.Min(data.Values))):
		return nil, fmt.Errorf("%w: group and block explain every value exactly; finer readings or more blocks needed", ErrNoSpread)
	}
	return fit, checkProbability("confidence", conf)
}
