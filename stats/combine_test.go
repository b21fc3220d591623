package stats

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// Groups of equal precision: the mean is plain, and its standard error is that
// of the groups' values, or of their own scatter where that is larger.
func TestCombineOfEqualPrecision(t *testing.T) {
	spread := must[Combined](t)(Combine([]Estimate{{1, 0.1, 4}, {2, 0.1, 4}, {6, 0.1, 4}}, 0.95))
	s := Summarize([]float64{1, 2, 6})
	near(t, "mean", spread.Value, 3, 1e-12)
	near(t, "se", spread.SE, s.SD/math.Sqrt(3), 1e-9)
	near(t, "tau²", spread.BetweenSD*spread.BetweenSD, s.SD*s.SD-0.01, 1e-9)
	alike := must[Combined](t)(Combine([]Estimate{{1, 0.3, 4}, {1.01, 0.3, 4}, {0.99, 0.3, 4}}, 0.95))
	near(t, "se of what agrees", alike.SE, 0.3/math.Sqrt(3), 1e-12)
	if alike.BetweenSD != 0 {
		t.Errorf("groups that agree have a spread of %g", alike.BetweenSD)
	}
}

func TestCombineIgnoresOrderAndShift(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		es := make([]Estimate, rapid.IntRange(2, 6).Draw(t, "groups"))
		for i := range es {
			es[i] = Estimate{rapid.Float64Range(-1, 1).Draw(t, "value"), rapid.Float64Range(0.01, 1).Draw(t, "se"), 3}
		}
		c, err := Combine(es, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		turned := make([]Estimate, len(es))
		for i, e := range es {
			turned[len(es)-1-i] = Estimate{e.Value + 5, e.SE, e.DF}
		}
		o, err := Combine(turned, 0.95)
		if err != nil || math.Abs(o.Value-5-c.Value) > 1e-6 || math.Abs(o.SE-c.SE) > 1e-6 {
			t.Fatalf("%+v, turned and shifted by 5 %+v, %v", c, o, err)
		}
		if m := weigh(es, c.BetweenSD*c.BetweenSD); c.BetweenSD > 0 && math.Abs(m.sum-c.DF) > 1e-6*c.DF {
			t.Fatalf("Σw(y-m)² is %g at tau %g, expected %g", m.sum, c.BetweenSD, c.DF)
		}
	})
}

// The error rate when nothing differs on average: groups with and without a
// spread of their own, scatter known only from a few values.
func TestCombineKeepsItsErrorRate(t *testing.T) {
	for _, groups := range []int{2, 3, 5} {
		for _, between := range []float64{0, 0.05, 0.2} {
			const trials = 800
			r := rand.New(rand.NewPCG(uint64(groups), uint64(1000*between)))
			wrong := 0
			for range trials {
				es := make([]Estimate, groups)
				for i := range es {
					n := 3 + i
					x := make([]float64, n)
					for j := range x {
						x[j] = 0.05 * r.NormFloat64()
					}
					s := Summarize(x)
					es[i] = Estimate{s.Mean + between*r.NormFloat64(), math.Sqrt(s.meanVar()), float64(n - 1)}
				}
				if c := must[Combined](t)(Combine(es, 0.95)); c.Lo > 0 || c.Hi < 0 {
					wrong++
				}
			}
			if rate := float64(wrong) / trials; rate > 0.05+3.5*math.Sqrt(0.05*0.95/trials) {
				t.Errorf("%d groups, spread %g between them: wrong in %.3f, expected 0.05 or less", groups, between, rate)
			}
		}
	}
}

func TestApartIsWelch(t *testing.T) {
	a, b := Summary{4, 10, 1}, Summary{6, 12, 2}
	want := must[Difference](t)(Welch(a, b, 0, 0.9))
	got := must[Difference](t)(Apart(Estimate{10, 0.5, 3}, Estimate{12, 2 / math.Sqrt(6), 5}, 0.9))
	near(t, "df", got.DF, want.DF, 1e-12)
	near(t, "p", got.P, want.P, 1e-12)
	near(t, "low", got.Lo, want.Lo, 1e-12)
}

func TestCombineRefuses(t *testing.T) {
	_, err := Combine([]Estimate{{1, 1, 1}}, 0.95)
	refuses(t, err, ErrTooFew, "too few values: 1 groups, at least 2 needed")
	_, err = Combine([]Estimate{{1, 1, 1}, {1, 0, 1}}, 0.95)
	refuses(t, err, ErrNoSpread, "group 2: no spread: standard error 0, expected more than 0")
	_, err = Combine([]Estimate{{math.NaN(), 1, 1}, {1, 1, 1}}, 0.95)
	refuses(t, err, ErrNotFinite, "group 1: not a finite number: NaN with standard error 1")
	_, err = Combine([]Estimate{{1, 1, 1}, {1, 1, 1}}, 1)
	refuses(t, err, ErrOutOfRange, "out of range: confidence 1, expected more than 0 and less than 1")
	_, err = Apart(Estimate{1, 1, 1}, Estimate{1, 1, 0}, 0.95)
	refuses(t, err, ErrTooFew, "group 2: too few values: 0 degrees of freedom, expected more than 0")
	_, err = Apart(Estimate{1, -1, 1}, Estimate{1, 1, 0}, 0.95)
	refuses(t, err, ErrNoSpread, "group 1: no spread: standard error -1, expected more than 0")
	_, err = Apart(Estimate{1, 1, 1}, Estimate{1, 1, 1}, 0)
	refuses(t, err, ErrOutOfRange, "out of range: confidence 0, expected more than 0 and less than 1")
}
