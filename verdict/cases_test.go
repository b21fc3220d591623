package verdict

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/trial"
)

func TestTrialsWithoutAnAnswer(t *testing.T) {
	for _, by := range trial.JudgeBys() {
		for _, c := range []struct {
			name string
			make func() bench
		}{
			{"no entry", func() bench { return newBenchTrial() }},
			{"one entry", func() bench {
				b := newBenchTrial("Ash")
				b.boiled("Ash", "", 400, 12)
				return b
			}},
			{"no burn", func() bench { return newBenchTrial("Ash", "Birch") }},
			{"nothing boils", func() bench {
				b := newBenchTrial("Ash", "Birch")
				for range 6 {
					b.failed("Ash", "", 500, 15, 90)
					b.failed("Birch", "", 510, 15, 91)
				}
				return b
			}},
			{"all invalid", func() bench {
				b := newBenchTrial("Ash", "Birch")
				for _, e := range []string{"Ash", "Birch", "Ash", "Birch", "Ash", "Birch"} {
					b.t.Burns = append(b.t.Burns, b.blank(e, ""))
				}
				return b
			}},
			{"no spread", func() bench {
				b := newBenchTrial("Ash", "Birch")
				for range 6 {
					b.boiled("Ash", "", 400, 12)
					b.boiled("Birch", "", 420, 13)
				}
				return b
			}},
		} {
			b := c.make()
			b.t.Settings.JudgeBy = by
			v := b.judge()
			if v.Sentence == "" || v.Class == Different && by != trial.Lightest || v.Class == WorthHaving {
				t.Errorf("%s, %s: %s: %q", c.name, by, v.Class, v.Sentence)
			}
			if msg := notFinite(reflect.ValueOf(v), "verdict"); msg != "" {
				t.Errorf("%s, %s: %s", c.name, by, msg)
			}
		}
	}
}

func TestNoSpreadIsSaid(t *testing.T) {
	b := newBenchTrial("Ash", "Birch")
	for range 4 {
		b.boiled("Ash", "", 400, 12)
		b.boiled("Birch", "", 420, 13)
	}
	v := b.judge()
	p := v.Axes[0].Pairs[0]
	if want := "Ash and Birch cannot be compared: all burns of each read alike, so nothing shows how they scatter"; p.Sentence != want || p.Class != NotSettled || p.Lo != 0 {
		t.Errorf("%s: %s (%g)", p.Class, p.Sentence, p.Lo)
	}
	if want := []string{"Ash and Birch: read finer, so that burns do not all read alike"}; !slices.Equal(v.Next, want) {
		t.Errorf("next %q, want %q", v.Next, want)
	}
	if g := v.Axes[0].Groups[0]; g.Lo != 0 || g.Hi != 0 || g.CV != 0 {
		t.Errorf("an interval of no width: %+v", g)
	}
}

// Two days, each for one entry: what differs may be the days.
func TestEntriesOfDifferentDaysAreNotTold(t *testing.T) {
	b := newBenchTrial("Ash", "Birch")
	for _, d := range []float64{0.1, -0.2, 0.2, -0.1, 0} {
		b.boiled("Ash", "Monday", 400+9*d, 12+d)
		b.boiled("Birch", "Tuesday", 500+9*d, 16-d)
	}
	v := b.judge()
	if v.Class != NotSettled || v.Axes[0].Pairs[0].Sentence != "Ash against Birch depends on which block each was burned in" {
		t.Errorf("%s: %s", v.Class, v.Axes[0].Pairs[0].Sentence)
	}
	if want := []string{"Ash and Birch: burn both in every block"}; !slices.Equal(v.Next, want) {
		t.Errorf("next %q, want %q", v.Next, want)
	}
	for i := range b.t.Burns {
		b.t.Burns[i].Block = fmt.Sprint("day ", i) // each burn its own day: the days are in the scatter
	}
	if v := b.judge(); v.Class != WorthHaving {
		t.Errorf("a day for each burn: %s: %s", v.Class, v.Sentence)
	}
}

