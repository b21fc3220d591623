package stats

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"
)

// The large tables of this file stand in testdata with their sources.

func readTestdata(t *testing.T, name string, into any) {
	t.Helper()
	text, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// near fails unless got is within the relative tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s: got %.15g, want %.15g within %g relative", what, got, want, tolerance)
	}
}

// within fails unless got is within the absolute tolerance of want.
func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.15g, want %.15g within %g", what, got, want, tolerance)
	}
}

// must stops the test on an error and else returns the value.
func must[T any](t *testing.T) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// nist is testdata/nist.json: certified values of the NIST Statistical Reference Datasets.
type nist struct {
	Univariate []struct {
		Name         string
		Data         []float64
		First        float64
		Then         []float64
		Times        int
		Mean, SD     float64
		ToleranceRel float64
	}
	Anova []struct {
		Name                string
		Groups              [][]float64
		SSBetween, SSWithin float64
		F, RSquared         float64
		ResidSD             float64
		ToleranceRel        float64
	}
}

// Source: NIST StRD, univariate summary statistics (Mavro, NumAcc1, NumAcc3, NumAcc4).
func TestSummarizeMeetsNISTCertifiedValues(t *testing.T) {
	var data nist
	readTestdata(t, "nist.json", &data)
	if len(data.Univariate) != 4 {
		t.Fatalf("got %d sets, want 4", len(data.Univariate))
	}
	for _, set := range data.Univariate {
		x := set.Data
		if set.Times > 0 {
			x = append([]float64{set.First}, slices.Repeat(set.Then, set.Times)...)
		}
		s := Summarize(x)
		near(t, set.Name+" mean", s.Mean, set.Mean, 1e-13)
		near(t, set.Name+" sd", s.SD, set.SD, set.ToleranceRel)
	}
}

// Source: NIST StRD, analysis of variance (SiRstv, AtmWtAg, SmLs01, SmLs04, SmLs07).
func TestOneWayMeetsNISTCertifiedValues(t *testing.T) {
	var data nist
	readTestdata(t, "nist.json", &data)
	if len(data.Anova) != 5 {
		t.Fatalf("got %d sets, want 5", len(data.Anova))
	}
	for _, set := range data.Anova {
		a := must[Anova](t)(OneWay(set.Groups))
		near(t, set.Name+" between", a.BetweenSquares, set.SSBetween, set.ToleranceRel)
		near(t, set.Name+" within", a.WithinSquares, set.SSWithin, set.ToleranceRel)
		near(t, set.Name+" F", a.Test.F, set.F, set.ToleranceRel)
		if set.RSquared > 0 {
			near(t, set.Name+" R²", a.RSquared(), set.RSquared, set.ToleranceRel)
			near(t, set.Name+" residual sd", a.ResidualSD, set.ResidSD, set.ToleranceRel)
		}
	}
}

// publishedDifference is one difference as a source prints it; Pair "b-a" is b minus a.
type publishedDifference struct {
	Pair                       string
	X, Y                       []float64
	Diff, SE, DF, T, Lo, Hi, P float64
	HalfWidth, PBelow          float64
}

// published is testdata/parametric.json.
type published struct {
	StudentizedRange struct {
		CDFRows, QuantileRows [][4]float64
		TableK                []int
		TableRows             map[string][]float64
	}
	TwoGroups struct{ Welch []publishedDifference }
	Pairs     struct {
		PlantGrowth        map[string][]float64
		Anova              struct{ SSBetween, SSWithin, F, P float64 }
		Tukey, GamesHowell []publishedDifference
	}
	Interlab struct {
		Coal, Rail publishedInterlab
		Glucose    map[string]publishedInterlab
	}
	ToleranceFactor struct {
		ContentConfidence [][2]float64
		Rows              [][]float64
	}
}

type publishedInterlab struct {
	Groups                             [][]float64
	M, Mean, WithinSD, BetweenSD       float64
	BetweenVariance, ReproducibilitySD float64
	SDOfMeans                          float64
	Rounded                            []float64
}

func readPublished(t *testing.T) (p published) {
	t.Helper()
	readTestdata(t, "parametric.json", &p)
	return p
}

