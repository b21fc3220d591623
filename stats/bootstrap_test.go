package stats

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func differenceOfMeans(s [][]float64) float64 { return average(s[0]) - average(s[1]) }

// bootstrapSamples are skewed samples of 8 and 12.
func bootstrapSamples() [][]float64 {
	return [][]float64{
		{3.1, 4.7, 3.3, 9.8, 4.1, 5.6, 3.9, 4.4},
		{4.0, 5.2, 6.9, 4.4, 5.8, 12.5, 6.1, 4.9, 5.5, 7.3, 4.6, 6.6},
	}
}

func TestMeansDrawnOnceAreTheGeneralBootstrap(t *testing.T) {
	// Both take their indices from the same streams, so they agree to rounding.
	samples, how := bootstrapSamples(), Resampling{Draws: 4000, Seed: 9}
	general := must[BCa](t)(Bootstrap(samples, differenceOfMeans, 0.95, how))
	drawn := must[[]Resampled](t)(ResampleMeans(samples, how))
	fast := must[BCa](t)(drawn[0].Minus(drawn[1], 0.95))
	near(t, "estimate", fast.Estimate, general.Estimate, 1e-12)
	near(t, "lower limit", fast.Lo, general.Lo, 1e-9)
	near(t, "upper limit", fast.Hi, general.Hi, 1e-9)
	near(t, "z0", fast.Z0, general.Z0, 1e-9)
	near(t, "a", fast.A, general.A, 1e-9)
	near(t, "standard error", fast.SE, general.SE, 1e-9)
	turned := must[BCa](t)(drawn[1].Minus(drawn[0], 0.95))
	near(t, "turned lower limit", turned.Lo, -fast.Hi, 1e-6)
	near(t, "turned upper limit", turned.Hi, -fast.Lo, 1e-6)
}

func TestBootstrapStandardErrorOfAMean(t *testing.T) {
	// Its exact value is √(Σ s²(n−1)/n²).
	samples := bootstrapSamples()
	want := 0.0
	for _, s := range samples {
		n := float64(len(s))
		sd := Summarize(s).SD
		want += sd * sd * (n - 1) / (n * n)
	}
	drawn := must[[]Resampled](t)(ResampleMeans(samples, Resampling{Draws: 100_000, Seed: 1}))
	near(t, "standard error", must[BCa](t)(drawn[0].Minus(drawn[1], 0.95)).SE, math.Sqrt(want), 0.01)
}

func TestBootstrapFollowsUnits(t *testing.T) {
	samples := bootstrapSamples()
	how := Resampling{Draws: 1000, Seed: 2}
	a := must[BCa](t)(Bootstrap(samples, differenceOfMeans, 0.9, how))
	for _, s := range samples {
		for i := range s {
			s[i] = 1e6 + 60*s[i]
		}
	}
	b := must[BCa](t)(Bootstrap(samples, differenceOfMeans, 0.9, how))
	near(t, "lower limit", b.Lo, 60*a.Lo, 1e-7)
	near(t, "upper limit", b.Hi, 60*a.Hi, 1e-7)
}

func TestBootstrapMarksSmallSamples(t *testing.T) {
	for _, row := range []struct {
		n      int
		tooFew bool
	}{{7, true}, {8, false}} {
		drawn := must[[]Resampled](t)(ResampleMeans([][]float64{bootstrapSamples()[0][:row.n], bootstrapSamples()[1]}, Resampling{Draws: 1000}))
		if got := must[BCa](t)(drawn[0].Minus(drawn[1], 0.9)); got.TooFew != row.tooFew {
			t.Errorf("n = %d: too few %t, want %t", row.n, got.TooFew, row.tooFew)
		}
		general := must[BCa](t)(Bootstrap([][]float64{bootstrapSamples()[0][:row.n]}, func(s [][]float64) float64 { return average(s[0]) }, 0.9, Resampling{Draws: 1000}))
		if general.TooFew != row.tooFew {
			t.Errorf("n = %d, any statistic: too few %t, want %t", row.n, general.TooFew, row.tooFew)
		}
	}
}

func TestQuantileNearAgainstSorting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(-3, 3), 100, 300).Draw(t, "v")
		p := rapid.Float64Range(0.01, 0.99).Draw(t, "p")
		guess := rapid.Float64Range(-4, 4).Draw(t, "guess") // right or wrong
		kept := slices.Clone(v)
		got, err := quantileNear(v, p, [2]float64{guess - 0.3, guess + 0.3})
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(kept, v) {
			t.Fatal("the values were reordered")
		}
		slices.Sort(kept)
		n := len(kept)
		k := min(int(p*float64(n+1)), n-1)
		lower, upper := normalQuantile(float64(k)/float64(n+1)), normalQuantile(float64(k+1)/float64(n+1))
		want := kept[k-1] + (normalQuantile(p)-lower)/(upper-lower)*(kept[k]-kept[k-1])
		if got != want {
			t.Fatalf("got %g, want %g", got, want)
		}
	})
}

