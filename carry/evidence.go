package carry

import (
	"maps"
	"math"
	"slices"

	"fairburn/burn"
	"fairburn/matter/fuel"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/stats"
	"fairburn/trial"
)

// Evidence is what a trial's burns say of one entry: the heat of the fuel that its
// reference boil takes, as the log of joules, and what goes with it.
type Evidence struct {
	Trial string
	Entry trial.Entry

	Water    float64 // kg of the reference boil
	From, To float64 // °C
	Air      float64 // °C, mean over the burns
	AirKnown bool

	N         int     // burns whose fuel to boil counts
	Estimated int     // of them, burns that did not boil, carried to the boil
	Prorated  int     // of them, burns whose fuel was only prorated
	MeanLog   float64 // of the energy of the fuel to boil, J
	SDLog     float64 // 0 when N is 1
	SharedLog float64 // standard uncertainty that all burns have in common
	Prime     float64 // share of it burned before the pot was on, 0 where not weighed
	Primed    int     // burns that weighed it

	Tried  int     // burns that ran to a boil or to flame-out
	Boiled int     // of them, those that boiled
	Wait   float64 // s from light to the reference boil, geometric mean; 0 unknown
	PotOn  float64 // s from light until the pot is on, mean
	Simmer float64 // W of fuel burned when turned down, mean; 0 not measured
}

// leastWeighed is how many burns that weighed their fuel to boil make prorated
// ones unneeded: these bring an error of their entry that no repeat shrinks.
const leastWeighed = 3

// Observe reads an entry's burns; false when none of them has a fuel to boil that
// counts. A dose is never one. Prorated fuel counts with its own error until
// three burns weighed it; a burn that did not boil counts with its fuel carried to
// the boil by the same closed form, and in Tried.
func Observe(r *trial.Reduced, entry string) (Evidence, bool) {
	e, _ := r.Entry(entry)
	ref := r.Settings.Reference
	v := Evidence{Trial: r.Title, Entry: e, Water: float64(ref.Water), From: ref.From.Celsius(), To: ref.To.Celsius()}
	o := observer{Evidence: &v, reduced: r, shared: map[string]float64{}}
	burns := slices.DeleteFunc(r.Of(entry), func(b *trial.Burned) bool { return b.Result.Status == reduce.Invalid })
	weighed := 0
	for _, b := range burns {
		if f, ok := energyToBoil(b); ok && !f.estimated && !f.prorated {
			weighed++
		}
	}
	for _, b := range burns {
		o.outcome(b)
		if f, ok := energyToBoil(b); ok && !(f.prorated && weighed >= leastWeighed) {
			o.fuel(b, f)
		}
	}
	return v, o.sum()
}

// observed is one burn's energy to boil.
type observed struct {
	log                 float64
	estimated, prorated bool
}

// energyToBoil is fuel to boil at reference conditions as the log of joules, where
// it was measured or carried to the boil, and lies inside the correction.
func energyToBoil(b *trial.Burned) (observed, bool) {
	f, ok := b.Result.Figure(reduce.RefFuel)
	if !ok || f.Bound != reduce.Exact || f.OutOfRange || !(f.Value > 0) {
		return observed{}, false
	}
	joules := f.Value * float64(fuel.Ethanol.LHV())
	return observed{math.Log(joules), f.Estimated, !f.Estimated && b.Result.FuelBy == burn.Prorated}, true
}

// observer gathers the burns of an entry.
type observer struct {
	*Evidence
	reduced              *trial.Reduced
	logs, waits, potOns  []float64
	primes, airs, simmer []float64
	shared               map[string]float64
}

func (o *observer) outcome(b *trial.Burned) {
	switch {
	case b.Result.Status == reduce.NoBoil:
		o.Tried++
	case b.Result.Status.HasBoil():
		o.Tried++
		o.Boiled++
	}
	if t, ok := b.Result.Figure(reduce.RefTime); ok && t.Bound == reduce.Exact && !t.OutOfRange && t.Value > 0 {
		o.waits = append(o.waits, math.Log(t.Value))
		o.potOns = append(o.potOns, b.Result.Outcome.PotOn.Seconds())
	}
	if p, ok := b.Result.Figure(reduce.SimmerPower); ok && p.Bound == reduce.Exact && p.Value > 0 {
		o.simmer = append(o.simmer, p.Value)
	}
	if site := o.reduced.Site.Over(b.Site); site.Air.Given {
		o.airs = append(o.airs, site.Air.Value.Celsius())
	}
}

func (o *observer) fuel(b *trial.Burned, f observed) {
	o.logs = append(o.logs, f.log)
	if f.estimated {
		o.Estimated++
	}
	if f.prorated {
		o.Prorated++
	}
	prime, okPrime := b.Result.Figure(reduce.FuelPrime)
	own, okOwn := b.Result.Figure(reduce.RefFuelBatch)
	if okPrime && okOwn && prime.Bound == reduce.Exact && prime.Value >= 0 && prime.Value < own.Value {
		o.primes = append(o.primes, prime.Value/own.Value)
	}
	if budget, ok := b.Result.Budget(reduce.RefFuel); ok {
		if log, err := budget.Log(); err == nil {
			for key, c := range log.Shared() {
				o.shared[key] += c
			}
		}
	}
}

// sum fills the evidence; false without fuel. Signed contributions of a shared
// input are averaged over the burns before they are squared, so that what all
// burns have in common stays and what differs does not.
func (o *observer) sum() bool {
	if len(o.logs) == 0 {
		return false
	}
	s := stats.Summarize(o.logs)
	o.N, o.MeanLog, o.SDLog = s.N, s.Mean, s.SD
	if s.N == 1 {
		o.SDLog = 0
	}
	variance := 0.0
	for _, key := range slices.Sorted(maps.Keys(o.shared)) { // in order: sums of floats depend on it
		c := o.shared[key] / float64(s.N)
		variance += c * c
	}
	o.SharedLog = math.Sqrt(variance)
	o.Primed, o.Air, o.AirKnown = len(o.primes), mean(o.airs), len(o.airs) > 0
	o.Prime, o.PotOn, o.Simmer = mean(o.primes), mean(o.potOns), mean(o.simmer)
	if len(o.waits) > 0 {
		o.Wait = math.Exp(mean(o.waits))
	}
	return true
}

func mean(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	return stats.Summarize(x).Mean
}

// efficiency is the share of the fuel's heat that the water of a boil takes up,
// net, to the boil.
func efficiency(fuelPerWater float64, lhv quantity.SpecificEnergy) float64 {
	return referenceRise / (fuelPerWater * float64(lhv))
}
