package uncertainty

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

func near(a, b, rel float64) bool {
	return math.Abs(a-b) <= rel*max(math.Abs(a), math.Abs(b), 1e-300)
}

// inputs draws distinct inputs of tame size, some of them shared.
func inputs(t *rapid.T) []Input {
	n := rapid.IntRange(1, 6).Draw(t, "n")
	ins := make([]Input, n)
	for i := range ins {
		ins[i] = Input{
			Name:   fmt.Sprintf("x%d", i),
			Value:  rapid.Float64Range(-100, 100).Draw(t, "value"),
			U:      rapid.Float64Range(0.01, 10).Draw(t, "u"),
			DF:     float64(rapid.IntRange(0, 20).Draw(t, "df")),
			Shape:  ShapeNormal,
			Shared: rapid.SampledFrom([]string{"", "", "scale", "probe"}).Draw(t, "shared"),
		}
	}
	return ins
}

// weighted is y = Σ a_i x_i.
func weighted(ins []Input, a []float64) Problem {
	return Problem{Inputs: ins, Outputs: []string{"y"}, Model: func(x, y []float64) {
		y[0] = 0
		for i := range x {
			y[0] += a[i] * x[i]
		}
	}}
}

func coefficients(t *rapid.T, n int) []float64 {
	return rapid.SliceOfN(rapid.Float64Range(-5, 5), n, n).Draw(t, "a")
}

func TestLinearModelsAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ins := inputs(t)
		a := coefficients(t, len(ins))
		bs, err := weighted(ins, a).Propagate()
		if err != nil {
			t.Fatal(err)
		}
		variance, parts, scale := 0.0, map[string]float64{}, 0.0
		for i, in := range ins {
			c := a[i] * in.U
			scale += c * c
			if in.Shared == "" {
				variance += c * c
			} else {
				parts[in.Shared] += c
			}
			if got := bs[0].Rows()[i].Contribution; math.Abs(got-c) > 1e-8*(1+math.Abs(c)) {
				t.Fatalf("contribution of %s: %g, want %g", in.Name, got, c)
			}
		}
		for _, c := range parts {
			variance += c * c
		}
		if math.Abs(bs[0].U*bs[0].U-variance) > 1e-8*(1+scale) {
			t.Fatalf("variance %g, want %g", bs[0].U*bs[0].U, variance)
		}
	})
}

func TestADifferenceOfOneErrorIsCertain(t *testing.T) {
	p := Problem{
		Inputs:  []Input{Rectangular("before", 512.3, 0.5).Via("scale"), Rectangular("after", 498.1, 0.5).Via("scale")},
		Outputs: []string{"difference"},
		Model:   func(x, y []float64) { y[0] = x[0] - x[1] },
	}
	if b := propagate(t, p)[0]; b.U > 1e-10 || b.NuEff != 0 {
		t.Errorf("u = %g with %g degrees of freedom, want 0", b.U, b.NuEff)
	}
	if s := sample(t, p, Draws{N: 1000, Seed: 1, Level: 0.95})[0]; s.SD > 1e-10 {
		t.Errorf("drawn u = %g, want 0", s.SD)
	}
	p.Inputs[1].Shared = "other scale"
	if b := propagate(t, p)[0]; !near(b.U, 0.5*math.Sqrt(2.0/3), 1e-8) {
		t.Errorf("two scales: u = %g, want %g", b.U, 0.5*math.Sqrt(2.0/3))
	}
	// One input used twice is the same thing said by the model.
	p.Model = func(x, y []float64) { y[0] = x[0] - x[0] }
	if b := propagate(t, p)[0]; b.U != 0 {
		t.Errorf("x - x: u = %g, want 0", b.U)
	}
}

func TestOrderOfInputsChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ins := inputs(t)
		p := Problem{Inputs: ins, Outputs: []string{"y"}, Model: func(x, y []float64) {
			y[0] = 0
			for i, v := range x {
				y[0] += math.Sin(v/50) * float64(i+1)
			}
		}}
		q := reordered(p, rapid.Permutation(indices(len(ins))).Draw(t, "order"))
		a, errA := p.Propagate()
		b, errB := q.Propagate()
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if !near(a[0].U, b[0].U, 1e-10) || !near(a[0].NuEff, b[0].NuEff, 1e-9) {
			t.Fatalf("u %v and %v, nu %v and %v", a[0].U, b[0].U, a[0].NuEff, b[0].NuEff)
		}
		d := Draws{N: 300, Seed: 9, Level: 0.95}
		sa, errA := p.MonteCarlo(d)
		sb, errB := q.MonteCarlo(d)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if sa[0] != sb[0] {
			t.Fatalf("samples differ: %+v and %+v", sa[0], sb[0])
		}
	})
}

// reordered is p with its inputs in another order, put back before the model reads them.
func reordered(p Problem, order []int) Problem {
	q := p
	q.Inputs = make([]Input, len(order))
	for i, j := range order {
		q.Inputs[i] = p.Inputs[j]
	}
	q.Model = func(x, y []float64) {
		back := make([]float64, len(x))
		for i, j := range order {
			back[j] = x[i]
		}
		p.Model(back, y)
	}
	return q
}

