package uncertainty

import (
	"fmt"
	"math"
	"slices"
)

// fineness is the step of a derivative in standard uncertainties. At u/64 the
// error of a central difference is that of a tangent (a cubic term of 1/24,000
// of itself is left), and a power of two scales u without rounding.
const fineness = 1.0 / 64

// floor is the least step against the size of the value. A smaller one would
// difference nothing but the rounding of the model (2e-16 of it, so 2e-8 of the slope).
const floor = 1e-8

// Propagate applies the first-order law of propagation to every output:
//
//	u_c² = Σ_i Σ_j c_i u_i · c_j u_j · r_ij,  c_i = ∂f/∂x_i
//
// with r_ij = 1 between inputs of one shared key. The c_i are central
// differences with a step of u_i/64; where the model is defined on one side
// only (a mass fraction of 1) the difference is taken on that side. An input
// with U = 0 is not perturbed and shows sensitivity 0. The model is run
// 1 + 2n times for n uncertain inputs.
//
// An output that the model does not give at the values (NaN or infinite) has a
// budget with that value, NaN uncertainty and no rows. It is an error if an
// input or correlation is out of its range, or if an output exists at the
// values but on neither side of one of them.
//
// Source: JCGM 100:2008, 5.1.2 equation (10), 5.2.2 equations (13) and (16);
// degrees of freedom G.4.1 equation (G.2b).
func (p Problem) Propagate() ([]Budget, error) {
	l, err := p.link()
	if err != nil {
		return nil, fmt.Errorf("propagate uncertainty: %w", err)
	}
	n, m := len(p.Inputs), len(p.Outputs)
	p.Inputs = slices.Clone(p.Inputs) // what the budgets share
	buf := make([]float64, 3*n+3*m+n*m)
	x, scratch, y := buf[:n], buf[n:3*n], buf[3*n:3*n+m]
	d := differ{p, x, y, buf[3*n+m : 3*n+2*m], buf[3*n+2*m : 3*n+3*m], buf[3*n+3*m:]}
	p.centre(x)
	p.run(x, y)
	for i := range p.Inputs {
		if err := d.slopes(i); err != nil {
			return nil, fmt.Errorf("propagate uncertainty: %w", err)
		}
	}
	budgets, numbers := make([]Budget, m), make([]float64, 2*n*m)
	for k := range budgets {
		b := &budgets[k]
		*b = Budget{Output: p.Outputs[k], Value: y[k], U: math.NaN(), Inputs: p.Inputs}
		if !finite(y[k]) {
			continue
		}
		own := numbers[2*n*k : 2*n*(k+1) : 2*n*(k+1)]
		b.Sensitivities, b.Shares = own[:n:n], own[n:]
		for i := range b.Sensitivities {
			b.Sensitivities[i] = d.slope[i*m+k]
		}
		b.combine(l, scratch)
	}
	return budgets, nil
}

// differ differentiates a model about the values of its inputs.
type differ struct {
	p      Problem
	x, y   []float64 // stand at the values between calls
	hi, lo []float64
	slope  []float64 // by input, then output
}

// slopes finds the sensitivities of every output that exists to input i.
func (d differ) slopes(i int) error {
	in := &d.p.Inputs[i]
	if math.IsInf(in.DF, 1) {
		in.DF = 0
	}
	if in.U == 0 {
		return nil
	}
	h := max(in.U*fineness, math.Abs(in.Value)*floor)
	up, down := in.Value+h, in.Value-h
	d.x[i] = up
	d.p.run(d.x, d.hi)
	d.x[i] = down
	d.p.run(d.x, d.lo)
	d.x[i] = in.Value
	for k, y := range d.y {
		if !finite(y) {
			continue
		}
		s := slope(point{down, d.lo[k]}, point{in.Value, y}, point{up, d.hi[k]})
		if !finite(s) {
			return fmt.Errorf("output %q is %g at %s = %g, but is not a number at %g nor at %g: the model must hold on at least one side of the value", d.p.Outputs[k], y, in.Name, in.Value, down, up)
		}
		d.slope[i*len(d.y)+k] = s
	}
	return nil
}

// point is a place on the graph of an output against one input.
type point struct{ x, y float64 }

// slope is the central difference of three points, or that of the side where
// the output exists. It is NaN when neither does. It divides by the difference of the
// arguments as stored, not by the step asked for, so that a straight line
// keeps its slope whatever the rounding of its arguments.
func slope(lo, mid, hi point) float64 {
	if !finite(lo.y) {
		lo = mid
	}
	if !finite(hi.y) {
		hi = mid
	}
	return (hi.y - lo.y) / (hi.x - lo.x) // 0/0 when neither side exists
}

// combine fills uncertainty, shares and degrees of freedom from the
// contributions of the rows. scratch holds two numbers a row.
func (b *Budget) combine(l link, scratch []float64) {
	n := len(b.Shares)
	c, terms := scratch[:n], scratch[n:]
	clear(terms)
	for i := range c {
		c[i] = b.contribution(i)
	}
	variance := 0.0
	for i := range c {
		along := c[i]
		for _, t := range l.ties[i] {
			along += t.r * c[t.other]
		}
		v := c[i] * along
		b.Shares[i] = v
		terms[l.part[i]] += v
		variance += v
	}
	// Opposite errors that cancel can leave a rounding below zero.
	variance = max(variance, 0)
	b.U = math.Sqrt(variance)
	b.NuEff = freedom(variance, terms, l.df)
	for i := range b.Shares {
		if variance == 0 {
			b.Shares[i] = 0
			continue
		}
		b.Shares[i] /= variance
	}
}

// freedom is the formula of Welch and Satterthwaite over parts, sets of linked
// inputs: those of one key or with a coefficient in R enter as one term, since
// the formula holds only for terms that are independent.
func freedom(variance float64, terms, df []float64) float64 {
	sum := 0.0
	for i, v := range terms {
		if df[i] > 0 {
			sum += v * v / df[i]
		}
	}
	if sum == 0 {
		return 0
	}
	return variance * variance / sum
}
