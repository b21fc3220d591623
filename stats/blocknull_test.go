package stats

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// repeatedExample is a made-up trial of k groups in b blocks with copies(n) values in
// the n-th cell.
func repeatedExample(k, b int, copies func(n int) int) Blocked {
	var d Blocked
	rng := rand.New(rand.NewPCG(13, uint64(100*k+b)))
	for c := range b {
		day := 20 * rng.NormFloat64()
		for g := range k {
			for range copies(c*k + g) {
				d.Values = append(d.Values, 300+4*float64(g)+day+3*rng.NormFloat64())
				d.Group, d.Block = append(d.Group, g), append(d.Block, c)
			}
		}
	}
	return d
}

func layoutOf(t *testing.T, d Blocked) *blockLayout {
	t.Helper()
	return newBlockLayout(must[*BlockFit](t)(FitBlocks(d)))
}

func TestTrialsAreDrawnByCellFrom129Values(t *testing.T) {
	even := func(int) int { return 8 }
	if l := layoutOf(t, repeatedExample(4, 4, even)); len(l.cells) != 128 || slices.Max(l.beside) != 0 {
		t.Errorf("128 values are drawn as %d", len(l.cells))
	}
	l := layoutOf(t, repeatedExample(4, 4, func(n int) int { return 8 + int(one(n == 5)) }))
	if len(l.cells) != 16 || l.cells[5] != (cell{1, 1, 9}) || !slices.Equal(l.beside, []float64{28, 29, 28, 28}) {
		t.Errorf("129 values are drawn as %d cells, the sixth %v, beside %v", len(l.cells), l.cells[5], l.beside)
	}
}

// Both ways to draw must give one distribution, under every pattern of spreads and
// for cells of any size.
func TestDrawsByCellAndByValueAgree(t *testing.T) {
	byValue := layoutOf(t, repeatedExample(4, 4, func(n int) int { return []int{1, 12, 2, 7, 3, 0, 5}[n%7] }))
	byCell := *byValue
	byCell.cells, byCell.sizes, byCell.beside = nil, make([]float64, 4), make([]float64, 4)
	for _, c := range byValue.cells {
		byCell.add(c.group, c.block, true)
	}
	if len(byCell.cells) != 14 || len(byValue.cells) < 60 {
		t.Fatalf("%d cells and %d values", len(byCell.cells), len(byValue.cells))
	}
	a, b := byValue.null(1), byCell.null(2)
	for pattern := range a.largest {
		for _, p := range []float64{0.5, 0.1, 0.05, 0.01} {
			limit := a.largest[pattern][int((1-p)*blockDraws)]
			at, _ := slices.BinarySearch(b.largest[pattern], limit)
			within(t, "share above", 1-float64(at)/blockDraws, p, 4*math.Sqrt(2*p*(1-p)/blockDraws))
		}
	}
}

func TestDrawsServeLayoutsThatAreLargeAndAlike(t *testing.T) {
	layout := func(blocks int, own ...float64) *blockLayout {
		return &blockLayout{groups: len(own), sizes: make([]float64, blocks), own: own}
	}
	base := layout(4, 60, 100, 100)
	for _, c := range []struct {
		other *blockLayout
		want  bool
	}{
		{base, true},
		{layout(4, 60, 95, 105), true},
		{layout(4, 60, 94.9, 100), false},
		{layout(4, 60, 105.1, 100), false},
		{layout(4, 59.9, 100, 100), false},
		{layout(3, 60, 100, 100), false},
		{layout(4, 60, 100), false},
	} {
		if got := c.other.like(base); got != c.want {
			t.Errorf("%v in %d blocks: %v, want %v", c.other.own, len(c.other.sizes), got, c.want)
		}
	}
	if base.like(nil) {
		t.Error("there were no draws to take over")
	}
}

// One value fewer moves the multiple of a large trial by less than its draws leave
// open, so that the draws may stay; a small one is drawn anew.
func TestAgain(t *testing.T) {
	for _, c := range []struct {
		copies int
		kept   bool
	}{{22, true}, {12, false}} { // residual degrees of freedom of a group: about 65 and 35
		d := repeatedExample(3, 3, func(int) int { return c.copies })
		main := must[*BlockedComparison](t)(BlockedPairs(d, nil, 0.95, 5))
		d.Values, d.Group, d.Block = d.Values[1:], d.Group[1:], d.Block[1:]
		again := must[*BlockedComparison](t)(main.Again(d, nil, 0.95))
		anew := must[*BlockedComparison](t)(BlockedPairs(d, nil, 0.95, 5))
		if kept := &again.null.largest[0][0] == &main.null.largest[0][0]; kept != c.kept {
			t.Fatalf("%d values a cell: draws kept %v, want %v", c.copies, kept, c.kept)
		}
		if !c.kept && !slices.Equal(again.Differences, anew.Differences) {
			t.Errorf("drawn anew: %v, want %v", again.Differences, anew.Differences)
		}
		near(t, "multiple", again.Multiple, anew.Multiple, 0.02)
		for i, got := range again.Differences {
			near(t, "estimate", got.Estimate, anew.Differences[i].Estimate, 0)
			near(t, "standard error", got.SE, anew.Differences[i].SE, 0)
		}
	}
	two := must[*BlockedComparison](t)(BlockedPairs(blockedExample(2, 6), nil, 0.95, 5))
	three := must[*BlockedComparison](t)(two.Again(blockedExample(3, 6), nil, 0.95))
	want := must[*BlockedComparison](t)(BlockedPairs(blockedExample(3, 6), nil, 0.95, 5))
	if !slices.Equal(three.Differences, want.Differences) {
		t.Errorf("from two groups to three: %v, want %v", three.Differences, want.Differences)
	}
}

// BenchmarkBlockedPairsOf2000 is a bench's year: 8 groups of 250 in 8 blocks.
func BenchmarkBlockedPairsOf2000(b *testing.B) {
	d := repeatedExample(8, 8, func(n int) int { return 31 + n%2 })
	for b.Loop() {
		if _, err := BlockedPairs(d, nil, 0.95, 1); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBlockedPairsOf250Blocks has as many values, and a block for each eight.
func BenchmarkBlockedPairsOf250Blocks(b *testing.B) {
	d := blockedExample(8, 250)
	for b.Loop() {
		if _, err := BlockedPairs(d, nil, 0.95, 1); err != nil {
			b.Fatal(err)
		}
	}
}
