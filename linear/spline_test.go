package linear

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/interp"
	"pgregory.net/rapid"
)

func TestSpline(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		x, y := []float64{-1}, []float64{2}
		for range rapid.IntRange(1, 12).Draw(t, "more points") {
			x, y = append(x, x[len(x)-1]+0.05+rng.Float64()), append(y, rng.NormFloat64())
		}
		got := NewSpline(x, y)
		for i := range x {
			if math.Abs(got.At(x[i])-y[i]) > 1e-14 {
				t.Errorf("at point %d: %g, want %g", i, got.At(x[i]), y[i])
			}
		}
		if len(x) == 2 { // a straight line, which the oracle does not take
			if middle := got.At((x[0] + x[1]) / 2); math.Abs(middle-(y[0]+y[1])/2) > 1e-14 {
				t.Errorf("between two points: %g", middle)
			}
			return
		}
		var want interp.NaturalCubic
		if err := want.Fit(x, y); err != nil {
			t.Fatal(err)
		}
		for range 20 {
			at := x[0] + rng.Float64()*(x[len(x)-1]-x[0])
			if math.Abs(got.At(at)-want.Predict(at)) > 1e-11 {
				t.Errorf("at %g: %g, want %g", at, got.At(at), want.Predict(at))
			}
		}
	})
}
