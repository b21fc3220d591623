package verdict

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/reduce"
	"fairburn/stats"
	"fairburn/trial"
)

// doseConfidence is how sure the least dose is.
const doseConfidence = 0.95

// leastForDose is the fewest burns that know their fuel to boil on which a
// least dose is stated.
const leastForDose = 5

// needs is what an entry's burns say of the fuel that the reference boil takes
// of the fuel burned.
type needs struct {
	seen     []stats.Observed   // kg; a burn that did not boil needs more than it burned
	shared   map[string]float64 // relative contributions of shared inputs, added up over the boils
	boils    int
	prorated bool    // boils whose fuel was only prorated are among them
	density  float64 // kg/m³, 0 unknown
	// residue is the most that a burn that ran out left in the burner.
	residue      float64
	residueKnown bool
}

// leastDoseOf is the dose that boils the reference water in the wanted share of
// burns: the upper tolerance limit of log fuel to boil, plus the residue that
// the burner keeps.
func leastDoseOf(t *trial.Reduced, entry string) LeastDose {
	share := float64(t.Settings.DoseShare)
	n, why := needsOf(t, entry)
	d := LeastDose{Share: share, N: len(n.seen)}
	if why == "" && n.boils < leastForDose {
		why = fmt.Sprintf("needs fuel to boil in five burns; %d have it", n.boils)
	}
	if why != "" {
		d.Why = why
		return d
	}
	for key := range n.shared {
		n.shared[key] /= float64(n.boils)
	}
	limit, err := toleranceLimit(n.seen, share, math.Sqrt(sumSquares(n.shared)))
	if err != nil {
		d.Why = err.Error()
		return d
	}
	d.Known, d.Approx = true, n.prorated || n.boils < len(n.seen)
	d.Residue, d.ResidueUnknown = n.residue, !n.residueKnown
	d.Mass = math.Exp(limit) + n.residue
	if n.density > 0 {
		d.Volume = d.Mass / n.density
	}
	return d
}

// needsOf gathers an entry's burns, or why they allow no dose. Where enough
// boils weighed their fuel, prorated ones are left out, as they bring an error
// that no repeat shrinks; not so beside burns that did not boil: to leave out
// boils and keep failures would tilt the scale.
func needsOf(t *trial.Reduced, entry string) (needs, string) {
	n := needs{shared: map[string]float64{}}
	e, _ := t.Entry(entry)
	burner, _ := t.Burner(e)
	weighed, failed := 0, 0
	burns := t.Of(entry)
	for _, b := range burns {
		switch {
		case fails(&b.Result):
			failed++
		case boils(&b.Result) && b.Result.FuelBy != burn.Prorated:
			weighed++
		}
	}
	for _, b := range burns {
		if left, ok := residueOf(b, burner); ok {
			n.residue, n.residueKnown = max(n.residue, left), true
		}
		prorated := b.Result.FuelBy == burn.Prorated
		switch {
		case fails(&b.Result):
			least, ok := moreThan(&b.Result)
			if !ok {
				return n, fmt.Sprintf("burn %s did not boil and the fuel it burned was not weighed", b.ID)
			}
			n.seen = append(n.seen, stats.Observed{Time: least})
		case boils(&b.Result) && !(prorated && failed == 0 && weighed >= leastForDose):
			n.prorated = n.prorated || prorated
			n.boiled(&b.Result)
		}
	}
	return n, ""
}

// fails reports whether a burn shows that its fuel was not enough.
func fails(r *reduce.Result) bool {
	return r.Status == reduce.NoBoil && !outOfRange(r, reduce.RefFuelBatch)
}

// boils reports whether a burn shows how much fuel was enough.
func boils(r *reduce.Result) bool {
	own, ok := r.Figure(reduce.RefFuelBatch)
	return ok && r.Status.HasBoil() && own.Bound == reduce.Exact && !own.OutOfRange && own.Value > 0
}

// boiled adds a burn that boiled and knows its fuel.
func (n *needs) boiled(r *reduce.Result) {
	own, _ := r.Figure(reduce.RefFuelBatch)
	n.boils++
	n.seen = append(n.seen, stats.Observed{Time: own.Value, Event: true})
	if volume, ok := r.Figure(reduce.RefFuelVolume); ok && volume.Value > 0 {
		n.density = own.Value / volume.Value
	}
	if budget, ok := r.Budget(reduce.RefFuelBatch); ok {
		for key, c := range budget.Shared() {
			n.shared[key] += c / own.Value
		}
	}
}

// moreThan is the fuel that a burn without a boil needs more than: what it
// burned, brought to reference in the proportion of its estimated fuel, as far
// as its readings allow.
func moreThan(r *reduce.Result) (float64, bool) {
	total, ok := r.Figure(reduce.FuelTotal)
	if !ok || !(total.Value > 0) {
		return 0, false
	}
	own, okOwn := r.Figure(reduce.RefFuelBatch)
	here, okHere := r.Figure(reduce.FuelToBoil)
	if okOwn && okHere && own.Value > 0 && here.Value > 0 {
		return total.Value * own.Value / here.Value, true
	}
	return total.Value, true
}

// residueOf is what a burn that ran out left behind, where a weighing tells:
// the mass left, less the burner where that stood on the scale too. The burner
// is its dry mass, or what the scale showed before less the dose.
func residueOf(b *trial.Burned, burner gear.Burner) (float64, bool) {
	f := b.Fuel
	if b.Result.Outcome.Snuffed || b.Result.Outcome.End == 0 {
		return 0, false
	}
	tare := 0.0
	switch {
	case f.LeftNothing && !f.Left.Given:
		return 0, true
	case !f.Left.Given:
		return 0, false
	case f.Weighed == burn.FuelOnly:
	case f.Weighed == burn.BurnerAndFuel && burner.DryMass.Given:
		tare = float64(burner.DryMass.Value)
	case f.Weighed == burn.BurnerAndFuel && f.Poured.Given && f.DoseMass.Given:
		tare = float64(f.Poured.Value - f.DoseMass.Value)
	default:
		return 0, false
	}
	return max(0, float64(f.Left.Value)-tare), true
}

// toleranceLimit is the log of the mass that the share of burns stays below at
// doseConfidence, for normal logs: from the fit that takes burns without a boil
// as needing more than they burned,
//
//	μ + z·σ + g·se,  g = (k·√(m/(m−1)) − z) / √(1/m + z²/(2m))
//
// with z the normal quantile of the share, se the standard error of μ + z·σ, m
// the number of boils and k the factor of the one-sided tolerance limit for m
// values. When every burn boiled that is mean + k·SD exactly (noncentral t);
// else it is approximate: docs/verdict-error-rates.md says how far. shared, the
// relative uncertainty that all burns have in common, is added in quadrature.
//
// Source: ISO 16269-6:2014 for k; the carrying over to censored values, own
// simulation.
func toleranceLimit(seen []stats.Observed, share, shared float64) (float64, error) {
	fit, err := stats.FitLogNormal(seen)
	if err != nil {
		return 0, err
	}
	k, err := stats.ToleranceFactor(fit.Events, share, doseConfidence)
	if err != nil {
		return 0, err
	}
	m, z := float64(fit.Events), mathext.NormalQuantile(share)
	g := (k*math.Sqrt(m/(m-1)) - z) / math.Sqrt(1/m+z*z/(2*m))
	se := math.Sqrt(fit.VarMu + 2*z*fit.CovMuSigma + z*z*fit.VarSigma)
	above := z*fit.Sigma + g*se
	return fit.Mu + math.Hypot(above, mathext.NormalQuantile(doseConfidence)*shared), nil
}
