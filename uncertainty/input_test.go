package uncertainty

import (
	"encoding/json"
	"math"
	"testing"
)

// Every constructor's U is the standard deviation of the distribution it names,
// found here by integrating the density rather than by the guide's divisor.
func TestConstructorsAgreeWithTheirDensities(t *testing.T) {
	const a = 0.3
	flat := func(x float64) float64 { return 1 / (2 * a) }
	tent := func(x float64) float64 { return (a - math.Abs(x)) / (a * a) }
	half := func(x float64) float64 { return 1 / a } // a display step of a reaches a/2 each way
	for name, r := range map[string]struct {
		in      Input
		reach   float64
		density func(float64) float64
		shape   Shape
	}{
		"rectangular":              {Rectangular("x", 5, a), a, flat, ShapeRectangular},
		"triangular":               {Triangular("x", 5, a), a, tent, ShapeTriangular},
		"resolution":               {Resolution("x", 5, a), a / 2, half, ShapeRectangular},
		"resolution of difference": {ResolutionOfDifference("x", 5, a), a, tent, ShapeTriangular},
	} {
		const steps = 20_000
		sum := 0.0
		for i := range steps {
			x := r.reach * (2*(float64(i)+0.5)/steps - 1)
			sum += x * x * r.density(x) * 2 * r.reach / steps
		}
		if math.Abs(r.in.U-math.Sqrt(sum)) > 1e-7 || r.in.Shape != r.shape || r.in.Value != 5 || r.in.Name != "x" {
			t.Errorf("%s: %+v, want U %g and shape %v", name, r.in, math.Sqrt(sum), r.shape)
		}
	}
	// The arcsine density is infinite at its ends: average the sine instead.
	sum := 0.0
	for i := range 1000 {
		sum += math.Pow(a*math.Sin(2*math.Pi*float64(i)/1000), 2) / 1000
	}
	if in := Arcsine("x", 5, a); math.Abs(in.U-math.Sqrt(sum)) > 1e-12 || in.Shape != ShapeArcsine {
		t.Errorf("arcsine: %+v, want U %g", in, math.Sqrt(sum))
	}
	if in := Certificate("x", 5, 0.4, 2).Via("probe: blue"); in.U != 0.2 || in.Shared != "probe: blue" || in.Shape != ShapeNormal {
		t.Errorf("certificate: %+v", in)
	}
}

func TestShapeRoundTrip(t *testing.T) {
	for s := ShapeNormal; s <= ShapeArcsine; s++ {
		text, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		var back Shape
		if err := json.Unmarshal(text, &back); err != nil || back != s {
			t.Errorf("%v -> %s -> %v, %v", s, text, back, err)
		}
	}
	var s Shape
	err := json.Unmarshal([]byte(`"bell"`), &s)
	if want := `shape "bell": expected normal, rectangular, triangular or arcsine`; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if got := Shape(9).String(); got != "shape(9)" {
		t.Errorf("unknown shape prints as %q", got)
	}
}

func TestInputsWithoutMeaningAreRefused(t *testing.T) {
	nan := math.NaN()
	for _, r := range []struct {
		in   Input
		want string
	}{
		{Input{Value: 3}, "input of value 3 has no name: name every input"},
		{Normal("m", nan, 1), `input "m": value is NaN, expected a finite number`},
		{Normal("m", math.Inf(1), 1), `input "m": value is +Inf, expected a finite number`},
		{Normal("m", 3, -0.1), `input "m": standard uncertainty is -0.1, expected a finite number, 0 or more`},
		{Normal("m", 3, nan), `input "m": standard uncertainty is NaN, expected a finite number, 0 or more`},
		{Certificate("m", 3, 0.1, 0), `input "m": standard uncertainty is +Inf, expected a finite number, 0 or more`},
		{Input{Name: "m", DF: 0.5}, `input "m": degrees of freedom are 0.5, expected 1 or more, or 0 for infinite`},
		{Input{Name: "m", DF: -1}, `input "m": degrees of freedom are -1, expected 1 or more, or 0 for infinite`},
		{Input{Name: "m", DF: nan}, `input "m": degrees of freedom are NaN, expected 1 or more, or 0 for infinite`},
		{Input{Name: "m", Shape: 7}, `input "m": shape(7) is unknown, expected normal, rectangular, triangular or arcsine`},
	} {
		if err := r.in.check(); err == nil || err.Error() != r.want {
			t.Errorf("got %v\nwant %s", err, r.want)
		}
	}
	for _, in := range []Input{{Name: "m"}, {Name: "m", DF: 1}, {Name: "m", DF: math.Inf(1)}} {
		if err := in.check(); err != nil {
			t.Errorf("%+v refused: %v", in, err)
		}
	}
}
