package stats

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// trials is testdata/survival.json: printed data sets of times.
type trials struct {
	Freireich struct{ Control, Sixmp censoredColumns }
	Ovarian   struct {
		censoredColumns
		Ecog, Rx []int
	}
	Veteran struct {
		censoredColumns
		Celltype, Treatment []int
	}
	Mgus struct {
		Time  []float64
		Cause []int
	}
	Tobin struct{ Durable, Age, Quant []float64 }
}

type censoredColumns struct {
	Time  []float64
	Event []int
}

func (c censoredColumns) observed() []Observed {
	out := make([]Observed, len(c.Time))
	for i, t := range c.Time {
		out[i] = Observed{Time: t, Event: c.Event[i] == 1}
	}
	return out
}

// grouped sorts the times by label (from 1), and within blocks by block (from 1).
func (c censoredColumns) grouped(label, block []int, groups, blocks int) [][][]Observed {
	out := make([][][]Observed, blocks)
	for b := range out {
		out[b] = make([][]Observed, groups)
	}
	for i, o := range c.observed() {
		b := 0
		if block != nil {
			b = block[i] - 1
		}
		out[b][label[i]-1] = append(out[b][label[i]-1], o)
	}
	return out
}

func readTrials(t *testing.T) (d trials) {
	t.Helper()
	readTestdata(t, "survival.json", &d)
	return d
}

func TestKaplanMeierMeetsFreireich(t *testing.T) {
	// Freireich et al. 1963, 6-mercaptopurine arm; the table is printed in many
	// textbooks, such as Cox and Oakes 1984 table 4.1, limits from R 4.2.2,
	// survival 3.5-3, conf.type "log-log".
	c := must[Curve](t)(KaplanMeier(readTrials(t).Freireich.Sixmp.observed()))
	rows := []struct {
		time                       float64
		atRisk, events             int
		survival, se, lower, upper float64
	}{
		{6, 21, 3, 0.857, 0.0764, 0.620, 0.952},
		{7, 17, 1, 0.807, 0.0869, 0.563, 0.923},
		{10, 15, 1, 0.753, 0.0963, 0.503, 0.889},
		{13, 12, 1, 0.690, 0.1068, 0.432, 0.849},
		{16, 11, 1, 0.627, 0.1141, 0.368, 0.805},
		{22, 7, 1, 0.538, 0.1282, 0.268, 0.747},
		{23, 6, 1, 0.448, 0.1346, 0.188, 0.680},
	}
	if len(c.Steps) != len(rows) {
		t.Fatalf("%d steps, want %d", len(c.Steps), len(rows))
	}
	for i, r := range rows {
		s := c.Steps[i]
		if s.Time != r.time || s.AtRisk != r.atRisk || s.Events != r.events {
			t.Errorf("step %d: %+v, want %+v", i, s, r)
		}
		within(t, "survival", s.Survival, r.survival, 0.0006)
		within(t, "standard error", s.SE(), r.se, 0.0006)
		within(t, "lower limit", s.Limits(0.95).Lo, r.lower, 0.0006)
		within(t, "upper limit", s.Limits(0.95).Hi, r.upper, 0.0006)
	}
}

func TestMediansMeetFreireich(t *testing.T) {
	d := readTrials(t).Freireich
	rows := []struct {
		name           string
		of             censoredColumns
		median, lo, hi float64
	}{ // medians as published; limits R 4.2.2, survival 3.5-3, conf.type "log-log"
		{"6-MP", d.Sixmp, 23, 13, math.Inf(1)},
		{"control", d.Control, 8, 4, 11},
	}
	for _, r := range rows {
		median, limits, err := must[Curve](t)(KaplanMeier(r.of.observed())).Median(0.95)
		if err != nil || median != r.median || limits.Lo != r.lo || limits.Hi != r.hi {
			t.Errorf("%s: median %g %v %v, want %g [%g, %g]", r.name, median, limits, err, r.median, r.lo, r.hi)
		}
	}
}

func TestRestrictedMeanMeetsReferenceOutput(t *testing.T) {
	d := readTrials(t).Freireich
	rows := []struct {
		of            censoredColumns
		tau, mean, se float64
	}{ // R 4.2.2, survival 3.5-3, print(survfit, rmean = tau)
		{d.Sixmp, 20, 16.11652661064, 1.25156019601},
		{d.Control, 20, 8.42857142857, 1.26808268250},
		{d.Sixmp, 23, 17.90924369748, 1.55318997825},
		{d.Control, 23, 8.66666666667, 1.37739004126},
	}
	for _, r := range rows {
		mean, se, err := must[Curve](t)(KaplanMeier(r.of.observed())).RestrictedMean(r.tau)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "restricted mean", mean, r.mean, 1e-9)
		near(t, "its standard error", se, r.se, 1e-9)
	}
}

