package stats

import (
	"fmt"
	"math"
	"slices"
)

// Observed is a time to an event, or, without the event, a time up to which it
// had not happened (right-censored).
type Observed struct {
	Time  float64
	Event bool
}

// Step is one time of a Kaplan–Meier curve at which events happened.
type Step struct {
	Time           float64
	AtRisk, Events int
	Survival       float64 // share without the event after this time
	greenwood      float64 // Σ d/(n(n−d)) up to here
}

// SE is Greenwood's standard error of the survival; 0 where it reached 0.
func (s Step) SE() float64 { return s.Survival * math.Sqrt(s.greenwood) }

// Limits is the confidence interval on the scale log(−log S):
// S^exp(±z·σ), σ = √(Σ d/(n(n−d)))/|log S|. It is NaN where S is 0.
func (s Step) Limits(level float64) Interval {
	if s.Survival == 0 {
		return Interval{Lo: math.NaN(), Hi: math.NaN()}
	}
	width := normalQuantile((1+level)/2) * math.Sqrt(s.greenwood) / math.Abs(math.Log(s.Survival))
	return Interval{Lo: math.Pow(s.Survival, math.Exp(width)), Hi: math.Pow(s.Survival, math.Exp(-width))}
}

// Curve is a Kaplan–Meier estimate: the share for which the event has not yet
// happened, as steps down at the event times.
type Curve struct {
	Steps []Step
	Last  Observed // the longest time; censored if any of that length was
}

// KaplanMeier estimates S(t) = Π_{t_j≤t}(1 − d_j/n_j). Values censored at t_j
// are still at risk there. It assumes that censoring says nothing about the time
// that would have followed.
//
// Errors: fewer than 2 values, a time that is negative or not finite. No event
// at all is no error: the curve then has no step.
//
// Source: E. L. Kaplan and P. Meier, 1958, Nonparametric estimation from
// incomplete observations, Journal of the American Statistical Association
// 53:457; variance: M. Greenwood, 1926; limits: J. D. Kalbfleisch and
// R. L. Prentice, 1980, The Statistical Analysis of Failure Time Data, section
// 1.3.
func KaplanMeier(values []Observed) (Curve, error) {
	if err := checkObserved(values); err != nil {
		return Curve{}, err
	}
	sorted := slices.Clone(values)
	slices.SortFunc(sorted, byTime)
	c := Curve{Last: sorted[len(sorted)-1]}
	survival, greenwood := 1.0, 0.0
	for at := 0; at < len(sorted); {
		t, n, d := sorted[at].Time, len(sorted)-at, 0
		for ; at < len(sorted) && sorted[at].Time == t; at++ {
			if sorted[at].Event {
				d++
			}
		}
		if d == 0 {
			continue
		}
		survival *= float64(n-d) / float64(n)
		if d < n {
			greenwood += float64(d) / (float64(n) * float64(n-d))
		}
		c.Steps = append(c.Steps, Step{Time: t, AtRisk: n, Events: d, Survival: survival, greenwood: greenwood})
	}
	return c, nil
}

// byTime sorts events before censorings of the same time.
func byTime(a, b Observed) int {
	switch {
	case a.Time < b.Time:
		return -1
	case a.Time > b.Time:
		return 1
	case a.Event == b.Event:
		return 0
	case a.Event:
		return -1
	}
	return 1
}

// At returns the survival at time t. Beyond the last time, if that is censored,
// nothing is known: NaN.
func (c Curve) At(t float64) float64 {
	if t > c.Last.Time && !c.Last.Event {
		return math.NaN()
	}
	s := 1.0
	for _, step := range c.Steps {
		if step.Time <= t {
			s = step.Survival
		}
	}
	return s
}

// Median returns the smallest time with S ≤ ½ (with S = ½ exactly, the middle
// between it and the next event) and its limits, found where the limits of the
// curve cross ½. What the curve does not reach is +Inf.
//
// Source: R. Brookmeyer and J. Crowley, 1982, A confidence interval for the
// median survival time, Biometrics 38:29, with the limits of Step.
func (c Curve) Median(level float64) (float64, Interval, error) {
	if err := checkLevel(level); err != nil {
		return 0, Interval{}, err
	}
	limits := make([]Interval, len(c.Steps))
	for i, s := range c.Steps {
		limits[i] = s.Limits(level)
	}
	cross := func(at func(i int) float64) float64 {
		for i, s := range c.Steps {
			switch v := at(i); {
			case math.Abs(v-0.5) < 1e-12 && i+1 < len(c.Steps):
				return (s.Time + c.Steps[i+1].Time) / 2
			case v < 0.5+1e-12:
				return s.Time
			}
		}
		return math.Inf(1)
	}
	return cross(func(i int) float64 { return c.Steps[i].Survival }), Interval{
		Lo: cross(func(i int) float64 { return limits[i].Lo }),
		Hi: cross(func(i int) float64 { return limits[i].Hi }),
	}, nil
}

