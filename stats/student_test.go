package stats

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// The library's distributions are the oracle: this package keeps its own small ones
// only so that a program need not hold the library's matrices.
func TestDistributionsAgreeWithTheLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		near := func(what string, got, want, relative float64) {
			if math.Abs(got-want) > relative*math.Abs(want) {
				t.Errorf("%s %g, want %g", what, got, want)
			}
		}
		nu := rapid.Float64Range(1, 300).Draw(t, "nu")
		d := StudentsT{Mu: rapid.Float64Range(-5, 5).Draw(t, "mu"), Sigma: rapid.Float64Range(0.1, 9).Draw(t, "sigma"), Nu: nu}
		want := distuv.StudentsT{Mu: d.Mu, Sigma: d.Sigma, Nu: nu}
		x := d.Mu + d.Sigma*rapid.Float64Range(-12, 12).Draw(t, "z")
		near("density", d.Prob(x), want.Prob(x), 1e-9)
		// About the middle the library keeps half of the digits.
		near("distribution", d.CDF(x), want.CDF(x), 3e-7)
		near("survival", d.Survival(x), want.Survival(x), 3e-7)
		p := rapid.Float64Range(1e-6, 1-1e-6).Draw(t, "p")
		near("quantile above", (d.Quantile(p)-d.Mu)/d.Sigma+20, (want.Quantile(p)-d.Mu)/d.Sigma+20, 1e-6)
		near("distribution at the quantile", d.CDF(d.Quantile(p)), p, 1e-9)
		f, df2 := rapid.Float64Range(0.01, 20).Draw(t, "f"), rapid.Float64Range(1, 100).Draw(t, "df2")
		near("p of F", newFTest(f, nu, df2).P+1, distuv.F{D1: nu, D2: df2}.Survival(f)+1, 1e-9)
	})
}

func TestDrawnChiSquares(t *testing.T) {
	const draws = 200_000
	for _, nu := range []float64{1, 2, 3, 10, 400} {
		rng := rand.New(rand.NewPCG(9, uint64(nu)))
		d := distuv.ChiSquared{K: nu}
		bounds := []float64{0.01, 0.1, 0.5, 0.9, 0.99}
		below, quantiles := make([]float64, len(bounds)), make([]float64, len(bounds))
		for i, p := range bounds {
			quantiles[i] = d.Quantile(p)
		}
		for range draws {
			x := ChiSquared(rng, nu)
			for i := range bounds {
				below[i] += one(x < quantiles[i]) / draws
			}
		}
		for i, p := range bounds {
			within(t, "share of draws", below[i], p, 4*math.Sqrt(p*(1-p)/draws))
		}
	}
}
