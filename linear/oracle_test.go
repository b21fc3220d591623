package linear

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// table draws n rows of p numbers.
func table(t *rapid.T, n, p int) [][]float64 {
	rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	rows := make([][]float64, n)
	for i := range rows {
		for range p {
			rows[i] = append(rows[i], rng.NormFloat64())
		}
	}
	return rows
}

func dense(rows [][]float64) *mat.Dense {
	return mat.NewDense(len(rows), len(rows[0]), slices.Concat(rows...))
}

// gram is XXᵀ.
func gram(x [][]float64) [][]float64 {
	g := Square(len(x))
	for i := range x {
		for j := range x {
			for k := range x[i] {
				g[i][j] += x[i][k] * x[j][k]
			}
		}
	}
	return g
}

func alike(t *rapid.T, what string, got, want mat.Matrix, tolerance float64) {
	if !mat.EqualApprox(got, want, tolerance) {
		t.Errorf("%s is\n%v, want\n%v", what, mat.Formatted(got), mat.Formatted(want))
	}
}

func TestCholesky(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "n")
		a := gram(table(t, n, n+5))
		l, ok := Factor(a)
		var chol mat.Cholesky
		if !ok || !chol.Factorize(mat.NewSymDense(n, slices.Concat(a...))) {
			t.Fatal("a positive definite matrix has no factor")
		}
		var lower mat.TriDense
		chol.LTo(&lower)
		full := Square(n)
		for i, row := range l {
			copy(full[i], row)
		}
		alike(t, "factor", dense(full), &lower, 1e-10)
		var inverse mat.SymDense
		if err := chol.InverseTo(&inverse); err != nil {
			t.Fatal(err)
		}
		alike(t, "inverse", dense(l.Inverse()), &inverse, 1e-8)
		b, x := table(t, 1, n)[0], mat.NewVecDense(n, nil)
		if err := chol.SolveVecTo(x, mat.NewVecDense(n, b)); err != nil {
			t.Fatal(err)
		}
		alike(t, "solution", mat.NewVecDense(n, l.Solve(b)), x, 1e-8)
	})
}

func TestFactorRefuses(t *testing.T) {
	for _, a := range [][][]float64{
		{{0}}, {{-1}}, {{math.NaN()}}, {{math.Inf(1)}},
		{{1, 1}, {1, 1}},                   // singular
		{{1, 2}, {2, 1}},                   // indefinite
		{{1, math.NaN()}, {math.NaN(), 1}}, // no number
	} {
		if _, ok := Factor(a); ok {
			t.Errorf("%v has a factor", a)
		}
	}
	if l, ok := Factor([][]float64{{4, 99}, {2, 2}}); !ok || l[0][0] != 2 || l[1][0] != 1 || l[1][1] != 1 {
		t.Errorf("factor %v, want [[2] [1 1]]: only the lower half is read", l)
	}
}

func TestDecompose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.IntRange(1, 6).Draw(t, "columns")
		n := p + rapid.IntRange(0, 6).Draw(t, "more rows")
		columns := table(t, p, n)
		x := mat.DenseCopyOf(dense(columns).T())
		qr := Decompose(columns)
		q := mat.DenseCopyOf(dense(qr.Columns()).T())
		var product, square mat.Dense
		product.Mul(q, dense(qr.R))
		alike(t, "QR", &product, x, 1e-12)
		square.Mul(q.T(), q)
		unit := Square(p)
		for i := range unit {
			unit[i][i] = 1
			for j := range i {
				if qr.R[i][j] != 0 {
					t.Errorf("R holds %g below its diagonal", qr.R[i][j])
				}
			}
		}
		alike(t, "QᵀQ", &square, dense(unit), 1e-12)
		y := table(t, 1, n)[0]
		var rotated mat.Dense
		rotated.Mul(q.T(), mat.NewVecDense(n, y))
		alike(t, "Qᵀy", mat.NewVecDense(p, qr.Rotate(y)), &rotated, 1e-12)
		product.Reset()
		inverse := dense(qr.InverseR())
		product.Mul(dense(qr.R), inverse)
		alike(t, "R·R⁻¹", &product, dense(unit), 1e-9*mat.Norm(inverse, 1))
	})
}

func TestDecomposeColumnsWithNothingLeft(t *testing.T) {
	qr := Decompose([][]float64{{1, 1, 1}, {0, 0, 0}, {1, 0, 0}})
	if qr.R[1][1] != 0 || qr.R[0][1] != 0 {
		t.Errorf("a column of zeros has R %g and %g", qr.R[0][1], qr.R[1][1])
	}
	for _, row := range qr.R {
		for _, v := range row {
			if math.IsNaN(v) {
				t.Fatalf("R is %v", qr.R)
			}
		}
	}
}

func TestEigen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "n")
		// Of rank below n too, so that some values are zero.
		a := gram(table(t, n, rapid.IntRange(1, n+2).Draw(t, "rank")))
		before := dense(clone(a))
		values, vectors := Eigen(a)
		alike(t, "argument", dense(a), before, 0)
		var eigen mat.EigenSym
		if !eigen.Factorize(mat.NewSymDense(n, slices.Concat(a...)), true) {
			t.Fatal("no eigenvalues")
		}
		sorted := slices.Sorted(slices.Values(values))
		alike(t, "values", mat.NewVecDense(n, sorted), mat.NewVecDense(n, eigen.Values(nil)), 1e-11)
		for k, v := range vectors {
			var av, lv mat.VecDense
			av.MulVec(dense(a), mat.NewVecDense(n, v))
			lv.ScaleVec(values[k], mat.NewVecDense(n, v))
			alike(t, "Av", &av, &lv, 1e-11)
			if length := mat.Norm(mat.NewVecDense(n, v), 2); math.Abs(length-1) > 1e-13 {
				t.Errorf("vector %d has length %g", k, length)
			}
		}
	})
}
