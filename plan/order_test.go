package plan

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"fairburn/trial"
)

func generator(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 1)) }

// spreadOf is the largest count less the smallest.
func spreadOf(counts []int) int { return slices.Max(counts) - slices.Min(counts) }

// placed counts how often each thing stands in a place.
func placed(orders [][]int, place, k int) []int {
	counts := make([]int, k)
	for _, o := range orders {
		counts[o[place]]++
	}
	return counts
}

// followed counts how often each thing comes right after each other one.
func followed(orders [][]int, k int) []int {
	var counts []int
	for a := range k {
		for b := range k {
			if a == b {
				continue
			}
			n := 0
			for _, o := range orders {
				for i := range k - 1 {
					if o[i] == a && o[i+1] == b {
						n++
					}
				}
			}
			counts = append(counts, n)
		}
	}
	return counts
}

func TestOrdersAreBalanced(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k, n := rapid.IntRange(1, 10).Draw(t, "things"), rapid.IntRange(1, 25).Draw(t, "orders")
		all := orders(k, n, generator(rapid.Uint64().Draw(t, "seed")))
		for i, o := range all {
			if sorted := slices.Sorted(slices.Values(o)); sorted[0] != 0 || sorted[k-1] != k-1 || len(slices.Compact(sorted)) != k {
				t.Fatalf("order %d is %v, want every thing once", i, o)
			}
		}
		for place := range k {
			if c := placed(all, place, k); spreadOf(c) > 1 {
				t.Fatalf("place %d holds the things %v times in %v", place, c, all)
			}
		}
		from := rapid.IntRange(0, n-1).Draw(t, "from")
		run := all[from:rapid.IntRange(from+1, n).Draw(t, "to")]
		if c := placed(run, 0, k); spreadOf(c) > 1 {
			t.Fatalf("things come first %v times in the run %v", c, run)
		}
	})
}

func TestEverythingFollowsEverything(t *testing.T) {
	for k := 2; k <= 9; k++ {
		for seed := range uint64(20) {
			once, times := k, 1
			if k%2 == 1 {
				once, times = 2*k, 2
			}
			c := followed(orders(k, once, generator(seed)), k)
			if slices.Min(c) != times || slices.Max(c) != times {
				t.Fatalf("%d things in %d orders follow each other %v times, want %d", k, once, c, times)
			}
		}
	}
}

// permutations lists all orders of k things.
func permutations(k int) [][]int {
	if k == 0 {
		return [][]int{{}}
	}
	var all [][]int
	for _, p := range permutations(k - 1) {
		for i := range k {
			all = append(all, slices.Insert(slices.Clone(p), i, k-1))
		}
	}
	return all
}

// TestNothingIsBetterBalanced tries every design of a few small sizes and asks
// whether any has more even places, or, with places as even, more even followers.
func TestNothingIsBetterBalanced(t *testing.T) {
	for _, size := range []struct{ k, n int }{{2, 1}, {2, 2}, {2, 3}, {2, 4}, {2, 7}, {3, 1}, {3, 2}, {3, 3}, {3, 4}, {3, 6}, {4, 2}, {4, 3}, {4, 4}} {
		unevenness := func(design [][]int) [2]int {
			worst := 0
			for place := range size.k {
				worst = max(worst, spreadOf(placed(design, place, size.k)))
			}
			return [2]int{worst, spreadOf(followed(design, size.k))}
		}
		all := permutations(size.k)
		best := [2]int{size.n + 1, size.n + 1}
		var try func(design [][]int)
		try = func(design [][]int) {
			if len(design) < size.n {
				for _, p := range all {
					if len(design) == 0 || slices.Compare(p, design[len(design)-1]) >= 0 { // their sequence is no matter here
						try(append(design, p))
					}
				}
				return
			}
			if u := unevenness(design); u[0] < best[0] || u[0] == best[0] && u[1] < best[1] {
				best = u
			}
		}
		try(nil)
		for seed := range uint64(10) {
			if got := unevenness(orders(size.k, size.n, generator(seed))); got != best {
				t.Errorf("%d things in %d orders: places and followers uneven by %v, the best is %v", size.k, size.n, got, best)
			}
		}
	}
}

