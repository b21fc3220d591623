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

// Wind is how hard it blows where the pot stands, in words.
type Wind string

// The classes; the zero value is Still.
const (
	Still  Wind = "still"
	Breeze Wind = "breeze"
	Windy  Wind = "wind"
	Gale   Wind = "gale"
)

// Winds lists them.
func Winds() []Wind { return []Wind{Still, Breeze, Windy, Gale} }

// Range is a factor or a figure that is known to lie between two ends and no
// better, with the reason for them. Draws take it as uniform.
type Range struct {
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	Reason string  `json:"reason"`
}

// at is the value at share u of the way.
func (r Range) at(u float64) float64 { return r.Low + u*(r.High-r.Low) }

// Factor is what wind does to the fuel (and the time) of a boil, against still
// air. Nobody has published a measured series; the ends are hikers' single
// reports, filled up by ours where there are none, and Reason says which.
//
// Source: builders' logs and hikers' guides (single reports): two cups in 8 min
// became 10 in a steady breeze; almost 40 mL in place of 30 in a breeze without a
// screen; "three times the fuel" in strong wind; "3 to 4 times standard" at worst.
func (w Wind) Factor(screened bool) Range {
	switch {
	case w == Breeze && screened:
		return Range{1, 1.25, "a steady breeze made 8 minutes 10 in one builder's report"}
	case w == Breeze:
		return Range{1, 1.35, "almost 40 mL in place of 30 in one report of a breeze without a screen"}
	case w == Windy && screened:
		return Range{1.1, 1.6, "a test of burners inside close-fitting cones still found wind to count; the ends are a planner's choice (common practice, no source)"}
	case w == Windy:
		return Range{1.25, 3, "three times the fuel in strong wind, by one builder's log; the lower end is a planner's choice"}
	case w == Gale && screened:
		return Range{1.5, 3, "three times the fuel in strong wind, by one builder's log; the lower end is a planner's choice"}
	case w == Gale:
		return Range{2, 4, "three to four times standard at worst, by published guides; the lower end is a planner's choice"}
	}
	return Range{1, 1, "still air, as on the bench"}
}

// coldAir is the air temperature below which a spirit burner is primed.
var coldAir = quantity.Celsius(0)

// primingFuel is the fuel, in m³, that each boil on a spirit burner takes more in
// freezing air: a primer dish of 1 to 3 mL. That cold troubles the lighting and
// not the burning is what most say; heat lost by the pot is reckoned apart.
//
// Source: hikers' reports of use at −6, −8 and −14 °C; the limit of 0 °C is common
// practice, no source.
func primingFuel(air quantity.Reading[quantity.Temperature]) Range {
	if !air.Given || air.Value.Sub(coldAir) >= 0 {
		return Range{Reason: "no priming above 0 °C"}
	}
	return Range{1e-6, 3e-6, "a primer dish of 1 to 3 mL at each lighting in freezing air, by hikers' reports"}
}

// planningFuel is the published range of fuel, in kg a kg of water brought from 20
// to 100 °C, for a kind without own burns. It is no measurement of anything on the
// shelf.
//
// Source: planning figures in circulation in hikers' guides and builders' logs:
// spirit 22 to 60 g/L (59 to 22 % efficiency); gas 12 to 16 g/L; tablets about
// 13 g for 473 mL inside a cone, one report, its half-width of a fifth ours.
func planningFuel(k Kind) Range {
	switch k {
	case Spirit:
		return Range{22e-3, 60e-3, "published planning figures, 22 to 60 g a litre (hikers' guides and builders' logs)"}
	case Gas:
		return Range{12e-3, 16e-3, "published planning figures, 12 to 16 g a litre (hikers' guides)"}
	case Tablets:
		return Range{22e-3, 33e-3, "one report of 13 g for 473 mL inside a cone, give or take a fifth"}
	}
	return Range{Reason: "no fuel"}
}

// planningPower is the useful power, in W, by which waiting is reckoned without
// own burns.
//
// Source: useful powers worked back from published boil times of spirit burners,
// 0.40 to 0.62 kW, and of tablets (473 mL in 442 to 485 s); gas common practice, no
// source.
func planningPower(k Kind) Range {
	switch k {
	case Gas:
		return Range{800, 1600, "common practice, no source"}
	case Tablets:
		return Range{320, 360, "473 mL in 442 to 485 s in two published boils"}
	}
	return Range{400, 620, "0.40 to 0.62 kW, worked back from published boil times"}
}

// planningSimmer is the heat, in W of fuel burned, of a burner turned down, where
// none was measured: 10 mL of ethanol in 10 minutes to 40 mL in 50, taken for every
// kind.
//
// Source: a published guide to a closed burner with a simmer ring and hikers'
// reports: 10 mL 10 min, 20 mL 18 to 20 min, 40 mL 40 to 50 min.
func planningSimmer() Range {
	return Range{260, 350, "0.8 to 1 mL of spirit a minute under a simmer ring, by published guides"}
}

// notAsTested is the factor on fuel where pot, lid, screen or stand are not those
// that the burns were made with: efficiency belongs to the whole system.
var notAsTested = Range{0.9, 1.3, "the burns were made with other parts; the ends are common practice, no source"}

// Planning scatter, where burns are too few to show their own: the standard
// deviation of the log of fuel from burn to burn (common practice, no source).
const planningScatter = 0.10

// Defaults of a leg that says nothing (common practice, no source).
const (
	defaultStart     = 10.0 // °C
	defaultStartHalf = 5.0  // K
)
