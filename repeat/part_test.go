package repeat

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/trial"
)

var trees = []string{"Ash", "Birch", "Cedar"}

func alder() *trial.Trial {
	return bench{"one", "Alder", 5, map[string]float64{"Ash": 400, "Birch": 460, "Cedar": 500}, 0.02}.trial(1, trees...)
}

func bo() *trial.Trial {
	return bench{"two", "Bo", 4, map[string]float64{"Ash": 420, "Birch": 480, "Cedar": 530}, 0.02}.trial(2, trees...)
}

// lines are findings of the codes.
func lines(fs []finding.Finding, codes ...string) []string {
	var ls []string
	for _, f := range fs {
		if slices.Contains(codes, f.Code) {
			ls = append(ls, f.String())
		}
	}
	return ls
}

func expect(t *testing.T, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Burns of one trial by several testers are parts of their own, and every burn is
// of one part or named as of none.
func TestATrialIsSplitByTester(t *testing.T) {
	x := alder()
	for i := range x.Burns {
		switch {
		case i < 6:
			x.Burns[i].Tester = " bo " // and spelled otherwise
		case i == 6:
			x.Burns[i].Tester = "BO"
		case i == 7:
			x.Burns[i].Tester = ""
		}
	}
	parts, found := Parts(Source{Trial: x})
	if len(parts) != 2 || parts[0].Tester != "bo" || parts[1].Tester != "Alder" || len(parts[0].Reduced.Results) != 7 || len(parts[1].Reduced.Results) != 7 {
		t.Fatalf("%d parts", len(parts))
	}
	expect(t, lines(found, "burns_without_tester"),
		`trial one: caution: burn 8 of "one" name no tester while others do; they are left out between testers; write the tester beside each burn`)
	parts, found = Parts(Source{Trial: x, Signed: map[string]string{"8": "Cy", "1": "nobody asked"}})
	if len(parts) != 3 || parts[1].Tester != "Cy" || len(parts[1].Reduced.Entries) != 1 || len(found) > 0 {
		t.Errorf("a signed burn: %d parts, %v", len(parts), found)
	}
}

// All parts stand on the reference boil and the terms of the trial that is
// repeated, whatever water a tester boils.
func TestPartsStandOnOneReference(t *testing.T) {
	a, b := alder(), bo()
	for i := range b.Burns {
		b.Burns[i].Water.Mass = grams(400)
	}
	b.Settings.Margin = 0.3
	parts, _ := Parts(Source{Trial: a}, Source{Trial: b})
	for _, p := range parts {
		if s := p.Reduced.Settings; s.Reference.Water != 500*quantity.Gram || s.Margin != a.Settings.Margin {
			t.Errorf("%s is judged at %v g, margin %v", p.Tester, s.Reference.Water, s.Margin)
		}
	}
	if b.Settings.Margin != 0.3 || b.Settings.NominalSet {
		t.Error("the trial itself was changed")
	}
}

func TestPartsLeaveOut(t *testing.T) {
	nameless := func(title string, seed uint64) *trial.Trial {
		x := bench{title, "", 4, map[string]float64{"Ash": 410, "Birch": 470, "Cedar": 520}, 0.02}.trial(seed, trees...)
		return x
	}
	for _, c := range []struct {
		name    string
		sources []Source
		testers []string
		codes   []string
		want    []string
	}{
		{"one tester twice", []Source{{Trial: alder()}, {Trial: bench{"again", "ALDER ", 3, map[string]float64{"Ash": 1, "Birch": 1, "Cedar": 1}, 0.1}.trial(9, trees...)}},
			[]string{"Alder"}, []string{"tester_twice"},
			[]string{`trial again: caution: ALDER burned both "one" and "again": the same hands twice are no repeat by another, so only the first counts here; put all burns of one tester into one trial, or correct the names`}},
		{"no burns", []Source{{Trial: alder()}, {Trial: empty("planned", trees...)}}, []string{"Alder"}, []string{"nothing_burned"},
			[]string{`trial planned: caution: no burn is recorded in "planned", so it says nothing of any tester; burn it, or leave it out`}},
		{"nobody named", []Source{{Trial: nameless("x", 5)}, {Trial: nameless("y", 6)}}, []string{"unnamed tester", "unnamed tester 2"}, []string{"tester_not_named"},
			[]string{`trial x: caution: no burn of "x" names its tester; its burns are taken as one tester's, who is none of the others here; write the tester beside each burn`,
				`trial y: caution: no burn of "y" names its tester; its burns are taken as one tester's, who is none of the others here; write the tester beside each burn`}},
		{"the same burns under two names", []Source{{Trial: alder()}, {Trial: func() *trial.Trial {
			x := alder()
			for i := range x.Burns {
				x.Burns[i].Tester = "Somebody"
			}
			return x
		}()}}, []string{"Alder"}, []string{"burns_twice"},
			[]string{`trial one: caution: the burns of Somebody read exactly as those of Alder: they are the same burns, and count once; leave one of the two out`}},
		{"a repeat of something else", []Source{{Trial: alder()}, {Trial: func() *trial.Trial { x := bo(); x.Repeats = "zero"; return x }()}}, []string{"Alder", "Bo"}, []string{"repeats_another"},
			[]string{`trial two: caution: "two" says that it repeats "zero", and is compared here with "one"; compare it with what it repeats, or correct repeats in its sheet`}},
		{"nothing", nil, nil, nil, nil},
	} {
		parts, found := Parts(c.sources...)
		var testers []string
		for _, p := range parts {
			testers = append(testers, p.Tester)
		}
		if !slices.Equal(testers, c.testers) {
			t.Errorf("%s: testers %q, want %q", c.name, testers, c.testers)
		}
		expect(t, lines(found, "tester_twice", "nothing_burned", "tester_not_named", "burns_twice", "repeats_another", "burns_without_tester"), c.want...)
	}
}

// Most burns alike are an earlier or later edition of the same; half of them are not
// said to be, and burns that were never lit are like nothing.
func TestCopiesOfSomeBurns(t *testing.T) {
	for _, c := range []struct {
		alike int // of 15 and 12
		want  []string
	}{
		{12, []string{`trial two: caution: the burns of Bo read exactly as those of Alder: they are the same burns, and count once; leave one of the two out`}},
		{7, []string{`trial two: caution: 7 of the 12 burns of Bo read exactly as those of Alder: they are the same burns, and count once; leave one of the two out`}},
		{6, nil},
		{0, nil},
	} {
		a, b := alder(), bo()
		for i := range c.alike {
			b.Burns[i].Entry, b.Burns[i].Marks, b.Burns[i].Fuel, b.Burns[i].Water = a.Burns[i].Entry, a.Burns[i].Marks, a.Burns[i].Fuel, a.Burns[i].Water
		}
		for _, x := range []*trial.Trial{a, b} {
			for i := range 9 {
				x.Burns = append(x.Burns, burn.Record{ID: fmt.Sprint("never ", i), Entry: "Ash", Tester: x.Burns[0].Tester, Void: "it rained"})
			}
		}
		_, found := Parts(Source{Trial: a}, Source{Trial: b})
		expect(t, lines(found, "burns_twice"), c.want...)
	}
}

// Whichever is given first, what is repeated is the one that the other names.
func TestTheRepeatedTrialComesFirst(t *testing.T) {
	a, b := alder(), bo()
	b.Repeats = "one"
	c := judged(t, b, a)
	if c.Title != "one" || c.Testers[0].Name != "Alder" {
		t.Errorf("%q, %+v", c.Title, c.Testers)
	}
	b.Repeats, a.Repeats = "one", "two"
	if c := judged(t, b, a); c.Title != "two" {
		t.Errorf("in a circle the first given stands first, got %q", c.Title)
	}
}

func TestCompareRefuses(t *testing.T) {
	if _, err := Compare(nil); !errors.Is(err, ErrNoBurns) || err.Error() != "no tester's burns to compare" {
		t.Error(err)
	}
	if _, err := Judge(Source{Trial: empty("nothing yet", "Ash")}); !errors.Is(err, ErrNoBurns) {
		t.Error(err)
	}
	parts, _ := Parts(Source{Trial: alder()}, Source{Trial: bo()})
	twice := slices.Clone(parts)
	twice[1].Tester = "alder"
	_, err := Compare(twice)
	if want := `tester "alder" stands twice: the burns of one tester are one part`; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	other := bo()
	other.Settings.Reference.Water, other.Settings.NominalSet = 400*quantity.Gram, true
	apart, _ := Parts(Source{Trial: other})
	_, err = Compare(append(parts[:1:1], apart...))
	if want := "burns of Bo are brought to 400.0 g from 20.0 °C to 100.0 °C and those of Alder to 500.0 g from 20.0 °C to 100.0 °C: figures of different jobs cannot be compared"; err == nil || err.Error() != want {
		t.Errorf("got %v\nwant %s", err, want)
	}
}