// Source: SciPy's reference values by mpmath to 40 digits; quantiles by SciPy
// (printed to 7 to 12 figures, so compared to 1e-7); the two-decimal table of
// upper 5 % points (Harter 1960) allows half a unit of its last digit and one
// of rounding.
func TestStudentizedRangeMeetsPublishedTables(t *testing.T) {
	p := readPublished(t).StudentizedRange
	if len(p.CDFRows) != 18 || len(p.QuantileRows) != 5 || len(p.TableRows) != 5 {
		t.Fatalf("got %d, %d and %d rows", len(p.CDFRows), len(p.QuantileRows), len(p.TableRows))
	}
	for _, row := range p.CDFRows {
		d := StudentizedRange{K: int(row[1]), Nu: row[2]}
		within(t, fmt.Sprintf("%+v CDF(%g)", d, row[0]), d.CDF(row[0]), row[3], 1e-10)
	}
	for _, row := range p.QuantileRows {
		d := StudentizedRange{K: int(row[1]), Nu: row[2]}
		within(t, fmt.Sprintf("%+v Quantile(%g)", d, row[0]), d.Quantile(row[0]), row[3], 1e-7)
	}
	for nu, row := range p.TableRows {
		for i, want := range row {
			d := StudentizedRange{K: p.TableK[i], Nu: must[float64](t)(strconv.ParseFloat(nu, 64))}
			within(t, fmt.Sprintf("%+v upper 5 %% point", d), d.Quantile(0.95), want, 0.006)
		}
	}
}

// Source: sleep data (Student 1908) and mouse data (Efron, Tibshirani 1993) by R 4.2.2 t.test.
func TestWelchMeetsReferenceOutput(t *testing.T) {
	cases := readPublished(t).TwoGroups.Welch
	if len(cases) != 2 {
		t.Fatalf("got %d cases, want 2", len(cases))
	}
	for _, c := range cases {
		d := must[Difference](t)(Welch(Summarize(c.X), Summarize(c.Y), 0, 0.95))
		near(t, "difference", d.Estimate, c.Diff, 1e-8)
		near(t, "t", d.Estimate/d.SE, c.T, 1e-8)
		near(t, "df", d.DF, c.DF, 1e-8)
		near(t, "p", d.P, c.P, 1e-8)
		near(t, "lower limit", d.Lo, c.Lo, 1e-8)
		near(t, "upper limit", d.Hi, c.Hi, 1e-8)
	}
}

// Source: PlantGrowth (Dobson 1983) by R 4.2.2: oneway.test(weight ~ group).
func TestWelchOneWayMeetsReferenceOutput(t *testing.T) {
	f := must[FTest](t)(WelchOneWay(plantGroups(t)))
	near(t, "F", f.F, 5.18097240811319, 1e-12)
	near(t, "df 1", f.DF1, 2, 1e-12)
	near(t, "df 2", f.DF2, 17.1284186166441, 1e-12)
	near(t, "p", f.P, 0.01739282149017, 1e-11)
}

// Source: PlantGrowth, group ctrl, by R 4.2.2: t.test(x)$conf.int and
// predict(lm(x ~ 1), interval = "prediction").
func TestIntervalsOfOneGroupMeetReferenceOutput(t *testing.T) {
	ctrl := plantGroups(t)[0]
	mean := must[Interval](t)(MeanInterval(ctrl, 0.95))
	near(t, "mean, lower", mean.Lo, 4.61488155565504, 1e-12)
	near(t, "mean, upper", mean.Hi, 5.44911844434496, 1e-12)
	next := must[Interval](t)(NextInterval(ctrl, 0.95))
	near(t, "next, lower", next.Lo, 3.64857462697102, 1e-12)
	near(t, "next, upper", next.Hi, 6.41542537302898, 1e-12)
}

// plantGroups returns the groups ctrl, trt1 and trt2 of PlantGrowth.
func plantGroups(t *testing.T) []Summary {
	t.Helper()
	return summaries(plantValues(readPublished(t)))
}

func plantValues(p published) [][]float64 {
	return [][]float64{p.Pairs.PlantGrowth["ctrl"], p.Pairs.PlantGrowth["trt1"], p.Pairs.PlantGrowth["trt2"]}
}

