package plan

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/matter/fuel"
	"fairburn/quantity"
	"fairburn/trial"
)

// bench is a made-up trial of burners that differ in nothing else, ready to plan.
func bench(burners ...string) *trial.Trial {
	t := &trial.Trial{Title: "invented", Invented: true, Settings: trial.DefaultSettings()}
	t.Shelf.Pots = []gear.Pot{{Name: "pot"}}
	t.Shelf.Batches = []gear.FuelBatch{{Name: "bottle", Components: []gear.Component{{Substance: fuel.Ethanol, Rest: true}}}}
	t.Shelf.Tools.Scales = []gear.Scale{{Name: "scale"}}
	t.Shelf.Tools.Thermometers = []gear.Thermometer{{Name: "probe"}}
	for _, b := range burners {
		t.Shelf.Burners = append(t.Shelf.Burners, gear.Burner{Name: b})
		t.Entries = append(t.Entries, trial.Entry{Name: b, Burner: b, Pot: "pot", Fuel: "bottle"})
	}
	return t
}

// boiled adds burns of an entry that boil after the seconds given.
func boiled(t *trial.Trial, entry string, seconds ...float64) {
	for _, s := range seconds {
		at := time.Duration(s * float64(time.Second))
		t.Burns = append(t.Burns, burn.Record{
			ID: fmt.Sprint(len(t.Burns) + 1), Entry: entry,
			Marks: map[burn.Mark]quantity.Reading[time.Duration]{burn.PotOn: quantity.Given(time.Duration(0)), burn.Boil: quantity.Given(at), burn.Out: quantity.Given(at + time.Minute)},
		})
	}
}

