package stats

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// naive is the log likelihood written with the distributions of a library.
func naive(values []Observed, design mat.Matrix, model Lifetime, coef []float64, scale float64) (sum float64) {
	for i, v := range values {
		location := 0.0
		for j, c := range coef {
			location += design.At(i, j) * c
		}
		var d interface {
			LogProb(float64) float64
			Survival(float64) float64
		}
		switch model {
		case Lognormal:
			d = distuv.LogNormal{Mu: location, Sigma: scale}
		case Normal:
			d = distuv.Normal{Mu: location, Sigma: scale}
		default:
			d = distuv.Weibull{K: 1 / scale, Lambda: math.Exp(location)}
		}
		if v.Event {
			sum += d.LogProb(v.Time)
		} else {
			sum += math.Log(d.Survival(v.Time))
		}
	}
	return sum
}

// censoredTrial draws times of three groups with a covariate; about a quarter
// are censored.
func censoredTrial(seed uint64) ([]Observed, *mat.Dense) {
	rng := rand.New(rand.NewPCG(seed, 0))
	var values []Observed
	design := mat.NewDense(18, 4, nil)
	for i := range 18 {
		g, x := i%3, rng.NormFloat64()
		design.Set(i, g, 1)
		design.Set(i, 3, x)
		time := math.Exp(1 + 0.3*float64(g) + 0.2*x + 0.4*rng.NormFloat64())
		limit := math.Exp(1.7 + 0.5*rng.NormFloat64())
		values = append(values, Observed{Time: min(time, limit), Event: time <= limit})
	}
	return values, design
}

func TestFitsStandAtTheTopOfTheLikelihood(t *testing.T) {
	for _, model := range []Lifetime{Lognormal, Weibull, Exponential, Normal} {
		values, design := censoredTrial(uint64(model) + 1)
		fit := must[*LifetimeFit](t)(FitLifetimes(values, rowsOf(design), model))
		at := func(i int, h float64, j int, k float64) float64 {
			theta := append(append([]float64{}, fit.Coef...), math.Log(fit.Scale))
			theta[i] += h
			theta[j] += k
			return naive(values, design, model, theta[:4], math.Exp(theta[4]))
		}
		near(t, "log likelihood", fit.LogLik, at(0, 0, 0, 0), 1e-12)
		size := 5
		if model == Exponential {
			size = 4
		}
		information, h := mat.NewSymDense(size, nil), 1e-4
		for i := range size {
			step := h * fit.SE(i)
			within(t, "slope in standard errors", (at(i, step, 0, 0)-at(i, -step, 0, 0))/(2*h), 0, 1e-6)
			for j := range i + 1 {
				a, b := 1e-2*fit.SE(i), 1e-2*fit.SE(j)
				cross := at(i, a, j, b) - at(i, a, j, -b) - at(i, -a, j, b) + at(i, -a, j, -b)
				information.SetSym(i, j, -cross/(4*a*b))
			}
		}
		var covariance mat.Dense
		if err := covariance.Inverse(information); err != nil {
			t.Fatal(err)
		}
		for i := range size {
			near(t, "standard error", fit.SE(i), math.Sqrt(covariance.At(i, i)), 1e-3)
		}
	}
}

