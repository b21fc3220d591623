package stats

import (
	"fmt"
	"math"
)

// Interlab is what several laboratories' repeats on one thing say about the
// method: how well one laboratory repeats itself and how well two agree. With
// two or three laboratories everything between laboratories is only indicative.
type Interlab struct {
	Mean              float64   // of all results
	RepeatabilitySD   float64   // s_r, within one laboratory
	BetweenSD         float64   // s_L, between laboratories; 0 when Clamped
	ReproducibilitySD float64   // s_R = √(s_L²+s_r²), never less than s_r
	Clamped           bool      // the estimate of s_L² was negative and was set to 0
	H                 []float64 // Mandel's h of each laboratory: its mean against the others
	K                 []float64 // Mandel's k: its spread against s_r; NaN for a single result
	CochranC          float64   // largest variance over the sum of variances

	between   float64 // s_d², the mean square between laboratories
	betweenDF float64 // p-1
	withinDF  float64 // N-p
	perLab    float64 // n̄, results in a laboratory as they weigh in s_L²
}

// limitFactor is 1.96·√2, which the standards print rounded as 2.8: the 95 %
// limit of the difference of two results.
const limitFactor = 1.96 * math.Sqrt2

// RepeatabilityLimit returns r = 1.96·√2·s_r: two results of one laboratory
// differ by more in about 5 % of cases.
func (l Interlab) RepeatabilityLimit() float64 { return limitFactor * l.RepeatabilitySD }

// ReproducibilityLimit returns R = 1.96·√2·s_R, the same for single results of
// two laboratories.
func (l Interlab) ReproducibilityLimit() float64 { return limitFactor * l.ReproducibilitySD }

// CriticalDifference returns the 95 % limit of the difference between the means
// of n1 and n2 results of two laboratories, √(R² - r²(1 - 1/(2n1) - 1/(2n2))).
//
// Source: ISO 5725-6:1994, sec. 4.2.2 (from memory, not opened).
func (l Interlab) CriticalDifference(n1, n2 int) (float64, error) {
	if n1 < 1 || n2 < 1 {
		return 0, fmt.Errorf("%w: %d and %d, at least 1 needed in each mean", ErrTooFew, n1, n2)
	}
	r, R := l.RepeatabilityLimit(), l.ReproducibilityLimit()
	return math.Sqrt(R*R - r*r*(1-1/(2*float64(n1))-1/(2*float64(n2)))), nil
}

// Agreement analyses the results of several laboratories on one thing, one
// Summary each. With p laboratories, N results in all and m the mean of all:
//
//	s_r² = Σ(n-1)s²/(N-p),  s_d² = Σn(m_j-m)²/(p-1)
//	n̄ = (N - Σn²/N)/(p-1),  s_L² = max(0, (s_d²-s_r²)/n̄)
//
// It needs two laboratories, a result from each, and spread within one.
//
// Source: ISO 5725-2:1994, sec. 7.4 (s_r, s_L, s_R), 7.3.1 (h, k), 7.3.3
// (Cochran); ASTM E691.
func Agreement(labs []Summary) (Interlab, error) {
	if len(labs) < 2 {
		return Interlab{}, fmt.Errorf("%w: %d laboratories, at least 2 needed", ErrTooFew, len(labs))
	}
	p, n, squareN := float64(len(labs)), 0.0, 0.0
	means := make([]float64, len(labs))
	offset := 0.0 // of the mean of all from the first laboratory's mean
	for i, g := range labs {
		if g.N < 1 || !finite(g.Mean) {
			return Interlab{}, fmt.Errorf("laboratory %d: %w: %d with mean %g, at least 1 needed", i+1, ErrTooFew, g.N, g.Mean)
		}
		n += float64(g.N)
		squareN += float64(g.N) * float64(g.N)
		means[i] = g.Mean
		offset += float64(g.N) * (g.Mean - labs[0].Mean)
	}
	within, _, err := Pooled(labs)
	if err != nil {
		return Interlab{}, err
	}
	l := Interlab{Mean: labs[0].Mean + offset/n, RepeatabilitySD: within}
	l.betweenDF, l.withinDF, l.perLab = p-1, n-p, (n-squareN/n)/(p-1)
	for _, g := range labs {
		l.between += float64(g.N) * (g.Mean - l.Mean) * (g.Mean - l.Mean) / l.betweenDF
	}
	between := (l.between - within*within) / l.perLab
	l.Clamped = between < 0
	l.BetweenSD = math.Sqrt(max(0, between))
	l.ReproducibilitySD = math.Hypot(l.BetweenSD, within)
	l.consistency(labs, Summarize(means))
	return l, nil
}

// consistency fills in Mandel's h and k and Cochran's C. Where all means are
// equal, every h is 0.
func (l *Interlab) consistency(labs []Summary, means Summary) {
	sum, largest := 0.0, 0.0
	for _, g := range labs {
		h := 0.0
		if means.SD > 0 {
			h = (g.Mean - means.Mean) / means.SD
		}
		l.H = append(l.H, h)
		l.K = append(l.K, g.SD/l.RepeatabilitySD)
		if g.N > 1 {
			sum += g.SD * g.SD
			largest = max(largest, g.SD*g.SD)
		}
	}
	l.CochranC = largest / sum
}
