package stats

import (
	"errors"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// values draws n values that a bench could give.
func values(t *rapid.T, label string, least, most int) []float64 {
	return rapid.SliceOfN(rapid.Float64Range(-1000, 1000), least, most).Draw(t, label)
}

// spread draws a group of at least least values with some spread.
func spread(t *rapid.T, label string, least, most int) Summary {
	return Summary{
		N:    rapid.IntRange(least, most).Draw(t, label+" n"),
		Mean: rapid.Float64Range(-100, 100).Draw(t, label+" mean"),
		SD:   rapid.Float64Range(0.01, 10).Draw(t, label+" sd"),
	}
}

// refuses fails unless err wraps the sentinel and says exactly the message.
func refuses(t *testing.T, err, sentinel error, message string) {
	t.Helper()
	if !errors.Is(err, sentinel) {
		t.Fatalf("got error %v, want one that wraps %q", err, sentinel)
	}
	if err.Error() != message {
		t.Errorf("message:\n got %s\nwant %s", err, message)
	}
}

func TestSummarizeIgnoresOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := values(t, "x", 1, 12)
		y := rapid.Permutation(x).Draw(t, "y")
		a, b := Summarize(x), Summarize(y)
		if a.N != b.N || a.Mean != b.Mean || math.Float64bits(a.SD) != math.Float64bits(b.SD) {
			t.Fatalf("%v gives %v, %v gives %v", x, a, y, b)
		}
	})
}

func TestSummarizeFollowsUnitsAndOffset(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := values(t, "x", 2, 12)
		scaled := slices.Clone(x)
		for i := range scaled {
			scaled[i] = 8*scaled[i] + 512
		}
		a, b := Summarize(x), Summarize(scaled)
		if math.Abs(b.Mean-(8*a.Mean+512)) > 1e-10 || math.Abs(b.SD-8*a.SD) > 1e-10 {
			t.Fatalf("%v became %v", a, b)
		}
	})
}

func TestSummarizeKeepsItsArgument(t *testing.T) {
	x := []float64{3, 1, 2}
	Summarize(x)
	if !slices.Equal(x, []float64{3, 1, 2}) {
		t.Errorf("the values became %v", x)
	}
}

func TestSummarizeOfFewOrBadValues(t *testing.T) {
	if s := Summarize(nil); s.N != 0 || !math.IsNaN(s.Mean) || !math.IsNaN(s.SD) {
		t.Errorf("no values: got %v", s)
	}
	if s := Summarize([]float64{7}); s.N != 1 || s.Mean != 7 || !math.IsNaN(s.SD) {
		t.Errorf("one value: got %v", s)
	}
	if s := Summarize([]float64{0.1, 0.1, 0.1}); s.SD != 0 || s.Mean != 0.1 {
		t.Errorf("equal values: got %v", s)
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if s := Summarize([]float64{1, bad, 2}); finite(s.Mean) || finite(s.SD) {
			t.Errorf("with %g: got %v", bad, s)
		}
	}
}

func TestGroupsThatCannotServe(t *testing.T) {
	refuses(t, Summary{N: 1, Mean: 3, SD: math.NaN()}.check(2), ErrTooFew, "too few values: 1, at least 2 needed")
	refuses(t, Summary{N: 2, Mean: math.NaN(), SD: 1}.check(2), ErrNotFinite, "not a finite number: mean NaN, standard deviation 1")
	refuses(t, Summary{N: 2, Mean: 1, SD: -1}.check(2), ErrOutOfRange, "out of range: standard deviation -1, expected 0 or more")
	if err := (Summary{N: 2, Mean: 1, SD: 0}).check(2); err != nil {
		t.Errorf("a group without spread is a group: %v", err)
	}
}

func TestIntervalEnds(t *testing.T) {
	iv := Interval{-1, 2}
	for _, c := range []struct {
		x    float64
		want bool
	}{{-1, true}, {math.Nextafter(-1, -2), false}, {2, true}, {math.Nextafter(2, 3), false}, {math.NaN(), false}} {
		if iv.Contains(c.x) != c.want {
			t.Errorf("contains %g: got %v", c.x, !c.want)
		}
	}
	if iv.Inside(Interval{-1, 3}) || iv.Inside(Interval{-2, 2}) || !iv.Inside(Interval{-2, 3}) {
		t.Error("inside means strictly inside at both ends")
	}
}

// On both sides of the switch to the expansion the curve is one.
func TestStudentTailsAreOneCurve(t *testing.T) {
	for _, tail := range []float64{0.49, 0.25, 0.025, 1e-6, 1e-10} {
		near(t, "quantile across", upperT(tail, manyNu), upperT(tail, math.Nextafter(manyNu, 1e9)), 1e-10)
		for _, nu := range []float64{1, 2, 5.5, 200, manyNu, 2 * manyNu, 1e9, math.Inf(1)} {
			near(t, "round trip", tailT(upperT(tail, nu), nu), tail, 1e-9)
		}
	}
	for _, x := range []float64{-3, -0.5, 0, 0.5, 3, 6} {
		near(t, "tail across", tailT(x, manyNu), tailT(x, math.Nextafter(manyNu, 1e9)), 1e-10)
		near(t, "both tails", tailT(x, 7)+tailT(-x, 7), 1, 1e-14)
	}
	for _, x := range []float64{-1, 1} {
		near(t, "tail across 1", tailT(x, 3), tailT(math.Nextafter(x, 0), 3), 1e-14)
	}
	near(t, "known standard deviation", upperT(0.025, math.Inf(1)), 1.959963984540054, 1e-14)
	near(t, "far normal tail", normalCDF(-10), 7.619853024160525e-24, 1e-12)
}

// rowsOf are the rows of a matrix.
func rowsOf(m mat.Matrix) [][]float64 {
	n, _ := m.Dims()
	out := make([][]float64, n)
	for i := range out {
		out[i] = mat.Row(nil, i, m)
	}
	return out
}
