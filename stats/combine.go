package stats

import (
	"fmt"
	"math"
)

// Estimate is what one group found of a quantity that others looked for too:
// the value, its standard error and the degrees of freedom of that.
type Estimate struct{ Value, SE, DF float64 }

// check reports why e cannot be used.
func (e Estimate) check() error {
	switch {
	case !finite(e.Value) || !finite(e.SE):
		return fmt.Errorf("%w: %g with standard error %g", ErrNotFinite, e.Value, e.SE)
	case e.SE <= 0:
		return fmt.Errorf("%w: standard error %g, expected more than 0", ErrNoSpread, e.SE)
	}
	return nil
}

// Combined is the mean over groups that each found an estimate of their own.
type Combined struct {
	N         int     // groups
	Value     float64 // mean over groups
	SE        float64
	DF        float64 // N-1: the groups are the sample
	BetweenSD float64 // τ, of what the groups would find without scatter of their own; 0 when their own scatter explains all
	P         float64 // two-sided, of a mean of 0
	Interval
}

// Combine returns the mean over groups with the groups as the unit: another
// group, not another value, is what the interval at confidence conf speaks of.
// With weights w = 1/(SE²+τ²), τ² the root of Σw(y-m)² = N-1 or 0 if there is
// none above,
//
//	m = Σwy/Σw,  q = Σw(y-m)²/(N-1),  SE² = max(1, q)/Σw,  m ± t_{N-1}·SE
//
// It needs two groups, and with two the interval is wide: t_1 is 12.7 at 95 %.
//
// Source: Paule, Mandel 1982, Consensus values and weighting factors, Journal
// of Research of the National Bureau of Standards 87:377 (τ²); Hartung, Knapp
// 2001, A refined method for the meta-analysis of controlled clinical trials
// with binary outcome, Statistics in Medicine 20:3875 (SE, t); Röver, Knapp,
// Friede 2015, BMC Medical Research Methodology 15:99 (q of at least 1, which
// few groups of unequal precision need).
func Combine(es []Estimate, conf float64) (Combined, error) {
	if err := checkProbability("confidence", conf); err != nil {
		return Combined{}, err
	}
	if len(es) < 2 {
		return Combined{}, fmt.Errorf("%w: %d groups, at least 2 needed", ErrTooFew, len(es))
	}
	for i, e := range es {
		if err := e.check(); err != nil {
			return Combined{}, fmt.Errorf("group %d: %w", i+1, err)
		}
	}
	square := pauleMandel(es)
	m := weigh(es, square)
	c := Combined{N: len(es), Value: m.mean, DF: float64(len(es) - 1), BetweenSD: math.Sqrt(square)}
	c.SE = math.Sqrt(max(1, m.sum/c.DF) / m.weight)
	c.P = 2 * tailT(math.Abs(c.Value)/c.SE, c.DF)
	c.Interval = around(c.Value, upperT((1-conf)/2, c.DF)*c.SE)
	return c, nil
}

// weighed is a weighted mean: the mean, Σw, Σw(y-m)² and Σw²(y-m)².
type weighed struct{ mean, weight, sum, slope float64 }

// weigh returns the mean of estimates with weights 1/(SE²+square).
func weigh(es []Estimate, square float64) weighed {
	var m weighed
	first := es[0].Value // differences keep their digits
	for _, e := range es {
		w := 1 / (e.SE*e.SE + square)
		m.weight += w
		m.mean += w * (e.Value - first)
	}
	m.mean = first + m.mean/m.weight
	for _, e := range es {
		w, d := 1/(e.SE*e.SE+square), e.Value-m.mean
		m.sum += w * d * d
		m.slope += w * w * d * d
	}
	return m
}

// pauleMandel returns τ² by Newton's steps from 0. The sum falls with τ² and is
// convex, so every step stays below the root.
//
// Source: DerSimonian, Kacker 2007, Random-effects model for meta-analysis of
// clinical trials: an update, Contemporary Clinical Trials 28:105.
func pauleMandel(es []Estimate) float64 {
	square, free := 0.0, float64(len(es)-1)
	for range 1000 {
		m := weigh(es, square)
		step := (m.sum - free) / m.slope
		if !(m.sum > free) || step <= 1e-15*square {
			break
		}
		square += step
	}
	return square
}

// Apart compares what two groups found: a less b with its p and interval at
// confidence conf, and the degrees of freedom by Satterthwaite.
//
// Source: Satterthwaite 1946, Biometrics Bulletin 2:110; Welch 1947 (see [Welch]).
func Apart(a, b Estimate, conf float64) (Difference, error) {
	if err := checkProbability("confidence", conf); err != nil {
		return Difference{}, err
	}
	for i, e := range []Estimate{a, b} {
		if err := e.check(); err != nil {
			return Difference{}, fmt.Errorf("group %d: %w", i+1, err)
		}
		if !(e.DF > 0) {
			return Difference{}, fmt.Errorf("group %d: %w: %g degrees of freedom, expected more than 0", i+1, ErrTooFew, e.DF)
		}
	}
	se := math.Hypot(a.SE, b.SE)
	wa, wb := a.SE/se, b.SE/se
	d := Difference{J: 1, Estimate: a.Value - b.Value, SE: se, DF: 1 / (math.Pow(wa, 4)/a.DF + math.Pow(wb, 4)/b.DF)}
	d.P = 2 * tailT(math.Abs(d.Estimate)/d.SE, d.DF)
	d.Interval = around(d.Estimate, upperT((1-conf)/2, d.DF)*d.SE)
	return d, nil
}
