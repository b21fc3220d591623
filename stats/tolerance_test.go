package stats

import (
	"math"
	"testing"
)

// With half of the values as the content, the limit is the one-sided limit of the mean.
func TestToleranceOfHalfIsTheLimitOfTheMean(t *testing.T) {
	for _, n := range []int{2, 3, 5, 12, 100} {
		for _, conf := range []float64{0.5, 0.8, 0.95, 0.999} {
			within(t, "factor", must[float64](t)(ToleranceFactor(n, 0.5, conf)), upperT(1-conf, float64(n-1))/math.Sqrt(float64(n)), 1e-9)
		}
	}
}

func TestToleranceFactorGrowsWithWhatIsAsked(t *testing.T) {
	last := 0.0
	for _, ask := range []struct{ content, conf float64 }{{0.5, 0.9}, {0.9, 0.9}, {0.9, 0.95}, {0.99, 0.95}, {0.99, 0.999}} {
		k := must[float64](t)(ToleranceFactor(6, ask.content, ask.conf))
		if k <= last {
			t.Errorf("%+v: %g after %g", ask, k, last)
		}
		last = k
	}
	for _, n := range []int{500, 5000, 50000} { // towards the normal quantile from above
		if k := must[float64](t)(ToleranceFactor(n, 0.9, 0.95)); k <= 1.2815515655 || k > 1.2815515655+3.5/math.Sqrt(float64(n)) {
			t.Errorf("n %d: got %g", n, k)
		}
	}
}

func TestUpperToleranceFollowsUnits(t *testing.T) {
	one := must[float64](t)(UpperTolerance(Summary{5, 10, 2}, 0.9, 0.95))
	near(t, "limit", one, 10+2*must[float64](t)(ToleranceFactor(5, 0.9, 0.95)), 1e-14)
	near(t, "in other units", must[float64](t)(UpperTolerance(Summary{5, 10000, 2000}, 0.9, 0.95)), 1000*one, 1e-12)
}

func TestToleranceRefuses(t *testing.T) {
	_, err := UpperTolerance(Summary{1, 10, math.NaN()}, 0.9, 0.95)
	refuses(t, err, ErrTooFew, "too few values: 1, at least 2 needed")
	_, err = UpperTolerance(Summary{3, 10, 0}, 0.9, 0.95)
	refuses(t, err, ErrNoSpread, "no spread: all values are equal; finer readings or more values needed")
	_, err = ToleranceFactor(1, 0.9, 0.95)
	refuses(t, err, ErrTooFew, "too few values: 1, at least 2 needed")
	for _, c := range []struct {
		content, conf float64
		message       string
	}{
		{1, 0.95, "out of range: content 1 and confidence 0.95, expected 0.5 or more and less than 1"},
		{0.4, 0.95, "out of range: content 0.4 and confidence 0.95, expected 0.5 or more and less than 1"},
		{0.9, 0.4, "out of range: content 0.9 and confidence 0.4, expected 0.5 or more and less than 1"},
		{math.NaN(), 0.9, "out of range: content NaN and confidence 0.9, expected 0.5 or more and less than 1"},
	} {
		_, err = ToleranceFactor(5, c.content, c.conf)
		refuses(t, err, ErrOutOfRange, c.message)
	}
}
