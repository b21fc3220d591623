package plan

import (
	"math/rand/v2"
	"strconv"

	"fairburn/trial"
)

// layOut makes the burns in order. names must be sorted.
//
// A block is burned to flame-out as a whole or snuffed as a whole: so entries
// are compared by fuel to boil within one block, in the same air, water and
// hour, as they are by burn time. Half of a block each way would compare one
// entry's snuffed burn with another's of another day. Snuffed blocks stand
// evenly between the others, so that a drift over the session is not taken for
// the effect of snuffing. Both kinds time the boil.
//
// A block with a factor is one round a level, since a fan or a box of ice is
// set up once a round; the order of the levels is balanced over the blocks the
// same way. Entries keep their order through the rounds of a block: every
// burner then rests equally long before its next turn.
func layOut(names []string, w Wish) []trial.Slot {
	levels := w.Factor.Levels
	if len(levels) == 0 {
		levels = []string{""}
	}
	blocks := w.Blocks + w.Snuffed
	entries := orders(len(names), blocks, rand.New(rand.NewPCG(w.Seed, 1)))
	rounds := orders(len(levels), blocks, rand.New(rand.NewPCG(w.Seed, 2)))
	// Flame-out blocks take the first orders and snuffed ones the rest: any run
	// of orders is balanced, so each kind is, and both together.
	next := map[bool]int{false: 0, true: w.Blocks}
	var slots []trial.Slot
	for b, snuff := range interleave(w.Blocks, w.Snuffed) {
		i := next[snuff]
		next[snuff]++
		for _, l := range rounds[i] {
			for _, e := range entries[i] {
				slots = append(slots, trial.Slot{
					Order: len(slots) + 1, Block: strconv.Itoa(b + 1), Entry: names[e], Level: levels[l], Snuff: snuff,
				})
			}
		}
	}
	return slots
}

// interleave says which of out+snuffed blocks are snuffed, evenly spread and
// the same from either end wherever halves allow it.
func interleave(out, snuffed int) []bool {
	all := make([]bool, out+snuffed)
	for j := range snuffed {
		all[(2*j+1)*len(all)/(2*snuffed)] = true
	}
	return all
}

// orders returns n orders of k things, drawn from the balanced ones.
//
// They are rows of a Latin square of Williams: row r holds r+z(0), r+z(1), …
// modulo k, with z = 0, 1, k−1, 2, k−2, …; things and rows are shuffled, and
// after k orders the rows come again (for odd k with −z for z, back and forth).
// So over all n orders the numbers of times that any two things stand in any
// two places differ by at most one; over any run of successive orders so do the
// numbers of times that any two things come first. For even k nothing follows
// another thing twice in k orders, and everything follows everything once; for
// odd k twice in 2k: nobody is always lit after the burner that warmed the stand.
//
// Source: E. J. Williams, 1949, Experimental designs balanced for the
// estimation of residual effects of treatments, Australian Journal of
// Scientific Research A 2:149 (from memory; the properties are tested).
func orders(k, n int, rng *rand.Rand) [][]int {
	thing, row := rng.Perm(k), rng.Perm(k)
	out := make([][]int, n)
	for i := range out {
		out[i] = make([]int, k)
		mirrored := k%2 == 1 && i/k%2 == 1
		for place := range k {
			z := (place + 1) / 2
			if even := place%2 == 0; even != mirrored {
				z = k - z
			}
			out[i][place] = thing[(row[i%k]+z)%k]
		}
	}
	return out
}
