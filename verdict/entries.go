package verdict

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"fairburn/burn"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/stats"
	"fairburn/trial"
	"fairburn/uncertainty"
)

// entriesOf describes every entry beside the axes.
func entriesOf(t *trial.Reduced, r rules) []Entry {
	var es []Entry
	for _, e := range t.Trial.Entries {
		mass, unweighed := t.SystemMass(e)
		entry := Entry{Name: e.Name, Marker: t.Marker(e.Name), Fuel: e.Fuel, SystemMass: float64(mass), Unweighed: unweighed, Counts: map[string]int{}}
		if b, ok := t.Burner(e); ok {
			entry.ShopMade, entry.BurnerMass = b.ShopMade, float64(b.DryMass.Value)
			for _, trait := range b.Traits {
				entry.Traits = append(entry.Traits, Trait{string(trait.Kind), trait.Holds, trait.ShownBy, trait.Note})
			}
		}
		for i := range t.Results {
			if b := &t.Results[i]; b.Entry == e.Name {
				status := string(b.Result.Status)
				if b.Void != "" {
					status = "void"
				}
				entry.Counts[status]++
			}
		}
		burns := t.Of(e.Name)
		for _, m := range meanMetrics {
			if mean, ok := meanOf(burns, m, r); ok {
				entry.Figures = append(entry.Figures, mean)
			}
		}
		entry.LeastDose = leastDoseOf(t, e.Name)
		es = append(es, entry)
	}
	return es
}

// meanMetrics are shown for every entry, raw beside corrected.
var meanMetrics = []reduce.Metric{
	reduce.BloomTime, reduce.BoilTime, reduce.RefTime, reduce.BurnTime,
	reduce.FuelTotal, reduce.FuelToBoil, reduce.RefFuel, reduce.RefFuelBatch, reduce.RefFuelVolume, reduce.FuelPerWater,
	reduce.EtaWater, reduce.EtaWaterEvap, reduce.EtaWaterPot, reduce.EtaAll,
	reduce.MeanPower, reduce.HeatingPower, reduce.CookingPower, reduce.SimmerPower, reduce.TurnDown,
}

// restsOnFuelToBoil reports whether a metric is only as good as the weighing of
// the fuel up to the boil.
func restsOnFuelToBoil(m reduce.Metric) bool {
	switch m {
	case reduce.FuelToBoil, reduce.RefFuel, reduce.RefFuelBatch, reduce.RefFuelVolume, reduce.FuelPerWater,
		reduce.EtaWater, reduce.EtaWaterEvap, reduce.EtaWaterPot, reduce.EtaAll, reduce.HeatingPower:
		return true
	}
	return false
}

// weighed returns the burns that weighed the fuel to boil when three or more
// did, else all: a prorated value brings an error that no repeat shrinks.
func weighed(burns []*trial.Burned) []*trial.Burned {
	var out []*trial.Burned
	for _, b := range burns {
		if b.Result.Status.HasBoil() && b.Result.FuelBy != burn.Prorated && b.Result.FuelBy != burn.NotMeasured {
			out = append(out, b)
		}
	}
	if len(out) < 3 {
		return burns
	}
	return out
}

// meanOf averages a metric over an entry's burns that have it as an exact,
// measured value, with the shared inputs added once.
func meanOf(burns []*trial.Burned, m reduce.Metric, r rules) (Mean, bool) {
	mean := Mean{Metric: m, Key: m.Info().Key}
	if restsOnFuelToBoil(m) {
		burns = weighed(burns)
	}
	var values []float64
	var first uncertainty.Budget
	shared := map[string]float64{}
	for _, b := range burns {
		value, ok := measured(&b.Result, m)
		if !ok {
			continue
		}
		budget, _ := b.Result.Budget(m)
		if len(values) == 0 {
			first, mean.Basis = budget, b.Result.Basis(m)
		}
		for key, c := range budget.Shared() {
			shared[key] += c
		}
		values = append(values, value)
	}
	if mean.N = len(values); mean.N == 0 {
		return mean, false
	}
	if cause, ok := first.Largest(); ok {
		mean.Largest = cause.Name
	}
	for key := range shared {
		shared[key] /= float64(mean.N)
	}
	mean.state(values, math.Sqrt(sumSquares(shared)), first, r)
	return mean, true
}

// measured is a burn's exact, measured value of a metric. An efficiency to
// another end point is never averaged with those to the boil.
func measured(res *reduce.Result, m reduce.Metric) (float64, bool) {
	f, ok := res.Figure(m)
	if !ok || f.Bound != reduce.Exact || f.Estimated || f.OutOfRange {
		return 0, false
	}
	return f.Value, res.Basis(m) == "" || res.Status.HasBoil()
}

// state fills the mean and its interval: of one burn from its budget, of more
// from their scatter and what they share; none where they all read alike.
func (m *Mean) state(values []float64, shared float64, first uncertainty.Budget, r rules) {
	summary := stats.Summarize(values)
	m.Value = summary.Mean
	if m.N == 1 {
		if x, err := first.Expanded(r.level); err == nil && x.High > x.Low {
			m.Lo, m.Hi = x.Low, x.High
		}
		return
	}
	if c, err := uncertainty.Combine(values, shared, r.level); err == nil && summary.SD > 0 {
		m.Lo, m.Hi = c.Low, c.High
	}
}

// concludeLightest writes the verdict where the system's mass decides.
func (v *Verdict) concludeLightest(sys quantity.System) {
	var open bool
	for _, e := range v.Entries {
		if len(e.Unweighed) > 0 {
			v.Next = append(v.Next, fmt.Sprintf("%s: weigh %s", e.Name, listWords(e.Unweighed, "and")))
		}
		open = open || len(e.Unweighed) > 0 || e.SystemMass <= 0
	}
	switch {
	case len(v.Entries) < 2:
		v.Class, v.Sentence = TooFew, oneEntry
		return
	case open:
		v.Class = NotSettled
		v.Sentence = "Not settled on the lightest system: not every part of every entry has been weighed."
		return
	}
	sorted := slices.Clone(v.Entries)
	sort.SliceStable(sorted, func(i, j int) bool { return cmp.Less(sorted[i].SystemMass, sorted[j].SystemMass) })
	least, less := quantity.Mass(sorted[0].SystemMass), quantity.Mass(sorted[1].SystemMass-sorted[0].SystemMass)
	if less < lightStep {
		v.Class = EqualInPractice
		v.Sentence = fmt.Sprintf("%s and %s are the lightest systems at %s, to the last digit that counts; no burn changes that.", sorted[0].Name, sorted[1].Name, quantity.Format(least, sys))
		return
	}
	v.Class = Different
	v.Sentence = fmt.Sprintf("%s is the lightest system at %s, %s less than %s, the next; no burn changes that.", sorted[0].Name, quantity.Format(least, sys), quantity.Format(less, sys), sorted[1].Name)
}

// lightStep is the difference of masses below which two systems are as light
// as each other: the last digit that is printed.
const lightStep = 0.1 * quantity.Gram
