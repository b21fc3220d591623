package stats

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// With two groups the studentized range is √2 times |t|.
func TestStudentizedRangeOfTwoIsStudentsT(t *testing.T) {
	for _, nu := range []float64{1, 2, 2.5, 3, 5, 10, 50, 1000, math.Inf(1)} {
		d := StudentizedRange{K: 2, Nu: nu}
		for _, q := range []float64{0.1, 0.5, 1, 2, 3, 4, 6, 8} {
			want := 2 * tailT(q/math.Sqrt2, nu)
			near(t, fmt.Sprintf("nu %g, q %g", nu, q), d.Survival(q), want, 1e-11)
		}
		near(t, fmt.Sprintf("nu %g quantile", nu), d.Quantile(0.95), math.Sqrt2*upperT(0.025, nu), 1e-12)
	}
}

// bruteRange integrates the definition by the midpoint rule, the gamma function
// and all; slow and plain.
func bruteRange(k int, nu, q float64) float64 {
	logC := math.Ln2 + nu/2*math.Log(nu/2)
	g, _ := math.Lgamma(nu / 2)
	const ds, dz = 0.005, 0.02
	sum := 0.0
	for s := ds / 2; s < 6; s += ds {
		inner := 0.0
		for z := -8 + dz/2; z < 8; z += dz {
			inner += math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * math.Pow(normalCDF(z)-normalCDF(z-q*s), float64(k-1)) * dz
		}
		sum += math.Exp(logC-g+(nu-1)*math.Log(s)-nu*s*s/2) * float64(k) * inner * ds
	}
	return sum
}

func TestStudentizedRangeMeetsItsDefinition(t *testing.T) {
	for _, c := range []struct {
		k     int
		nu, q float64
	}{{3, 4.5, 3.5}, {8, 11, 5}, {20, 6, 4}} {
		within(t, fmt.Sprint(c), StudentizedRange{c.k, c.nu}.CDF(c.q), bruteRange(c.k, c.nu, c.q), 2e-6)
	}
}

func TestChebyshevTailMeetsTheIntegral(t *testing.T) {
	for _, c := range []struct {
		k         int
		tolerance float64
	}{{2, 1e-12}, {3, 1e-12}, {10, 1e-11}, {20, 1e-9}} {
		r, tail := newNormalRange(c.k), rangeTail(c.k)
		for w := 0.05; w < widestRange; w += 0.19 {
			near(t, fmt.Sprintf("k %d, w %g", c.k, w), r.tail(w), tail(w), c.tolerance)
		}
	}
}

func TestStudentizedRangeQuantileTurnsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := StudentizedRange{
			K:  rapid.IntRange(2, 12).Draw(t, "k"),
			Nu: rapid.Float64Range(1, 200).Draw(t, "nu"),
		}
		p := rapid.Float64Range(0.5, 0.9999).Draw(t, "p")
		q := d.Quantile(p)
		if back := d.CDF(q); math.Abs(back-p) > 1e-10 {
			t.Fatalf("%+v: quantile %g is %g, whose CDF is %g", d, p, q, back)
		}
		if d.Survival(1.01*q) >= d.Survival(q) {
			t.Fatalf("%+v: the tail does not fall at %g", d, q)
		}
	})
}

func TestStudentizedRangeOutsideItsDomain(t *testing.T) {
	for _, d := range []StudentizedRange{{1, 5}, {3, 0}, {3, -1}, {3, math.NaN()}} {
		if !math.IsNaN(d.CDF(3)) || !math.IsNaN(d.Survival(3)) || !math.IsNaN(d.Quantile(0.95)) {
			t.Errorf("%+v gives numbers", d)
		}
	}
	d := StudentizedRange{3, 5}
	for _, p := range []float64{0, 1, -0.1, 1.1, math.NaN()} {
		if q := d.Quantile(p); !math.IsNaN(q) {
			t.Errorf("quantile of %g: got %g, want NaN", p, q)
		}
	}
	if d.Survival(0) != 1 || d.Survival(-1) != 1 || !math.IsNaN(d.Survival(math.NaN())) || d.Survival(math.Inf(1)) != 0 {
		t.Error("wrong at the ends of the range")
	}
}

func TestRootReturnsAnEndThatIsAlreadyZero(t *testing.T) {
	if x := root(func(x float64) float64 { return x - 2 + 1e-17 }, 1, 2); x != 2 {
		t.Errorf("got %g, want 2", x)
	}
	if x := root(func(x float64) float64 { return x - 1 + 1e-30 }, 1, 2); x != 1 {
		t.Errorf("got %g, want 1", x)
	}
	near(t, "cube root", root(func(x float64) float64 { return x*x*x - 7 }, 0, 7), math.Cbrt(7), 1e-12)
}

func BenchmarkStudentizedRangeQuantile(b *testing.B) {
	for _, d := range []StudentizedRange{{3, 2}, {8, 11}, {10, 2}, {10, 30}} {
		b.Run(fmt.Sprintf("k=%d/nu=%g", d.K, d.Nu), func(b *testing.B) {
			for b.Loop() {
				d.Quantile(0.95)
			}
		})
	}
}

func BenchmarkStudentizedRangeTailOnceTabulated(b *testing.B) {
	r := newNormalRange(8)
	for b.Loop() {
		r.survival(11, 4)
	}
}
