package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"

	"fairburn/linear"
)

// aliased is how short the part of a unit column outside the span of the
// columns before it may get before the column counts as their combination. A
// polynomial of the certified sets comes down to 1e-9; exact copies to 1e-16.
const aliased = 1e-12

// Fit is a least-squares fit of y = X·b + e.
type Fit struct {
	Coefficients []float64 // b, one for each column
	SE           []float64 // standard errors √Cov(b)_jj, for errors of one spread
	RSS          float64   // Σ residual²
	DF           int       // values less columns
	ResidualSD   float64   // √(RSS/DF); NaN at DF 0, as are the standard errors
	Residuals    []float64 // y − X·b
	// Leverage is the diagonal of X(XᵀX)⁻¹Xᵀ: the pull of each value on its own
	// fitted value. At 1 the value is fitted exactly and shows no scatter.
	Leverage []float64

	effects []float64   // Qᵀy, one for each column
	q       [][]float64 // columns of Q
	inverse [][]float64 // of R, so that (XᵀX)⁻¹ = R⁻¹R⁻ᵀ
}

// LeastSquares fits y by the columns of x, which holds a row for each value (give
// the constant its own column).
//
// Columns are brought to unit length and decomposed by Householder reflections,
// X = QR; the normal equations, which square the condition of X, are not formed.
//
// Errors: no column, lengths that differ, fewer values than columns, a value
// that is not finite, a column that the columns before it already determine.
//
// Source: G. H. Golub, 1965, Numerical methods for solving linear least squares
// problems, Numerische Mathematik 7:206; scaling: A. van der Sluis, 1969,
// Condition numbers and equilibration of matrices, Numerische Mathematik 14:14.
func LeastSquares(x [][]float64, y []float64) (*Fit, error) {
	if err := checkDesign(x, y); err != nil {
		return nil, err
	}
	columns, length := unitColumns(x)
	qr := linear.Decompose(columns)
	for j, row := range qr.R {
		if math.Abs(row[j]) < aliased {
			return nil, fmt.Errorf("%w: column %d of the design follows from the columns before it, expected independent columns", ErrOutOfRange, j+1)
		}
	}
	f := &Fit{DF: len(y) - len(columns), effects: qr.Rotate(y), q: qr.Columns(), inverse: qr.InverseR()}
	for i, row := range f.inverse {
		floats.Scale(1/length[i], row)
	}
	f.solve(x, y)
	return f, nil
}

// solve fills the fit from the decomposition.
func (f *Fit) solve(x [][]float64, y []float64) {
	for _, row := range f.inverse {
		f.Coefficients = append(f.Coefficients, floats.Dot(row, f.effects))
	}
	f.Residuals, f.Leverage = make([]float64, len(y)), make([]float64, len(y))
	for i, row := range x {
		f.Residuals[i] = y[i] - floats.Dot(row, f.Coefficients)
		f.RSS += f.Residuals[i] * f.Residuals[i]
	}
	for _, column := range f.q {
		for i, v := range column {
			f.Leverage[i] += v * v
		}
	}
	f.ResidualSD = math.NaN()
	if f.DF > 0 {
		f.ResidualSD = math.Sqrt(f.RSS / float64(f.DF))
	}
	for j := range f.Coefficients {
		f.SE = append(f.SE, f.ResidualSD*math.Sqrt(f.cofactor(j, j)))
	}
}

// cofactor is ((XᵀX)⁻¹)_ij.
func (f *Fit) cofactor(i, j int) float64 { return floats.Dot(f.inverse[i], f.inverse[j]) }

// weights is row j of (XᵀX)⁻¹Xᵀ: coefficient j is their sum over the values.
func (f *Fit) weights(j int) []float64 {
	w := make([]float64, len(f.Residuals))
	for m, v := range f.inverse[j] {
		floats.AddScaled(w, v, f.q[m])
	}
	return w
}

// Covariance returns the covariance of coefficients i and j (columns from 0),
// s²·((XᵀX)⁻¹)_ij.
func (f *Fit) Covariance(i, j int) float64 {
	return f.ResidualSD * f.ResidualSD * f.cofactor(i, j)
}

// SequentialSS returns the sum of squares that columns from ≤ j < to take up
// after all columns before them: the sum of (Qᵀy)_j² over those columns.
// Divided by their number and by RSS/DF it is the F statistic on (to−from, DF)
// degrees of freedom.
//
// Source: J. M. Chambers and T. J. Hastie (editors), 1992, Statistical Models
// in S, chapter 5 (sequential sums of squares).
func (f *Fit) SequentialSS(from, to int) float64 {
	ss := 0.0
	for _, e := range f.effects[from:to] {
		ss += e * e
	}
	return ss
}

// unitColumns returns the columns of x brought to length 1, and their lengths.
func unitColumns(x [][]float64) (columns [][]float64, length []float64) {
	for j := range x[0] {
		column := make([]float64, len(x))
		for i, row := range x {
			column[i] = row[j]
		}
		size := floats.Norm(column, 2)
		if size > 0 {
			floats.Scale(1/size, column)
		}
		columns, length = append(columns, column), append(length, size)
	}
	return columns, length
}

func checkDesign(x [][]float64, y []float64) error {
	if len(x) != len(y) {
		return fmt.Errorf("%w: %d rows in the design and %d values, expected as many of each", ErrOutOfRange, len(x), len(y))
	}
	if len(x) == 0 || len(x[0]) == 0 {
		return fmt.Errorf("%w: a design of %d rows without a column, expected at least 1 of each", ErrTooFew, len(x))
	}
	if p := len(x[0]); len(x) < p {
		return fmt.Errorf("%w: %d for %d coefficients, expected at least as many", ErrTooFew, len(x), p)
	}
	for i, row := range x {
		if len(row) != len(x[0]) {
			return fmt.Errorf("%w: row %d of the design has %d columns, expected %d as in row 1", ErrOutOfRange, i+1, len(row), len(x[0]))
		}
		if !finite(y[i]) {
			return fmt.Errorf("%w: value %d is %g", ErrNotFinite, i+1, y[i])
		}
		for j, v := range row {
			if !finite(v) {
				return fmt.Errorf("%w: row %d, column %d of the design is %g", ErrNotFinite, i+1, j+1, v)
			}
		}
	}
	return nil
}