func TestApart(t *testing.T) {
	make := func(a, b []string) sample {
		s := sample{entries: []string{"A", "B"}}
		for e, days := range [][]string{a, b} {
			for _, d := range days {
				s.values = append(s.values, value{entry: e, block: d})
			}
		}
		return s
	}
	for _, c := range []struct {
		a, b []string
		want bool
	}{
		{[]string{"1", "1", "1"}, []string{"2", "2", "2"}, true},
		{[]string{"1", "1", "2", "2"}, []string{"2", "2", "1", "1"}, false},
		{[]string{"1", "1", "1", "2"}, []string{"2", "2", "2", "1"}, false}, // half of them
		{[]string{"1", "1", "1", "1", "2"}, []string{"2", "2", "2", "2", "1"}, true},
		{[]string{"1", "2", "3"}, []string{"4", "5", "6"}, false},
		{[]string{"1", "1", ""}, []string{"2", "2", "2"}, false}, // nothing is known of one
	} {
		if got := make(c.a, c.b).apart(0, 1); got != c.want {
			t.Errorf("%v and %v: %v", c.a, c.b, got)
		}
	}
}

func TestDoubts(t *testing.T) {
	w := world{burns: 6, sds: spreads(2, 0.01, 1), means: []float64{0, 0.1}}
	s := w.draw(rand.New(rand.NewPCG(4, 4)))
	if got := settle(s, speed, usual, nil).pairs[0]; got.Class != WorthHaving || got.DependsOn != nil {
		t.Fatalf("%+v", got)
	}
	late := s.without(func(value) bool { return false })
	for i, v := range late.values {
		if v.entry == 0 && i < 6 {
			late.values[i].status = reduce.BoiledPostFlame
		}
	}
	p := settle(late, speed, usual, nil).pairs[0]
	if !slices.Equal(p.DependsOn, []string{"whether a boil after flame-out counts"}) || p.Class != NotSettled {
		t.Errorf("late boils: %s, depends on %v", p.Class, p.DependsOn)
	}
	if got := settle(late, fuel, usual, nil).pairs[0]; got.Ranked || math.IsInf(got.Ratio, 0) {
		t.Errorf("late boils on fuel: %+v", got)
	}
	far := s.without(func(value) bool { return false })
	far.values[2].log += 0.6 // hides the difference
	p = settle(far, fuel, usual, suspectsOf(far, reduce.RefFuel)).pairs[0]
	if want := "A against B depends on burn 2A: not settled as it stands, different and worth having otherwise"; p.sentence(fuel, usual) != want {
		t.Errorf("%s\nwant %s", p.sentence(fuel, usual), want)
	}
}

func TestTooFewForRanks(t *testing.T) {
	for _, c := range []struct {
		all, want int
	}{{1, 4}, {3, 5}, {6, 5}, {10, 6}, {15, 6}} {
		if got := fewestForRanks(c.all, 0.05); got != c.want {
			t.Errorf("%d pairs: %d, want %d", c.all, got, c.want)
		}
	}
	b := newBenchTrial("Ash", "Birch")
	b.t.Settings.JudgeBy = trial.Fastest
	for range 3 {
		b.boiled("Ash", "", 400, 12)
		b.failed("Birch", "", 500, 16, 93)
	}
	v := b.judge()
	want := "Ash and Birch: too few burns to compare; a burn that did not boil leaves only ranks to compare, and here they can show nothing under 4 burns each"
	if v.Class != TooFew || v.Axes[0].Pairs[0].Sentence != want {
		t.Errorf("%s: %s", v.Class, v.Axes[0].Pairs[0].Sentence)
	}
}

// A reading that the correction needs is missing.
func TestMissingCorrectionFallsBackAndSaysSo(t *testing.T) {
	b := newBenchTrial("Ash", "Birch")
	for _, d := range []float64{0.1, -0.2, 0.2} {
		b.boiled("Ash", "", 400+9*d, 12+d)
		b.boiled("Birch", "", 500+9*d, 16-d)
	}
	noStart := func(id int) { b.t.Burns[id].Water.Start = quantity.Reading[quantity.Temperature]{} }
	noStart(0)
	if a := b.judge().Axes[0]; a.Raw || a.Groups[0].N != 2 || !slices.Contains(a.Notes, "not counted here: burn 1 (readings missing)") {
		t.Errorf("one burn without: raw %v, %v", a.Raw, a.Notes)
	}
	noStart(2)
	noStart(4)
	if a := b.judge().Axes[0]; !a.Raw || a.Groups[0].N != 3 || !slices.Contains(a.Notes, "compared as measured: no burn of Ash could be brought to reference conditions") {
		t.Errorf("an entry without: raw %v, %v", a.Raw, a.Notes)
	}
}