func TestIncidenceMeetsReferenceOutput(t *testing.T) {
	d := readTrials(t).Mgus
	values := make([]Ending, len(d.Time))
	for i := range values {
		values[i] = Ending{Time: d.Time[i], Cause: d.Cause[i]}
	}
	// R 4.2.2, survival 3.5-3, survfit with a multi-state status. Its standard
	// errors come from the infinitesimal jackknife, not from products of
	// conditional variances; the two differ by a few percent here.
	rows := []struct {
		cause           int
		time, share, se float64
	}{
		{1, 24, 0.06133333333333, 0.03430558389562},
		{1, 60, 0.12704761904762, 0.04853334309211},
		{1, 120, 0.22046498599440, 0.06170459888513},
		{1, 180, 0.25079529993816, 0.06614377763262},
		{2, 24, 0.1822222222222, 0.05496116598839},
		{2, 60, 0.3124481792717, 0.06721767959563},
		{2, 120, 0.5065621885118, 0.07553361316825},
		{2, 180, 0.6278834442868, 0.07585181540893},
	}
	for _, r := range rows {
		var last Incidence
		for _, i := range must[[]Incidence](t)(CumulativeIncidence(values, r.cause)) {
			if i.Time <= r.time {
				last = i
			}
		}
		near(t, "incidence", last.Share, r.share, 1e-10)
		near(t, "its standard error", last.SE, r.se, 0.03)
	}
}

func TestLogRankMeetsReferenceOutput(t *testing.T) {
	d := readTrials(t)
	f := must[LogRank](t)(LogRankTest([][][]Observed{{d.Freireich.Sixmp.observed(), d.Freireich.Control.observed()}}, Resampling{}))
	within(t, "Freireich χ², textbook", f.ChiSquared, 16.79, 0.005)
	near(t, "Freireich χ²", f.ChiSquared, 16.792941, 1e-7) // R 4.2.2, survdiff
	near(t, "Freireich p", f.P, 4.16881e-05, 1e-5)
	near(t, "Freireich expected", f.Expected[0], 19.250501, 1e-7)
	near(t, "Freireich expected", f.Expected[1], 10.749499, 1e-7)

	o := must[LogRank](t)(LogRankTest(d.Ovarian.grouped(d.Ovarian.Rx, nil, 2, 1), Resampling{}))
	within(t, "ovarian χ², as the package prints", o.ChiSquared, 1.06, 0.005)
	near(t, "ovarian χ²", o.ChiSquared, 1.06273986129, 1e-9)
	s := must[LogRank](t)(LogRankTest(d.Ovarian.grouped(d.Ovarian.Rx, d.Ovarian.Ecog, 2, 2), Resampling{}))
	near(t, "ovarian χ² by ECOG status", s.ChiSquared, 0.7679114189306, 1e-9) // R 4.2.2, survdiff with strata

	v := must[LogRank](t)(LogRankTest(d.Veteran.grouped(d.Veteran.Celltype, nil, 4, 1), Resampling{}))
	near(t, "veteran χ² of 4 cell types", v.ChiSquared, 25.40370034579, 1e-9) // R 4.2.2, survdiff
	near(t, "veteran expected", v.Expected[0], 47.65467767248, 1e-9)
	b := must[LogRank](t)(LogRankTest(d.Veteran.grouped(d.Veteran.Celltype, d.Veteran.Treatment, 4, 2), Resampling{}))
	near(t, "veteran χ² by treatment", b.ChiSquared, 22.78211993534, 1e-9) // R 4.2.2, survdiff with strata
}

// fitted is what a program printed of a fit.
type fitted struct {
	name       string
	model      Lifetime
	coef, se   []float64 // se with that of log σ last
	scale, log float64
}

func (want fitted) compare(t *testing.T, got *LifetimeFit) {
	t.Helper()
	for i, c := range want.coef {
		near(t, want.name+": coefficient", got.Coef[i], c, 1e-6)
	}
	for i, s := range want.se {
		near(t, want.name+": standard error", got.SE(i), s, 1e-5)
	}
	near(t, want.name+": scale", got.Scale, want.scale, 1e-6)
	near(t, want.name+": log likelihood", got.LogLik, want.log, 1e-9)
}

func TestLifetimesMeetFreireich(t *testing.T) {
	d := readTrials(t).Freireich
	control, sixmp := d.Control.observed(), d.Sixmp.observed()
	values := append(control, sixmp...)
	design := mat.NewDense(len(values), 2, nil)
	for i := range values {
		design.Set(i, 0, 1)
		if i >= len(control) {
			design.Set(i, 1, 1)
		}
	}
	rows := []fitted{ // R 4.2.2, survival 3.5-3, survreg, control as reference
		{"Weibull", Weibull, []float64{2.24835236087, 1.26733458521}, []float64{0.165971792901, 0.310639935490, 0.147291882446}, 0.73219440304, -106.57949158156},
		{"lognormal", Lognormal, []float64{1.825121020154, 1.346846682001}, []float64{0.201604695987, 0.316497884327, 0.132323657799}, 0.923868779817, -106.704622354482},
		{"exponential", Exponential, []float64{2.15948424935, 1.52661356177}, []float64{0.218217890236, 0.398409536441}, 1, -108.52404953679},
	}
	for _, want := range rows {
		want.compare(t, must[*LifetimeFit](t)(FitLifetimes(values, rowsOf(design), want.model)))
	}
	w := must[*LifetimeFit](t)(FitLifetimes(values, rowsOf(design), Weibull))
	// W. N. Venables and B. D. Ripley, 2002, Modern Applied Statistics with S,
	// section 13.2 (6-MP as reference): 3.516, −1.267, scale 0.732.
	within(t, "MASS intercept", w.Coef[0]+w.Coef[1], 3.516, 0.0005)
	within(t, "MASS coefficient", w.Coef[1], 1.267, 0.0005)
	within(t, "MASS scale", w.Scale, 0.732, 0.0005)
}

