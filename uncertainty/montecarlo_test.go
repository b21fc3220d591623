package uncertainty

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

func TestShapesHaveUnitDeviation(t *testing.T) {
	const n = 200_000
	for s, r := range map[Shape]struct{ kurtosis, reach float64 }{
		ShapeNormal: {3, math.Inf(1)}, ShapeRectangular: {1.8, math.Sqrt(3)},
		ShapeTriangular: {2.4, math.Sqrt(6)}, ShapeArcsine: {1.5, math.Sqrt2},
	} {
		rng := rand.New(rand.NewPCG(4, 0))
		v := make([]float64, n)
		for i := range v {
			v[i] = s.draw(rng)
		}
		mean, sd := stat.MeanStdDev(v, nil)
		kurtosis := stat.ExKurtosis(v, nil) + 3
		if math.Abs(mean) > 4/math.Sqrt(n) || math.Abs(sd-1) > 0.01 || math.Abs(kurtosis-r.kurtosis) > 0.1 {
			t.Errorf("%v: mean %g, sd %g, kurtosis %g, want 0, 1, %g", s, mean, sd, kurtosis, r.kurtosis)
		}
		if slices.Min(v) < -r.reach || slices.Max(v) > r.reach {
			t.Errorf("%v reaches from %g to %g, want within %g", s, slices.Min(v), slices.Max(v), r.reach)
		}
	}
}

func TestSameSeedSameFigures(t *testing.T) {
	p := massCalibration()
	d := Draws{N: 2000, Seed: 7, Level: 0.95}
	a, b := sample(t, p, d)[0], sample(t, p, d)[0]
	d.Seed++
	if c := sample(t, p, d)[0]; a != b || a == c {
		t.Errorf("seed 7 twice: %+v and %+v; seed 8: %+v", a, b, c)
	}
}

// Drawn correlations must be those asked for, whatever the names make of the order.
func TestCorrelatedDraws(t *testing.T) {
	r := mat.NewSymDense(3, []float64{1, 0.8, -0.3, 0.8, 1, 0.1, -0.3, 0.1, 1})
	var got [3][]float64
	p := Problem{
		Inputs: []Input{Normal("z", 5, 2), Normal("a", -3, 0.5), Normal("m", 0, 1)}, R: r, Outputs: []string{"y"},
		Model: func(x, y []float64) {
			for i := range x {
				got[i] = append(got[i], x[i])
			}
			y[0] = 0
		},
	}
	sample(t, p, Draws{N: 100_000, Seed: 1, Level: 0.95})
	for i, in := range p.Inputs {
		mean, sd := stat.MeanStdDev(got[i], nil)
		if math.Abs(mean-in.Value) > 0.02*in.U || math.Abs(sd/in.U-1) > 0.01 {
			t.Errorf("%s: mean %g, sd %g, want %g, %g", in.Name, mean, sd, in.Value, in.U)
		}
		for j := range i {
			if c := stat.Correlation(got[i], got[j], nil); math.Abs(c-r.At(i, j)) > 0.01 {
				t.Errorf("correlation of %s and %s: %g, want %g", in.Name, p.Inputs[j].Name, c, r.At(i, j))
			}
		}
	}
}

// The shortest interval against every interval of as many draws.
func TestIntervalsAgainstBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 0))
	for _, n := range []int{200, 201, 333, 1000} {
		v := make([]float64, n)
		for i := range v {
			v[i] = rng.ExpFloat64()
		}
		s := summary("y", slices.Clone(v), Draws{N: n, Level: 0.9})
		slices.Sort(v)
		inside := func(r Interval) (count, below, above int) {
			for _, x := range v {
				switch {
				case x < r.Low:
					below++
				case x > r.High:
					above++
				default:
					count++
				}
			}
			return count, below, above
		}
		count, below, above := inside(s.Symmetric)
		if math.Abs(float64(count)-0.9*float64(n)) > 1.5 || below-above > 1 || above-below > 1 {
			t.Errorf("n %d: symmetric interval holds %d, leaves %d below and %d above", n, count, below, above)
		}
		held, _, _ := inside(s.Shortest)
		best := math.Inf(1)
		for i := range v {
			for j := i; j < n; j++ {
				if j-i+1 >= held {
					best = min(best, v[j]-v[i])
				}
			}
		}
		if held != count || s.Shortest.Length() != best {
			t.Errorf("n %d: shortest holds %d of length %g, want %d of length %g", n, held, s.Shortest.Length(), count, best)
		}
	}
}