// comparePairs checks our differences I minus J against rows printed as J minus I.
func comparePairs(t *testing.T, got []Difference, want []publishedDifference, tolerance float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("got %d differences, want %d", len(got), len(want))
	}
	for i, w := range want {
		near(t, w.Pair+" difference", -got[i].Estimate, w.Diff, tolerance)
		if w.PBelow > 0 {
			if !(got[i].P < w.PBelow) {
				t.Errorf("%s p: got %g, want below %g", w.Pair, got[i].P, w.PBelow)
			}
		} else {
			near(t, w.Pair+" p", got[i].P, w.P, tolerance)
		}
		if w.HalfWidth > 0 {
			near(t, w.Pair+" half width", (got[i].Hi-got[i].Lo)/2, w.HalfWidth, tolerance)
			continue
		}
		near(t, w.Pair+" se", got[i].SE, w.SE, tolerance)
		near(t, w.Pair+" df", got[i].DF, w.DF, tolerance)
		near(t, w.Pair+" lower limit", -got[i].Hi, w.Lo, tolerance)
		near(t, w.Pair+" upper limit", -got[i].Lo, w.Hi, tolerance)
	}
}

// Source: PlantGrowth (Dobson 1983): analysis of variance, TukeyHSD and
// Games-Howell by R 4.2.2; the Tukey p are also printed in R's help.
func TestPlantGrowthMeetsReferenceOutput(t *testing.T) {
	data := readPublished(t)
	p, values := data.Pairs, plantValues(data)
	groups := summaries(values)
	a := must[Anova](t)(OneWay(values))
	near(t, "between", a.BetweenSquares, p.Anova.SSBetween, 1e-7)
	near(t, "within", a.WithinSquares, p.Anova.SSWithin, 1e-7)
	near(t, "F", a.Test.F, p.Anova.F, 1e-7)
	near(t, "p", a.Test.P, p.Anova.P, 1e-7)
	comparePairs(t, must[Pairs](t)(TukeyKramer.Compare(groups, nil, 0.95)).Differences, p.Tukey, 1e-7)
	comparePairs(t, must[Pairs](t)(GamesHowell.Compare(groups, nil, 0.95)).Differences, p.GamesHowell, 1e-7)
}

func summaries(groups [][]float64) []Summary {
	s := make([]Summary, len(groups))
	for i, g := range groups {
		s[i] = Summarize(g)
	}
	return s
}

// Source: ISO 5725-2:1994 annex B, sulfur in coal, level 1 (from memory): the
// printed m 0.690, s_r 0.015, s_R 0.026, and the same to eight digits.
func TestAgreementMeetsCoal(t *testing.T) {
	c := readPublished(t).Interlab.Coal
	l := must[Interlab](t)(Agreement(summaries(c.Groups)))
	for i, got := range []float64{l.Mean, l.RepeatabilitySD, l.ReproducibilitySD} {
		within(t, "printed value", got, c.Rounded[i], 5.0001e-4)
	}
	near(t, "m", l.Mean, c.M, 1e-6)
	near(t, "s_r", l.RepeatabilitySD, c.WithinSD, 1e-6)
	near(t, "s_L", l.BetweenSD, c.BetweenSD, 1e-6)
	near(t, "s_R", l.ReproducibilitySD, c.ReproducibilitySD, 1e-6)
}

// Source: ASTM E691, glucose in serum, materials A and D, by an open
// interlaboratory-study package, its s_R clamped at s_r as the standard says.
func TestAgreementMeetsGlucose(t *testing.T) {
	for material, c := range readPublished(t).Interlab.Glucose {
		l := must[Interlab](t)(Agreement(summaries(c.Groups)))
		near(t, material+" mean", l.Mean, c.Mean, 1e-6)
		near(t, material+" s_r", l.RepeatabilitySD, c.WithinSD, 1e-6)
		near(t, material+" s_R", l.ReproducibilitySD, c.ReproducibilitySD, 1e-6)
		near(t, material+" h of the first", l.H[0], (Summarize(c.Groups[0]).Mean-l.Mean)/c.SDOfMeans, 1e-5)
		if want := c.BetweenVariance < 0; l.Clamped != want || want != (material == "A") {
			t.Errorf("%s clamped: got %v, want %v", material, l.Clamped, want)
		}
	}
}

