package carry

import (
	"math"
	"slices"
	"sync"
	"time"

	"fairburn/finding"
	"fairburn/quantity"
)

// Answer is what to carry.
type Answer struct {
	Title    string `json:"title"`
	Invented bool   `json:"invented,omitempty"`
	Days     int    `json:"days"`
	// Best is the exact best for the sample drawn, under the objective and the
	// limits; nil when no kit keeps the limits. No stove is best only where nothing
	// is to be heated; it stands among Kits for comparison.
	Best *Carried `json:"best,omitempty"`
	// Kits holds the best kit for each stove and pot, that of the burns and that with
	// other parts each by itself, best first, those that break a limit last.
	Kits []Carried `json:"kits"`
	// Unbeaten are the kits that no other is at least as good as on every axis and
	// better on one: start mass, mean carried mass, chance of running dry, waiting,
	// cost. Compared are kits packed as light or as cheap as the reserve allows: with
	// more fuel than it asks, many a kit would be surer.
	Unbeaten []Carried         `json:"unbeaten"`
	Among    int               `json:"among"` // kits that fit, all combinations counted
	Draws    int               `json:"draws"`
	Seed     uint64            `json:"seed"`
	Choose   Objective         `json:"choose"`
	Currency string            `json:"currency,omitempty"`
	Rules    []RuleNote        `json:"rules,omitempty"`
	Findings []finding.Finding `json:"findings,omitempty"`
}

// Carried is one kit with what it carries. Masses are in kg, money in the trip's
// currency.
type Carried struct {
	Kit   Kit    `json:"kit"`
	Need  Need   `json:"need"`
	Loads []Load `json:"loads,omitempty"` // one for each stretch between resupplies

	Start quantity.Mass   `json:"start_kg"`
	Mean  quantity.Mass   `json:"mean_kg"`       // over the mornings
	End   quantity.Mass   `json:"end_kg"`        // after the last day, fuel used as expected
	ByDay []quantity.Mass `json:"by_day_kg"`     // each morning; a resupply counts from the next
	Wait  time.Duration   `json:"wait_a_day_ns"` // in the middle of the ranges
	Cost  Money           `json:"cost,omitempty"`
	// CostKnown is false when something in the kit has no price.
	CostKnown bool   `json:"cost_known"`
	Dry       Chance `json:"dry"`
	// Risk is the chance of running dry against the fuel carried, most likely first;
	// of Answer.Kits only.
	Risk []Risk `json:"risk,omitempty"`
	// Doses are the fuel of each boil, of Answer.Kits only.
	Doses []Dose `json:"doses,omitempty"`
	// Breaks says which limit the kit breaks, "" when it keeps all.
	Breaks string `json:"breaks,omitempty"`
}

// Load is the fuel for one stretch and what it is carried in.
type Load struct {
	FromDay int             `json:"from_day"` // from 1
	Days    int             `json:"days"`
	Mass    quantity.Mass   `json:"mass_kg"`
	Volume  quantity.Volume `json:"volume_m3,omitempty"` // of what is poured, at 20 °C
	Vessels []Filled        `json:"vessels"`
	// Reserve is how many days of median use the load goes beyond the median need.
	Reserve float64 `json:"reserve_days"`
}

// Filled is one bottle, cartridge or tablet with what is in it.
type Filled struct {
	Name   string          `json:"name"`
	Mass   quantity.Mass   `json:"mass_kg"`
	Volume quantity.Volume `json:"volume_m3,omitempty"`
}

// Chance is a share of the draws with its interval at 95 % (Jeffreys), which says
// how far more draws could move it and nothing of how true the inputs are.
type Chance struct {
	Share float64 `json:"share"`
	Lo    float64 `json:"lo"`
	Hi    float64 `json:"hi"`
}

// Need is the fuel of the whole trip, in kg of what is carried.
type Need struct {
	Median quantity.Mass `json:"median_kg"`
	Mean   quantity.Mass `json:"mean_kg"`
	Lo     quantity.Mass `json:"lo_kg"` // 5 % of draws lie below
	Hi     quantity.Mass `json:"hi_kg"` // 5 % lie above
	// Point is the need with every range in its middle and no scatter.
	Point quantity.Mass `json:"point_kg"`
	// Corrected is the factor from earlier trips that all of these hold.
	Corrected float64  `json:"corrected,omitempty"`
	By        Ground   `json:"by"`
	Burns     int      `json:"burns,omitempty"` // that say so
	Why       []string `json:"why,omitempty"`   // what it rests on, in words
}

