package stats

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
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

	effects   []float64  // Qᵀy, one for each column
	cofactors *mat.Dense // (XᵀX)⁻¹
	weights   *mat.Dense // (XᵀX)⁻¹Xᵀ, so that b = weights·y
}

// LeastSquares fits y by the columns of x (give the constant its own column).
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
func LeastSquares(x mat.Matrix, y []float64) (*Fit, error) {
	if err := checkDesign(x, y); err != nil {
		return nil, err
	}
	n, p := x.Dims()
	scaled, length := unitColumns(x)
	var qr mat.QR
	qr.Factorize(scaled)
	var full, rotated mat.Dense
	qr.RTo(&full)
	r := mat.NewTriDense(p, mat.Upper, nil)
	for i := range p {
		for j := i; j < p; j++ {
			r.SetTri(i, j, full.At(i, j))
		}
		if math.Abs(r.At(i, i)) < aliased {
			return nil, fmt.Errorf("%w: column %d of the design follows from the columns before it, expected independent columns", ErrOutOfRange, i+1)
		}
	}
	var q mat.Dense
	qr.QTo(&q)
	rotated.Mul(q.T(), mat.NewVecDense(n, y))
	var back mat.TriDense
	if err := back.InverseTri(r); err != nil && !errors.As(err, new(mat.Condition)) {
		return nil, fmt.Errorf("solving for the coefficients: %w", err)
	}
	inverse := mat.DenseCopyOf(&back)
	inverse.Apply(func(i, _ int, v float64) float64 { return v / length[i] }, inverse)
	f := &Fit{DF: n - p, effects: mat.Col(nil, 0, &rotated)[:p]}
	f.solve(x, y, inverse, q.Slice(0, n, 0, p))
	return f, nil
}

// solve fills the fit from the inverse of R (columns as given, not scaled) and
// the first columns of Q.
func (f *Fit) solve(x mat.Matrix, y []float64, inverse *mat.Dense, q mat.Matrix) {
	n, p := x.Dims()
	var b mat.VecDense
	b.MulVec(inverse, mat.NewVecDense(p, f.effects))
	f.Coefficients = mat.Col(nil, 0, &b)
	f.cofactors, f.weights = new(mat.Dense), new(mat.Dense)
	f.cofactors.Mul(inverse, inverse.T())
	f.weights.Mul(inverse, q.T())
	f.Residuals, f.Leverage = make([]float64, n), make([]float64, n)
	for i := range n {
		f.Residuals[i] = y[i]
		for j := range p {
			f.Residuals[i] -= x.At(i, j) * f.Coefficients[j]
			f.Leverage[i] += q.At(i, j) * q.At(i, j)
		}
		f.RSS += f.Residuals[i] * f.Residuals[i]
	}
	f.ResidualSD = math.NaN()
	if f.DF > 0 {
		f.ResidualSD = math.Sqrt(f.RSS / float64(f.DF))
	}
	for j := range p {
		f.SE = append(f.SE, f.ResidualSD*math.Sqrt(f.cofactors.At(j, j)))
	}
}

// Covariance returns the covariance of coefficients i and j (columns from 0),
// s²·((XᵀX)⁻¹)_ij.
func (f *Fit) Covariance(i, j int) float64 {
	return f.ResidualSD * f.ResidualSD * f.cofactors.At(i, j)
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

func unitColumns(x mat.Matrix) (*mat.Dense, []float64) {
	_, p := x.Dims()
	scaled, length := mat.DenseCopyOf(x), make([]float64, p)
	for j := range p {
		length[j] = mat.Norm(scaled.ColView(j), 2)
	}
	scaled.Apply(func(_, j int, v float64) float64 {
		if length[j] == 0 {
			return 0
		}
		return v / length[j]
	}, scaled)
	return scaled, length
}

func checkDesign(x mat.Matrix, y []float64) error {
	n, p := x.Dims()
	if n != len(y) {
		return fmt.Errorf("%w: %d rows in the design and %d values, expected as many of each", ErrOutOfRange, n, len(y))
	}
	if n < p {
		return fmt.Errorf("%w: %d for %d coefficients, expected at least as many", ErrTooFew, n, p)
	}
	for i := range n {
		if !finite(y[i]) {
			return fmt.Errorf("%w: value %d is %g", ErrNotFinite, i+1, y[i])
		}
		for j := range p {
			if v := x.At(i, j); !finite(v) {
				return fmt.Errorf("%w: row %d, column %d of the design is %g", ErrNotFinite, i+1, j+1, v)
			}
		}
	}
	return nil
}