// Source: Rail (Devore 2000; Pinheiro, Bates 2000, Mixed-Effects Models, p. 8):
// between 24.805, within 4.0208; in full digits by REML of R 4.2.2.
func TestAgreementMeetsRail(t *testing.T) {
	c := readPublished(t).Interlab.Rail
	l := must[Interlab](t)(Agreement(summaries(c.Groups)))
	within(t, "printed between", l.BetweenSD, 24.805, 5e-4)
	within(t, "printed within", l.RepeatabilitySD, 4.0208, 5e-5)
	near(t, "mean", l.Mean, c.Mean, 1e-6)
	near(t, "between variance", l.BetweenSD*l.BetweenSD, c.BetweenVariance, 1e-6)
	near(t, "within", l.RepeatabilitySD, c.WithinSD, 1e-6)
	near(t, "reproducibility", l.ReproducibilitySD, c.ReproducibilitySD, 1e-6)
}

// Source: Montgomery, Runger 2018, Applied Statistics and Probability for
// Engineers, 7th ed., Table XII; three decimals, where one unit of the last is
// allowed, or one in 10 000 where that is more.
func TestToleranceFactorMeetsMontgomery(t *testing.T) {
	p := readPublished(t).ToleranceFactor
	if len(p.Rows) != 32 {
		t.Fatalf("got %d rows, want 32", len(p.Rows))
	}
	for _, row := range p.Rows {
		for i, want := range row[1:] {
			at := p.ContentConfidence[i]
			got := must[float64](t)(ToleranceFactor(int(row[0]), at[0], at[1]))
			within(t, fmt.Sprintf("n %g, content %g, confidence %g", row[0], at[0], at[1]), got, want, max(1.001e-3, 1e-4*want))
		}
	}
}

// Source: R 4.2.2, qt(conf, n-1, ncp = qnorm(content)*sqrt(n))/sqrt(n); R states
// an accuracy of 1e-12 for the probability behind the first. Owen 1963, Factors
// for one-sided tolerance limits, prints 2.065 for the second.
func TestToleranceFactorMeetsReferenceOutput(t *testing.T) {
	near(t, "n 5", must[float64](t)(ToleranceFactor(5, 0.90, 0.95)), 3.40663326280349, 1e-10)
	near(t, "n 50", must[float64](t)(ToleranceFactor(50, 0.95, 0.95)), 2.06499341774588, 1e-10)
}

// Source: R 4.2.2 power.t.test, examples of its help page, both tails counted
// (strict = TRUE): power 0.8690 at n 20; n 22.021 for power 0.9.
func TestPowerMeetsReferenceOutput(t *testing.T) {
	p := Plan{Difference: 1, SDA: 1, SDB: 1, Alpha: 0.05, Comparisons: 1}
	near(t, "power at n 20", must[float64](t)(p.Power(20, 20)), 0.868953027724, 1e-6)
	near(t, "power at n 22.02", p.power(22.0210884264, 22.0210884264), 0.9, 1e-6)
	if n := must[int](t)(p.Needed(0.9)); n != 23 {
		t.Errorf("needed: got %d, want 23", n)
	}
}

// Source: Cohen 1992, A power primer, Psychological Bulletin 112:155, table 2
// (from memory): n for a difference of means, power 0.8, two-sided 0.05. For d
// 0.2 it prints 393; 393.41 values reach the power exactly, so 394 do.
func TestNeededMeetsCohen(t *testing.T) {
	for _, row := range []struct {
		d float64
		n int
	}{{0.2, 394}, {0.5, 64}, {0.8, 26}} {
		p := Plan{Difference: row.d, SDA: 1, SDB: 1, Alpha: 0.05, Comparisons: 1}
		if n := must[int](t)(p.Needed(0.8)); n != row.n {
			t.Errorf("d %g: got %d, want %d", row.d, n, row.n)
		}
	}
}

// Source: Dunnett 1955, J. American Statistical Association 50:1096, table 1a,
// one-sided 5 %, three comparisons, 20 degrees of freedom: 2.19 (from memory).
func TestDunnettLimitMeetsItsTable(t *testing.T) {
	within(t, "limit", DunnettLimit(3, 20, 0.05), 2.19, 0.005)
}

// Source: R 4.2.2, p.adjust(c(0.01, 0.04, 0.03, 0.005, 0.2, 0.04), "holm").
func TestHolmMeetsReferenceOutput(t *testing.T) {
	got := Holm([]float64{0.01, 0.04, 0.03, 0.005, 0.2, 0.04})
	for i, want := range []float64{0.05, 0.12, 0.12, 0.03, 0.20, 0.12} {
		near(t, "adjusted p", got[i], want, 1e-12)
	}
}
