// Package linear solves the small dense problems of statistics: least squares by
// reflections, positive definite systems, eigenvectors of a symmetric matrix, and
// the spline through a few points.
//
// A general library serves matrices of any kind, brings all its routines along and
// weighs two megabytes in a program that has room for few; what is needed here are
// four textbook methods. Packages mat and interp of gonum are their oracles in the
// tests.
//
// Matrices are slices of rows. It refuses nothing but says when a matrix has no
// factor; sizes that do not fit are programmer mistakes and panic.
//
// Read cholesky.go, then reflections.go, eigen.go and spline.go.
package linear

import "math"

// Cholesky is the lower triangular L of A = LLᵀ, by rows of rising length.
type Cholesky [][]float64

// Factor returns the factor of the symmetric matrix a, of which it reads the lower
// half, and false if a is not positive definite.
//
// Source: G. H. Golub and C. F. Van Loan, 2013, Matrix Computations, 4th edition,
// algorithm 4.2.1.
func Factor(a [][]float64) (Cholesky, bool) {
	l := make(Cholesky, len(a))
	for i := range a {
		l[i] = make([]float64, i+1)
		for j := range i + 1 {
			sum := a[i][j]
			for k := range j {
				sum -= l[i][k] * l[j][k]
			}
			if i > j {
				l[i][j] = sum / l[j][j]
				continue
			}
			if !(sum > 0) || math.IsInf(sum, 1) {
				return nil, false
			}
			l[i][i] = math.Sqrt(sum)
		}
	}
	return l, true
}

// Solve returns x of Ax = b.
func (l Cholesky) Solve(b []float64) []float64 {
	x := make([]float64, len(l))
	for i, row := range l {
		x[i] = b[i]
		for k := range i {
			x[i] -= row[k] * x[k]
		}
		x[i] /= row[i]
	}
	for i := len(l) - 1; i >= 0; i-- {
		for k := i + 1; k < len(l); k++ {
			x[i] -= l[k][i] * x[k]
		}
		x[i] /= l[i][i]
	}
	return x
}

// Inverse returns A⁻¹.
func (l Cholesky) Inverse() [][]float64 {
	inverse, unit := Square(len(l)), make([]float64, len(l))
	for j := range l {
		clear(unit)
		unit[j] = 1
		for i, v := range l.Solve(unit) {
			inverse[i][j] = v
		}
	}
	return inverse
}

// Square returns a matrix of n rows and columns of zeros.
func Square(n int) [][]float64 {
	a := make([][]float64, n)
	for i := range a {
		a[i] = make([]float64, n)
	}
	return a
}