func made(t *testing.T, tr *trial.Trial, w Wish) *Proposal {
	t.Helper()
	p, _, err := Make(tr, w)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestSameSheetSameOrder(t *testing.T) {
	w := Wish{Blocks: 5, Snuffed: 2}
	want := made(t, bench("a", "b", "c", "d"), w).Plan
	for _, order := range [][]string{{"a", "b", "c", "d"}, {"d", "b", "a", "c"}} {
		if diff := cmp.Diff(want, made(t, bench(order...), w).Plan); diff != "" {
			t.Errorf("entries listed as %v: %s", order, diff)
		}
	}
	if w.Seed = 2; reflect.DeepEqual(want.Slots, made(t, bench("a", "b", "c", "d"), w).Plan.Slots) {
		t.Error("another seed gives the same order")
	}
	if w.Seed = trial.DefaultSettings().Seed; !reflect.DeepEqual(want, made(t, bench("a", "b", "c", "d"), w).Plan) {
		t.Error("the trial's own seed, written out, gives another plan")
	}
}

func TestMakeKeepsTheTrial(t *testing.T) {
	tr := bench("a", "b")
	boiled(tr, "b", 400, 420)
	boiled(tr, "a", 300, 310, 305)
	slices.Reverse(tr.Burns)
	before := *tr
	before.Burns = slices.Clone(tr.Burns)
	made(t, tr, Wish{})
	if !reflect.DeepEqual(before, *tr) {
		t.Error("the trial was changed")
	}
}

func TestBlocksChosenByTheQuestion(t *testing.T) {
	for _, row := range []struct {
		by           trial.JudgeBy
		wish         Wish
		out, snuffed int
	}{
		{trial.Fastest, Wish{CV: 0.05, Difference: 0.10}, 9, 0},             // 9 by R's power.t.test, 6 pairs
		{trial.Fastest, Wish{CV: 0.05, Difference: 0.10, Snuffed: 4}, 5, 4}, // snuffed burns time the boil too
		{trial.Fastest, Wish{CV: 0.05, Difference: 0.10, Snuffed: 8}, 3, 8},
		{trial.Fastest, Wish{CV: 0.05, Difference: 0.10, Blocks: 2}, 2, 0},
		{trial.Fastest, Wish{CV: 0.02, Difference: 0.50}, 3, 0},
		{trial.Fastest, Wish{CV: 0.08, Difference: 0.05}, 12, 0}, // 67 needed
		{trial.LeastFuel, Wish{CV: 0.05, Difference: 0.10}, 0, 9},
		{trial.LeastFuel, Wish{CV: 0.05, Difference: 0.10, Snuffed: 3}, 0, 3},
		{trial.LeastFuel, Wish{CV: 0.05, Difference: 0.10, Blocks: 5}, 5, 0},
		{trial.Surest, Wish{}, 12, 0},
		{trial.Lightest, Wish{}, 3, 0},
	} {
		tr := bench("a", "b", "c", "d")
		tr.Settings.JudgeBy = row.by
		out, snuffed := map[string]bool{}, map[string]bool{}
		for _, s := range made(t, tr, row.wish).Plan.Slots {
			if s.Snuff {
				snuffed[s.Block] = true
			} else {
				out[s.Block] = true
			}
		}
		if len(out) != row.out || len(snuffed) != row.snuffed {
			t.Errorf("%s, %+v: %d to flame-out and %d snuffed, want %d and %d", row.by, row.wish, len(out), len(snuffed), row.out, row.snuffed)
		}
	}
}

func TestScatterOfOwnBurns(t *testing.T) {
	tr := bench("a", "b")
	boiled(tr, "a", 300, 330, 315)
	boiled(tr, "b", 500, 450, 480)
	tr.Burns = append(tr.Burns, burn.Record{ID: "void", Entry: "a", Void: "spilt", Marks: map[burn.Mark]quantity.Reading[time.Duration]{burn.Boil: quantity.Given(time.Hour)}})
	squares := 0.0
	for _, group := range [][]float64{{300, 330, 315}, {500, 450, 480}} {
		mean := (math.Log(group[0]) + math.Log(group[1]) + math.Log(group[2])) / 3
		for _, s := range group {
			squares += (math.Log(s) - mean) * (math.Log(s) - mean)
		}
	}
	sd := math.Sqrt(squares / 4)
	n := made(t, tr, Wish{}).Needed
	if n.DF != 4 || math.Abs(float64(n.Low)-math.Sqrt(math.Expm1(sd*sd))) > 1e-9 {
		t.Errorf("scatter %g on %g degrees of freedom, want %g on 4", n.Low, n.DF, sd)
	}
	// √(4/qchisq(0.2, 4)) = 1.5576 by R 4.2.2.
	if factor := logSD(float64(n.High)) / sd; math.Abs(factor-1.5576) > 1e-4 {
		t.Errorf("upper limit %g times as large, want 1.5576", factor)
	}
	if n.Most <= n.Least {
		t.Errorf("%d to %d burns needed, want a range", n.Least, n.Most)
	}
	if got := made(t, tr, Wish{CV: 0.04}).Needed; got.DF != 0 || math.Abs(float64(got.Low)-0.04) > 1e-12 {
		t.Errorf("the tester expects 4 %%, planned with %+v", got)
	}
}

func TestTooFewOwnBurnsLeaveTheUsualScatter(t *testing.T) {
	tr := bench("a", "b")
	boiled(tr, "a", 300, 330)
	boiled(tr, "b", 500)
	if n := made(t, tr, Wish{}).Needed; n.DF != 0 || math.Abs(float64(n.Low)-0.03) > 1e-12 || math.Abs(float64(n.High)-0.08) > 1e-12 {
		t.Errorf("one degree of freedom gives %+v, want 3 to 8 %%", n)
	}
}

func TestBurnsAtDifferentLevelsAreNotRepeats(t *testing.T) {
	tr := bench("a", "b")
	boiled(tr, "a", 300, 306, 302, 600, 612, 606)
	for i := range tr.Burns {
		tr.Burns[i].Levels = map[string]string{"wind": map[bool]string{true: "still", false: "fan"}[i < 3]}
	}
	if n := made(t, tr, Wish{}).Needed; n.DF != 4 || n.Low > 0.02 {
		t.Errorf("scatter %+v takes the wind for chance", n)
	}
}

func TestWhatThePlanAnswers(t *testing.T) {
	tr := bench("a", "b", "c", "d")
	p := made(t, tr, Wish{Blocks: 5, Snuffed: 3, CV: 0.03, Difference: 0.1})
	want := []Answer{
		// 0.0848923 on the log scale for 5 burns by R; 8 and 3 burns by the same.
		{"time to boil", 8, true, "8 burns of each entry will show a difference of 7 % in 8 of 10 trials, allowing for all 6 pairs, where burns of one entry scatter by 3 % (as the tester expects)"},
		{"fuel to boil", 3, true, "3 burns of each entry will show a difference of 17 % in 8 of 10 trials, allowing for all 6 pairs, where burns of one entry scatter by 3 % (as the tester expects); only burns snuffed at the boil and weighed count"},
		{"burn time", 5, true, "5 burns of each entry to flame-out: how long the dose burns, and whether the flame outlasts the boil"},
		{"boils or not", 8, true, "if 8 of 8 boil, an entry may still fail to boil as often as 26 of 100 burns (95 % interval)"},
		{"least dose", 3, false, "the dose that boils needs 5 burns of each entry, snuffed at the boil and weighed; 3 planned"},
	}
	if diff := cmp.Diff(want, p.Answers); diff != "" {
		t.Error(diff)
	}
	if got, want := p.Needed.Sentence(), "5 burns of each entry show a difference of 10 % where burns of one entry scatter by 3 % (as the tester expects)"; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
}

func TestWhatThePlanDoesNotAnswer(t *testing.T) {
	p := made(t, bench("a", "b"), Wish{Blocks: 1})
	said := map[string]Answer{}
	for _, a := range p.Answers {
		said[a.About] = a
		if a.Answered {
			t.Errorf("one burn of each answers %s", a.About)
		}
	}
	if got, want := said["time to boil"].Sentence, "1 burn of each entry: too few for any verdict, which needs 3"; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	if got, want := said["fuel to boil"].Sentence, "fuel to boil is not measured: prorated from the total it carries one error of up to 15 % for each entry, "+
		"which neither shrinks with more burns nor cancels in a difference; snuff burns at the boil and weigh them, or burn on a scale"; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	tr := bench("a", "b")
	tr.Settings.JudgeBy = trial.LeastFuel
	for _, a := range made(t, tr, Wish{Snuffed: 5}).Answers {
		if a.About == "burn time" && (a.Answered || a.Sentence != "no burn runs to flame-out, so nothing says how long the dose burns") {
			t.Errorf("burn time: %+v", a)
		}
		if a.About == "least dose" && !a.Answered {
			t.Errorf("least dose: %+v", a)
		}
	}
}

func TestOneEntryAgainstAFigure(t *testing.T) {
	p := made(t, bench("a"), Wish{CV: 0.05})
	if got, want := p.Needed.Sentence(), "11 burns of the entry show a difference of 5 % where burns of one entry scatter by 5 % (as the tester expects)"; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	if !strings.Contains(p.Answers[0].Sentence, "in 8 of 10 trials from a figure that stands,") {
		t.Error(p.Answers[0].Sentence)
	}
}

func TestRefused(t *testing.T) {
	many := make([]string, 10)
	for i := range many {
		many[i] = fmt.Sprint("burner ", i)
	}
	windy := func(levels ...string) Wish { return Wish{Factor: trial.Factor{Name: "wind", Levels: levels}} }
	for _, row := range []struct {
		entries []string
		wish    Wish
		want    string
	}{
		{nil, Wish{}, "the trial has no entries: list what is to be compared"},
		{[]string{"a", ""}, Wish{}, "entry number 2 has no name: give it one of its own"},
		{[]string{"a", "a"}, Wish{}, `two entries are named "a": rename one`},
		{[]string{"a"}, Wish{Blocks: -1}, "-1 blocks, expected 1 or more, or 0 for as many as are needed"},
		{[]string{"a"}, Wish{Snuffed: -1}, "-1 snuffed burns of each entry, expected 0 or more"},
		{[]string{"a"}, Wish{Stations: -1}, "-1 stations, expected 1 or more"},
		{[]string{"a"}, Wish{CoolDown: -time.Minute}, "cool-down of -1m0s, expected more than 0, or 0 for the usual 10m0s"},
		{[]string{"a"}, Wish{Burn: -time.Minute}, "burns of -1m0s, expected more than 0, or 0 for the usual 10m0s"},
		{[]string{"a"}, Wish{CV: 1}, "burns that scatter by 100 %, expected 0 (not known) or more and less than 100 %"},
		{[]string{"a"}, Wish{CV: quantity.Ratio(math.NaN())}, "burns that scatter by NaN %, expected 0 (not known) or more and less than 100 %"},
		{[]string{"a"}, Wish{Difference: -0.05}, "a difference of -5 %, expected more than 0 and at most 100 %"},
		{[]string{"a"}, Wish{Difference: 1.5}, "a difference of 150 %, expected more than 0 and at most 100 %"},
		{[]string{"a"}, Wish{Power: 0.25}, "a wanted chance of 25 % to find the difference, expected 50 % or more and less than 100 %"},
		{[]string{"a"}, Wish{Power: 1}, "a wanted chance of 100 % to find the difference, expected 50 % or more and less than 100 %"},
		{[]string{"a"}, Wish{Doses: map[string]quantity.Dose{"c": {}, "b": {}}}, `a dose is given for "b", which is not an entry of the trial`},
		{[]string{"a"}, Wish{Factor: trial.Factor{Levels: []string{"still"}}}, `the factor with levels ["still"] has no name: name what is varied`},
		{[]string{"a"}, windy("still"), `factor "wind" has 1 of the at least 2 levels that make it vary`},
		{[]string{"a"}, windy("still", ""), `level 2 of factor "wind" has no name`},
		{[]string{"a"}, windy("still", "fan", "still"), `factor "wind" has the level "still" twice`},
		{many, Wish{Blocks: 51, Factor: trial.Factor{Name: "cold", Levels: []string{"x", "y"}}}, "the plan has 1020 burns, expected at most 1000: fewer blocks, entries or levels"},
		{[]string{"a", "b"}, Wish{CV: 0.5, Difference: 0.001}, "more than 10000 burns of each entry are needed to show a difference of 0.1 % where burns of one entry scatter by 50 %: ask for a larger difference"},
	} {
		p, fs, err := Make(bench(row.entries...), row.wish)
		if err == nil || err.Error() != row.want || p != nil || fs != nil {
			t.Errorf("%v, %+v:\n got %v\nwant %s", row.entries, row.wish, err, row.want)
		}
	}
	tr := bench("a")
	tr.Settings.Level = 0
	if _, _, err := Make(tr, Wish{}); err == nil || err.Error() != "the trial's level is 0 %, expected 50 % or more and less than 100 %" {
		t.Error(err)
	}
	for _, w := range []Wish{{CV: 0.99, Difference: 1}, {Power: 0.5}, {Blocks: 50, Factor: trial.Factor{Name: "cold", Levels: []string{"x", "y"}}}} {
		if _, _, err := Make(bench(many...), w); err != nil {
			t.Errorf("%+v is refused: %v", w, err)
		}
	}
}
