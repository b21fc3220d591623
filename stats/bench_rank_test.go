package stats

import (
	"math/rand/v2"
	"testing"
)

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
