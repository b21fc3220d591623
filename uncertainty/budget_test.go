package uncertainty

import (
	"encoding/json"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

func TestSharesAddToOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ins := inputs(t)
		bs, err := weighted(ins, coefficients(t, len(ins))).Propagate()
		if err != nil {
			t.Fatal(err)
		}
		b := bs[0]
		rows, causes := 0.0, 0.0
		for _, r := range b.Rows() {
			rows += r.Share
		}
		cs := b.Causes()
		for i, c := range cs {
			causes += c.Share
			if i > 0 && c.Share > cs[i-1].Share {
				t.Fatalf("causes not in order: %+v", cs)
			}
		}
		want := 1.0
		if b.U == 0 {
			want = 0
		}
		if math.Abs(rows-want) > 1e-9 || math.Abs(causes-want) > 1e-9 {
			t.Fatalf("shares add to %g and %g, want %g", rows, causes, want)
		}
		own, shared := b.Split()
		if !near(math.Hypot(own, shared), b.U, 1e-6) {
			t.Fatalf("own %g and shared %g do not make %g", own, shared, b.U)
		}
	})
}

func TestCausesMergeSharedRows(t *testing.T) {
	p := weighted([]Input{
		Normal("start", 0, 0.3).Via("probe"), Normal("mass", 0, 0.2), Normal("boil", 0, 0.3).Via("probe"), Normal("time", 0, 0.1),
	}, []float64{-1, 1, 2, 1})
	b := propagate(t, p)[0]
	cs := b.Causes()
	if len(cs) != 3 || cs[0].Name != "probe" || cs[0].Key != "probe" || cs[1].Name != "mass" || cs[1].Key != "" || cs[2].Name != "time" {
		t.Fatalf("causes %+v", cs)
	}
	if !near(cs[0].Contribution, 0.3, 1e-9) || !near(cs[0].Share, 0.09/0.14, 1e-9) {
		t.Errorf("probe %+v, want contribution 0.3 and share %g", cs[0], 0.09/0.14)
	}
	// The start takes back what the boil brought: its share is below 0.
	if s := b.Rows()[0].Share; !near(s, -0.3*0.3/0.14, 1e-9) {
		t.Errorf("share of start %g, want %g", s, -0.3*0.3/0.14)
	}
	if top, ok := b.Largest(); !ok || top != cs[0] {
		t.Errorf("largest %+v %v", top, ok)
	}
	if _, ok := (Budget{}).Largest(); ok {
		t.Error("an empty budget has no largest cause")
	}
	p.Inputs = []Input{Normal("a", 1, 0), Normal("b", 1, 0), Normal("c", 1, 0), Normal("d", 1, 0)}
	if _, ok := propagate(t, p)[0].Largest(); ok {
		t.Error("a certain output has no largest cause")
	}
}

func TestSplitWithCorrelatedOwnPart(t *testing.T) {
	p := weighted([]Input{Normal("a", 0, 0.3), Normal("b", 0, 0.4), Normal("c", 0, 0.2).Via("k")}, []float64{1, 1, 1})
	p.R = mat.NewSymDense(3, []float64{1, 0.5, 0, 0.5, 1, 0, 0, 0, 1})
	own, shared := propagate(t, p)[0].Split()
	if want := math.Sqrt(0.09 + 0.16 + 0.12); !near(own, want, 1e-9) || !near(shared, 0.2, 1e-9) {
		t.Errorf("own %g and shared %g, want %g and 0.2", own, shared, want)
	}
}

// Two runs as one problem, with every shared input taken once, is the second
// route to the variance of their difference.
func TestDifferenceVarianceAgainstOneJointProblem(t *testing.T) {
	run := func(mass, heat, rise float64) Problem {
		return Problem{
			Inputs: []Input{
				Normal("mass", mass, 0.1), Normal("heat", heat, 0.3).Via("bottle"),
				Normal("rise", rise, 0.4).Via("probe"), Normal("late rise", 0, 0.1).Via("probe"),
			},
			Outputs: []string{"y"},
			Model:   func(x, y []float64) { y[0] = x[0] * x[1] * (x[2] + 2*x[3]) },
		}
	}
	a, b := run(12, 25, 80), run(14, 25, 78)
	got := DifferenceVariance(propagate(t, a)[0], propagate(t, b)[0])
	joint := Problem{
		Inputs:  []Input{Normal("bottle", 25, 0.3), Normal("probe", 0, 1)},
		Outputs: []string{"a - b"},
		Model: func(x, y []float64) {
			up := 0.4*x[1] + 2*0.1*x[1]
			y[0] = 12*x[0]*(80+up) - 14*x[0]*(78+up)
		},
	}
	want := math.Pow(propagate(t, joint)[0].U, 2)
	if !near(got, want, 1e-6) {
		t.Errorf("variance %g, want %g", got, want)
	}
	if v := DifferenceVariance(propagate(t, a)[0], propagate(t, a)[0]); v != 0 {
		t.Errorf("a run less itself: %g, want 0", v)
	}
	// Another bottle cancels with nothing: both parts are added whole.
	other := run(12, 25, 80)
	other.Inputs[1].Shared = "bottle 2"
	part := propagate(t, a)[0].Shared()["bottle"]
	if v := DifferenceVariance(propagate(t, a)[0], propagate(t, other)[0]); !near(v, 2*part*part, 1e-9) {
		t.Errorf("two bottles: %g, want %g", v, 2*part*part)
	}
}

func TestDifferenceVarianceIsSymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		one := func() Budget {
			ins := inputs(t)
			bs, err := weighted(ins, coefficients(t, len(ins))).Propagate()
			if err != nil {
				t.Fatal(err)
			}
			return bs[0]
		}
		a, b := one(), one()
		if v, w := DifferenceVariance(a, b), DifferenceVariance(b, a); v != w || v < 0 {
			t.Fatalf("%v and %v", v, w)
		}
	})
}

func TestLogIsThePropagationOfALogarithm(t *testing.T) {
	p := efficiency(true)
	got, err := propagate(t, p)[0].Log()
	if err != nil {
		t.Fatal(err)
	}
	f := p.Model
	p.Model = func(x, y []float64) { f(x, y); y[0] = math.Log(y[0]) }
	want := propagate(t, p)[0]
	if got.Output != "ln eta_water" || !near(got.Value, want.Value, 1e-12) || !near(got.U, want.U, 1e-6) {
		t.Errorf("%s = %g (%g), want %g (%g)", got.Output, got.Value, got.U, want.Value, want.U)
	}
	for i := range want.Rows() {
		g, w := got.Rows()[i], want.Rows()[i]
		// Against U: the probe's row is a rounding of 0.
		if math.Abs(g.Contribution-w.Contribution) > 1e-5*want.U || math.Abs(g.Sensitivity*w.U-w.Contribution) > 1e-5*want.U || math.Abs(g.Share-w.Share) > 1e-5 {
			t.Errorf("row %s: %g, want %g", w.Name, g.Contribution, w.Contribution)
		}
	}
	for _, v := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := (Budget{Output: "f", Value: v}).Log(); err == nil {
			t.Errorf("log of %g was taken", v)
		}
	}
	_, err = Budget{Output: "f", Value: -1}.Log()
	if want := "log of f: value is -1, expected a finite number above 0"; err.Error() != want {
		t.Errorf("got %v\nwant %s", err, want)
	}
}

func TestBudgetRoundTripsAsJSON(t *testing.T) {
	p := weighted([]Input{{Name: "a", Value: 2, U: 0.1, DF: math.Inf(1), Shape: ShapeArcsine, Shared: "k"}, {Name: "b", U: 1, DF: 3}}, []float64{1, 2})
	b := propagate(t, p)[0]
	text, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	var back Budget
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	again, err := json.Marshal(back)
	if err != nil || string(again) != string(text) {
		t.Errorf("%s\nbecame %s, %v", text, again, err)
	}
	if back.Rows()[0].Shape != ShapeArcsine || back.Rows()[0].DF != 0 || back.U != b.U {
		t.Errorf("read back %+v", back)
	}
}

func TestExpanded(t *testing.T) {
	b := Budget{Output: "f", Value: 10, U: 2, NuEff: 16.99}
	e := expand(t, b, 0.95)
	if e.Nu != 16 || e.U != e.K*2 || e.Low != 10-e.U || e.High != 10+e.U || e.Level != 0.95 {
		t.Errorf("%+v", e)
	}
	b.NuEff = 4 * (1 - 1e-15) // what the formula gives back for one input of 4
	if e := expand(t, b, 0.95); e.Nu != 4 {
		t.Errorf("degrees of freedom %g, want 4", e.Nu)
	}
	b.NuEff = 0
	if e := expand(t, b, 0.95); e.Nu != 0 || !near(e.K, 1.959963984540054, 1e-12) {
		t.Errorf("infinite degrees of freedom: %+v", e)
	}
	for _, r := range []struct {
		b     Budget
		level float64
		want  string
	}{
		{b, 1, "expand f: coverage level is 1, expected between 0 and 1, both excluded, such as 0.95"},
		{b, 95, "expand f: coverage level is 95, expected between 0 and 1, both excluded, such as 0.95"},
		{Budget{Output: "f", U: 1, NuEff: 0.5}, 0.95, "expand f: degrees of freedom are 0.5, expected 1 or more, or 0 for infinite"},
		{Budget{Output: "f", Value: 3, U: math.NaN()}, 0.95, "expand f: value 3 with standard uncertainty NaN is not known"},
	} {
		if _, err := r.b.Expanded(r.level); err == nil || err.Error() != r.want {
			t.Errorf("got %v\nwant %s", err, r.want)
		}
	}
}

func TestCoverageFactorFallsToTheNormal(t *testing.T) {
	last := math.Inf(1)
	for _, nu := range []float64{1, 2, 3.9, 4, 30, 1e3, 1e6, 1e6 + 1, 1e12, 0} {
		k, err := CoverageFactor(0.95, nu)
		if err != nil {
			t.Fatal(err)
		}
		if k > last {
			t.Errorf("factor at %g degrees of freedom is %g, above %g", nu, k, last)
		}
		last = k
	}
	at, _ := CoverageFactor(0.95, 1e6)
	past, _ := CoverageFactor(0.95, 1e6+1)
	if !near(at, past, 2e-6) {
		t.Errorf("factor jumps from %v to %v where the normal takes over", at, past)
	}
	for _, nu := range []float64{-1, 0.99, math.NaN()} {
		if _, err := CoverageFactor(0.95, nu); err == nil {
			t.Errorf("degrees of freedom %g were taken", nu)
		}
	}
}
