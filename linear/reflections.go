package linear

import "gonum.org/v1/gonum/floats"

// QR is X = QR for a matrix X of n rows and p columns, n ≥ p, by Householder
// reflections: Q has orthonormal columns and R is upper triangular.
type QR struct {
	R [][]float64 // p rows of p

	vectors [][]float64 // vector k of the reflections, from row k on
	factors []float64   // 2/vᵀv; 0 where nothing was left to reflect
}

// Decompose decomposes the matrix with the given columns, which it overwrites.
//
// Source: G. H. Golub and C. F. Van Loan, 2013, Matrix Computations, 4th edition,
// algorithms 5.1.1 and 5.2.1.
func Decompose(columns [][]float64) QR {
	q := QR{R: Square(len(columns))}
	for k, column := range columns {
		for i := range k {
			q.R[i][k] = column[i]
		}
		v := column[k:]
		to := floats.Norm(v, 2)
		if v[0] > 0 { // away from it, so that no digits cancel
			to = -to
		}
		q.R[k][k] = to
		v[0] -= to
		factor := 0.0
		if to != 0 {
			factor = -1 / (to * v[0])
		}
		q.vectors, q.factors = append(q.vectors, v), append(q.factors, factor)
		for _, later := range columns[k+1:] {
			q.reflect(k, later)
		}
	}
	return q
}

// reflect applies reflection k to y.
func (q QR) reflect(k int, y []float64) {
	floats.AddScaled(y[k:], -q.factors[k]*floats.Dot(q.vectors[k], y[k:]), q.vectors[k])
}

// Rotate returns Qᵀy.
func (q QR) Rotate(y []float64) []float64 {
	rotated := append([]float64{}, y...)
	for k := range q.vectors {
		q.reflect(k, rotated)
	}
	return rotated[:len(q.vectors)]
}

// Columns returns the columns of Q.
func (q QR) Columns() [][]float64 {
	p := len(q.vectors)
	columns := make([][]float64, p)
	for k := p - 1; k >= 0; k-- {
		columns[k] = make([]float64, k+len(q.vectors[k]))
		columns[k][k] = 1
		for _, column := range columns[k:] {
			q.reflect(k, column)
		}
	}
	return columns
}

// InverseR returns R⁻¹. No element of the diagonal of R may be 0.
func (q QR) InverseR() [][]float64 {
	inverse := Square(len(q.R))
	for i := len(q.R) - 1; i >= 0; i-- {
		row := inverse[i]
		row[i] = 1
		for k := i + 1; k < len(q.R); k++ {
			floats.AddScaled(row[k:], -q.R[i][k], inverse[k][k:])
		}
		floats.Scale(1/q.R[i][i], row[i:])
	}
	return inverse
}