func TestLostDrawsAreCountedAndSaid(t *testing.T) {
	p := Problem{
		Inputs: []Input{Normal("w", 1, 0.02)}, Outputs: []string{"half", "none", "all"},
		Model: func(x, y []float64) {
			if x[0] <= 1 {
				y[0] = x[0]
			}
			y[1] = math.Inf(1)
			y[2] = x[0]
		},
	}
	s := sample(t, p, Draws{N: 1000, Seed: 1, Level: 0.95})
	if s[0].Kept+s[0].Lost != 1000 || s[0].Kept < 400 || s[0].Kept > 600 || !finite(s[0].Mean) {
		t.Errorf("half: %+v", s[0])
	}
	if s[1].Kept != 0 || s[1].Lost != 1000 || !math.IsNaN(s[1].Mean) || !math.IsNaN(s[1].Shortest.Low) {
		t.Errorf("none: %+v", s[1])
	}
	if s[2].Lost != 0 || s[2].Findings() != nil {
		t.Errorf("all: %+v", s[2])
	}
	want := "none: caution: 1000 of 1000 draws gave no number, expected none: mean and intervals are of the other 0; look for an input whose uncertainty reaches past the range of the model"
	if fs := s[1].Findings(); len(fs) != 1 || fs[0].String() != want || fs[0].Code != "draws_lost" {
		t.Errorf("got %v\nwant %s", fs, want)
	}
}

func TestDrawsWithoutMeaningAreRefused(t *testing.T) {
	good := Draws{N: 1000, Level: 0.95}
	normal := []Input{Normal("a", 1, 1), Normal("b", 1, 1)}
	mixed := []Input{Normal("a", 1, 1).Via("k"), Rectangular("b", 1, 1).Via("k")}
	flat := []Input{Normal("a", 1, 1), Rectangular("b", 1, 1)}
	half := mat.NewSymDense(2, []float64{1, 0.5, 0.5, 1})
	for _, r := range []struct {
		ins  []Input
		r    Correlations
		d    Draws
		want string
	}{
		{normal, nil, Draws{N: 199, Level: 0.95}, "199 draws are too few for level 0.95: expected 200 or more"},
		{normal, nil, Draws{N: 99, Level: 0.9}, "99 draws are too few for level 0.9: expected 100 or more"},
		{normal, nil, Draws{N: 1000, Level: 1}, "coverage level is 1, expected between 0 and 1, both excluded, such as 0.95"},
		{mixed, nil, good, `inputs "a" (normal) and "b" (rectangular) share "k", expected one shape: they have one error`},
		{flat, half, good, `input "b" is correlated and rectangular, expected normal: correlated draws are joint normals`},
		{[]Input{Normal("a", 1, -1)}, nil, good, `input "a": standard uncertainty is -1, expected a finite number, 0 or more`},
	} {
		_, err := Problem{Inputs: r.ins, R: r.r, Outputs: []string{"y"}, Model: func(x, y []float64) { y[0] = x[0] }}.MonteCarlo(r.d)
		if want := "draw samples: " + r.want; err == nil || err.Error() != want {
			t.Errorf("got %v\nwant %s", err, want)
		}
	}
	for _, d := range []Draws{{N: 200, Level: 0.95}, {N: 100, Level: 0.9}, {N: 1000, Level: 0.99}} {
		sample(t, weighted(normal, []float64{1, 1}), d)
	}
}

func BenchmarkMonteCarlo(b *testing.B) {
	p := efficiency(true)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.MonteCarlo(Draws{N: 10_000, Seed: 1, Level: 0.95}); err != nil {
			b.Fatal(err)
		}
	}
}