// Ground is what a need rests on.
type Ground string

// The grounds, best first.
const (
	OwnBurns   Ground = "own burns"
	OtherParts Ground = "own burns with other parts"
	FewBurns   Ground = "own burns, too few to show their scatter"
	OwnFigure  Ground = "own planning figure"
	Published  Ground = "published planning figure"
	Nothing    Ground = "no fuel needed"
)

// fill writes the candidates into the answer.
func (c *chooser) fill(a *Answer, all []*candidate) {
	slices.SortStableFunc(all, a.Choose.better)
	seen := map[[3]any]bool{}
	var shown []*candidate
	for _, k := range all {
		key := [3]any{k.stove, k.pot, k.borrowed}
		if !seen[key] {
			seen[key] = true
			shown = append(shown, k)
		}
	}
	a.Kits = make([]Carried, len(shown))
	var wg sync.WaitGroup
	for i, k := range shown {
		wg.Go(func() {
			a.Kits[i] = c.carried(k)
			a.Kits[i].Risk, a.Kits[i].Doses = k.risk(k.carried), c.doses(k.sampled)
		})
	}
	wg.Wait()
	for _, k := range unbeaten(all) {
		a.Unbeaten = append(a.Unbeaten, c.carried(k))
	}
	if len(all) > 0 && all[0].breaks == "" {
		a.Best = &a.Kits[0]
	}
}

// carried says a candidate in full.
func (c *chooser) carried(k *candidate) Carried {
	out := Carried{Kit: c.shelf.kit(k.family, k.parts), Need: k.need, Start: quantity.Mass(k.start), Mean: quantity.Mass(k.mean),
		Wait: seconds(k.wait), CostKnown: !math.IsInf(k.price, 1), Dry: k.dry, Breaks: k.breaks}
	if out.CostKnown {
		out.Cost = Money(k.price)
	}
	out.Need.Why = c.reasons(k.sampled)
	for i := range k.stretches {
		if k.stove.Kind != NoStove {
			out.Loads = append(out.Loads, c.load(k, i))
		}
		base := k.parts.start
		if k.stove.Kind == Spirit {
			base += k.vessels.start + k.carried[i]
		} else {
			for _, at := range c.picksOf(k.vessels, i) {
				base += float64(c.shelf.Vessels[at].Mass.Value)
			}
		}
		gone := c.used(k.sampled, i, k.carried[i])
		for _, g := range gone[:len(gone)-1] {
			out.ByDay = append(out.ByDay, quantity.Mass(base-g))
		}
		out.End = quantity.Mass(base - gone[len(gone)-1])
	}
	return out
}

// load says what a stretch's fuel is carried in: bottles are filled from the
// largest down.
func (c *chooser) load(k *candidate, i int) Load {
	x, rho := &k.stretches[i], float64(k.stove.fuel().Density)
	l := Load{FromDay: x.from, Days: x.days, Mass: quantity.Mass(k.carried[i])}
	if a := x.median / float64(max(1, x.days)); a > 0 {
		l.Reserve = (k.carried[i] - x.median) / a
	}
	picks, left := c.picksOf(k.vessels, i), k.carried[i]
	if k.stove.Kind == Spirit {
		picks = k.vessels.picks
		l.Volume = quantity.Volume(k.carried[i] / rho)
	}
	for _, at := range picks {
		v := &c.shelf.Vessels[at]
		if k.stove.Kind != Spirit {
			l.Vessels = append(l.Vessels, Filled{Name: v.Name, Mass: v.Fuel.Value})
			continue
		}
		mass := min(left, float64(v.Holds.Value)*rho)
		left -= mass
		l.Vessels = append(l.Vessels, Filled{Name: v.Name, Mass: quantity.Mass(mass), Volume: quantity.Volume(mass / rho)})
	}
	return l
}

// Risk is one point of a kit's risk curve: with so much fuel on the first stretch,
// and on the others in proportion, so many of the draws run dry on some stretch.
type Risk struct {
	Fuel quantity.Mass `json:"fuel_kg"`
	Dry  float64       `json:"dry"`
}

