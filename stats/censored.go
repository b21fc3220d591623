package stats

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fairburn/linear"
)

// ErrNoEvent is wrapped by the errors for times without an event where no finite
// estimate exists: however large it is taken, larger fits better. All that can
// be said is that the time is longer than those seen.
var ErrNoEvent = errors.New("no event")

// Lifetime is a distribution of times: log T = xᵀβ + σW, or T itself for Normal.
type Lifetime int

const (
	Lognormal   Lifetime = iota // W normal: the default, on the scale of comparisons of logarithms
	Weibull                     // W extreme-value; shape 1/σ, scale e^{xᵀβ}: shown as a check
	Exponential                 // Weibull with σ = 1
	Normal                      // T = xᵀβ + σW, W normal
)

// LifetimeFit is a maximum-likelihood fit of right-censored times. Its standard
// errors rest on many events; with few, σ is too small (its divisor is n, not
// n−p) and intervals from it are approximate and too short.
type LifetimeFit struct {
	Model  Lifetime
	Coef   []float64 // of the columns of the design; +Inf for a group in NoEvent
	Scale  float64   // σ; 1 for Exponential
	LogLik float64   // of the times themselves, not of their logarithms
	Events int
	// NoEvent lists the groups, from 0, that FitGroups left out for want of an
	// event.
	NoEvent []int
	// covariance of Coef and then log σ (none for Exponential), from the inverse
	// observed information; NaN for what has no finite estimate.
	covariance [][]float64
}

// Covariance is the estimated covariance of coefficients i and j; index
// len(Coef) is log σ (none for Exponential).
func (f *LifetimeFit) Covariance(i, j int) float64 { return f.covariance[i][j] }

// SE is the standard error of coefficient i; index len(Coef) is that of log σ.
func (f *LifetimeFit) SE(i int) float64 { return math.Sqrt(f.covariance[i][i]) }

// Quantile returns xᵀβ + σw_p and its standard error by the delta method: the
// time below which a share p lies, as a logarithm except for Normal. p = 0.5
// gives the median, e^{xᵀβ} or e^{xᵀβ}(log 2)^σ.
func (f *LifetimeFit) Quantile(p float64, x []float64) (value, se float64, err error) {
	if err := checkProbability("share", p); err != nil {
		return 0, 0, err
	}
	if len(x) != len(f.Coef) {
		return 0, 0, fmt.Errorf("%w: %d values for %d coefficients", ErrOutOfRange, len(x), len(f.Coef))
	}
	w := normalQuantile(p)
	if f.Model == Weibull || f.Model == Exponential {
		w = math.Log(-math.Log1p(-p))
	}
	slope := slices.Clone(x) // ∂value/∂parameters
	if f.Model != Exponential {
		slope = append(slope, f.Scale*w)
	}
	value = f.Scale * w
	variance := 0.0
	for i := range slope {
		if slope[i] == 0 { // a group without an estimate may stand beside
			continue
		}
		if i < len(x) {
			value += x[i] * f.Coef[i]
		}
		for j := range slope {
			if slope[j] != 0 {
				variance += slope[i] * slope[j] * f.covariance[i][j]
			}
		}
	}
	return value, math.Sqrt(variance), nil
}

// FitLifetimes fits times, some of them right-censored, to a design: one row a
// time, one column a coefficient, an intercept included where wanted.
//
// With z = (log t − xᵀβ)/σ an event adds log f(z) − log σ − log t to the log
// likelihood and a censored time log S(z): z − eᶻ and −eᶻ for Weibull,
// −z²/2 − log(2π)/2 and log(1−Φ(z)) for Lognormal. Newton's method on
// (β, log σ) with step halving starts from least squares on all times.
//
// Errors: as for KaplanMeier; a time of 0 unless Normal; rows that do not match;
// columns that are not independent; ErrNoEvent where there is no event or a
// coefficient runs to infinity because the times that it moves are all censored;
// ErrNoSpread where σ runs to zero.
//
// Source: J. D. Kalbfleisch and R. L. Prentice, 1980, The Statistical Analysis
// of Failure Time Data, sections 3.6–3.8.
func FitLifetimes(values []Observed, design [][]float64, model Lifetime) (*LifetimeFit, error) {
	l, err := newLikelihood(values, design, model)
	if err != nil {
		return nil, err
	}
	theta, err := l.start()
	if err != nil {
		return nil, err
	}
	at, err := l.climb(theta)
	if err != nil {
		return nil, err
	}
	p := len(l.x[0])
	fit := &LifetimeFit{Model: model, Coef: at.theta[:p], Scale: 1, LogLik: at.value, Events: l.events}
	if model != Exponential {
		fit.Scale = math.Exp(at.theta[p])
	}
	chol, ok := linear.Factor(at.information)
	if !ok {
		return nil, fmt.Errorf("lifetime fit: %w: the likelihood is flat at its top", ErrNoSpread)
	}
	fit.covariance = chol.Inverse()
	return fit, nil
}

