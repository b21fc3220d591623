package stats

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

func TestLeastAddsUpToOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := make([]StudentsT, rapid.IntRange(1, 8).Draw(t, "k"))
		for i := range d {
			d[i] = StudentsT{
				Mu:    rapid.Float64Range(-20, 20).Draw(t, "mu"),
				Sigma: math.Pow(10, rapid.Float64Range(-3, 3).Draw(t, "log sigma")),
				Nu:    float64(rapid.IntRange(2, 30).Draw(t, "nu")),
			}
		}
		sum := 0.0
		for _, p := range Least(d) {
			if p < 0 || p > 1+1e-9 {
				t.Fatalf("probability %g", p)
			}
			sum += p
		}
		if math.Abs(sum-1) > 1e-9 {
			t.Fatalf("%v adds up to 1%+.3g", d, sum-1)
		}
	})
}

// Two nearly normal quantities (many degrees of freedom) have a closed form.
func TestLeastInClosedForm(t *testing.T) {
	d := []StudentsT{{Mu: 1, Sigma: 2, Nu: 1e5}, {Mu: 2, Sigma: 0.5, Nu: 1e5}}
	within(t, "of two normals", Least(d)[0], normalCDF(1/math.Hypot(2, 0.5)), 1e-5)
	four := StudentsT{Mu: 1, Sigma: 2, Nu: 9}
	for _, p := range Least([]StudentsT{four, four, four, four}) {
		within(t, "one of four that are the same", p, 0.25, 1e-11)
	}
}

func TestLeastMeetsDraws(t *testing.T) {
	src := rand.NewPCG(1, 2)
	d := []StudentsT{{Mu: 10, Sigma: 1, Nu: 2}, {Mu: 10.5, Sigma: 2, Nu: 4}, {Mu: 9.5, Sigma: 0.3, Nu: 7}}
	const draws = 100_000
	won := make([]float64, len(d))
	for range draws {
		least := 0
		var x [3]float64
		for i := range d {
			x[i] = distuv.StudentsT{Mu: d[i].Mu, Sigma: d[i].Sigma, Nu: d[i].Nu, Src: src}.Rand()
			if x[i] < x[least] {
				least = i
			}
		}
		won[least]++
	}
	for i, p := range Least(d) {
		within(t, "share won", won[i]/draws, p, 4*math.Sqrt(p*(1-p)/draws))
	}
}

func TestNextLessIsAntisymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := spread(t, "a", 3, 12), spread(t, "b", 3, 12)
		p, err := NextLess(a, b)
		if err != nil {
			t.Fatal(err)
		}
		q, _ := NextLess(b, a)
		if math.Abs(p+q-1) > 1e-12 || math.Abs(a.Mean-b.Mean) > 1e-6 && (p > 0.5) != (a.Mean < b.Mean) {
			t.Fatalf("%g and %g for means %g and %g", p, q, a.Mean, b.Mean)
		}
	})
}

func TestPredictionsRefuse(t *testing.T) {
	two, flat := Summary{2, 10, 1}, Summary{3, 10, 0}
	_, err := NextValue(two)
	refuses(t, err, ErrTooFew, "too few values: 2, at least 3 needed")
	_, err = TrueMean(flat)
	refuses(t, err, ErrNoSpread, "no spread: all values are equal; finer readings or more values needed")
	_, err = NextLess(Summary{3, 10, 1}, two)
	refuses(t, err, ErrTooFew, "group 2: too few values: 2, at least 3 needed")
	_, err = NextLess(flat, flat)
	refuses(t, err, ErrNoSpread, "no spread: all values of each group are equal; finer readings or more values needed")
	_, err = MeanInterval(Summary{1, 10, math.NaN()}, 0.95)
	refuses(t, err, ErrTooFew, "too few values: 1, at least 2 needed")
	_, err = NextInterval(Summary{0, math.NaN(), math.NaN()}, 0.95)
	refuses(t, err, ErrTooFew, "too few values: 0, at least 2 needed")
	_, err = NextInterval(two, 1.5)
	refuses(t, err, ErrOutOfRange, "out of range: confidence 1.5, expected more than 0 and less than 1")
	if iv := must[Interval](t)(NextInterval(two, 0.95)); !iv.Contains(10) {
		t.Errorf("two values have an interval: got %v", iv)
	}
}

func BenchmarkLeastOfEight(b *testing.B) {
	var d []StudentsT
	for i := range 8 {
		d = append(d, StudentsT{Mu: float64(i) / 4, Sigma: 1, Nu: 11})
	}
	for b.Loop() {
		Least(d)
	}
}

// TestAboveIsTheTailOfT compares the finite sum with the library's distribution
// function over the degrees of freedom and distances that groups can have.
func TestAboveIsTheTailOfT(t *testing.T) {
	for nu := 1; nu <= 210; nu++ {
		d := StudentsT{Mu: 3, Sigma: 2, Nu: float64(nu)}
		for _, z := range []float64{-40, -6, -1.5, -0.2, 0, 0.1, 1, 2.5, 9, 60} {
			got, want := newBelief(d).above(3+2*z), tailT(z, float64(nu))
			if math.Abs(got-want) > 1e-13 {
				t.Errorf("nu %d, t %g: %.17g, library %.17g", nu, z, got, want)
			}
		}
	}
}
