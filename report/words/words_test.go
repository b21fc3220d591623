package words

import (
	"bytes"
	"html"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"fairburn/draw"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/report"
	"fairburn/report/reporttest"
	"fairburn/trial"
	"fairburn/verdict"
)

// The report says the same cautions, and marks invented data alike.
func TestSaysWhatTheReportSays(t *testing.T) {
	v, r := reporttest.Sample()
	var b bytes.Buffer
	if err := report.VerdictBody(&b, v, r, report.Options{}); err != nil {
		t.Fatal(err)
	}
	page := html.UnescapeString(b.String())
	for _, text := range append(report.Cautions(), report.InventedWords) {
		if !strings.Contains(page, text) {
			t.Errorf("the report does not say %q", text)
		}
	}
	_, cautions, _ := strings.Cut(page, `id="cautions"`)
	if n := strings.Count(cautions, "<li>"); n != len(report.Cautions()) {
		t.Errorf("the report has %d cautions, this package %d", n, len(report.Cautions()))
	}
}

func TestHeadlineOfTheDemo(t *testing.T) {
	v, r := reporttest.Sample()
	h := Of(v, r, quantity.Metric)
	for _, part := range []string{h.Entry, h.Number + " " + h.What, h.Against + " " + h.Other, h.Interval} {
		if !strings.Contains(v.Sentence, part) {
			t.Errorf("%q does not stand in the verdict %q", part, v.Sentence)
		}
	}
	if h.N != "n = 4 and 4" || h.Marker != 3 {
		t.Errorf("got %q and marker %d, expected n = 4 and 4 and marker 3", h.N, h.Marker)
	}
	if h.Number == "" || h.Interval == "" {
		t.Error("the demo's verdict has no figure")
	}
}

func TestNoWinnerNoFigure(t *testing.T) {
	v, r := reporttest.Few()
	h := Of(v, r, quantity.Metric)
	if h.Class != verdict.TooFew || h.Number != "" || h.Entry != "" || h.Lead() != "Too few burns: these burns name no winner (n = 2, 2, 2 and 2)." {
		t.Errorf("got %+v, %q", h, h.Lead())
	}
}

