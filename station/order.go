// Package station says what a place on the bench is at: what is asked before
// the flame, which mark is expected next, what ends a burn, and which burn of
// the plan comes after it.
//
// It keeps no clock and fills in no reading that nobody took; times are
// arguments. It offers nothing to be done with fuel while a flame may burn, and
// takes no flame for ended because it is not seen. Its cautions are the usual
// ones (common practice, no source): local rules and the maker's instructions
// come first, and nothing here says that a place or a burner is fit for use.
//
// Read order.go (the marks in the order in which they are expected), moment.go
// (everything that can be marked), ask.go (what to weigh and read, before and
// after), tick.go (what to confirm before each light, and the snuffer test),
// stage.go (how far a burn is), progress.go (how far the plan is) and heat.go
// (which of what is left can be lit).
package station

import (
	"time"

	"fairburn/burn"
	"fairburn/gear"
)

// Order lists the marks that a burn should pass, first to last. Bloom is among
// them where the family has such a moment, after pot on where the pot goes on
// first; a burner of unknown family is asked for it, since it may be left out
// without harm (see [Next]). A burn planned to be snuffed at the boil has no
// simmer. The last look at water that does not boil yet is never expected, and
// can be marked at any time.
func Order(f gear.Family, snuff, simmer bool) []burn.Mark {
	order := []burn.Mark{burn.Light}
	blooms := f.Blooms() || f == ""
	if blooms && !f.TakesPotBeforeBloom() {
		order = append(order, burn.Bloom)
	}
	order = append(order, burn.PotOn)
	if blooms && f.TakesPotBeforeBloom() {
		order = append(order, burn.Bloom)
	}
	order = append(order, burn.Boil)
	if snuff {
		return append(order, burn.Snuffed, burn.PotOff)
	}
	if simmer {
		order = append(order, burn.SimmerStart, burn.SimmerEnd)
	}
	return append(order, burn.PotOff, burn.Out)
}

// Next is the mark after the last of the order that has been marked, where
// either end of the flame, out or snuffed, stands for the other. So one that was
// missed is not asked for again. It is false when nothing is left to come.
func Next(order []burn.Mark, has func(burn.Mark) bool) (burn.Mark, bool) {
	next := 0
	for i, m := range order {
		if has(m) || ends(m) && (has(burn.Out) || has(burn.Snuffed)) {
			next = i + 1
		}
	}
	if next == len(order) {
		return "", false
	}
	return order[next], true
}

// ends reports a mark after which there is no flame.
func ends(m burn.Mark) bool { return m == burn.Out || m == burn.Snuffed }

// leastSimmer is how long a low-power phase has to last to tell its power from
// the scale's step (common practice, no source).
const leastSimmer = 5 * time.Minute

// SimmerShort reports a low-power phase of less than five minutes, from its
// start to its end.
func SimmerShort(start, end time.Duration) bool { return end-start < leastSimmer }
