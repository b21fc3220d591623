// Package uncertainty carries what is not known about readings into what is
// said about results. A model stays a plain function of numbers; this package
// perturbs its inputs and hands back each output with a budget: which input
// brings how much, with its sign, and through what it is shared.
//
// An error that two inputs share (one scale used twice, one bottle of fuel in
// two burns) is named by a key. Inside a problem the contributions of a key
// are added with their signs before squaring; between two results they are
// subtracted, so that what is common cancels as far as the sensitivities agree.
//
// It refuses to guess: it knows no instrument, gives no input an uncertainty
// that was not stated, never moves a value away from the end of a model's range,
// and applies the first-order law as asked even where the law is wrong (a square
// or a ratio near zero); SecondOrder and MonteCarlo are there to find that out.
//
// Read input.go (what is known of one input), problem.go (inputs, outputs and
// model), propagate.go (the first-order law), budget.go (what to ask of the
// result), coverage.go (degrees of freedom and intervals), repeat.go (repeats
// and common part in one statement), then curvature.go and montecarlo.go (two
// checks of the first-order law).
//
// Two guides are cited throughout. JCGM 100:2008, Evaluation of measurement
// data: Guide to the expression of uncertainty in measurement. JCGM 101:2008,
// Supplement 1: Propagation of distributions using a Monte Carlo method.
package uncertainty

import (
	"fmt"
	"math"

	"fairburn/linear"
)

// Problem is a model with what is known about its inputs.
type Problem struct {
	// Inputs are the arguments of the model, in its order. Names are distinct.
	Inputs []Input
	// Outputs names the results of the model, in its order.
	Outputs []string
	// Model reads x (one number an input) and writes y (one an output). It must
	// not write to x. y arrives full of NaN, so an output that does not exist at
	// x is simply left alone. The same x must give the same y.
	Model func(x, y []float64)
	// R holds the correlation coefficients between inputs that were estimated
	// together; nil when there are none. It must be positive definite. An
	// error that is common to inputs as a whole is no matter for R: give those
	// inputs one Shared key. An input may not have both.
	R Correlations
}

// Correlations are the coefficients between inputs, by their places; a symmetric
// matrix of gonum is one.
type Correlations interface {
	SymmetricDim() int
	At(i, j int) float64
}

// link is how the inputs of a problem hang together.
type link struct {
	ties [][]tie   // by input: the other inputs that its error goes with
	part []int     // part[i] labels the set of linked inputs that i belongs to
	df   []float64 // by label, the smallest degrees of freedom in the part; 0 means infinite
}

// tie is the correlation of an input with another, never 0.
type tie struct {
	other int
	r     float64
}

// link checks the problem and returns how its inputs hang together.
func (p Problem) link() (link, error) {
	if err := p.check(); err != nil {
		return link{}, err
	}
	n := len(p.Inputs)
	l := link{make([][]tie, n), make([]int, n), make([]float64, n)}
	for i := range n {
		l.part[i] = i
		for j := range i {
			if r := p.correlation(i, j); r != 0 {
				l.ties[i], l.ties[j] = append(l.ties[i], tie{j, r}), append(l.ties[j], tie{i, r})
				l.join(i, j)
			}
		}
	}
	for i := range p.Inputs {
		in, df := &p.Inputs[i], &l.df[l.part[i]]
		if in.DF > 0 && in.U > 0 && !math.IsInf(in.DF, 1) && (*df == 0 || in.DF < *df) {
			*df = in.DF
		}
	}
	return l, nil
}

// join puts the parts of i and j, j < i, under one label.
func (l link) join(i, j int) {
	from, to := l.part[i], l.part[j]
	for k := range i + 1 {
		if l.part[k] == from {
			l.part[k] = to
		}
	}
}

// correlation returns the coefficient between two different inputs.
func (p Problem) correlation(i, j int) float64 {
	if key := p.Inputs[i].Shared; key != "" && key == p.Inputs[j].Shared {
		return 1 // one and the same error
	}
	if p.R == nil {
		return 0
	}
	return p.R.At(i, j)
}

// check refuses a problem that has no meaning, naming the input at fault.
func (p Problem) check() error {
	for i := range p.Inputs {
		in := &p.Inputs[i]
		if err := in.check(); err != nil {
			return err
		}
		for j := range i {
			if in.Name == p.Inputs[j].Name {
				return fmt.Errorf("input %q is listed twice: names must differ, an error in common is told by its shared key", in.Name)
			}
		}
	}
	if p.R == nil {
		return nil
	}
	return p.checkCorrelation()
}

// checkCorrelation refuses a matrix that no set of inputs can have.
func (p Problem) checkCorrelation() error {
	n := len(p.Inputs)
	if got := p.R.SymmetricDim(); got != n {
		return fmt.Errorf("correlation matrix is %d by %d, expected %d by %d: one row an input", got, got, n, n)
	}
	lower := linear.Square(n)
	for i, in := range p.Inputs {
		lower[i][i] = 1
		if d := p.R.At(i, i); d != 1 {
			return fmt.Errorf("correlation of input %q with itself is %g, expected 1", in.Name, d)
		}
		for j := range i {
			r, other := p.R.At(i, j), p.Inputs[j]
			lower[i][j] = r
			if !(math.Abs(r) < 1) {
				return fmt.Errorf("correlation of inputs %q and %q is %g, expected between -1 and 1, both excluded: for an error wholly in common give both one shared key", other.Name, in.Name, r)
			}
			if r != 0 && (in.Shared != "" || other.Shared != "") {
				return fmt.Errorf("inputs %q and %q have correlation %g and a shared key: expected one or the other", other.Name, in.Name, r)
			}
		}
	}
	if _, ok := linear.Factor(lower); !ok {
		return fmt.Errorf("correlation matrix of %d inputs is not positive definite: no set of inputs can have these coefficients together", n)
	}
	return nil
}

// run evaluates the model at x into y.
func (p Problem) run(x, y []float64) {
	for k := range y {
		y[k] = math.NaN()
	}
	p.Model(x, y)
}

// centre writes the values of the inputs into x.
func (p Problem) centre(x []float64) {
	for i, in := range p.Inputs {
		x[i] = in.Value
	}
}

// finite tells a number from NaN and the infinities, which less themselves are NaN.
func finite(v float64) bool { return v-v == 0 }
