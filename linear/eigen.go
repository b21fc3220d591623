package linear

import "math"

// Eigen returns the eigenvalues of the symmetric matrix a and the eigenvector of
// each, of length 1, by turning one pair of axes after another until nothing is left
// beside the diagonal.
//
// Source: C. G. J. Jacobi, 1846, Journal für die reine und angewandte Mathematik
// 30:51; G. H. Golub and C. F. Van Loan, 2013, Matrix Computations, 4th edition,
// section 8.5.
func Eigen(a [][]float64) (values []float64, vectors [][]float64) {
	n := len(a)
	a, vectors = clone(a), Square(n)
	for i := range n {
		vectors[i][i] = 1
	}
	// Once rotations are small each sweep squares what is left; 8 do for any small
	// matrix, and the rest cost nothing.
	for range 30 {
		for p := range n {
			for q := p + 1; q < n; q++ {
				turn(a, vectors, p, q)
			}
		}
	}
	for i := range n {
		values = append(values, a[i][i])
	}
	return values, vectors
}

func clone(a [][]float64) [][]float64 {
	out := make([][]float64, len(a))
	for i, row := range a {
		out[i] = append([]float64{}, row...)
	}
	return out
}

// turn rotates axes p and q so that a[p][q] vanishes.
func turn(a, vectors [][]float64, p, q int) {
	if a[p][q] == 0 {
		return
	}
	tau := (a[q][q] - a[p][p]) / (2 * a[p][q])
	t := 1 / (math.Abs(tau) + math.Hypot(1, tau))
	if tau < 0 {
		t = -t
	}
	c := 1 / math.Hypot(1, t)
	s := t * c
	for k := range a {
		a[k][p], a[k][q] = c*a[k][p]-s*a[k][q], s*a[k][p]+c*a[k][q]
	}
	for k := range a {
		a[p][k], a[q][k] = c*a[p][k]-s*a[q][k], s*a[p][k]+c*a[q][k]
		vectors[p][k], vectors[q][k] = c*vectors[p][k]-s*vectors[q][k], s*vectors[p][k]+c*vectors[q][k]
	}
	a[p][q], a[q][p] = 0, 0
}