func TestLifetimesMeetOvarian(t *testing.T) {
	// R package survival, its own reference output for the exponential fit
	// (6.9618376, −0.4331347, 0.5815027), and R 4.2.2, survival 3.5-3.
	d := readTrials(t).Ovarian
	design := mat.NewDense(len(d.Time), 3, nil)
	for i := range d.Time {
		design.SetRow(i, []float64{1, float64(d.Ecog[i]), float64(d.Rx[i])})
	}
	rows := []fitted{
		{"exponential", Exponential, []float64{6.961837607, -0.433134653, 0.581502728}, []float64{1.321877369, 0.586993624, 0.586993624}, 1, math.NaN()},
		{"Weibull", Weibull, []float64{6.89669313, -0.38504255, 0.52864550}, []float64{1.17754722, 0.52700178, 0.52920190, 0.25221310}, 0.88387307, math.NaN()},
	}
	for _, want := range rows {
		got := must[*LifetimeFit](t)(FitLifetimes(d.observed(), rowsOf(design), want.model))
		want.log = got.LogLik // not printed
		want.compare(t, got)
	}
}

func TestNormalLifetimesMeetTobin(t *testing.T) {
	// R 4.2.2, survival 3.5-3, survreg(Surv(durable, durable > 0, type = "left")
	// ~ age + quant, dist = "gaussian"). Left-censored at 0 is right-censored for
	// 20 − durable, which turns the sign of the coefficients.
	d := readTrials(t).Tobin
	values := make([]Observed, len(d.Durable))
	design := mat.NewDense(len(values), 3, nil)
	for i, v := range d.Durable {
		values[i] = Observed{Time: 20 - v, Event: v > 0}
		design.SetRow(i, []float64{1, d.Age[i], d.Quant[i]})
	}
	fitted{"tobin", Normal,
		[]float64{20 - 15.14486633222089, 0.12905928386455, 0.04554166288968},
		[]float64{16.0794532023836, 0.2185835967164, 0.0582541155076, 0.3103227201876},
		5.572539765995, -28.94013319972,
	}.compare(t, must[*LifetimeFit](t)(FitLifetimes(values, rowsOf(design), Normal)))
}

func TestGroupsMeetVeteran(t *testing.T) {
	// R 4.2.2, survival 3.5-3, survreg(Surv(time, status) ~ celltype − 1).
	d := readTrials(t).Veteran
	groups := d.grouped(d.Celltype, nil, 4, 1)[0]
	fitted{"veteran lognormal", Lognormal,
		[]float64{4.530324316027, 3.739497345993, 3.765283643291, 4.799700244800},
		[]float64{0.22452682370311, 0.18863699296781, 0.25086448500413, 0.25102042880618, 0.06281575523945},
		1.296990825526, -741.6274797940,
	}.compare(t, must[*LifetimeFit](t)(FitGroups(groups, Lognormal)))
	w := must[*LifetimeFit](t)(FitGroups(groups, Weibull))
	for _, row := range []struct{ p, value, se float64 }{ // predict(type = "uquantile") for small cells
		{0.5, 3.945673540467, 0.1634459742761},
		{0.9, 5.182811695597, 0.1563897366377},
	} {
		value, se, err := w.Quantile(row.p, []float64{0, 1, 0, 0})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "quantile", value, row.value, 1e-6)
		near(t, "its standard error", se, row.se, 1e-5)
	}
}

func TestOneLognormalMeetsFreireich(t *testing.T) {
	// R 4.2.2, survival 3.5-3, survreg(Surv(time, event) ~ 1, dist =
	// "lognormal") of the 6-MP arm; its covariance is that of μ and log σ.
	const sigma = 0.9787247929956
	f := must[LogNormal](t)(FitLogNormal(readTrials(t).Freireich.Sixmp.observed()))
	near(t, "mu", f.Mu, 3.2030676524702, 1e-6)
	near(t, "sigma", f.Sigma, sigma, 1e-6)
	near(t, "variance of mu", f.VarMu, 0.08187154537788, 2e-5)
	near(t, "variance of sigma", f.VarSigma, sigma*sigma*0.06555579795113, 2e-5)
	near(t, "covariance", f.CovMuSigma, sigma*0.03649952941126, 2e-5)
	w := normalQuantile(0.9)
	near(t, "90 % quantile", f.Mu+w*f.Sigma, 4.457353943171, 1e-6)
	near(t, "its standard error", math.Sqrt(f.VarMu+2*w*f.CovMuSigma+w*w*f.VarSigma), 0.5258972150711, 1e-5)
}
