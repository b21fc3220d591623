package carry

import (
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
	// limits; nil when no kit keeps the limits.
	Best *Carried `json:"best,omitempty"`
	// Kits holds the best kit for each stove and pot, best first, those that break
	// a limit last.
	Kits []Carried `json:"kits"`
	// Unbeaten are the kits that no other is at least as good as on every axis and
	// better on one: start mass, mean carried mass, chance of running dry, waiting,
	// cost.
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
	By    Ground        `json:"by"`
	Burns int           `json:"burns,omitempty"` // that say so
	Why   []string      `json:"why,omitempty"`   // what it rests on, in words
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

// Kit is one combination that fits.
type Kit struct {
	Stove string `json:"stove"`
	Kind  Kind   `json:"kind"`
	Parts []Part `json:"parts,omitempty"` // in the order of Slots
}

// Part returns what fills a slot.
func (k Kit) Part(s Slot) (Part, bool) {
	for _, p := range k.Parts {
		if p.Slot == s {
			return p, true
		}
	}
	return Part{}, false
}