// riskShares are the chances at which the curve is told: close where a person
// decides.
var riskShares = []float64{
	0.99, 0.95, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.25, 0.2, 0.15, 0.12,
	0.1, 0.08, 0.06, 0.05, 0.04, 0.03, 0.025, 0.02, 0.015, 0.01, 0.005, 0.002, 0.001,
}

// risk is the curve through the loads. A draw runs dry when all loads are cut to a
// share f of what they are and f is below the greatest of need over load, so the
// curve is the distribution of that greatest ratio.
func (s *sampled) risk(loads []float64) []Risk {
	if len(loads) == 0 || loads[0] <= 0 {
		return nil
	}
	worst := make([]float64, len(s.stretches[0].use.x))
	for k, load := range loads {
		for i, need := range s.stretches[k].use.x {
			if need > 0 {
				worst[i] = max(worst[i], need/load)
			}
		}
	}
	var places []int
	for _, p := range riskShares {
		places = append(places, placeOf(1-p, len(worst)))
	}
	selectAll(worst, slices.Compact(slices.Clone(places)), 0)
	curve := make([]Risk, len(riskShares))
	for i, p := range riskShares {
		curve[i] = Risk{quantity.Mass(worst[places[i]] * loads[0]), p}
	}
	return curve
}

// Dose is the fuel of one boil, with what is simmered after it: with every range
// in its middle, and with all at their mild and at their hard ends. What one boil
// scatters about that comes on top.
type Dose struct {
	Leg    string          `json:"leg"`
	Boil   string          `json:"boil"`
	Low    quantity.Mass   `json:"low_kg"`
	Middle quantity.Mass   `json:"middle_kg"`
	High   quantity.Mass   `json:"high_kg"`
	Poured quantity.Volume `json:"middle_m3,omitempty"` // at 20 °C; 0 for what is not poured
	Least  quantity.Volume `json:"low_m3,omitempty"`
	Most   quantity.Volume `json:"high_m3,omitempty"`
}

// doses lists every boil of the trip; none without a stove.
func (c *chooser) doses(s *sampled) []Dose {
	if s.stove.Kind == NoStove {
		return nil
	}
	ref, err := s.reference()
	if err != nil {
		return nil // it was drawn, so there is one
	}
	rho := float64(s.stove.fuel().Density)
	var all []Dose
	for leg := range c.trip.Legs {
		for _, b := range c.trip.Legs[leg].Boils {
			var kg [3]float64
			for i, share := range [...]float64{0, 0.5, 1} {
				kg[i], _, err = c.boiled(s.class, ref, oneBoil{leg, b, share})
				if err != nil {
					return nil
				}
				kg[i] *= s.need.Corrected
			}
			d := Dose{Leg: c.trip.legName(leg), Boil: b.Name, Low: quantity.Mass(kg[0]), Middle: quantity.Mass(kg[1]), High: quantity.Mass(kg[2])}
			if s.stove.Kind == Spirit && rho > 0 {
				d.Least, d.Poured, d.Most = quantity.Volume(kg[0]/rho), quantity.Volume(kg[1]/rho), quantity.Volume(kg[2]/rho)
			}
			all = append(all, d)
		}
	}
	return all
}

// oneBoil is a boil on a leg with every range at a share of the way to its hard end.
type oneBoil struct {
	leg  int
	boil Boil
	hard float64
}

// boiled is the fuel of a boil, kg, and its time, s, without scatter.
func (d *drawer) boiled(c *class, ref reference, at oneBoil) (fuel, wait float64, err error) {
	l, carried := &d.trip.Legs[at.leg], c.stove.fuel()
	k, err := c.boilOf(d.climates[at.leg], at.boil, ref)
	if err != nil {
		return 0, 0, err
	}
	energy, priming := ref.energy, 0.0
	if c.evidence == nil {
		energy = c.planning().at(at.hard) * float64(carried.LHV)
	}
	if c.borrowed {
		energy *= notAsTested.at(at.hard)
	}
	if c.stove.Kind == Spirit {
		priming = primingFuel(l.Air).at(at.hard) * float64(carried.Density)
	}
	times, simmer := k.at(1-at.hard)*l.Wind.Factor(c.screened).at(at.hard), at.boil.Simmer.Value.Seconds()
	fuel = energy/float64(carried.LHV)*(ref.prime+(1-ref.prime)*times) + priming + simmer*c.simmer().at(at.hard)/float64(carried.LHV)
	return fuel, ref.potOn + (ref.wait-ref.potOn)*times + simmer, nil
}