// FitGroups fits one location to each group, with one σ. A group without an
// event has no finite location: it is named in NoEvent, its Coef is +Inf, and
// the others get what they would get without it, which is the limit of the
// likelihood.
//
// Errors: as for FitLifetimes; ErrNoEvent only if no group has an event.
func FitGroups(groups [][]Observed, model Lifetime) (*LifetimeFit, error) {
	var values []Observed
	var kept, none []int
	var of []int
	for g, group := range groups {
		if !slices.ContainsFunc(group, func(o Observed) bool { return o.Event }) {
			none = append(none, g)
			continue
		}
		for range group {
			of = append(of, len(kept))
		}
		kept = append(kept, g)
		values = append(values, group...)
	}
	if len(kept) == 0 {
		return nil, fmt.Errorf("lifetime fit: %w in any of %d groups", ErrNoEvent, len(groups))
	}
	design := make([][]float64, len(values))
	for i, g := range of {
		design[i] = make([]float64, len(kept))
		design[i][g] = 1
	}
	fit, err := FitLifetimes(values, design, model)
	if err != nil || none == nil {
		return fit, err
	}
	fit.widen(kept, len(groups))
	fit.NoEvent = none
	return fit, nil
}

// widen moves the coefficients to the places in kept among groups, with +Inf and
// NaN for the others.
func (f *LifetimeFit) widen(kept []int, groups int) {
	coef := slices.Repeat([]float64{math.Inf(1)}, groups)
	places := slices.Clone(kept)
	for i, g := range kept {
		coef[g] = f.Coef[i]
	}
	size := groups
	if f.Model != Exponential {
		places, size = append(places, groups), groups+1
	}
	covariance := make([][]float64, size)
	for i := range covariance {
		covariance[i] = slices.Repeat([]float64{math.NaN()}, size)
	}
	for i, a := range places {
		for j, b := range places {
			covariance[a][b] = f.covariance[i][j]
		}
	}
	f.Coef, f.covariance = coef, covariance
}

// LogNormal is the fit of one sample of right-censored times to a lognormal
// distribution: log T has mean Mu and standard deviation Sigma. The covariances
// are those of Mu and Sigma (not log Sigma).
type LogNormal struct {
	Mu, Sigma                   float64
	VarMu, VarSigma, CovMuSigma float64
	N, Events                   int
}

// FitLogNormal fits one sample, such as amounts needed with those that did not
// suffice as censored. For a limit below which a share p lies take
// Mu + w_p·Sigma, w_p = Φ⁻¹(p), with variance
// VarMu + 2w_p·CovMuSigma + w_p²·VarSigma; without censoring Sigma²·N/(N−1) is
// the usual variance.
//
// Errors: as for FitLifetimes.
func FitLogNormal(values []Observed) (LogNormal, error) {
	fit, err := FitGroups([][]Observed{values}, Lognormal)
	if err != nil {
		return LogNormal{}, err
	}
	return LogNormal{
		Mu: fit.Coef[0], Sigma: fit.Scale,
		VarMu:      fit.Covariance(0, 0),
		VarSigma:   fit.Scale * fit.Scale * fit.Covariance(1, 1),
		CovMuSigma: fit.Scale * fit.Covariance(0, 1),
		N:          len(values), Events: fit.Events,
	}, nil
}
