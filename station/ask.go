package station

import (
	"cmp"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/trial"
)

// Need says what becomes of a burn without the reading.
type Need string

// The needs.
const (
	Must   Need = "must"   // it cannot be compared fairly
	Should Need = "should" // a figure or correction is missing or much less sure
	May    Need = "may"    // good to have
)

// Ask is one thing that is still missing.
type Ask struct {
	Section string // of the sheet: "[[burn]]", or "[[entry]]" for gear that the entry does not name
	Key     string // in that section
	Words   string // what to weigh, read or choose
	Example string // as it may be written; "" where it depends on the trial
	Why     string // what it is for
	Need    Need
}

// asks holds the words of everything that is asked, by key.
var asks = map[string]Ask{}

// Before lists what is missing to light the burn fairly, in the order in which it is done.
// slot is the burn's place in the plan, zero without one; warm says that its
// burner has not rested for the cool-down ([Rest]). What the trial says of its
// site counts for the burn.
func Before(t *trial.Trial, r burn.Record, slot trial.Slot, warm bool) []Ask {
	return nil
}

// After lists what to weigh and write down once the flame has ended.
func After(t *trial.Trial, r burn.Record) []Ask {
	return nil
}

var _ = cmp.Or[string]
var _ gear.Shelf
var _ quantity.Ratio
