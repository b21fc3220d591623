package stats

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

func TestLeastSquaresLeavesNothingToExplain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(5, 12).Draw(t, "n")
		p := rapid.IntRange(1, 3).Draw(t, "columns")
		number := rapid.Float64Range(-10, 10)
		x, y := mat.NewDense(n, p, nil), make([]float64, n)
		for i := range n {
			y[i] = number.Draw(t, "y")
			for j := range p {
				x.Set(i, j, number.Draw(t, "x"))
			}
		}
		f, err := LeastSquares(rowsOf(x), y)
		if err != nil {
			t.Skip("columns that depend on each other")
		}
		leverage, ss := 0.0, 0.0
		for i := range n {
			leverage += f.Leverage[i]
			ss += y[i] * y[i]
		}
		if math.Abs(leverage-float64(p)) > 1e-9 {
			t.Errorf("leverages add to %g, want the %d columns", leverage, p)
		}
		if whole := f.SequentialSS(0, p) + f.RSS; math.Abs(whole-ss) > 1e-9*(1+ss) {
			t.Errorf("sums of squares add to %g, want %g", whole, ss)
		}
		for j := range p {
			if left := mat.Dot(x.ColView(j), mat.NewVecDense(n, f.Residuals)); math.Abs(left) > 1e-7 {
				t.Errorf("residuals still hold %g of column %d", left, j+1)
			}
		}
	})
}

// The oracle is the normal equations, solved by a route that LeastSquares avoids.
func TestLeastSquaresAgreesWithNormalEquations(t *testing.T) {
	x := mat.NewDense(6, 3, []float64{1, 2, 4, 1, 3, 1, 1, 5, 5, 1, 7, 2, 1, 8, 9, 1, 9, 3})
	y := []float64{3, 1, 4, 1, 5, 9}
	f, err := LeastSquares(rowsOf(x), y)
	if err != nil {
		t.Fatal(err)
	}
	var square, inverse, left, b mat.Dense
	square.Mul(x.T(), x)
	if err := inverse.Inverse(&square); err != nil {
		t.Fatal(err)
	}
	left.Mul(x.T(), mat.NewVecDense(6, y))
	b.Mul(&inverse, &left)
	for j := range 3 {
		near(t, "coefficient", f.Coefficients[j], b.At(j, 0), 1e-11)
		for i := range 3 {
			near(t, "covariance", f.Covariance(i, j), f.ResidualSD*f.ResidualSD*inverse.At(i, j), 1e-10)
		}
	}
}

func TestLeastSquaresExactFit(t *testing.T) {
	f, err := LeastSquares(rowsOf(mat.NewDense(2, 2, []float64{1, 1, 1, 2})), []float64{3, 5})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", f.Coefficients[1], 2, 1e-13)
	if f.DF != 0 || !math.IsNaN(f.ResidualSD) || !math.IsNaN(f.SE[0]) {
		t.Errorf("2 values for 2 coefficients: DF %d, s %g, se %g, want 0, NaN, NaN", f.DF, f.ResidualSD, f.SE[0])
	}
}

func TestLeastSquaresRefuses(t *testing.T) {
	one := func(v ...float64) *mat.Dense { return mat.NewDense(len(v), 1, v) }
	for _, c := range []struct {
		x       mat.Matrix
		y       []float64
		is      error
		message string
	}{
		{one(1, 1), []float64{1}, ErrOutOfRange, "out of range: 2 rows in the design and 1 values, expected as many of each"},
		{mat.NewDense(1, 2, []float64{1, 2}), []float64{1}, ErrTooFew, "too few values: 1 for 2 coefficients, expected at least as many"},
		{one(1, 1), []float64{1, math.NaN()}, ErrNotFinite, "not a finite number: value 2 is NaN"},
		{one(1, math.Inf(1)), []float64{1, 2}, ErrNotFinite, "not a finite number: row 2, column 1 of the design is +Inf"},
		{one(0, 0), []float64{1, 2}, ErrOutOfRange, "out of range: column 1 of the design follows from the columns before it, expected independent columns"},
		{mat.NewDense(3, 2, []float64{1, 2, 1, 2, 1, 2}), []float64{1, 2, 3}, ErrOutOfRange, "out of range: column 2 of the design follows from the columns before it, expected independent columns"},
	} {
		_, err := LeastSquares(rowsOf(c.x), c.y)
		refuses(t, err, c.is, c.message)
	}
	_, err := LeastSquares([][]float64{{1, 2}, {1}, {1, 3}}, []float64{1, 2, 3})
	refuses(t, err, ErrOutOfRange, "out of range: row 2 of the design has 1 columns, expected 2 as in row 1")
	for _, none := range [][][]float64{nil, {{}}} {
		_, err := LeastSquares(none, make([]float64, len(none)))
		refuses(t, err, ErrTooFew, fmt.Sprintf("too few values: a design of %d rows without a column, expected at least 1 of each", len(none)))
	}
	// Just on the other side: a column that differs in the tenth digit still counts.
	if _, err := LeastSquares(rowsOf(mat.NewDense(3, 2, []float64{1, 2, 1, 2, 1, 2 + 1e-9})), []float64{1, 2, 3}); err != nil {
		t.Errorf("nearly dependent column: %v", err)
	}
}
