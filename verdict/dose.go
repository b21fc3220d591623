package verdict

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"fairburn/reduce"
	"fairburn/stats"
	"fairburn/trial"
)

// doseConfidence is how sure the least dose is.
const doseConfidence = 0.95

// leastDoseOf is the dose that boils the reference water in the wanted share of
// burns: the upper tolerance limit of log fuel to boil, plus the residue that
// the burner keeps. Burns that did not boil enter as needing more than they
// burned.
func leastDoseOf(t *trial.Reduced, entry string) LeastDose {
	share := float64(t.Settings.DoseShare)
	d := LeastDose{Share: share}
	var seen []stats.Observed
	boiled := 0
	residue, density := 0.0, 0.0
	for _, b := range t.Of(entry) {
		mass, event, ok := fuelNeeded(&b.Result)
		if !ok {
			continue
		}
		seen = append(seen, stats.Observed{Time: mass, Event: event})
		if event {
			boiled++
		}
		if volume, ok := b.Result.Figure(reduce.RefFuelVolume); ok && volume.Value > 0 {
			own, _ := b.Result.Figure(reduce.RefFuelBatch)
			density = own.Value / volume.Value
		}
		residue = max(residue, residueOf(b))
	}
	d.N = len(seen)
	if boiled < 5 {
		d.Why = fmt.Sprintf("needs fuel to boil weighed in five burns; %d have it", boiled)
		return d
	}
	limit, err := toleranceLimit(seen, share)
	if err != nil {
		d.Why = err.Error()
		return d
	}
	d.Known, d.Approx = true, boiled < len(seen)
	d.Mass = math.Exp(limit) + residue
	if density > 0 {
		d.Volume = d.Mass / density
	}
	return d
}

// fuelNeeded is the fuel that the reference boil takes of the fuel burned; of a
// burn that did not boil, what it burned, brought to reference in the same
// proportion, as a lower bound.
func fuelNeeded(r *reduce.Result) (mass float64, event, ok bool) {
	own, has := r.Figure(reduce.RefFuelBatch)
	if !has || own.Bound != reduce.Exact || own.OutOfRange {
		return 0, false, false
	}
	if r.Status.HasBoil() {
		return own.Value, true, true
	}
	total, okTotal := r.Figure(reduce.FuelTotal)
	here, okHere := r.Figure(reduce.FuelToBoil)
	if r.Status != reduce.NoBoil || !okTotal || !okHere || here.Value <= 0 {
		return 0, false, false
	}
	return total.Value * own.Value / here.Value, false, true
}

// residueOf is what a burn that ran out left behind.
func residueOf(b *trial.Burned) float64 {
	if b.Fuel.Weighed != "fuel" || !b.Fuel.Left.Given || b.Result.Outcome.Snuffed {
		return 0
	}
	return float64(b.Fuel.Left.Value)
}

// toleranceLimit is the log of the mass that the share of burns stays below:
// noncentral t without censoring, else the limit of a censored lognormal fit
// with its own standard error (approximate).
func toleranceLimit(seen []stats.Observed, share float64) (float64, error) {
	var logs []float64
	for _, o := range seen {
		if o.Event {
			logs = append(logs, math.Log(o.Time))
		}
	}
	if len(logs) == len(seen) {
		return stats.UpperTolerance(stats.Summarize(logs), share, doseConfidence)
	}
	fit, err := stats.FitLogNormal(seen)
	if err != nil {
		return 0, err
	}
	w := distuv.UnitNormal.Quantile(share)
	se := math.Sqrt(fit.VarMu + 2*w*fit.CovMuSigma + w*w*fit.VarSigma)
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(fit.Events - 1)}
	return fit.Mu + w*fit.Sigma + t.Quantile(doseConfidence)*se, nil
}
