package verdict

import (
	"fmt"
	"math"
	"slices"

	"fairburn/burn"
	"fairburn/reduce"
	"fairburn/trial"
	"fairburn/uncertainty"
)

// entriesOf describes every entry beside the axes.
func entriesOf(t *trial.Reduced, r rules) []Entry {
	var es []Entry
	for _, e := range t.Trial.Entries {
		mass, unweighed := t.SystemMass(e)
		entry := Entry{Name: e.Name, Marker: t.Marker(e.Name), SystemMass: float64(mass), Unweighed: unweighed, Counts: map[string]int{}}
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
	shared := map[string]float64{}
	for i := range burns {
		res := &burns[i].Result
		f, ok := res.Figure(m)
		if !ok || f.Bound != reduce.Exact || f.Estimated || f.OutOfRange {
			continue
		}
		if res.Basis(m) != "" && !res.Status.HasBoil() {
			continue // another end point: never averaged with efficiencies to the boil
		}
		budget, _ := res.Budget(m)
		if len(values) == 0 {
			mean.Basis = res.Basis(m)
			if cause, ok := budget.Largest(); ok {
				mean.Largest = cause.Name
			}
		}
		for key, c := range budget.Shared() {
			shared[key] += c
		}
		values = append(values, f.Value)
	}
	if mean.N = len(values); mean.N == 0 {
		return mean, false
	}
	for key := range shared {
		shared[key] /= float64(mean.N)
	}
	return mean.combine(values, shared, burns, r), true
}

func (m Mean) combine(values []float64, shared map[string]float64, burns []*trial.Burned, r rules) Mean {
	if len(values) > 1 {
		if c, err := uncertainty.Combine(values, math.Sqrt(sumSquares(shared)), r.level); err == nil {
			m.Value, m.Lo, m.Hi = c.Mean, c.Low, c.High
			return m
		}
	}
	m.Value = values[0]
	i := slices.IndexFunc(burns, func(b *trial.Burned) bool {
		f, ok := b.Result.Figure(m.Metric)
		return ok && f.Value == m.Value
	})
	if budget, ok := burns[i].Result.Budget(m.Metric); ok {
		if x, err := budget.Expanded(r.level); err == nil {
			m.Lo, m.Hi = x.Low, x.High
		}
	}
	return m
}

// concludeLightest writes the verdict where the system's mass decides.
func (v *Verdict) concludeLightest() {
	var known []Entry
	for _, e := range v.Entries {
		if len(e.Unweighed) == 0 && e.SystemMass > 0 {
			known = append(known, e)
		}
	}
	if len(known) < 2 || len(known) < len(v.Entries) {
		v.Class = NotSettled
		v.Sentence = "Not settled on the lightest system: not every part of every entry has been weighed."
		for _, e := range v.Entries {
			if len(e.Unweighed) > 0 {
				v.Next = append(v.Next, fmt.Sprintf("%s: weigh %s", e.Name, listWords(e.Unweighed, "and")))
			}
		}
		return
	}
	slices.SortStableFunc(known, func(a, b Entry) int { return int((a.SystemMass - b.SystemMass) * 1e6) })
	v.Class = Different
	v.Sentence = fmt.Sprintf("%s is the lightest system at %.1f g, %.1f g less than %s, the next; no burn changes that.",
		known[0].Name, known[0].SystemMass*1e3, (known[1].SystemMass-known[0].SystemMass)*1e3, known[1].Name)
}
