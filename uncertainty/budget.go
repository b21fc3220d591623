package uncertainty

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/floats"
)

// Budget is one output with its combined standard uncertainty and what it is made of.
type Budget struct {
	Output string  `json:"output"`
	Value  float64 `json:"value"`
	U      float64 `json:"u"` // combined standard uncertainty, in the unit of Value
	// NuEff is the effective degrees of freedom (Welch–Satterthwaite); 0 means infinite.
	NuEff float64 `json:"nu_eff,omitempty"`
	// Inputs are those of the problem; all budgets of one Propagate share them.
	Inputs []Input `json:"inputs"`
	// Sensitivities and Shares stand in the order of the inputs; nil when the
	// output does not exist. They are plain numbers because a reduction keeps
	// dozens of budgets a burn. See Rows for what they mean.
	Sensitivities []float64 `json:"sensitivities"`
	Shares        []float64 `json:"shares"`
}

// Row is one input's line in the budget of an output.
type Row struct {
	Input
	// Sensitivity is ∂f/∂x at the values: output unit per input unit.
	Sensitivity float64
	// Contribution is Sensitivity times U, with its sign: what the output moves
	// when the input is one standard uncertainty high.
	Contribution float64
	// Share is the part of the output's variance that this input brings. The
	// shares of a budget add to 1; one is negative where this input's error
	// takes back what a correlated or shared one brought.
	Share float64
}

// Rows lists the budget line by line, in the order of the inputs; none when
// the output does not exist.
func (b Budget) Rows() []Row {
	rows := make([]Row, len(b.Sensitivities))
	for i, s := range b.Sensitivities {
		rows[i] = Row{b.Inputs[i], s, b.contribution(i), b.Shares[i]}
	}
	return rows
}

func (b *Budget) contribution(i int) float64 { return b.Sensitivities[i] * b.Inputs[i].U }

// Cause is what a reader takes for one source of error: an input of its own,
// or all inputs that share one key together.
type Cause struct {
	Name string `json:"name"`          // the input's name, or the shared key
	Key  string `json:"key,omitempty"` // the shared key, "" for an error of this run alone
	// Contribution is the signed sum over the inputs of the cause.
	Contribution float64 `json:"contribution"`
	Share        float64 `json:"share"` // of the variance of the output
}

// Causes merges the rows by shared key, largest share of variance first, then
// by name.
func (b Budget) Causes() []Cause {
	var cs []Cause
	for _, r := range b.Rows() {
		i := slices.IndexFunc(cs, func(c Cause) bool { return r.Shared != "" && c.Key == r.Shared })
		if i < 0 {
			i = len(cs)
			cs = append(cs, Cause{Name: cmp.Or(r.Shared, r.Name), Key: r.Shared})
		}
		cs[i].Contribution += r.Contribution
		cs[i].Share += r.Share
	}
	sort.SliceStable(cs, func(i, j int) bool {
		return cmp.Or(cmp.Compare(cs[j].Share, cs[i].Share), cmp.Compare(cs[i].Name, cs[j].Name)) < 0
	})
	return cs
}

// Largest returns the cause that brings most of the variance, and false when
// nothing brings any.
func (b Budget) Largest() (Cause, bool) {
	cs := b.Causes()
	if len(cs) == 0 || !(b.U > 0) {
		return Cause{}, false
	}
	return cs[0], true
}

// Shared returns the signed contribution of each shared key. The parts of
// different keys are independent.
func (b Budget) Shared() map[string]float64 {
	parts := map[string]float64{}
	for i := range b.Sensitivities {
		if key := b.Inputs[i].Shared; key != "" {
			parts[key] += b.contribution(i)
		}
	}
	return parts
}

// Split returns the standard uncertainty of what is this run's own and of what
// is shared with others: U² = own² + shared². Repeats shrink only the first.
func (b Budget) Split() (own, shared float64) {
	share := 0.0
	for i, v := range b.Shares {
		if b.Inputs[i].Shared == "" {
			share += v
		}
	}
	// Shares of correlated inputs can round to just below zero.
	return b.U * math.Sqrt(max(share, 0)), math.Sqrt(sumOfSquares(b.Shared()))
}

// DifferenceVariance returns the variance that shared inputs bring to a − b.
// For every key the signed contributions are subtracted before squaring, so
// one bottle, scale or probe used for both cancels as far as the sensitivities
// agree; a key of only one of them counts whole. What is each run's own is left
// out: the scatter between repeats already holds it.
//
// Source: JCGM 100:2008, 5.2.2 equation (16), for f = a − b with errors in common.
func DifferenceVariance(a, b Budget) float64 {
	parts := a.Shared()
	for key, c := range b.Shared() {
		parts[key] -= c
	}
	return sumOfSquares(parts)
}

// sumOfSquares adds in the order of the keys, so that equal parts give equal bits.
func sumOfSquares(parts map[string]float64) float64 {
	sum := 0.0
	for _, key := range slices.Sorted(maps.Keys(parts)) {
		sum += parts[key] * parts[key]
	}
	return sum
}

// Log returns the budget of ln(Value): sensitivities and contributions divided
// by the value, so that U is a relative uncertainty and the difference of two
// such budgets is the log of a ratio. Shares and degrees of freedom stay. The
// output becomes "ln name". It is an error if the value is not above 0.
//
// Source: JCGM 100:2008, 5.1.2 equation (10) for f = ln y, and 5.1.6.
func (b Budget) Log() (Budget, error) {
	if !(b.Value > 0) || math.IsInf(b.Value, 1) {
		return Budget{}, fmt.Errorf("log of %s: value is %g, expected a finite number above 0", b.Output, b.Value)
	}
	out := b
	out.Output, out.Value, out.U = "ln "+b.Output, math.Log(b.Value), b.U/b.Value
	out.Sensitivities = slices.Clone(b.Sensitivities)
	floats.Scale(1/b.Value, out.Sensitivities)
	return out, nil
}