func TestPickersPickAllAlike(t *testing.T) {
	for _, n := range []int{2, 3, 12, 40, 5000} {
		indices := make([]float64, n)
		for i := range indices {
			indices[i] = float64(i)
		}
		draws := 200_000
		into := make([]float64, draws)
		newPickers([][]float64{indices}, 4)[0].fill(into, indices)
		counts := make([]float64, n)
		for _, i := range into {
			counts[int(i)]++
		}
		chi := 0.0
		want := float64(draws) / float64(n)
		for _, c := range counts {
			chi += (c - want) * (c - want) / want
		}
		df := float64(n - 1)
		if z := (chi - df) / math.Sqrt(2*df); math.Abs(z) > 5 {
			t.Errorf("%d values: χ² %g on %g, %g standard deviations off", n, chi, df, z)
		}
	}
}

func TestBootstrapRefuses(t *testing.T) {
	two, flat := []float64{1, 2}, []float64{3, 3, 3}
	how := Resampling{Draws: 1000}
	mean := func(s [][]float64) float64 { return average(s[0]) }
	_, err := Bootstrap(nil, mean, 0.95, how)
	refuses(t, err, ErrTooFew, "bootstrap: too few values: no sample, expected at least 1")
	_, err = Bootstrap([][]float64{{1}}, mean, 0.95, how)
	refuses(t, err, ErrTooFew, "sample 1: too few values: 1, expected at least 2")
	_, err = Bootstrap([][]float64{two, {1, math.Inf(1)}}, mean, 0.95, how)
	refuses(t, err, ErrNotFinite, "sample 2: not a finite number: value 2 is +Inf, expected a finite number")
	_, err = Bootstrap([][]float64{two}, mean, 0.95, Resampling{Draws: 99})
	refuses(t, err, ErrOutOfRange, "bootstrap: out of range: 99 draws, expected at least 100")
	_, err = Bootstrap([][]float64{two}, mean, 0, how)
	refuses(t, err, ErrOutOfRange, "out of range: confidence level 0, expected more than 0 and less than 1")
	_, err = Bootstrap([][]float64{flat}, mean, 0.95, how)
	refuses(t, err, ErrNoSpread, "bootstrap: no spread: the statistic is the same for every resample, expected values that differ")
	_, err = Bootstrap([][]float64{{1, 2, 3}}, func(s [][]float64) float64 { return 1 / Summarize(s[0]).SD }, 0.95, how)
	refuses(t, err, ErrNotFinite, "bootstrap: not a finite number: the statistic of a resample, expected a number from every resample")
	_, err = Bootstrap(bootstrapSamples(), differenceOfMeans, 0.9999, Resampling{Draws: 100})
	if err == nil {
		t.Error("limits beyond the draws: no error")
	}
	a := must[[]Resampled](t)(ResampleMeans([][]float64{two}, how))
	b := must[[]Resampled](t)(ResampleMeans([][]float64{two}, Resampling{Draws: 500}))
	_, err = a[0].Minus(b[0], 0.95)
	refuses(t, err, ErrOutOfRange, "bootstrap: out of range: 1000 draws against 500, expected means drawn together")
}

// BenchmarkBootstrapAllPairs is the bootstrap of a whole trial: 8 entries of 12
// values, 28 pairs, 10,000 resamples.
func BenchmarkBootstrapAllPairs(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	samples := make([][]float64, 8)
	for i := range samples {
		samples[i] = make([]float64, 12)
		for j := range samples[i] {
			samples[i][j] = 300 + 5*rng.NormFloat64()
		}
	}
	for b.Loop() {
		drawn, err := ResampleMeans(samples, Resampling{Draws: 10_000, Seed: 7})
		if err != nil {
			b.Fatal(err)
		}
		for i := range drawn {
			for j := range i {
				if _, err := drawn[i].Minus(drawn[j], 0.95); err != nil {
					b.Fatal(err)
				}
			}
		}
	}
}

func BenchmarkBootstrapOfAnyStatistic(b *testing.B) {
	samples := bootstrapSamples()
	for b.Loop() {
		if _, err := Bootstrap(samples, differenceOfMeans, 0.95, Resampling{Draws: 10_000}); err != nil {
			b.Fatal(err)
		}
	}
}
