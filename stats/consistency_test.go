package stats

import (
	"math"
	"math/rand/v2"
	"testing"
)

// With two laboratories |h| is always 1/√2, and with three it cannot pass 2/√3,
// so a limit there hardly ever speaks.
func TestHStaysBelowItsLargest(t *testing.T) {
	for p := 3; p < 30; p++ {
		if got, most := must[float64](t)(MandelH(1e-9, p)), float64(p-1)/math.Sqrt(float64(p)); got > most {
			t.Errorf("h of %d laboratories: %g above its largest %g", p, got, most)
		}
	}
	l := must[Interlab](t)(Agreement([]Summary{{4, 10, 1}, {3, 17, 2}}))
	near(t, "h of two", math.Abs(l.H[0]), math.Sqrt(0.5), 1e-12)
}

// Both limits are probabilities of normal values: counted over drawn studies.
func TestLimitsAreExceededAsOftenAsTheySay(t *testing.T) {
	const studies, p = 3000, 5
	n := []int{3, 4, 5, 3, 6}
	others := 0
	for _, m := range n[1:] {
		others += m - 1
	}
	h, k := must[float64](t)(MandelH(0.05, p)), must[float64](t)(MandelK(0.05, float64(n[0]-1), float64(others)))
	r := rand.New(rand.NewPCG(3, 1))
	overH, overK := 0, 0
	covered := [2]int{}
	for range studies {
		labs, level := make([]Summary, p), make([]Summary, p)
		for i := range labs {
			bias := r.NormFloat64()
			x := make([]float64, n[i])
			for j := range x {
				x[j] = r.NormFloat64()
			}
			level[i] = Summarize(x)
			labs[i] = Summary{level[i].N, level[i].Mean + bias, level[i].SD}
		}
		l := must[Interlab](t)(Agreement(labs))
		if l.K[0] > k {
			overK++
		}
		iv := must[Interval](t)(l.ReproducibilityInterval(0.95))
		if iv.Lo <= math.Sqrt2 && math.Sqrt2 <= iv.Hi {
			covered[0]++
		}
		iv = must[Interval](t)(l.RepeatabilityInterval(0.95))
		if iv.Lo <= 1 && 1 <= iv.Hi {
			covered[1]++
		}
		for i := range labs { // equal n, so that the means are alike
			labs[i].Mean = r.NormFloat64()
		}
		if l = must[Interlab](t)(Agreement(labs)); math.Abs(l.H[0]) > h {
			overH++
		}
	}
	within(t, "h exceeded", float64(overH)/studies, 0.05, 0.014)
	within(t, "k exceeded", float64(overK)/studies, 0.05, 0.014)
	within(t, "s_R covered", float64(covered[0])/studies, 0.95, 0.02)
	within(t, "s_r covered", float64(covered[1])/studies, 0.95, 0.014)
}

// C = k²/p of the laboratory that scatters most.
func TestCochranIsKOfTheWidest(t *testing.T) {
	l := must[Interlab](t)(Agreement([]Summary{{4, 1, 1}, {4, 1, 3}, {4, 2, 2}}))
	near(t, "C", l.CochranC, l.K[1]*l.K[1]/3, 1e-12)
}

func TestLimitsRefuse(t *testing.T) {
	_, err := MandelH(0.05, 2)
	refuses(t, err, ErrTooFew, "too few values: 2 laboratories, at least 3 needed for h")
	_, err = MandelH(0, 3)
	refuses(t, err, ErrOutOfRange, "out of range: significance 0, expected more than 0 and less than 1")
	_, err = MandelK(0.05, 0, 3)
	refuses(t, err, ErrTooFew, "too few values: 0 degrees of freedom against 3, at least 1 needed of each")
	_, err = MandelK(1, 1, 3)
	refuses(t, err, ErrOutOfRange, "out of range: significance 1, expected more than 0 and less than 1")
	_, err = CochranLimit(0.05, 1, 3)
	refuses(t, err, ErrTooFew, "too few values: 1 laboratories of 3 results, at least 2 of 2 needed")
	l := must[Interlab](t)(Agreement([]Summary{{4, 10, 1}, {3, 17, 2}}))
	_, err = l.ReproducibilityInterval(0)
	refuses(t, err, ErrOutOfRange, "out of range: confidence 0, expected more than 0 and less than 1")
}