func TestFitsInClosedForm(t *testing.T) {
	times := []float64{210, 305, 250, 410, 333}
	values := make([]Observed, len(times))
	logs, total := make([]float64, len(times)), 0.0
	for i, v := range times {
		values[i], logs[i] = Observed{v, true}, math.Log(v)
		total += v
	}
	n := float64(len(times))
	f := must[LogNormal](t)(FitLogNormal(values))
	s := Summarize(logs)
	near(t, "mu", f.Mu, s.Mean, 1e-10)
	near(t, "sigma, divisor n", f.Sigma, s.SD*math.Sqrt((n-1)/n), 1e-10)
	near(t, "variance of mu", f.VarMu, f.Sigma*f.Sigma/n, 1e-8)
	near(t, "variance of sigma", f.VarSigma, f.Sigma*f.Sigma/(2*n), 1e-8)
	within(t, "covariance", f.CovMuSigma, 0, 1e-10)

	values[3].Event = false
	e := must[*LifetimeFit](t)(FitGroups([][]Observed{values}, Exponential))
	near(t, "exponential mean", math.Exp(e.Coef[0]), total/4, 1e-10) // total time per event
	near(t, "its standard error", e.SE(0), 0.5, 1e-8)                // 1/√events
	median, se, err := e.Quantile(0.5, []float64{1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "exponential median", math.Exp(median), total/4*math.Ln2, 1e-10)
	near(t, "its standard error", se, 0.5, 1e-8)
}

func TestGroupsWithoutEvents(t *testing.T) {
	a, never, b := []Observed{{210, true}, {305, true}, {250, false}}, []Observed{{300, false}, {310, false}}, []Observed{{410, true}, {333, true}}
	for _, model := range []Lifetime{Lognormal, Weibull, Exponential, Normal} {
		all := must[*LifetimeFit](t)(FitGroups([][]Observed{a, never, b}, model))
		two := must[*LifetimeFit](t)(FitGroups([][]Observed{a, b}, model))
		if len(all.NoEvent) != 1 || all.NoEvent[0] != 1 || !math.IsInf(all.Coef[1], 1) || !math.IsNaN(all.SE(1)) {
			t.Errorf("model %d: %+v, want group 1 named and at +Inf", model, all)
		}
		within(t, "first group", all.Coef[0], two.Coef[0], 0)
		within(t, "last group", all.Coef[2], two.Coef[1], 0)
		within(t, "its standard error", all.SE(2), two.SE(1), 0)
		q, se, err := all.Quantile(0.9, []float64{0, 0, 1})
		q2, se2, _ := two.Quantile(0.9, []float64{0, 1})
		if err != nil || q != q2 || se != se2 {
			t.Errorf("quantile %g ± %g %v, want %g ± %g", q, se, err, q2, se2)
		}
	}
	_, err := FitGroups([][]Observed{never, never}, Lognormal)
	refuses(t, err, ErrNoEvent, "lifetime fit: no event in any of 2 groups")
	_, err = FitLogNormal(never)
	refuses(t, err, ErrNoEvent, "lifetime fit: no event in any of 1 groups")
}

func TestDesignsWhoseLikelihoodHasNoTop(t *testing.T) {
	values := []Observed{{210, true}, {305, true}, {300, false}, {310, false}}
	design := mat.NewDense(4, 2, []float64{1, 0, 1, 0, 1, 1, 1, 1})
	_, err := FitLifetimes(values, rowsOf(design), Weibull)
	refuses(t, err, ErrNoEvent, "lifetime fit: no event to settle 1 of the coefficients")
	_, err = FitLifetimes(values, rowsOf(mat.NewDense(4, 3, []float64{1, 0, 0, 1, 0, 0, 1, 1, 0, 1, 0, 1})), Weibull)
	refuses(t, err, ErrNoEvent, "lifetime fit: no event to settle 2 of the coefficients")
	// The covariate moves one censored time up and one down: there is a top.
	fit, err := FitLifetimes(values, rowsOf(mat.NewDense(4, 2, []float64{1, 0, 1, 0, 1, 1, 1, -1})), Weibull)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(fit.Coef[1]) > 1 {
		t.Errorf("coefficient %g, want a small one", fit.Coef[1])
	}
	// One event in each group is fitted exactly, and the censored ones lie below.
	_, err = FitGroups([][]Observed{{{210, true}, {200, false}}, {{300, true}, {250, false}}}, Lognormal)
	refuses(t, err, ErrNoSpread, "lifetime fit: no spread: σ runs to zero, expected events that differ from what the design fits exactly")
	_, err = FitLogNormal([]Observed{{210, true}, {210, true}, {210, true}})
	refuses(t, err, ErrNoSpread, "lifetime fit: no spread about the fitted values")
}

func TestNormalHazardFarOut(t *testing.T) {
	// Both forms meet at 6, and far out h = z + 1/z − 2/z³ + 10/z⁵ − 74/z⁷.
	below := normalHazard(math.Nextafter(6, 0))
	near(t, "at the seam", normalHazard(6), below, 1e-12)
	for _, z := range []float64{40, 1000} {
		near(t, "far out", normalHazard(z), z+1/z-2/(z*z*z)+10/math.Pow(z, 5)-74/math.Pow(z, 7), 1e-12)
	}
	within(t, "far below", normalHazard(-40), 0, 1e-300)
}

func TestLifetimesRefuse(t *testing.T) {
	ones := mat.NewDense(2, 1, []float64{1, 1})
	good := []Observed{{1, true}, {2, true}}
	_, err := FitLifetimes(good[:1], rowsOf(ones), Weibull)
	refuses(t, err, ErrTooFew, "lifetime fit: too few values: 1, at least 2 needed")
	_, err = FitLifetimes([]Observed{{0, true}, {2, true}}, rowsOf(ones), Weibull)
	refuses(t, err, ErrOutOfRange, "lifetime fit: out of range: time 1 is 0, expected above 0")
	_, err = FitLifetimes([]Observed{{-1, true}, {2, true}}, rowsOf(ones), Normal)
	refuses(t, err, ErrOutOfRange, "lifetime fit: out of range: time 1 is -1, expected a finite number, 0 or more")
	_, err = FitLifetimes(good, rowsOf(mat.NewDense(3, 1, nil)), Weibull)
	refuses(t, err, ErrOutOfRange, "lifetime fit: out of range: 2 times, 3 rows of the design, expected as many")
	_, err = FitLifetimes(good, rowsOf(mat.NewDense(2, 2, []float64{1, 2, 1, 2})), Weibull)
	refuses(t, err, ErrOutOfRange, "lifetime fit: out of range: the columns of the design are not independent")
	_, err = FitLifetimes(good, [][]float64{{1, 2}, {1}}, Weibull)
	refuses(t, err, ErrOutOfRange, "lifetime fit: out of range: row 2 of the design has 1 columns, expected 2 as in row 1")
	_, err = FitLifetimes([]Observed{{1, false}, {2, false}}, rowsOf(ones), Weibull)
	refuses(t, err, ErrNoEvent, "lifetime fit: no event among 2 times")
	fit := must[*LifetimeFit](t)(FitLifetimes(good, rowsOf(ones), Weibull))
	_, _, err = fit.Quantile(0, []float64{1})
	refuses(t, err, ErrOutOfRange, "out of range: share 0, expected more than 0 and less than 1")
	_, _, err = fit.Quantile(0.5, []float64{1, 0})
	refuses(t, err, ErrOutOfRange, "out of range: 2 values for 1 coefficients")
}
