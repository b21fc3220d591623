package uncertainty

import (
	"fmt"
	"math"
)

// coarseness is the step of second and third derivatives in standard
// uncertainties: their differences are small, so they need a longer step than a slope.
const coarseness = 1.0 / 8

// SecondOrder returns the standard uncertainty of every output with the next
// terms of the Taylor series added to the first-order law:
//
//	u_c² = Σ_i c_i² u_i² + Σ_i Σ_j [½ (∂²f/∂x_i∂x_j)² + c_i ∂³f/∂x_i∂x_j²] u_i² u_j²
//
// It answers whether Propagate can be trusted for this model at these values:
// where the two differ, MonteCarlo is the one to believe. The terms are those
// of independent normal errors, so correlated or shared inputs are an error,
// and so is a model that is not defined at two eighths of u on both sides. The
// model is run about 6n² times. An output not given at the values is NaN.
//
// Source: JCGM 100:2008, 5.1.2, note.
func (p Problem) SecondOrder() ([]float64, error) {
	l, err := p.link()
	if err != nil {
		return nil, fmt.Errorf("second-order terms: %w", err)
	}
	for i, ties := range l.ties {
		if len(ties) > 0 {
			return nil, fmt.Errorf("second-order terms: inputs %q and %q are correlated or share an error, expected independent inputs", p.Inputs[i].Name, p.Inputs[ties[0].other].Name)
		}
	}
	budgets, err := p.Propagate()
	if err != nil {
		return nil, fmt.Errorf("second-order terms: %w", err)
	}
	s := newStencil(p)
	variances := make([]float64, len(budgets))
	for k, b := range budgets {
		variances[k] = b.U * b.U
	}
	for i := range p.Inputs {
		for j := range p.Inputs {
			if p.Inputs[i].U == 0 || p.Inputs[j].U == 0 {
				continue
			}
			s.evaluate(i, j)
			for k := range budgets {
				if budgets[k].Shares != nil {
					variances[k] += s.terms(k, budgets[k].contribution(i))
				}
			}
		}
	}
	for k, v := range variances {
		variances[k] = math.Sqrt(v)
		if budgets[k].Shares != nil && !finite(variances[k]) {
			return nil, fmt.Errorf("second-order terms: variance of output %q is %g, expected 0 or more: the series does not hold here, draw samples instead", budgets[k].Output, v)
		}
	}
	return variances, nil
}

// stencil holds every output at six places about the values, in steps of inputs i and j.
type stencil struct {
	p Problem
	x []float64
	y [2][3][]float64 // i one step down or up; j one step down, level or up
}

func newStencil(p Problem) *stencil {
	s := &stencil{p: p, x: make([]float64, len(p.Inputs))}
	for a := range s.y {
		for b := range s.y[a] {
			s.y[a][b] = make([]float64, len(p.Outputs))
		}
	}
	return s
}

// evaluate runs the model about the values; for i = j both steps go along one input.
func (s *stencil) evaluate(i, j int) {
	hi, hj := s.p.Inputs[i].U*coarseness, s.p.Inputs[j].U*coarseness
	for a := range s.y {
		for b := range s.y[a] {
			s.p.centre(s.x)
			s.x[i] += float64(2*a-1) * hi
			s.x[j] += float64(b-1) * hj
			s.p.run(s.x, s.y[a][b])
		}
	}
}

// terms is the bracket of the sum for output k, times u_i² u_j²; c is c_i u_i.
func (s *stencil) terms(k int, c float64) float64 {
	down, up := [3]float64{}, [3]float64{}
	for b := range 3 {
		down[b], up[b] = s.y[0][b][k], s.y[1][b][k]
	}
	mixed := (up[2] - up[0] - down[2] + down[0]) / (4 * coarseness * coarseness)
	bend := func(y [3]float64) float64 { return y[2] - 2*y[1] + y[0] }
	third := (bend(up) - bend(down)) / (2 * coarseness * coarseness * coarseness)
	return mixed*mixed/2 + c*third
}
