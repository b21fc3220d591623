package uncertainty

import (
	"math"
	"testing"
)

// A product of independent inputs is exact at second order:
// Var(xy) = x²u_y² + y²u_x² + u_x²u_y², and so is a cube up to its u⁶ term.
func TestSecondOrderOfAProductAndACube(t *testing.T) {
	p := Problem{
		Inputs:  []Input{Normal("x", 3, 0.5), Normal("y", -2, 0.8), Normal("exact", 7, 0)},
		Outputs: []string{"product", "cube", "straight", "missing"},
		Model: func(x, y []float64) {
			y[0], y[1], y[2] = x[0]*x[1], x[0]*x[0]*x[0], 2*x[0]+x[2]
		},
	}
	u, err := p.SecondOrder()
	if err != nil {
		t.Fatal(err)
	}
	// x³: c = 3x², f'' = 6x, f''' = 6: 9x⁴u² + 18x²u⁴ + 18x²u⁴.
	want := []float64{math.Sqrt(9*0.64 + 4*0.25 + 0.25*0.64), math.Sqrt(9*81*0.25 + 36*9*0.0625), 1}
	for k, w := range want {
		// The first-order part is a tangent taken at u/64, off by (u/64)² of the cubic term.
		if !near(u[k], w, 1e-5) {
			t.Errorf("%s: u = %g, want %g", p.Outputs[k], u[k], w)
		}
	}
	if !math.IsNaN(u[3]) {
		t.Errorf("missing output: u = %g, want NaN", u[3])
	}
}

func TestSecondOrderRefusals(t *testing.T) {
	p := weighted([]Input{Normal("a", 1, 1).Via("k"), Normal("b", 1, 1).Via("k")}, []float64{1, 1})
	for want, p := range map[string]Problem{
		`second-order terms: inputs "a" and "b" are correlated or share an error, expected independent inputs`: p,
		`second-order terms: input "a": standard uncertainty is -1, expected a finite number, 0 or more`:       weighted([]Input{Normal("a", 1, -1)}, []float64{1}),
		`second-order terms: variance of output "root" is NaN, expected 0 or more: the series does not hold here, draw samples instead`: {
			Inputs: []Input{Normal("a", 0, 1)}, Outputs: []string{"root"},
			Model: func(x, y []float64) {
				if x[0] >= 0 {
					y[0] = x[0]
				}
			},
		},
	} {
		if _, err := p.SecondOrder(); err == nil || err.Error() != want {
			t.Errorf("got %v\nwant %s", err, want)
		}
	}
}
