// Package carry answers what to put in the pack: which kit, how much fuel and in
// which bottles, for one trip, and how likely it is to run dry.
//
// Fuel is what the tester's own burns took, moved to the trip by physics; where
// there are no burns a published planning range stands in and says so. Wind and
// cold are ranges with their reasons, never corrections: nobody has measured them.
// What is chosen is the exact best for the sample of weather and burns that was
// drawn from the trip's seed.
//
// It refuses to say whether a fuel may be carried or lit anywhere: notes on rules
// are the tester's own, dated, and passed on as written. It claims no safety.
//
// Read trip.go (what is asked), shelf.go (what there is to take), evidence.go (what
// own burns say, and the stated ranges of all else), heat.go (a boil moved to another
// place), need.go and planner.go (the fuel of a trip by draws), cover.go (bottles and
// cartridges), kit.go (kits that fit, and the few that can be best), choose.go and
// answer.go (the choice), vary.go (how days change it, and what it hangs on),
// check.go (what is wrong with the question).
package carry

import (
	"cmp"
	"time"

	"fairburn/quantity"
)

// Trip is what is asked.
type Trip struct {
	Title    string
	Invented bool // a made-up example, and every face says so
	People   int
	Legs     []Leg
	Reserve  Reserve
	Choose   Objective
	Limits   Limits
	Seed     uint64 // of everything random
	Draws    int    // of use and weather; 0 is DefaultDraws
	Currency string // of every price, as written
	Rules    []RuleNote
	Past     []Past // what was planned and what was used, on earlier trips
	Notes    string
}

// DefaultDraws is how many trips are drawn: the standard error of a chance of 5 %
// is then 0.2 %.
const DefaultDraws = 10_000

// Leg is a part of a trip with like conditions. The tolerance of WaterStart is
// the half-width of where it may lie. Missing readings have stated defaults:
// water 10 ± 5 °C, no snow, snow at 0 °C, sea level; without Air no heat loss is
// counted (common practice, no source).
type Leg struct {
	Name            string
	Days            int
	Boils           []Boil
	WaterStart      quantity.Reading[quantity.Temperature]
	SnowShare       quantity.Reading[quantity.Ratio] // of the water, by mass, melted from snow
	SnowTemperature quantity.Reading[quantity.Temperature]
	Elevation       quantity.Reading[quantity.Length]
	Air             quantity.Reading[quantity.Temperature]
	Wind            Wind
	Resupply        []Kind // kinds of fuel to be had where the leg ends; none: no resupply
}

// Boil is water brought to the boil in one pot, PerDay times a day. Mass or
// Volume is given. PerPerson: each person has a boil of their own, PerDay times.
type Boil struct {
	Name      string
	Mass      quantity.Reading[quantity.Mass]
	Volume    quantity.Reading[quantity.Volume]
	PerDay    int
	PerPerson bool
	Simmer    quantity.Reading[time.Duration] // kept simmering after each boil
}

// ReserveRule says how more fuel is carried than is likely to be used.
type ReserveRule string

// The rules. ByDays and ByShare add to the median need of each stretch between
// resupplies; ByChance carries what leaves at most that chance of running dry.
const (
	ByDays   ReserveRule = "days"
	ByShare  ReserveRule = "share"
	ByChance ReserveRule = "chance"
)

// Reserve is a rule with its amount; the zero value is one extra day, which is
// what published guides advise most (published guide).
type Reserve struct {
	Rule   ReserveRule
	Days   float64
	Share  quantity.Ratio
	Chance quantity.Ratio // over the whole trip, shared evenly between its stretches
}

func (r Reserve) orDefault() Reserve {
	if r.Rule == "" {
		return Reserve{Rule: ByDays, Days: 1}
	}
	return r
}

// Objective is what the best kit has least of.
type Objective string

// The objectives; the zero value is LeastStart. LeastDry takes as much fuel as
// Limits.Start allows, all others what the reserve asks.
const (
	LeastStart Objective = "start mass"
	LeastMean  Objective = "mean carried mass" // over the mornings of the trip
	LeastDry   Objective = "chance of running dry"
	LeastWait  Objective = "waiting"
	LeastCost  Objective = "cost"
)

// Objectives lists them.
func Objectives() []Objective {
	return []Objective{LeastStart, LeastMean, LeastDry, LeastWait, LeastCost}
}

// Money is a price in the trip's currency.
type Money float64

// Limits are what a kit may not pass; a limit that is not given does not bind.
type Limits struct {
	Start quantity.Reading[quantity.Mass]
	Cost  quantity.Reading[Money]
	Wait  quantity.Reading[time.Duration] // a day, for water to boil and food to simmer
}

// RuleNote is the tester's own note on a local rule, passed on and never judged.
type RuleNote struct {
	Place   string `json:"place,omitempty"`
	Text    string `json:"text"`
	Checked string `json:"checked,omitempty"` // the date, as written
	Link    string `json:"link,omitempty"`
}

// String writes the note with what is known of its age.
func (n RuleNote) String() string {
	line := n.Text
	if n.Place != "" {
		line = n.Place + ": " + line
	}
	if n.Checked == "" {
		return line + " (date not written down)"
	}
	return line + " (not checked since " + n.Checked + ")"
}

// Past is an earlier trip with the fuel of one stove as planned, which is the median
// need without any correction (Need.Median / Need.Corrected), and as really used.
type Past struct {
	Trip    string
	Stove   string
	Planned quantity.Reading[quantity.Mass]
	Used    quantity.Reading[quantity.Mass]
}

// days is how long the trip lasts.
func (t *Trip) days() int {
	n := 0
	for _, l := range t.Legs {
		n += l.Days
	}
	return n
}

func (t *Trip) draws() int { return cmp.Or(t.Draws, DefaultDraws) }

// Lasting returns the trip cut to its first days, or with its last leg made
// longer, so that it lasts n.
func (t Trip) Lasting(n int) Trip {
	legs := make([]Leg, 0, len(t.Legs))
	for i, l := range t.Legs {
		if n <= 0 {
			break
		}
		if last := i == len(t.Legs)-1; l.Days > n || last {
			l.Days = n
		}
		n -= l.Days
		legs = append(legs, l)
	}
	t.Legs = legs
	return t
}

// count is how often a boil is made over the whole leg.
func (t *Trip) count(l *Leg, b Boil) int {
	n := b.PerDay * l.Days
	if b.PerPerson {
		n *= t.People
	}
	return n
}
