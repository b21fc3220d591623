package uncertainty

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"

	"fairburn/finding"
	"fairburn/linear"
	"fairburn/stats"
)

// Draws says how MonteCarlo samples: how many draws, from which seed (the same
// seed gives the same figures), and the level of its intervals.
type Draws struct {
	N     int
	Seed  uint64
	Level float64
}

// Interval is a range of values, ends included.
type Interval struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Length returns High − Low.
func (i Interval) Length() float64 { return i.High - i.Low }

// Sample is what the draws say about one output.
type Sample struct {
	Output string  `json:"output"`
	Level  float64 `json:"level"`
	Mean   float64 `json:"mean"`
	SD     float64 `json:"sd"`
	// Symmetric leaves equally many draws out on both sides; Shortest is the
	// narrowest that holds as many draws. They agree for a symmetric distribution.
	Symmetric Interval `json:"symmetric"`
	Shortest  Interval `json:"shortest"`
	// Kept counts draws with a finite output, Lost the rest. Mean, SD and
	// intervals are of the kept draws, and NaN when those are too few for the level.
	Kept int `json:"kept"`
	Lost int `json:"lost"`
}

// beyond is how many draws must lie outside an interval for its ends to mean
// anything (common practice, no source; the guide asks for ten thousand).
const beyond = 10

// MonteCarlo draws the inputs from their shapes and returns the distribution of
// every output. Inputs of one shared key move together; those with correlations
// in R are drawn as joint normals through a Cholesky factor. Inputs are drawn
// in the order of their names, so their order in the problem changes nothing.
// Degrees of freedom are not used: a normal input is drawn as normal however
// few readings it rests on.
//
// It is an error if Propagate would refuse an input or a correlation, if a
// correlated input is not normal, if inputs of one key differ in shape, or if N
// leaves fewer than 10 draws outside the level. JCGM 101 asks for N of at least
// 10,000/(1 − level): 200,000 at 0.95.
//
// Source: JCGM 101:2008, 6.4 and 6.4.8 with C.5 (drawing), 7.2.2 (number of
// draws), 7.6 equations (16) and (17), 7.7 (intervals). Generator: PCG-DXSM of
// math/rand/v2.
func (p Problem) MonteCarlo(d Draws) ([]Sample, error) {
	s, err := newSampler(p, d)
	if err != nil {
		return nil, fmt.Errorf("draw samples: %w", err)
	}
	m := len(p.Outputs)
	kept, lost := make([][]float64, m), make([]int, m)
	for k := range kept {
		kept[k] = make([]float64, 0, d.N)
	}
	x, y := make([]float64, len(p.Inputs)), make([]float64, m)
	for range d.N {
		s.draw(x)
		p.run(x, y)
		for k, v := range y {
			if finite(v) {
				kept[k] = append(kept[k], v)
			} else {
				lost[k]++
			}
		}
	}
	samples := make([]Sample, m)
	for k, name := range p.Outputs {
		samples[k] = summary(name, kept[k], d)
		samples[k].Lost = lost[k]
	}
	return samples, nil
}

// Findings says when draws were lost: the figures then speak only of inputs
// for which the model holds.
func (s Sample) Findings() []finding.Finding {
	if s.Lost == 0 {
		return nil
	}
	return []finding.Finding{{
		Code: "draws_lost", Severity: finding.Caution,
		Where:    finding.Place{Subject: s.Output},
		Sentence: fmt.Sprintf("%d of %d draws gave no number, expected none: mean and intervals are of the other %d", s.Lost, s.Lost+s.Kept, s.Kept),
		Remedy:   "look for an input whose uncertainty reaches past the range of the model",
	}}
}

// sampler draws the inputs of a problem.
type sampler struct {
	rng    *rand.Rand
	inputs []Input         // in the order of their names
	to     []int           // to[i] is the place of inputs[i] in the model
	twin   []int           // twin[i] is the first of inputs with the key of inputs[i], else i
	factor linear.Cholesky // of R in this order; nil without R
	z      []float64       // errors of this draw in standard uncertainties
}