func indices(n int) []int {
	is := make([]int, n)
	for i := range is {
		is[i] = i
	}
	return is
}

func TestUnitsCancel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := math.Pow(10, float64(rapid.IntRange(-9, 9).Draw(t, "unit")))
		build := func(unit float64) Problem {
			return Problem{
				Inputs:  []Input{Normal("m", 12.6*unit, 0.07*unit), Normal("q", 25.6, 0.2), Normal("t", 432, 3)},
				Outputs: []string{"p"},
				Model:   func(x, y []float64) { y[0] = x[0] / unit * x[1] / x[2] },
			}
		}
		a, errA := build(1).Propagate()
		b, errB := build(unit).Propagate()
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if !near(a[0].U, b[0].U, 1e-9) || !near(a[0].Rows()[0].Contribution, b[0].Rows()[0].Contribution, 1e-9) {
			t.Fatalf("unit %g: u %v and %v", unit, a[0].U, b[0].U)
		}
		if !near(a[0].Rows()[0].Sensitivity, b[0].Rows()[0].Sensitivity*unit, 1e-9) {
			t.Fatalf("unit %g: sensitivity %v and %v", unit, a[0].Rows()[0].Sensitivity, b[0].Rows()[0].Sensitivity)
		}
	})
}

// A matrix with one coefficient and one shared key are the two ends of one law:
// u² = a² + b² + 2abr, which r near 1 carries to the key's (a + b)².
func TestSharedKeyIsTheLimitOfCorrelation(t *testing.T) {
	ins := []Input{Normal("a", 1, 0.3), Normal("b", 2, 0.4)}
	p := weighted(ins, []float64{1, -1})
	for _, r := range []float64{-0.5, 0, 0.5, 1 - 1e-9} {
		p.R = mat.NewSymDense(2, []float64{1, r, r, 1})
		want := math.Sqrt(0.09 + 0.16 - 2*0.12*r)
		if b := propagate(t, p)[0]; !near(b.U, want, 1e-7) {
			t.Errorf("r = %g: u = %g, want %g", r, b.U, want)
		}
	}
	p.R = nil
	p.Inputs = []Input{ins[0].Via("probe"), ins[1].Via("probe")}
	if b := propagate(t, p)[0]; !near(b.U, 0.1, 1e-7) {
		t.Errorf("shared: u = %g, want 0.1", b.U)
	}
}

func TestDegreesOfFreedom(t *testing.T) {
	in := func(name string, u, df float64) Input { return Input{Name: name, U: u, DF: df} }
	joined := mat.NewSymDense(3, []float64{1, 0, 0.5, 0, 1, 0, 0.5, 0, 1})
	for name, r := range map[string]struct {
		p    Problem
		want float64
	}{
		"one input keeps its own":      {weighted([]Input{in("a", 3, 4)}, []float64{1}), 4},
		"none finite":                  {weighted([]Input{in("a", 3, 0), in("b", 1, math.Inf(1))}, []float64{1, 1}), 0},
		"an exact input has no part":   {weighted([]Input{in("a", 3, 4), in("b", 0, 1)}, []float64{1, 1}), 4},
		"two equal add":                {weighted([]Input{in("a", 3, 4), in("b", 3, 4)}, []float64{1, 1}), 8},
		"shared key is one term":       {weighted([]Input{in("a", 3, 4).Via("k"), in("b", 3, 4).Via("k")}, []float64{1, 1}), 4},
		"smallest of a key":            {weighted([]Input{in("a", 3, 9).Via("k"), in("b", 3, 4).Via("k")}, []float64{1, 1}), 4},
		"correlated inputs, one term":  {Problem{Inputs: []Input{in("a", 1, 4), in("b", 0, 2), in("c", 1, 4)}, Outputs: []string{"y"}, Model: weighted(nil, []float64{1, 1, 1}).Model, R: joined}, 4},
		"9 + 16 with 4 and infinite":   {weighted([]Input{in("a", 3, 4), in("b", 4, 0)}, []float64{1, 1}), 625.0 / (81.0 / 4)},
		"nothing uncertain, no matter": {weighted([]Input{in("a", 0, 4)}, []float64{1}), 0},
	} {
		if b := propagate(t, r.p)[0]; !near(b.NuEff, r.want, 1e-9) {
			t.Errorf("%s: %g, want %g", name, b.NuEff, r.want)
		}
	}
}

