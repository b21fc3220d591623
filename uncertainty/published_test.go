package uncertainty

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// want is one published figure.
type want struct {
	what   string
	got    float64
	want   float64
	tol    float64
	source string
}

func check(t *testing.T, rows []want) {
	t.Helper()
	for _, r := range rows {
		if !(math.Abs(r.got-r.want) <= r.tol) {
			t.Errorf("%s: got %.7g, want %g ± %g (%s)", r.what, r.got, r.want, r.tol, r.source)
		}
	}
}

func propagate(t *testing.T, p Problem) []Budget {
	t.Helper()
	bs, err := p.Propagate()
	if err != nil {
		t.Fatal(err)
	}
	return bs
}

func sample(t *testing.T, p Problem, d Draws) []Sample {
	t.Helper()
	s, err := p.MonteCarlo(d)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func expand(t *testing.T, b Budget, level float64) Expanded {
	t.Helper()
	e, err := b.Expanded(level)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// gaugeBlock is JCGM 100:2008, H.1: lengths in nm, temperatures in °C.
// l = l_s + d − l_s(δα·θ + α_s·δθ).
func gaugeBlock() Problem {
	df := func(in Input, df float64) Input { in.DF = df; return in }
	return Problem{
		Inputs: []Input{
			df(Normal("l_s", 50_000_623, 25), 18),
			df(Normal("d, mean of five", 215, 5.8), 24),
			df(Normal("d, comparator random", 0, 3.9), 5),
			df(Normal("d, comparator systematic", 0, 6.7), 8),
			df(Rectangular("delta alpha", 0, 1e-6), 50),
			df(Rectangular("delta theta", 0, 0.05), 2),
			Rectangular("alpha_s", 11.5e-6, 2e-6),
			Normal("theta, mean", -0.1, 0.2),
			Arcsine("theta, swing", 0, 0.5),
		},
		Outputs: []string{"l", "d", "theta"},
		Model: func(x, y []float64) {
			d, theta := x[1]+x[2]+x[3], x[7]+x[8]
			y[0] = x[0] + d - x[0]*(x[4]*theta+x[6]*x[5])
			y[1], y[2] = d, theta
		},
	}
}

func TestGaugeBlock(t *testing.T) {
	p := gaugeBlock()
	bs := propagate(t, p)
	e := expand(t, bs[0], 0.99)
	second, err := p.SecondOrder()
	if err != nil {
		t.Fatal(err)
	}
	check(t, []want{
		{"l / nm", bs[0].Value, 50_000_838, 0.5, "JCGM 100:2008, H.1.5"},
		{"u_c(l) / nm", bs[0].U, 32, 0.5, "JCGM 100:2008, H.1.4"},
		{"u(d) / nm", bs[1].U, 9.7, 0.05, "JCGM 100:2008, H.1.3.2"},
		// From 5.8, 3.9 and 6.7 as printed: rounding each by 0.05 moves it by up to 0.5.
		{"degrees of freedom of u(d)", bs[1].NuEff, 25.6, 0.5, "JCGM 100:2008, H.1.6"},
		{"u(theta) / °C", bs[2].U, 0.41, 0.005, "JCGM 100:2008, H.1.3.4"},
		{"degrees of freedom of l, cut", e.Nu, 16, 0, "JCGM 100:2008, H.1.6"},
		{"t at 99 %", e.K, 2.92, 0.005, "JCGM 100:2008, H.1.6, from memory"},
		// Printed from u_c rounded to 32.
		{"U at 99 % / nm", e.U, 93, 1.2, "JCGM 100:2008, H.1.6, from memory"},
		{"u_c with second-order terms / nm", second[0], 34, 0.5, "JCGM 100:2008, H.1.7"},
	})
}

// resistance is JCGM 100:2008, H.2, table H.2: five simultaneous sets.
var resistance = mat.NewDense(5, 3, []float64{
	5.007, 19.663e-3, 1.0456,
	4.994, 19.639e-3, 1.0438,
	5.005, 19.640e-3, 1.0468,
	4.990, 19.685e-3, 1.0428,
	4.999, 19.678e-3, 1.0433,
})

func resistanceProblem() Problem {
	var r mat.SymDense
	stat.CorrelationMatrix(&r, resistance, nil)
	p := Problem{
		R: &r, Outputs: []string{"R", "X", "Z"},
		Model: func(x, y []float64) {
			v, i, phi := x[0], x[1], x[2]
			y[0], y[1], y[2] = v/i*math.Cos(phi), v/i*math.Sin(phi), v/i
		},
	}
	for j, name := range []string{"V", "I", "phi"} {
		mean, s := stat.MeanStdDev(mat.Col(nil, j, resistance), nil)
		in := Normal(name, mean, s/math.Sqrt(5))
		in.DF = 4
		p.Inputs = append(p.Inputs, in)
	}
	return p
}

// covariance of two outputs of one problem (JCGM 100:2008, H.2.3, equation (H.9)).
func covariance(r Correlations, a, b Budget) float64 {
	sum := 0.0
	for i, ra := range a.Rows() {
		for j, rb := range b.Rows() {
			sum += ra.Contribution * rb.Contribution * r.At(i, j)
		}
	}
	return sum
}

func TestResistanceReactanceImpedance(t *testing.T) {
	p := resistanceProblem()
	bs := propagate(t, p)
	r := func(a, b Budget) float64 { return covariance(p.R, a, b) / (a.U * b.U) }
	check(t, []want{
		{"V", p.Inputs[0].Value, 4.9990, 0.00005, "JCGM 100:2008, table H.2"},
		{"u(V)", p.Inputs[0].U, 0.0032, 0.00005, "JCGM 100:2008, table H.2"},
		{"I", p.Inputs[1].Value, 19.6610e-3, 0.00005e-3, "JCGM 100:2008, table H.2"},
		{"u(I)", p.Inputs[1].U, 0.0095e-3, 0.00005e-3, "JCGM 100:2008, table H.2"},
		{"phi", p.Inputs[2].Value, 1.04446, 0.000005, "JCGM 100:2008, table H.2"},
		{"u(phi)", p.Inputs[2].U, 0.00075, 0.000005, "JCGM 100:2008, table H.2"},
		{"r(V,I)", p.R.At(0, 1), -0.36, 0.005, "JCGM 100:2008, table H.2"},
		{"r(V,phi)", p.R.At(0, 2), 0.86, 0.005, "JCGM 100:2008, table H.2"},
		{"r(I,phi)", p.R.At(1, 2), -0.65, 0.005, "JCGM 100:2008, table H.2"},
		{"R", bs[0].Value, 127.732, 0.001, "JCGM 100:2008, table H.3"},
		{"u(R)", bs[0].U, 0.071, 0.001, "JCGM 100:2008, table H.3"},
		{"X", bs[1].Value, 219.847, 0.001, "JCGM 100:2008, table H.3"},
		{"u(X)", bs[1].U, 0.295, 0.001, "JCGM 100:2008, table H.3"},
		{"Z", bs[2].Value, 254.260, 0.001, "JCGM 100:2008, table H.3"},
		{"u(Z)", bs[2].U, 0.236, 0.001, "JCGM 100:2008, table H.3"},
		{"r(R,X)", r(bs[0], bs[1]), -0.588, 0.001, "JCGM 100:2008, table H.3, from memory"},
		{"r(R,Z)", r(bs[0], bs[2]), -0.485, 0.001, "JCGM 100:2008, table H.3, from memory"},
		{"r(X,Z)", r(bs[1], bs[2]), 0.993, 0.001, "JCGM 100:2008, table H.3, from memory"},
	})
}

func TestCoverageFactors(t *testing.T) {
	for _, r := range []struct{ level, nu, want float64 }{
		{0.95, 1, 12.71}, {0.95, 2, 4.30}, {0.95, 3, 3.18}, {0.95, 4, 2.78}, {0.95, 5, 2.57},
		{0.95, 10, 2.23}, {0.95, 20, 2.09}, {0.95, 50, 2.01}, {0.95, 0, 1.960},
		{0.99, 1, 63.66}, {0.99, 5, 4.03}, {0.99, 10, 3.17}, {0.99, 16, 2.92}, {0.99, 20, 2.85}, {0.99, 0, 2.576},
	} {
		k, err := CoverageFactor(r.level, r.nu)
		if err != nil {
			t.Fatal(err)
		}
		check(t, []want{{"t", k, r.want, 0.005, "JCGM 100:2008, table G.2, from memory"}})
	}
}

// additive is JCGM 101:2008, 9.2: Y = X1 + X2 + X3 + X4, all of one shape and
// standard uncertainty 1 but the last.
func additive(shape Shape, last float64) Problem {
	p := Problem{Outputs: []string{"Y"}, Model: func(x, y []float64) { y[0] = x[0] + x[1] + x[2] + x[3] }}
	for i, u := range []float64{1, 1, 1, last} {
		p.Inputs = append(p.Inputs, Input{Name: string(rune('1' + i)), U: u, Shape: shape})
	}
	return p
}

func TestAdditiveModels(t *testing.T) {
	for _, r := range []struct {
		source                           string
		p                                Problem
		u, uTol, end, endTol, firstOrder float64
	}{
		// Tolerances are half the last digit printed and 3 standard errors of 200,000 draws.
		{"JCGM 101:2008, 9.2.2, table 2", additive(ShapeNormal, 1), 2.00, 0.005 + 3*0.0032, 3.92, 0.005 + 3*0.0119, 3.92},
		{"JCGM 101:2008, 9.2.3, table 3", additive(ShapeRectangular, 1), 2.00, 0.005 + 3*0.0032, 3.88, 0.005 + 3*0.0106, 3.92},
		{"JCGM 101:2008, 9.2.4, table 4, from memory", additive(ShapeRectangular, 10), 10.1, 0.05, 17.0, 0.05 + 3*0.0156, 19.9},
	} {
		b := propagate(t, r.p)[0]
		s := sample(t, r.p, Draws{N: 200_000, Seed: 1, Level: 0.95})[0]
		check(t, []want{
			{"first order u", b.U, r.u, 0.05, r.source},
			{"first order end", expand(t, b, 0.95).U, r.firstOrder, 0.05, r.source},
			{"mean", s.Mean, 0, 3 * r.u / math.Sqrt(200_000), r.source},
			{"u", s.SD, r.u, r.uTol, r.source},
			{"low end", s.Symmetric.Low, -r.end, r.endTol, r.source},
			{"high end", s.Symmetric.High, r.end, r.endTol, r.source},
		})
	}
}

// massCalibration is JCGM 101:2008, 9.3: masses in mg, densities in kg/m³.
func massCalibration() Problem {
	return Problem{
		Inputs: []Input{
			Normal("m_Rc", 100_000, 0.050), Normal("dm_Rc", 1.234, 0.020),
			Rectangular("rho_a", 1.20, 0.10), Rectangular("rho_W", 8000, 1000), Rectangular("rho_R", 8000, 50),
		},
		Outputs: []string{"delta m"},
		Model: func(x, y []float64) {
			y[0] = (x[0]+x[1])*(1+(x[2]-1.2)*(1/x[3]-1/x[4])) - 100_000
		},
	}
}

func TestMassCalibration(t *testing.T) {
	p := massCalibration()
	b := propagate(t, p)[0]
	first := expand(t, b, 0.95)
	second, err := p.SecondOrder()
	if err != nil {
		t.Fatal(err)
	}
	wide := expand(t, Budget{Output: "second order", Value: b.Value, U: second[0]}, 0.95)
	s := sample(t, p, Draws{N: 200_000, Seed: 1, Level: 0.95})[0]
	const table = "JCGM 101:2008, 9.3.2, table 6, from memory"
	check(t, []want{
		{"first order delta m", b.Value, 1.2340, 0.0001, table},
		{"first order u", b.U, 0.0539, 0.0001, table},
		{"first order low", first.Low, 1.1285, 0.0001, table},
		{"first order high", first.High, 1.3395, 0.0001, table},
		{"second order u", second[0], 0.0750, 0.0001, table},
		{"second order low", wide.Low, 1.0870, 0.0001, table},
		{"second order high", wide.High, 1.3810, 0.0001, table},
		{"mean", s.Mean, 1.2341, 0.0001 + 3*0.0755/math.Sqrt(200_000), table},
		{"u", s.SD, 0.0754, 0.0004, table},
		// The density is flat near the ends: a shortest interval wanders by
		// 0.002 from one set of draws to the next; its length does not.
		{"length of shortest", s.Shortest.Length(), 1.3825 - 1.0834, 0.002, table},
		{"low end of shortest", s.Shortest.Low, 1.0834, 0.004, table},
	})
}

func TestComparisonLoss(t *testing.T) {
	const table = "JCGM 101:2008, 9.4, tables 7 to 9, from memory"
	for _, r := range []struct{ r, x1, mean, u, low, high, first, tol float64 }{
		// Figures in 1e-6. An end of a shortest interval wanders with the draws,
		// more so where the density is flat (x1 = 0.050). The standard error of u is
		// u·√(κ−1)/(2√n); κ is 15 at most here, that of the square of one normal.
		{0, 0, 50, 50, 0, 150, 0, 2},
		{0, 0.010, 150, 112, 0, 367, 100, 3},
		{0, 0.050, 2550, 502, 1590, 3543, 500, 20},
		{0.9, 0, 50, 67, 0, 185, 0, 2},
		{0.9, 0.010, 150, 121, 13, 398, 100, 3},
		{0.9, 0.050, 2550, 505, 1628, 3555, 500, 20},
	} {
		p := comparisonLoss(r.r, r.x1)
		b := propagate(t, p)[0]
		s := sample(t, p, Draws{N: 200_000, Seed: 1, Level: 0.95})[0]
		check(t, []want{
			{"first order u", b.U * 1e6, r.first, 0.5, table},
			{"mean", s.Mean * 1e6, r.mean, 0.5 + 3*r.u/math.Sqrt(200_000), table},
			{"u", s.SD * 1e6, r.u, 0.5 + 3*r.u*math.Sqrt(14)/2/math.Sqrt(200_000), table},
			{"low end of shortest", s.Shortest.Low * 1e6, r.low, r.tol, table},
			{"high end of shortest", s.Shortest.High * 1e6, r.high, r.tol, table},
		})
	}
}

// comparisonLoss is Y = X1² + X2² with u = 0.005 each and correlation r.
func comparisonLoss(r, x1 float64) Problem {
	p := Problem{
		Inputs:  []Input{Normal("x1", x1, 0.005), Normal("x2", 0, 0.005)},
		Outputs: []string{"loss"},
		Model:   func(x, y []float64) { y[0] = x[0]*x[0] + x[1]*x[1] },
	}
	if r != 0 {
		p.R = mat.NewSymDense(2, []float64{1, r, r, 1})
	}
	return p
}

func logarithm() Problem {
	return Problem{
		Inputs: []Input{Rectangular("x", 0.6, 0.5)}, Outputs: []string{"y"},
		Model: func(x, y []float64) { y[0] = math.Log(x[0]) },
	}
}

func TestLogarithm(t *testing.T) {
	p := logarithm()
	b := propagate(t, p)[0]
	s := sample(t, p, Draws{N: 200_000, Seed: 1, Level: 0.95})[0]
	const source = "software-validation example of a national laboratory: y = ln x, x rectangular from 0.1 to 1.1; as quoted, original not seen"
	check(t, []want{
		{"first order y", b.Value, -0.511, 0.0005, source},
		{"first order u", b.U, 0.481, 0.0005, source},
		{"mean", s.Mean, -0.665, 0.0005 + 3*0.606/math.Sqrt(200_000), source},
		{"u", s.SD, 0.606, 0.0005 + 3*0.0014, source},
		{"low end of shortest", s.Shortest.Low, -1.895, 0.0005 + 3*0.0033, source},
		{"high end of shortest", s.Shortest.High, 0.095, 0.0005, source},
	})
}