// RestrictedMean is the mean of min(T, tau), the area under the curve to tau,
// and its standard error.
//
// var = Σ_{t_j≤τ} A_j²·d_j/(n_j(n_j−d_j)), A_j the area from t_j to τ; the term
// is 0 where n_j = d_j. Without censoring before tau it is the mean of Capped.
//
// Errors: tau not above 0, or beyond the last time where that is censored.
//
// Source: P. Royston and M. K. B. Parmar, 2013, Restricted mean survival time,
// BMC Medical Research Methodology 13:152.
func (c Curve) RestrictedMean(tau float64) (mean, se float64, err error) {
	if !(tau > 0) || math.IsInf(tau, 0) {
		return 0, 0, fmt.Errorf("restricted mean: %w: tau %v, expected above 0", ErrOutOfRange, tau)
	}
	if tau > c.Last.Time && !c.Last.Event {
		return 0, 0, fmt.Errorf("restricted mean: %w: tau %g lies beyond the last time %g, which is censored: expected at most %g", ErrOutOfRange, tau, c.Last.Time, c.Last.Time)
	}
	area, variance, end := 0.0, 0.0, tau
	for _, s := range slices.Backward(c.Steps) {
		if s.Time > tau {
			continue
		}
		area += s.Survival * (end - s.Time)
		end = s.Time
		if s.Events < s.AtRisk {
			variance += area * area * float64(s.Events) / (float64(s.AtRisk) * float64(s.AtRisk-s.Events))
		}
	}
	return area + end, math.Sqrt(variance), nil
}

// Capped returns min(t, limit) of every time; +Inf, "did not happen", counts the
// limit. The mean of the result estimates E[min(T, limit)] without assuming
// anything about what would have followed, and any method for means applies.
//
// Errors: no values, a time that is negative or NaN, a limit that is not above
// 0 and finite.
func Capped(times []float64, limit float64) ([]float64, error) {
	if !(limit > 0) || math.IsInf(limit, 0) {
		return nil, fmt.Errorf("capped times: %w: limit %v, expected above 0", ErrOutOfRange, limit)
	}
	if len(times) == 0 {
		return nil, fmt.Errorf("capped times: %w: 0, at least 1 needed", ErrTooFew)
	}
	capped := make([]float64, len(times))
	for i, t := range times {
		if !(t >= 0) {
			return nil, fmt.Errorf("capped times: %w: time %d is %v, expected 0 or more, or +Inf", ErrOutOfRange, i+1, t)
		}
		capped[i] = min(t, limit)
	}
	return capped, nil
}

// Ending is a time and what ended it: 0 for censored, else the number of a
// cause, such as 1 for a boil and 2 for a flame-out before it.
type Ending struct {
	Time  float64
	Cause int
}

// Incidence is the share that has ended by one cause up to a time.
type Incidence struct {
	Time, Share, SE float64
}

// CumulativeIncidence estimates F(t) = P(T ≤ t, cause) where other causes
// compete: at each time the share still running, S(t_{j−1}), times d_cj/n_j.
// One less the Kaplan–Meier curve with the other causes as censored would answer
// another question (had there been no other cause) and is always larger.
//
// The standard error follows from the delta method,
// var F(t) = Σ (F(t)−F(t_j))²·d_j/(n_j(n_j−d_j)) + Σ S_{j−1}²·d_cj(n_j−d_cj)/n_j³
// − 2Σ (F(t)−F(t_j))·S_{j−1}·d_cj/n_j²; without censoring it is √(F(1−F)/n).
//
// Errors: fewer than 2 values, a time that is negative or not finite, cause
// below 1, or a negative cause among the values.
//
// Source: O. O. Aalen and S. Johansen, 1978, An empirical transition matrix for
// non-homogeneous Markov chains based on censored observations, Scandinavian
// Journal of Statistics 5:141; variance: G. E. Dinse and M. G. Larson, 1986, A
// note on semi-Markov models for partially censored data, Biometrika 73:379.
func CumulativeIncidence(values []Ending, cause int) ([]Incidence, error) {
	if cause < 1 {
		return nil, fmt.Errorf("cumulative incidence: %w: cause %d, expected 1 or more", ErrOutOfRange, cause)
	}
	all := make([]Observed, len(values))
	for i, v := range values {
		if v.Cause < 0 {
			return nil, fmt.Errorf("cumulative incidence: %w: cause %d of value %d, expected 0 or more", ErrOutOfRange, v.Cause, i+1)
		}
		all[i] = Observed{Time: v.Time, Event: v.Cause > 0}
	}
	curve, err := KaplanMeier(all)
	if err != nil {
		return nil, err
	}
	result := make([]Incidence, len(curve.Steps))
	byCause := make([]float64, len(curve.Steps))
	share, before := 0.0, 1.0
	for j, s := range curve.Steps {
		for _, v := range values {
			if v.Time == s.Time && v.Cause == cause {
				byCause[j]++
			}
		}
		share += before * byCause[j] / float64(s.AtRisk)
		before = s.Survival
		result[j] = Incidence{Time: s.Time, Share: share}
	}
	for j := range result {
		result[j].SE = incidenceSE(curve.Steps[:j+1], result[:j+1], byCause)
	}
	return result, nil
}

// incidenceSE is the standard error of the last of the incidences.
func incidenceSE(steps []Step, shares []Incidence, byCause []float64) float64 {
	end := shares[len(shares)-1].Share
	variance, before := 0.0, 1.0
	for j, s := range steps {
		n, d, c := float64(s.AtRisk), float64(s.Events), byCause[j]
		rest := end - shares[j].Share
		if d < n {
			variance += rest * rest * d / (n * (n - d))
		}
		variance += before*before*c*(n-c)/(n*n*n) - 2*rest*before*c/(n*n)
		before = s.Survival
	}
	return math.Sqrt(max(0, variance))
}

func checkObserved(values []Observed) error {
	if len(values) < 2 {
		return fmt.Errorf("%w: %d, at least 2 needed", ErrTooFew, len(values))
	}
	for i, v := range values {
		if !(v.Time >= 0) || math.IsInf(v.Time, 0) {
			return fmt.Errorf("%w: time %d is %v, expected a finite number, 0 or more", ErrOutOfRange, i+1, v.Time)
		}
	}
	return nil
}
