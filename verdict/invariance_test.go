package verdict

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"fairburn/burn"
)

// uneven is a trial of three entries in blocks with burns that did not boil, a
// late boil and a burn that stands out.
func uneven() bench {
	b := newBenchTrial("Ash", "Birch", "Cedar")
	for i, d := range []float64{0.4, -0.4, 0.3, -0.1, 0.5, -0.7} {
		day := fmt.Sprint("day ", i)
		b.boiled("Ash", day, 400+9*d, 14+d)
		b.boiled("Birch", day, 440-9*d, 15.3-0.7*d)
		if i == 2 {
			b.failed("Cedar", day, 520, 16, 93)
		} else {
			b.boiled("Cedar", day, 480+20*d, 13.1+0.9*d)
		}
	}
	last := &b.t.Burns[1]
	delete(last.Marks, burn.Snuffed)
	last.Marks[burn.Out] = at(last.Marks[burn.Boil].Value.Seconds() - 10)
	return b
}

// judged is the verdict on uneven, worked out once.
var judged = sync.OnceValue(func() *Verdict { return uneven().judge() })

// pairsOf lists the pairs of all axes by "axis A B".
func pairsOf(v *Verdict) map[string]Pair {
	all := map[string]Pair{}
	for _, a := range v.Axes {
		for _, p := range a.Pairs {
			all[a.Key+" "+p.A+" "+p.B] = p
		}
	}
	return all
}

func TestOrderOfEntriesOnlyTurnsPairsRound(t *testing.T) {
	b, first := uneven(), judged()
	slices.Reverse(b.t.Entries)
	second := b.judge()
	got := pairsOf(second)
	for key, p := range pairsOf(first) {
		words := strings.Fields(key)
		q, ok := got[words[0]+" "+words[2]+" "+words[1]]
		if !ok {
			t.Fatalf("no pair for %s", key)
		}
		close := func(x, y float64) bool { return math.Abs(x-y) <= 1e-9*math.Abs(x) }
		if p.Class != q.Class || !close(p.Ratio, 1/q.Ratio) || p.Lo > 0 && (!close(p.Lo, 1/q.Hi) || !close(p.Hi, 1/q.Lo)) {
			t.Errorf("%s: %v %g (%g to %g), turned round %v %g (%g to %g)", key, p.Class, p.Ratio, p.Lo, p.Hi, q.Class, q.Ratio, q.Lo, q.Hi)
		}
		if p.P != q.P || !close(p.NextWin, q.NextLose) || !close(p.NextLose, q.NextWin) || !reflect.DeepEqual(p.DependsOn, q.DependsOn) {
			t.Errorf("%s: p %g, next %g, on %v; turned round p %g, next %g, on %v", key, p.P, p.NextWin, p.DependsOn, q.P, q.NextLose, q.DependsOn)
		}
	}
	for i, a := range first.Axes {
		for n, g := range a.Groups {
			if h := second.Axes[i].Groups[len(a.Groups)-1-n]; math.Abs(g.BestShare-h.BestShare) > 1e-9 || g.Entry != h.Entry {
				t.Errorf("%s %s is best with probability %g, turned round %g", a.Key, g.Entry, g.BestShare, h.BestShare)
			}
		}
		a, b := slices.Sorted(slices.Values(first.Axes[i].CouldBeBest)), slices.Sorted(slices.Values(second.Axes[i].CouldBeBest))
		if !slices.Equal(a, b) {
			t.Errorf("could be best %v, then %v", a, b)
		}
	}
}

func TestNamesOfEntriesChangeOnlyNames(t *testing.T) {
	b, first := uneven(), judged()
	rename := map[string]string{"Ash": "Zelkova", "Birch": "Maple", "Cedar": "Alder"}
	for i := range b.t.Entries {
		b.t.Entries[i].Name = rename[b.t.Entries[i].Name]
	}
	for i := range b.t.Burns {
		b.t.Burns[i].Entry = rename[b.t.Burns[i].Entry]
	}
	second := b.judge()
	want := strings.NewReplacer("Ash", "Zelkova", "Birch", "Maple", "Cedar", "Alder").Replace(first.Sentence)
	if second.Sentence != want {
		t.Errorf("%s\nwant %s", second.Sentence, want)
	}
	for i, a := range first.Axes {
		for j, p := range a.Pairs {
			if q := second.Axes[i].Pairs[j]; q.Lo != p.Lo || q.Hi != p.Hi || q.Class != p.Class || q.NextWin != p.NextWin {
				t.Errorf("%s %s %s: %v, renamed %v", a.Key, p.A, p.B, p, q)
			}
		}
	}
}