// TestFirstIsAnyone: over seeds, whatever comes first comes from the seed alone.
func TestFirstIsAnyone(t *testing.T) {
	const k, seeds = 4, 4000
	counts := make([]int, k)
	for seed := range uint64(seeds) {
		counts[orders(k, 1, generator(seed))[0][0]]++
	}
	// Five standard deviations of a binomial share of a quarter.
	for thing, n := range counts {
		if n < 1000-137 || n > 1000+137 {
			t.Errorf("thing %d comes first in %d of %d, want near 1000", thing, n, seeds)
		}
	}
}

func TestInterleave(t *testing.T) {
	for _, row := range []struct {
		out, snuffed int
		want         string
	}{
		{5, 0, "ooooo"}, {0, 3, "sss"}, {5, 1, "ooosoo"}, {5, 2, "osoooso"}, {5, 3, "osoososo"}, {5, 5, "ososososos"}, {2, 4, "sossos"}, {1, 1, "os"},
	} {
		got := ""
		for _, s := range interleave(row.out, row.snuffed) {
			got += map[bool]string{false: "o", true: "s"}[s]
		}
		if got != row.want {
			t.Errorf("%d to flame-out and %d snuffed: %s, want %s", row.out, row.snuffed, got, row.want)
		}
	}
}

func TestEveryBlockHoldsEveryEntryAtEveryLevel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := Wish{
			Blocks: rapid.IntRange(0, 8).Draw(t, "blocks"), Snuffed: rapid.IntRange(0, 8).Draw(t, "snuffed"),
			Seed: rapid.Uint64().Draw(t, "seed"),
		}
		levels := []string{""}
		if n := rapid.IntRange(1, 4).Draw(t, "levels"); n > 1 {
			levels = nil
			for i := range n {
				levels = append(levels, fmt.Sprint("level ", i))
			}
			w.Factor = trial.Factor{Name: "cold", Levels: levels}
		}
		entries := []string{"a", "b", "c", "d", "e", "f"}[:rapid.IntRange(1, 6).Draw(t, "entries")]
		slots := layOut(entries, w)
		if want := (w.Blocks + w.Snuffed) * len(levels) * len(entries); len(slots) != want {
			t.Fatalf("%d burns, want %d", len(slots), want)
		}
		size := len(levels) * len(entries)
		snuffed, firstOf := 0, map[bool]map[string]int{false: {}, true: {}}
		for b := range w.Blocks + w.Snuffed {
			block := slots[b*size : (b+1)*size]
			checkBlock(t, block, b, len(entries))
			if block[0].Snuff {
				snuffed++
			}
			firstOf[block[0].Snuff][block[0].Entry]++
		}
		if snuffed != w.Snuffed {
			t.Fatalf("%d blocks are snuffed, want %d", snuffed, w.Snuffed)
		}
		counts := make([][]int, 3) // flame-out, snuffed, both
		for _, e := range entries {
			for i, n := range []int{firstOf[false][e], firstOf[true][e], firstOf[false][e] + firstOf[true][e]} {
				counts[i] = append(counts[i], n)
			}
		}
		for _, c := range counts {
			if spreadOf(c) > 1 {
				t.Fatalf("entries come first %v times", c)
			}
		}
	})
}

// checkBlock holds block b, from 0, to what layOut says of a block.
func checkBlock(t *rapid.T, block []trial.Slot, b, entries int) {
	seen := map[string]bool{}
	for i, s := range block {
		seen[s.Entry+s.Level] = true
		switch {
		case s.Order != b*len(block)+i+1 || s.Block != fmt.Sprint(b+1):
			t.Fatalf("burn %d of block %d is %+v", i+1, b+1, s)
		case s.Snuff != block[0].Snuff:
			t.Fatalf("block %d is snuffed in part", b+1)
		case s.Level != block[i/entries*entries].Level:
			t.Fatalf("a round of block %d changes its level: %v", b+1, block)
		case s.Entry != block[i%entries].Entry:
			t.Fatalf("rounds of block %d differ in order: %v", b+1, block)
		}
	}
	if len(seen) != len(block) {
		t.Fatalf("block %d holds %d of %d entries and levels", b+1, len(seen), len(block))
	}
}