func newSampler(p Problem, d Draws) (*sampler, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	if !(d.Level > 0 && d.Level < 1) {
		return nil, fmt.Errorf("coverage level is %g, expected between 0 and 1, both excluded, such as 0.95", d.Level)
	}
	if !enough(d.N, d.Level) {
		return nil, fmt.Errorf("%d draws are too few for level %g: expected %.0f or more", d.N, d.Level, math.Ceil(beyond/(1-d.Level)*(1-1e-9)))
	}
	n := len(p.Inputs)
	s := &sampler{rng: rand.New(rand.NewPCG(d.Seed, 0)), to: make([]int, n), twin: make([]int, n), z: make([]float64, n)}
	for i := range s.to {
		s.to[i] = i
	}
	slices.SortFunc(s.to, func(i, j int) int { return strings.Compare(p.Inputs[i].Name, p.Inputs[j].Name) })
	for _, i := range s.to {
		s.inputs = append(s.inputs, p.Inputs[i])
	}
	if err := s.pair(); err != nil {
		return nil, err
	}
	return s, s.correlate(p.R)
}

// pair finds for every input the one whose error it repeats.
func (s *sampler) pair() error {
	for i, in := range s.inputs {
		s.twin[i] = i
		if in.Shared == "" {
			continue
		}
		first := slices.IndexFunc(s.inputs, func(other Input) bool { return other.Shared == in.Shared })
		if s.inputs[first].Shape != in.Shape {
			return fmt.Errorf("inputs %q (%v) and %q (%v) share %q, expected one shape: they have one error", s.inputs[first].Name, s.inputs[first].Shape, in.Name, in.Shape, in.Shared)
		}
		s.twin[i] = first
	}
	return nil
}

// correlate factors R, put in the order of the sampler.
func (s *sampler) correlate(r Correlations) error {
	if r == nil {
		return nil
	}
	n := len(s.inputs)
	ordered := linear.Square(n)
	for i, in := range s.inputs {
		for j := range n {
			c := r.At(s.to[i], s.to[j])
			if i != j && c != 0 && in.Shape != ShapeNormal {
				return fmt.Errorf("input %q is correlated and %v, expected normal: correlated draws are joint normals", in.Name, in.Shape)
			}
			ordered[i][j] = c
		}
	}
	s.factor, _ = linear.Factor(ordered) // check has seen that R is positive definite
	return nil
}

// draw writes one draw of every input into x.
func (s *sampler) draw(x []float64) {
	for i, in := range s.inputs {
		if s.twin[i] == i {
			s.z[i] = in.Shape.draw(s.rng)
		} else {
			s.z[i] = s.z[s.twin[i]]
		}
	}
	if s.factor != nil {
		// From the last row up, so that a row still reads undisturbed draws.
		for i := len(s.z) - 1; i >= 0; i-- {
			s.z[i] = floats.Dot(s.factor[i], s.z[:i+1])
		}
	}
	for i, in := range s.inputs {
		x[s.to[i]] = in.Value + in.U*s.z[i]
	}
}

// draw returns one error of the shape with standard deviation 1.
func (s Shape) draw(rng *rand.Rand) float64 {
	switch s {
	case ShapeRectangular:
		return math.Sqrt(3) * (2*rng.Float64() - 1)
	case ShapeTriangular:
		return math.Sqrt(6) * (rng.Float64() + rng.Float64() - 1)
	case ShapeArcsine:
		return math.Sqrt2 * math.Cos(math.Pi*rng.Float64())
	}
	return rng.NormFloat64()
}

// enough reports whether n draws leave enough of them outside the level. The
// 1e-9 lets 200 draws pass at 0.95, which is 9.999999999999991 as floats go.
func enough(n int, level float64) bool { return float64(n)*(1-level) >= beyond*(1-1e-9) }

// summary sorts v and describes it.
func summary(name string, v []float64, d Draws) Sample {
	nan := math.NaN()
	s := Sample{Output: name, Level: d.Level, Kept: len(v), Mean: nan, SD: nan, Symmetric: Interval{nan, nan}, Shortest: Interval{nan, nan}}
	if !enough(len(v), d.Level) {
		return s
	}
	moments := stats.Summarize(v)
	s.Mean, s.SD = moments.Mean, moments.SD
	slices.Sort(v)
	// The guide's q and r count from 1; v counts from 0.
	q := int(d.Level*float64(len(v)) + 0.5)
	r := (len(v) - q + 1) / 2
	s.Symmetric = Interval{v[r-1], v[r-1+q]}
	s.Shortest = Interval{v[0], v[q]}
	for i := range len(v) - q {
		if v[i+q]-v[i] < s.Shortest.Length() {
			s.Shortest = Interval{v[i], v[i+q]}
		}
	}
	return s
}
