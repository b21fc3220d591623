// Package reduce turns one burn as recorded into figures: what was heated, what
// it cost, how sure that is, and what the same burn would have been at
// reference conditions.
//
// It compares nothing and refuses to fill in what was not measured: a dose is
// never taken for fuel burned, a burn that did not boil keeps its status, and
// every efficiency carries what it counts. Corrected figures stand beside raw
// ones, and a burn outside the range of the correction says so.
//
// Read metric.go (what the figures are), status.go (what a boil counts as),
// fuel.go (what the weighings say), heat.go (the closed form behind the
// correction), setup.go (what burns have in common), then reduce.go, bench.go,
// pressure.go, inputs.go and model.go (readings to figures), judge.go (what
// looks wrong, in a burn or in a published efficiency), json.go (the keys).
package reduce

import (
	"math"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/uncertainty"
)

// Result is one burn reduced.
type Result struct {
	Burn    string
	Entry   string
	Block   string
	Status  Status
	Void    string // the tester's reason for leaving it out; it is reduced all the same
	Outcome Outcome
	// FuelBy says how fuel to boil is known; NotMeasured when it is not.
	FuelBy   burn.ToBoilBy
	Findings []finding.Finding

	figures [metricCount]Figure
	budgets []uncertainty.Budget // by metric; nil when there was nothing to propagate
}

// Outcome holds the event and censoring times from light, for survival methods.
type Outcome struct {
	Boil      time.Duration // event; of an interval, its end; 0 when there was none
	NotBefore time.Duration // of an interval, its beginning
	Censor    time.Duration // of a burn without a boil
	PotOn     time.Duration
	End       time.Duration
	Snuffed   bool
	// FlameOut: the competing event, the flame ended before a boil.
	FlameOut bool
}

// Figure returns a metric, and false when the burn does not have it.
func (r *Result) Figure(m Metric) (Figure, bool) {
	f := r.figures[m]
	return f, !math.IsNaN(f.Value)
}

// Budget returns the uncertainty budget of a metric, in SI.
func (r *Result) Budget(m Metric) (uncertainty.Budget, bool) {
	if _, ok := r.Figure(m); !ok {
		return uncertainty.Budget{}, false
	}
	return r.budgets[m], true
}

// Basis says what an efficiency of this burn counts, such as
// "net, water and steam, to the boil". Every efficiency is printed with it.
func (r *Result) Basis(m Metric) string {
	counts := [...]string{"water", "water and steam", "water and pot", "water, pot and steam"}
	if m < EtaWater || m > EtaAll {
		return ""
	}
	end := "to the boil"
	if !r.Status.HasBoil() {
		end = "to the highest temperature"
	}
	return "net, " + counts[m-EtaWater] + ", " + end
}

var nan = math.NaN()

// Reduce computes every figure that the burn's readings allow, with budget,
// status and findings. It never fails: what cannot be computed is missing and
// a finding says why.
func Reduce(r burn.Record, s Setup) Result {
	b := newBench(r, s)
	res := Result{
		Burn: r.ID, Entry: r.Entry, Block: r.Block, Status: b.outcome.status, Void: r.Void, FuelBy: b.fuel.by,
		Outcome: Outcome{
			Boil: b.outcome.boil, NotBefore: b.outcome.notBefore, Censor: b.outcome.censor,
			PotOn: b.potOnAt, End: b.outcome.end, Snuffed: b.outcome.snuffed, FlameOut: b.outcome.flameOut,
		},
	}
	if err := res.propagate(model{gather(b), b}); err != nil {
		b.say("budget_failed", finding.Fault, "", err.Error(), "check the burn's readings for one far out of range")
	}
	res.mark(b)
	res.judge(b)
	res.Findings = b.found
	return res
}

// propagate fills figures and budgets.
func (r *Result) propagate(m model) error {
	for i := range r.figures {
		r.figures[i].Value = nan
	}
	budgets, err := m.problem().Propagate()
	if err != nil {
		return err
	}
	r.budgets = budgets
	for i, b := range budgets {
		if finite(b.Value) && finite(b.U) {
			r.figures[i] = Figure{Value: b.Value, U: b.U}
		}
	}
	return nil
}

func (m model) problem() uncertainty.Problem {
	return uncertainty.Problem{Inputs: m.list, Outputs: keys, Model: m.run}
}

// keys are the names of the model's outputs.
var keys = func() []string {
	ks := make([]string, metricCount)
	for i, info := range infos {
		ks[i] = info.Key
	}
	return ks
}()
