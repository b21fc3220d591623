package uncertainty

import (
	"math"
	"testing"
)

// Figures here are computed, by hand or in closed form, not published.

func TestRepeats(t *testing.T) {
	const source = "computed: five repeats of an efficiency with a common part"
	r, err := Combine([]float64{0.5247, 0.5166, 0.5301, 0.5212, 0.5189}, 0.0036228, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	check(t, []want{
		{"mean", r.Mean, 0.5223, 0.00005, source},
		{"s", r.S, 0.005288, 0.0000005, source},
		{"u_A", r.UA, 0.002365, 0.0000005, source},
		{"u_c", r.UC, 0.004326, 0.000001, source},
		{"nu_eff", r.NuEff, 44.8, 0.05, source},
		{"nu used", r.Nu, 44, 0, source},
		{"k", r.K, 2.015, 0.0005, source},
		{"U", r.U, 0.008719, 0.000001, source},
		{"repeatability limit", r.RepeatabilityLimit, 0.01466, 0.000005, source},
	})
}

// efficiency is a pot of water weighed and warmed by a weighed dose, each cause
// of error an input of its own: grams, °C, J/(kg·K), MJ/kg.
func efficiency(probeAtBoil bool) Problem {
	const scale, probe, bottle = "scale", "probe", "fuel bottle"
	p := Problem{
		Inputs: []Input{
			ResolutionOfDifference("water, display", 500, 0.1), Rectangular("water, scale", 0, 0.5),
			Resolution("start, display", 18.3, 0.1), Rectangular("start, layers", 0, 0.3),
			Rectangular("start, probe", 0, 0.5).Via(probe),
			Rectangular("boil, pressure", 99.184, 2*0.0283), Rectangular("boil, call", 0, 0.5),
			ResolutionOfDifference("fuel, display", 12.60, 0.1), Rectangular("fuel, scale", 0, 0.1).Via(scale),
			Rectangular("fuel, mark", 0, 1.7829*3/60),
			Normal("heating value", 25.635, 0.1761).Via(bottle), Rectangular("heat capacity", 4188.2, 5).Via("water"),
		},
		Outputs: []string{"eta_water"},
		Model: func(x, y []float64) {
			water, start, boil := x[0]+x[1], x[2]+x[3]+x[4], x[5]+x[6]
			if probeAtBoil {
				boil += x[4]
			}
			fuel := x[7] + x[8] + x[9]
			y[0] = water / 1e3 * x[11] * (boil - start) / (fuel / 1e3 * x[10] * 1e6)
		},
	}
	return p
}

func TestBudgetOfAnEfficiency(t *testing.T) {
	const source = "computed: budget of one boil"
	b := propagate(t, efficiency(false))[0]
	same := propagate(t, efficiency(true))[0]
	s := sample(t, efficiency(false), Draws{N: 100_000, Seed: 3, Level: 0.95})[0]
	shared := b.Shared()
	check(t, []want{
		{"eta", b.Value, 0.52439, 0.000005, source},
		{"u_c", b.U, 0.005899, 0.0000005, source},
		{"u_c with one probe for both ends", same.U, 0.005594, 0.0000005, source},
		{"fuel bottle", math.Abs(shared["fuel bottle"]), 0.003602, 0.0000005, source},
		{"heat capacity", shared["water"], 0.000361, 0.0000005, source},
		{"bottle and heat capacity", math.Hypot(shared["fuel bottle"], shared["water"]), 0.003620, 0.0000005, source},
		{"Monte Carlo u", s.SD, 0.00590, 0.00005, source},
		{"Monte Carlo low", s.Symmetric.Low, 0.5131, 0.0002, source},
		{"Monte Carlo high", s.Symmetric.High, 0.5360, 0.0002, source},
	})
	if c, ok := b.Largest(); !ok || c.Name != "fuel bottle" {
		t.Errorf("largest cause %+v, want the fuel bottle", c)
	}
}

func TestExactFigures(t *testing.T) {
	// Y = four rectangles of u = 1: four times a uniform on
	// (−√3, √3); the tail beyond y is (4 − t)⁴/24 for t = 2 + y/(2√3), which is 0.025
	// at y = 2√3·(2 − (3/5)^¼).
	s := sample(t, additive(ShapeRectangular, 1), Draws{N: 200_000, Seed: 2, Level: 0.95})[0]
	end := 2 * math.Sqrt(3) * (2 - math.Pow(0.6, 0.25))
	// ln x, x rectangular from 0.1 to 1.1: E = [x ln x − x], E² = [x ln² x − 2x ln x + 2x].
	l := sample(t, logarithm(), Draws{N: 200_000, Seed: 2, Level: 0.95})[0]
	first := func(x float64) float64 { return x*math.Log(x) - x }
	square := func(x float64) float64 { return x*math.Log(x)*math.Log(x) - 2*x*math.Log(x) + 2*x }
	mean := first(1.1) - first(0.1)
	sd := math.Sqrt(square(1.1) - square(0.1) - mean*mean)
	check(t, []want{
		{"end of four rectangles", s.Symmetric.High, end, 3 * 0.0075, "closed form"},
		{"mean of ln x", l.Mean, mean, 3 * sd / math.Sqrt(200_000), "closed form"},
		{"sd of ln x", l.SD, sd, 3 * 0.001, "closed form"},
	})
	for _, x1 := range []float64{0, 0.01, 0.05} {
		// Var(X1² + X2²) = 4 x1² u² + 4 u⁴ for independent normals: the
		// second-order terms are all there is.
		const u = 0.005
		second, err := comparisonLoss(0, x1).SecondOrder()
		if err != nil {
			t.Fatal(err)
		}
		check(t, []want{{"second order of a square", second[0], math.Sqrt(4*x1*x1*u*u + 4*math.Pow(u, 4)), 1e-12, "closed form"}})
	}
	// Lengths of the shortest 95 % intervals of the loss at r = 0.
	for x1, length := range map[float64]float64{0: 149.8e-6, 0.01: 366.0e-6, 0.05: 1955.0e-6} {
		loss := sample(t, comparisonLoss(0, x1), Draws{N: 200_000, Seed: 2, Level: 0.95})[0]
		check(t, []want{{"length of shortest", loss.Shortest.Length(), length, 0.01 * length, "computed from the noncentral chi-square"}})
	}
}
