package stats

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestAgreementHoldsItsSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		labs := make([]Summary, rapid.IntRange(2, 8).Draw(t, "labs"))
		for i := range labs {
			labs[i] = spread(t, "lab", 2, 6)
		}
		l, err := Agreement(labs)
		if err != nil {
			t.Fatal(err)
		}
		sumH, sumK, free, variances := 0.0, 0.0, 0.0, 0.0
		for i, g := range labs {
			sumH += l.H[i]
			sumK += float64(g.N-1) * l.K[i] * l.K[i]
			free += float64(g.N - 1)
			variances += g.SD * g.SD
		}
		if math.Abs(sumH) > 1e-9 || !alike(sumK, free) {
			t.Fatalf("sum of h %g, of (n-1)k² %g on %g", sumH, sumK, free)
		}
		if l.ReproducibilitySD < l.RepeatabilitySD || l.Clamped != (l.BetweenSD == 0) {
			t.Fatalf("%+v", l)
		}
		if l.CochranC < 1/float64(len(labs))-1e-12 || l.CochranC > 1 {
			t.Fatalf("cochran %g", l.CochranC)
		}
	})
}

// Between laboratories by hand: means 10 and 12, n = 4, s = 1: s_d² = 8 is
// far above s_r² = 1, so s_L² = 7/4. With means 10 and 10.5, s_d² = 0.5 is below.
func TestAgreementOnBothSidesOfTheClamp(t *testing.T) {
	l := must[Interlab](t)(Agreement([]Summary{{4, 10, 1}, {4, 12, 1}}))
	near(t, "s_L", l.BetweenSD, math.Sqrt(7.0/4), 1e-12)
	near(t, "s_R", l.ReproducibilitySD, math.Sqrt(11.0/4), 1e-12)
	if l.Clamped {
		t.Error("clamped")
	}
	l = must[Interlab](t)(Agreement([]Summary{{4, 10, 1}, {4, 10.5, 1}}))
	if !l.Clamped || l.BetweenSD != 0 || l.ReproducibilitySD != l.RepeatabilitySD {
		t.Errorf("got %+v", l)
	}
}

func TestCriticalDifference(t *testing.T) {
	l := must[Interlab](t)(Agreement([]Summary{{4, 10, 1}, {4, 12, 1}}))
	near(t, "of single results", must[float64](t)(l.CriticalDifference(1, 1)), l.ReproducibilityLimit(), 1e-12)
	// Very many results leave the spread between laboratories alone.
	near(t, "of long-run means", must[float64](t)(l.CriticalDifference(1e9, 1e9)), 1.96*math.Sqrt2*l.BetweenSD, 1e-8)
	near(t, "r", l.RepeatabilityLimit(), 2.77*l.RepeatabilitySD, 1e-3)
	_, err := l.CriticalDifference(0, 3)
	refuses(t, err, ErrTooFew, "too few values: 0 and 3, at least 1 needed in each mean")
}

func TestAgreementWithSingleResultsAndEqualMeans(t *testing.T) {
	l := must[Interlab](t)(Agreement([]Summary{{4, 10, 1}, {1, 12, math.NaN()}}))
	if !math.IsNaN(l.K[1]) || l.CochranC != 1 {
		t.Errorf("single result: got %+v", l)
	}
	l = must[Interlab](t)(Agreement([]Summary{{4, 10, 1}, {4, 10, 2}}))
	if l.H[0] != 0 || l.H[1] != 0 {
		t.Errorf("equal means: h %v", l.H)
	}
}

func TestAgreementRefuses(t *testing.T) {
	_, err := Agreement([]Summary{{4, 10, 1}})
	refuses(t, err, ErrTooFew, "too few values: 1 laboratories, at least 2 needed")
	_, err = Agreement([]Summary{{4, 10, 1}, {0, math.NaN(), math.NaN()}})
	refuses(t, err, ErrTooFew, "laboratory 2: too few values: 0 with mean NaN, at least 1 needed")
	_, err = Agreement([]Summary{{1, 10, math.NaN()}, {1, 12, math.NaN()}})
	refuses(t, err, ErrTooFew, "too few values: no group has two values")
	_, err = Agreement([]Summary{{2, 10, 0}, {2, 12, 0}})
	refuses(t, err, ErrNoSpread, "no spread: all values of each group are equal; finer readings or more values needed")
}
