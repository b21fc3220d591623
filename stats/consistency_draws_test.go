package stats

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Squares of normal values: the mean is nu, the variance 2 nu, the third central moment
// 8 nu, at the least number, the first by the other way of drawing, odd and even.
//
// Source: Johnson, Kotz, Balakrishnan 1994, Continuous Univariate Distributions 1, ch. 18.
func TestChiSquaredHasItsMoments(t *testing.T) {
	const n = 200_000
	for _, nu := range []float64{1, 2, 3, 5, 12, 61} {
		r := rand.New(rand.NewPCG(5, uint64(nu)))
		var mean, square, cube float64
		for range n {
			x := ChiSquared(r, nu) - nu
			mean += x / n
			square += x * x / n
			cube += x * x * x / n
		}
		// Central moments of a gamma distribution of shape a and scale 2.
		a := nu / 2
		m2, m4 := 4*a, 16*(3*a*a+6*a)
		m6 := 64 * (15*a*a*a + 130*a*a + 120*a)
		for _, c := range []struct {
			name             string
			got, want, error float64
		}{
			{"mean", mean, 0, math.Sqrt(m2 / n)},
			{"variance", square, m2, math.Sqrt((m4 - m2*m2) / n)},
			{"third moment", cube, 16 * a, math.Sqrt((m6 - 256*a*a) / n)},
		} {
			if math.Abs(c.got-c.want) > 4*c.error {
				t.Errorf("nu %g: %s %g, expected %g ± %.2g", nu, c.name, c.got, c.want, c.error)
			}
		}
	}
}