// Chains of links end in one part whatever the order they are found in.
func TestLinksJoinInAnyOrder(t *testing.T) {
	const r = 0.4
	for _, chain := range [][]int{{0, 1, 2, 3}, {3, 0, 2, 1}, {1, 3, 0, 2}, {2, 0, 3, 1}} {
		m := mat.NewSymDense(4, []float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1})
		for k := range 3 {
			m.SetSym(chain[k], chain[k+1], r)
		}
		p := weighted([]Input{Normal("a", 1, 1), Normal("b", 1, 1), Normal("c", 1, 1), Normal("d", 1, 1)}, []float64{1, 1, 1, 1})
		p.R = m
		l, err := p.link()
		if err != nil {
			t.Fatal(err)
		}
		for _, label := range l.part {
			if label != l.part[0] || l.part[label] != label {
				t.Errorf("chain %v: parts %v, want one", chain, l.part)
			}
		}
	}
}

func TestModelsWithAnEnd(t *testing.T) {
	p := Problem{
		Inputs: []Input{Normal("w", 1, 0.02)}, Outputs: []string{"up to 1", "never"},
		Model: func(x, y []float64) {
			if x[0] <= 1 {
				y[0] = 3 * x[0] // above 1 the output is left alone
			}
		},
	}
	bs := propagate(t, p)
	if !near(bs[0].U, 0.06, 1e-9) {
		t.Errorf("one-sided slope: u = %g, want 0.06", bs[0].U)
	}
	if !math.IsNaN(bs[1].Value) || !math.IsNaN(bs[1].U) || bs[1].Shares != nil {
		t.Errorf("an output that does not exist: %+v", bs[1])
	}
	p.Model = func(x, y []float64) {
		if x[0] == 1 {
			y[0] = 3
		}
	}
	_, err := p.Propagate()
	want := `propagate uncertainty: output "up to 1" is 3 at w = 1, but is not a number at 0.9996875 nor at 1.0003125: the model must hold on at least one side of the value`
	if err == nil || err.Error() != want {
		t.Errorf("got %v\nwant %s", err, want)
	}
}

// A value far larger than its uncertainty must not be differenced to nothing.
func TestStepsSurviveRounding(t *testing.T) {
	p := weighted([]Input{Normal("x", 1e6, 1e-7)}, []float64{2})
	if b := propagate(t, p)[0]; !near(b.U, 2e-7, 1e-6) {
		t.Errorf("u = %g, want 2e-7", b.U)
	}
}

func TestProblemsWithoutMeaningAreRefused(t *testing.T) {
	two := []Input{Normal("a", 1, 1), Normal("b", 1, 1)}
	three := append(two[:2:2], Normal("c", 1, 1))
	keyed := []Input{two[0].Via("k"), two[1]}
	sym := func(n int, v ...float64) *mat.SymDense { return mat.NewSymDense(n, v) }
	for _, r := range []struct {
		ins  []Input
		r    Correlations
		want string
	}{
		{[]Input{two[0], two[0]}, nil, `input "a" is listed twice: names must differ, an error in common is told by its shared key`},
		{[]Input{Normal("a", 1, -1)}, nil, `input "a": standard uncertainty is -1, expected a finite number, 0 or more`},
		{two, sym(1, 1), "correlation matrix is 1 by 1, expected 2 by 2: one row an input"},
		{two, sym(2, 1, 0, 0, 2), `correlation of input "b" with itself is 2, expected 1`},
		{two, sym(2, 1, 1, 1, 1), `correlation of inputs "a" and "b" is 1, expected between -1 and 1, both excluded: for an error wholly in common give both one shared key`},
		{two, sym(2, 1, math.NaN(), math.NaN(), 1), `correlation of inputs "a" and "b" is NaN, expected between -1 and 1, both excluded: for an error wholly in common give both one shared key`},
		{keyed, sym(2, 1, 0.5, 0.5, 1), `inputs "a" and "b" have correlation 0.5 and a shared key: expected one or the other`},
		{three, sym(3, 1, 0.9, -0.9, 0.9, 1, 0.9, -0.9, 0.9, 1), "correlation matrix of 3 inputs is not positive definite: no set of inputs can have these coefficients together"},
	} {
		p := Problem{Inputs: r.ins, R: r.r, Outputs: []string{"y"}, Model: func(x, y []float64) { y[0] = x[0] }}
		_, err := p.Propagate()
		if want := "propagate uncertainty: " + r.want; err == nil || err.Error() != want {
			t.Errorf("got %v\nwant %s", err, want)
		}
	}
}

// BenchmarkPropagate is a reduction's worth of work: 15 inputs, 20 outputs, a
// model that costs almost nothing. Allocations are a handful however large f is.
func BenchmarkPropagate(b *testing.B) {
	p := Problem{Model: func(x, y []float64) {
		for k := range y {
			y[k] = x[k%len(x)] * x[(k+3)%len(x)]
		}
	}}
	for i := range 15 {
		in := Normal(fmt.Sprintf("input %d", i), float64(10+i), 0.1)
		if i%3 == 0 {
			in.Shared = fmt.Sprintf("scale %d", i/6)
		}
		p.Inputs = append(p.Inputs, in)
	}
	for k := range 20 {
		p.Outputs = append(p.Outputs, fmt.Sprintf("output %d", k))
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := p.Propagate(); err != nil {
			b.Fatal(err)
		}
	}
}