func TestVoidBurnChangesNothing(t *testing.T) {
	b, first := uneven(), judged()
	b.boiled("Ash", "day 9", 150, 3)
	b.t.Burns[len(b.t.Burns)-1].Void = "spilled"
	second := b.judge()
	if !reflect.DeepEqual(pairsOf(first), pairsOf(second)) || !reflect.DeepEqual(first.Boils, second.Boils) || first.Sentence != second.Sentence {
		t.Errorf("%s\nwith a void burn\n%s", first.Sentence, second.Sentence)
	}
	if second.Entries[0].Counts["void"] != 1 || !strings.Contains(strings.Join(second.Axes[0].Notes, "\n"), "not counted here: burn 19 (void: spilled)") {
		t.Errorf("the void burn is not told: %v", second.Axes[0].Notes)
	}
}

// A factor on every value, as from another unit, cancels in every ratio.
func TestUnitsCancel(t *testing.T) {
	w := world{burns: 6, sds: spreads(3, 0.03, 2), means: []float64{0, 0.02, 0.2}}
	s := w.draw(rand.New(rand.NewPCG(1, 1)))
	scaled := s.without(func(value) bool { return false })
	for i := range scaled.values {
		scaled.values[i].log += math.Log(60)
	}
	a, b := settle(s, fuel, usual, nil), settle(scaled, fuel, usual, nil)
	for i, p := range a.pairs {
		if q := b.pairs[i]; p.Class != q.Class || math.Abs(p.Lo-q.Lo) > 1e-9 || math.Abs(p.Hi-q.Hi) > 1e-9 || math.Abs(p.P-q.P) > 1e-9 {
			t.Errorf("%v, scaled %v", p, q)
		}
	}
}

// What all burns share cancels in a difference and stands in an absolute
// statement; what only one entry's burns share stays in both.
func TestSharedInputsCountOnce(t *testing.T) {
	w := world{burns: 5, sds: spreads(2, 0.02, 1), means: []float64{0, 0.05}}
	plain := w.draw(rand.New(rand.NewPCG(1, 1)))
	with := func(a, b map[string]float64) sample {
		s := plain.without(func(value) bool { return false })
		for i := range s.values {
			s.values[i].shared = a
			if s.values[i].entry == 1 {
				s.values[i].shared = b
			}
		}
		return s
	}
	width := func(s sample) float64 { p := compare(s, usual).pairs[0]; return math.Log(p.Hi / p.Lo) }
	bottle := map[string]float64{"bottle": 0.05}
	if got, want := width(with(bottle, bottle)), width(plain); got != want {
		t.Errorf("one bottle: width %g, want %g", got, want)
	}
	if got := width(with(bottle, map[string]float64{"other bottle": 0.05})); got < 2*1.96*0.05*math.Sqrt2 {
		t.Errorf("two bottles: width %g is less than what they bring", got)
	}
	if got := width(with(bottle, map[string]float64{"bottle": 0.02})); got < 2*1.96*0.03 || got > width(with(bottle, nil)) {
		t.Errorf("one bottle that counts unlike: width %g", got)
	}
	both := with(bottle, bottle)
	if got := math.Sqrt(sumSquares(both.sharedOf(0))); math.Abs(got-0.05) > 1e-12 {
		t.Errorf("absolute: %g, want 0.05 once", got)
	}
}

// The entry with the smallest mean is the likeliest best, by blocks or without.
func TestBestShares(t *testing.T) {
	for _, w := range []world{
		{burns: 6, sds: spreads(3, 0.03, 1), means: []float64{0.04, 0, 0.02}},
		{burns: 6, blocked: true, sds: spreads(3, 0.02, 1), means: []float64{0.04, 0, 0.02}},
		{burns: 6, blocked: true, sds: spreads(2, 0.02, 1), means: []float64{0.04, 0}},
	} {
		s := w.draw(rand.New(rand.NewPCG(2, 2)))
		c := compare(s, usual)
		shares := c.bestShares(s)
		sum := 0.0
		for _, share := range shares {
			sum += share
		}
		if math.Abs(sum-1) > 1e-8 || slices.Max(shares) != shares[1] || slices.Min(shares) != shares[0] {
			t.Errorf("%v: %v", w, shares)
		}
	}
}
