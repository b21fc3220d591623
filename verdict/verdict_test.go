package verdict

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/trial"
)

// bench builds trials of burns in seconds and grams, on one pot and one bottle.
type bench struct {
	t *trial.Trial
}

func newBenchTrial(entries ...string) bench {
	set := trial.DefaultSettings()
	set.JudgeBy = trial.LeastFuel
	strength := quantity.Given(quantity.Strength{Basis: quantity.ByMass, Value: 0.94})
	t := &trial.Trial{
		Title: "test", Settings: set,
		Site: burn.Site{Station: quantity.Given(950 * quantity.Hectopascal), Air: quantity.Given(quantity.Celsius(16))},
		Shelf: gear.Shelf{
			Pots:    []gear.Pot{{Name: "pot", Material: "aluminium", Mass: quantity.Given(120 * quantity.Gram)}},
			Batches: []gear.FuelBatch{{Name: "bottle", Strength: strength}},
			Tools:   gear.Tools{Scales: []gear.Scale{{Name: "scale", Step: quantity.Given(0.1 * quantity.Gram)}}},
		},
	}
	for _, name := range entries {
		t.Shelf.Burners = append(t.Shelf.Burners, gear.Burner{Name: name, Family: gear.SideJets, DryMass: quantity.Given(10 * quantity.Gram)})
		t.Entries = append(t.Entries, trial.Entry{Name: name, Burner: name, Pot: "pot", Fuel: "bottle"})
	}
	return bench{t}
}

// boiled adds a burn snuffed at the boil, weighed.
func (b bench) boiled(entry, block string, seconds, grams float64) {
	r := b.blank(entry, block)
	r.Marks[burn.Boil] = at(seconds)
	r.Marks[burn.Snuffed] = at(seconds + 2)
	r.Fuel.Poured, r.Fuel.Left = quantity.Given(30*quantity.Gram), quantity.Given(quantity.Mass((30-grams)*1e-3))
	b.t.Burns = append(b.t.Burns, r)
}

// failed adds a burn that went out at the temperature without a boil.
func (b bench) failed(entry, block string, seconds, grams, peak float64) {
	r := b.blank(entry, block)
	r.Marks[burn.Out] = at(seconds)
	r.Water.Peak = quantity.Given(quantity.Celsius(peak))
	r.Fuel.Poured, r.Fuel.Left = quantity.Given(30*quantity.Gram), quantity.Given(quantity.Mass((30-grams)*1e-3))
	b.t.Burns = append(b.t.Burns, r)
}

func (b bench) blank(entry, block string) burn.Record {
	return burn.Record{
		ID: fmt.Sprint(len(b.t.Burns) + 1), Entry: entry, Block: block,
		Fuel:  burn.Fuel{Weighed: burn.BurnerAndFuel},
		Water: burn.Water{Mass: quantity.Given(500 * quantity.Gram), Start: quantity.Given(quantity.Celsius(15))},
		Marks: map[burn.Mark]quantity.Reading[time.Duration]{burn.PotOn: at(30)},
	}
}

func at(seconds float64) quantity.Reading[time.Duration] {
	return quantity.Given(time.Duration(seconds * float64(time.Second)))
}

func (b bench) judge() *Verdict { return Judge(b.t.Reduce()) }

func TestLargeDifferenceIsSaid(t *testing.T) {
	b := newBenchTrial("Ash", "Birch", "Cedar")
	for i, d := range []float64{0, 0.2, -0.1, 0.15, -0.2, 0.05} {
		day := fmt.Sprint("day ", i+1)
		b.boiled("Ash", day, 400+20*d, 12+d)
		b.boiled("Birch", day, 420-25*d, 14.4+0.8*d)
		b.boiled("Cedar", day, 500+30*d, 16-d)
	}
	v := b.judge()
	if v.Class != WorthHaving || !strings.HasPrefix(v.Sentence, "Ash needs the least fuel: 1") {
		t.Errorf("class %s, sentence %s", v.Class, v.Sentence)
	}
	if got := v.Axes[0].CouldBeBest; !slices.Equal(got, []string{"Ash"}) {
		t.Errorf("could be best: %v", got)
	}
	if !v.Axes[0].Blocked {
		t.Error("blocks were not used")
	}
}

func TestOneBurnEachIsTooFew(t *testing.T) {
	b := newBenchTrial("Ash", "Birch")
	b.boiled("Ash", "", 400, 12)
	b.boiled("Birch", "", 420, 15)
	v := b.judge()
	if v.Class != TooFew || len(v.Next) < 2 || !strings.Contains(v.Next[1], "more burns each") {
		t.Errorf("class %s, next %q", v.Class, v.Next)
	}
}

func TestSmallDifferenceIsNotSettled(t *testing.T) {
	b := newBenchTrial("Ash", "Birch", "Cedar")
	for _, d := range []float64{0.9, -0.4, 0.3, -1.1, 0.5} {
		b.boiled("Ash", "", 400, 14+d)
		b.boiled("Birch", "", 410, 14.3-0.7*d)
		b.boiled("Cedar", "", 420, 14.1+0.9*d)
	}
	v := b.judge()
	if v.Class != NotSettled || !strings.Contains(v.Sentence, "nothing is ruled out") {
		t.Errorf("class %s, sentence %s", v.Class, v.Sentence)
	}
}

func TestOrderOfBurnsChangesNothing(t *testing.T) {
	b := newBenchTrial("Ash", "Birch", "Cedar")
	for i, d := range []float64{0.4, -0.4, 0.3, -0.1, 0.5} {
		day := fmt.Sprint(i)
		b.boiled("Ash", day, 400+d, 14+d)
		b.boiled("Birch", day, 410-d, 15.3-0.7*d)
		b.boiled("Cedar", day, 420+d, 13.1+0.9*d)
	}
	first := b.judge()
	slices.Reverse(b.t.Burns)
	second := b.judge()
	for i := range first.Axes {
		for j := range first.Axes[i].Pairs {
			if a, b := first.Axes[i].Pairs[j], second.Axes[i].Pairs[j]; a.Lo != b.Lo || a.Hi != b.Hi || a.Class != b.Class {
				t.Errorf("pair %s-%s: %v and %v", a.A, a.B, a, b)
			}
		}
	}
	if first.Sentence != second.Sentence {
		t.Errorf("%s / %s", first.Sentence, second.Sentence)
	}
}

func TestBurnsThatDidNotBoilStayIn(t *testing.T) {
	b := newBenchTrial("Ash", "Birch")
	b.t.Settings.JudgeBy = trial.Fastest
	for i, d := range []float64{0, 5, -7, 4, -3, 8} {
		day := fmt.Sprint(i)
		b.boiled("Ash", day, 420+d, 14+d/50)
		if i%2 == 0 {
			b.failed("Birch", day, 500+d, 16+d/50, 93)
		} else {
			b.boiled("Birch", day, 470+d, 16+d/50)
		}
	}
	v := b.judge()
	boils := v.Boils[1]
	if boils.Tried != 6 || boils.Boils != 3 || boils.Share != 0.5 {
		t.Errorf("boils %+v", boils)
	}
	p := v.Axes[0].Pairs[0]
	if !p.Ranked || p.Beats != 1 || !p.Class.Decided() {
		t.Errorf("pair %+v", p)
	}
	if v.Sentence == "" || !strings.HasPrefix(v.Sentence, "Ash boils fastest") {
		t.Errorf("sentence %s", v.Sentence)
	}
}