// Entries on different bottles: energy at reference decides; as measured,
// grams of one are not set against grams of the other.
func TestTwoFuels(t *testing.T) {
	b := newBenchTrial("Ash", "Birch")
	weak := b.t.Shelf.Batches[0]
	weak.Name, weak.Strength.Value.Value = "weak", 0.7
	b.t.Shelf.Batches = append(b.t.Shelf.Batches, weak)
	b.t.Entries[1].Fuel = "weak"
	for _, d := range []float64{0.1, -0.2, 0.2, 0, -0.1} {
		b.boiled("Ash", "", 400+9*d, 12+d)
		b.boiled("Birch", "", 400-9*d, 12*0.94/0.7-d)
	}
	v := b.judge()
	if p := v.Axes[0].Pairs[0]; p.Class == WorthHaving || math.Abs(p.Ratio-1) > 0.06 {
		t.Errorf("as energy: %s, ratio %g", p.Class, p.Ratio)
	}
	if v.Entries[0].Fuel != "bottle" || v.Entries[1].Fuel != "weak" {
		t.Errorf("fuels %q and %q", v.Entries[0].Fuel, v.Entries[1].Fuel)
	}
	for i := range b.t.Burns {
		b.t.Burns[i].Water.Start = quantity.Reading[quantity.Temperature]{}
	}
	v = b.judge()
	if p := v.Axes[0].Pairs[0]; !v.Axes[0].Raw || p.Class != NotSettled || !slices.Equal(p.DependsOn, []string{"how much heat each fuel holds"}) {
		t.Errorf("as measured: raw %v, %s, depends on %v", v.Axes[0].Raw, p.Class, p.DependsOn)
	}
}

// Boils are counted as run: one outside the range of the correction is still one.
func TestBoilsAreCountedAsRun(t *testing.T) {
	b := newBenchTrial("Ash", "Birch")
	for n := range 4 {
		b.boiled("Ash", "", 400+float64(n), 12)
		b.boiled("Birch", "", 420+float64(n), 13)
	}
	b.t.Burns[0].Water.Start = quantity.Given(quantity.Celsius(60))
	v := b.judge()
	if got := v.Boils[0]; got.Tried != 4 || got.Boils != 4 {
		t.Errorf("%+v", got)
	}
	if got := v.Axes[0].Groups[0].N; got != 3 {
		t.Errorf("%d values at reference, want 3", got)
	}
}

func TestDriftIsToldWithItsAllowance(t *testing.T) {
	b := newBenchTrial("Ash", "Birch")
	for n, d := range []float64{0.1, -0.1, 0.1, 0, -0.1, 0.1, 0, -0.1} {
		b.boiled("Ash", "", 400+2*d, 12+0.2*d+0.4*float64(n))
		b.boiled("Birch", "", 420+40*d, 13+2*d)
	}
	found := strings.Join(b.judge().Because, "\n")
	if !strings.Contains(found, "Ash drifts: fuel to boil, as energy changes by +") || strings.Contains(found, "Birch drifts") {
		t.Errorf("because %s", found)
	}
}

func TestPairsThatDifferInMore(t *testing.T) {
	b := newBenchTrial("Ash", "Birch", "Cedar")
	code := func() string {
		for _, f := range b.judge().Findings {
			if f.Code == "pair_differs_in_more" {
				return f.Sentence
			}
		}
		return ""
	}
	if got := code(); got != "" {
		t.Errorf("burners alone: %s", got)
	}
	b.t.Shelf.Pots = append(b.t.Shelf.Pots, b.t.Shelf.Pots[0])
	b.t.Shelf.Pots[1].Name = "wide pot"
	b.t.Entries[1].Pot = "wide pot"
	if got, want := code(), "2 of 3 pairs differ in more than one thing (burner and pot): such a verdict is on the whole systems, not on the burners"; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	b.t.Entries[1].Burner = "Ash"
	b.t.Entries = b.t.Entries[:2]
	if got := code(); got != "" {
		t.Errorf("one burner in two pots: %s", got)
	}
}
