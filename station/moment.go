package station

import (
	"cmp"
	"slices"

	"fairburn/burn"
)

// Moment is something that a person at the bench can mark with one press. It is
// a mark, a fault, or the flame no longer being seen.
type Moment struct {
	Mark  burn.Mark      // "" when it is not a mark
	Fault burn.FaultKind // "" when it is not a fault
	// Unseen: the flame is no longer seen. That ends nothing: a spirit flame
	// can burn on unseen in daylight.
	Unseen bool
	// AfterTest: offered only once the snuffer test has found no flame.
	AfterTest bool
	Label     string // at most two words; a fault's says what happened, never what to do
	Key       string // letter or digit on a keyboard, no two alike; space marks the next one, u is left for undoing
	Means     string // in one line
}

// Name tells moments apart in forms and addresses: the mark, the fault or "unseen".
func (m Moment) Name() string { return cmp.Or(string(m.Mark), string(m.Fault), "unseen") }

var moments = [...]Moment{
	{Mark: burn.Light, Key: "l", Means: "the fuel caught fire; every time counts from here"},
	{Mark: burn.Bloom, Key: "b", Means: "the jets took over from the open pool"},
	{Mark: burn.PotOn, Key: "p", Means: "the pot stands over the flame"},
	{Mark: burn.NotBoiling, Key: "n", Means: "looked in, and the water did not boil yet"},
	{Mark: burn.Boil, Key: "w", Means: "the water boils by the rule chosen before lighting"},
	{Mark: burn.SimmerStart, Key: "s", Means: "turned down; the low-power phase begins"},
	{Mark: burn.SimmerEnd, Key: "e", Means: "the low-power phase is over, best after five minutes or more"},
	{Mark: burn.PotOff, Key: "f", Means: "the pot came off for good"},
	{Mark: burn.Out, AfterTest: true, Key: "o", Means: "the flame ended by itself, as the snuffer test showed"},
	{Mark: burn.Snuffed, Key: "x", Means: "the tester put the flame out"},

	{Unseen: true, Label: "flame unseen", Key: "i", Means: "no flame is seen any more; it may still burn, and the burn goes on until the snuffer test"},

	{Fault: burn.Spill, Label: "spilled", Key: "1", Means: "fuel or water was spilled"},
	{Fault: burn.BoilOver, Label: "boiled over", Key: "2", Means: "water ran over the pot's rim after the boil"},
	{Fault: burn.BlownOut, Label: "blown out", Key: "3", Means: "a gust took the flame; the burn goes on until the snuffer test"},
	{Fault: burn.Relit, Label: "relit", Key: "4", Means: "it had gone out and was lit once more"},
	{Fault: burn.PotLifted, Label: "pot lifted", Key: "5", Means: "the pot was off the flame for a while"},
	{Fault: burn.PotSwapped, Label: "pot swapped", Key: "6", Means: "another pot took the first one's place"},
	{Fault: burn.LidChanged, Label: "lid changed", Key: "7", Means: "the lid came off, or another went on"},
	{Fault: burn.Refilled, Label: "refilled", Key: "8", Means: "the dose was not the only fuel of this burn, so no fuel figure can be given"},
}

// Moments lists every mark in the order in which most burns pass them, then the
// flame no longer seen, then every fault.
func Moments() []Moment {
	all := slices.Clone(moments[:])
	for i := range all {
		if all[i].Mark != "" {
			all[i].Label = all[i].Mark.Label()
		}
	}
	return all
}