// Verdicts as the judge words them, written by hand.
func TestHeadlineByKindOfVerdict(t *testing.T) {
	groups := []verdict.Group{{Entry: "Ash", Marker: 1, N: 5, Center: 300, Lo: 290, Hi: 310}, {Entry: "Elm", Marker: 2, N: 4, NoBoil: 2, Center: 330, Lo: 320, Hi: 340}}
	axis := func(p verdict.Pair) []verdict.Axis {
		return []verdict.Axis{{Metric: reduce.RefTime, Name: "time to boil, from light", Judges: true, Groups: groups, Pairs: []verdict.Pair{p}, CouldBeBest: []string{"Ash"}}}
	}
	for _, c := range []struct {
		name string
		v    verdict.Verdict
		lead string
	}{
		{"lead, the pair the other way round", verdict.Verdict{Class: verdict.WorthHaving, JudgeBy: trial.Fastest,
			Sentence: "Ash boils fastest: 9 % less time than Elm, the next (95 % interval 4 to 14 %).",
			Axes:     axis(verdict.Pair{A: "Elm", B: "Ash", Ratio: 1.1, Sentence: "Ash took 9 % less time than Elm (95 % interval 4 to 14 %)"})},
			"Ash: 9 % less time than Elm (95 % interval 4 to 14 %; n = 5 and 6)."},
		{"ranked", verdict.Verdict{Class: verdict.Different, JudgeBy: trial.Fastest,
			Sentence: "Ash boils fastest: a burn that did not boil loses to every boil, and so it beat Elm, the next, in 93 of 100 pairings of their burns.",
			Axes:     axis(verdict.Pair{A: "Ash", B: "Elm", Ranked: true, Beats: 0.93})},
			"Ash: 93 of 100 pairings won against Elm (by ranks, a burn without a boil losing; n = 5 and 6)."},
		{"best without a lead in figures", verdict.Verdict{Class: verdict.Different, JudgeBy: trial.Fastest, Level: 0.95,
			Sentence: "Ash boils fastest, 95 % sure: every other entry is ruled out as best, though Elm comes close (3 % less time; two-sided interval from 7 % less to 1 % more).",
			Axes:     axis(verdict.Pair{A: "Ash", B: "Elm", Sentence: "no difference shown between Ash and Elm"})},
			"Ash: 5:00 boil time at reference (95 % interval 4:50 to 5:10; n = 5)."},
		{"equal", verdict.Verdict{Class: verdict.EqualInPractice, JudgeBy: trial.Fastest,
			Sentence: "Ash boils fastest, but by less than is worth having: 2 % less time than Elm, the next (95 % interval 1 to 3 %), which is as good for practical purposes.",
			Axes:     axis(verdict.Pair{A: "Ash", B: "Elm"})},
			"Equal in practice: these burns name no winner (n = 5 and 6)."},
		{"surest", verdict.Verdict{Class: verdict.Different, JudgeBy: trial.Surest, Level: 0.95, Sentence: "Ash (9 of 9) boils most surely on this dose.",
			Boils: []verdict.Boils{{Entry: "Ash", Tried: 9, Boils: 9, Lo: 0.76, Hi: 1}, {Entry: "Elm", Tried: 8, Boils: 2}}},
			"Ash: 9 of 9 burns boiled (95 % interval of the boil rate 76 to 100 %; n = 9 and 8)."},
		{"lightest", verdict.Verdict{Class: verdict.Different, JudgeBy: trial.Lightest, Sentence: "Ash is the lightest system at 166.1 g, 10.0 g less than Elm, the next; no burn changes that.",
			Entries: []verdict.Entry{{Name: "Ash", SystemMass: 0.1661}, {Name: "Elm", SystemMass: 0.1761}}},
			"Ash: 166.1 g is the lightest system (weighed; no burn changes that; no burns needed)."},
		{"nothing burned", verdict.Verdict{Class: verdict.TooFew, JudgeBy: trial.LeastFuel}, "Too few burns: these burns name no winner (n = 0)."},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := Of(&c.v, &trial.Reduced{Trial: &trial.Trial{}}, quantity.Metric)
			if h.Lead() != c.lead {
				t.Errorf("got %q, expected %q", h.Lead(), c.lead)
			}
			if h.Number != "" && h.Entry != "Ash" {
				t.Errorf("the figure is said of %q", h.Entry)
			}
		})
	}
}

func TestSpell(t *testing.T) {
	for _, c := range []struct {
		text, want string
		spelled    bool
	}{
		{"Ø 6.5 mm ± 0.1, η ≥ 30 %, √2", "Ø 6.5 mm ± 0.1, η ≥ 30 %, √2", false},
		{"⌀66 ∅1", "Ø66 Ø1", false},
		{"茶", "U+8336", true},
		{"a茶碗b", "a U+8336 U+7897 b", true},
		{"茶 (c)", "U+8336 (c)", true},
		{"🔥\ufe0f", "U+1F525", true},
		{"ש", "U+05E9", true},
		{"soft\u00adhy\u200dphen", "softhyphen", false},
		{"tab\tline\nend", "tab line end", false},
		{"Жар, λάμπα, naïve", "Жар, λάμπα, naïve", false},
	} {
		if got, spelled := Spell(c.text); got != c.want || spelled != c.spelled {
			t.Errorf("%q is set as %q (%v), expected %q (%v)", c.text, got, spelled, c.want, c.spelled)
		}
	}
}

// Whatever people write, the font can set it.
func TestSpelledTextIsInTheFont(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		set, spelled := Spell(text)
		for _, bold := range []bool{false, true} {
			if missing := (draw.Scene{Nodes: []draw.Node{draw.Text{Text: set, Bold: bold}}}).Missing(); len(missing) > 0 {
				t.Fatalf("%q is set as %q, of which the font lacks %q", text, set, string(missing))
			}
		}
		if again, twice := Spell(set); again != set || twice {
			t.Fatalf("%q is set as %q, and that as %q", text, set, again)
		}
		if !spelled && utf8.RuneCountInString(set) > utf8.RuneCountInString(text) {
			t.Fatalf("%q grew to %q unsaid", text, set)
		}
	})
}
