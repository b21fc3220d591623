package repeat

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fairburn/quantity"
	"fairburn/trial"
	"fairburn/verdict"
)

func boils(ash, birch float64) map[string]float64 {
	return map[string]float64{"Ash": ash, "Birch": birch, "Cedar": 520}
}

func TestClasses(t *testing.T) {
	pair := trees[:2]
	by := func(tester string, n int, ash, birch, scatter float64, seed uint64) *trial.Trial {
		return bench{"trial of " + tester, tester, n, boils(ash, birch), scatter}.trial(seed, pair...)
	}
	for _, c := range []struct {
		name     string
		trials   []*trial.Trial
		class    Class
		sentence string // its beginning
	}{
		{"each alone", []*trial.Trial{by("Alder", 5, 400, 460, 0.01, 1), by("Bo", 5, 420, 480, 0.01, 2)}, ForEvery,
			"It holds for every tester: each of 2 finds that Ash boils fastest."},
		{"each alone, equal", []*trial.Trial{by("Alder", 6, 400, 401, 0.01, 1), by("Bo", 6, 420, 421, 0.01, 2)}, ForEvery,
			"It holds for every tester: each of 2 finds Ash and Birch equal in practice, within 5 %."},
		{"opposed", []*trial.Trial{by("Alder", 5, 400, 460, 0.01, 1), by("Bo", 5, 480, 420, 0.01, 2)}, Depends,
			"It depends on the tester: for Alder Ash took 13 % less time than Birch; for Bo Birch took"},
		{"worth having for one, equal for another", []*trial.Trial{by("Alder", 6, 400, 460, 0.01, 1), by("Bo", 6, 420, 420, 0.01, 2)}, Depends,
			"It depends on the tester: for Alder Ash took 13 % less time than Birch; for Bo they are equal in practice."},
		{"over testers only", []*trial.Trial{by("Alder", 3, 400, 440, 0.02, 1), by("Bo", 3, 400, 442, 0.03, 2), by("Cy", 3, 400, 438, 0.03, 3), by("Di", 3, 400, 441, 0.03, 4), by("Ed", 3, 400, 439, 0.03, 5)}, Across,
			"Across testers, though not for each alone: Ash boils fastest; against Birch, the closest, over 5 testers Ash took"},
		{"one tester", []*trial.Trial{by("Alder", 5, 400, 460, 0.01, 1)}, TooFew,
			"Too few testers: only the burns of Alder are here, so nothing says whether it holds for others."},
		{"one burn each by the second", []*trial.Trial{by("Alder", 5, 400, 460, 0.01, 1), by("Bo", 1, 420, 480, 0.01, 2)}, TooFew,
			"Too few testers: no two entries have enough burns at the reference by two testers."},
		{"nothing settled", []*trial.Trial{by("Alder", 3, 400, 410, 0.05, 1), by("Bo", 3, 420, 425, 0.05, 2)}, NotSettled,
			"Not settled across 2 testers, as it was not in the trial that they repeat."},
		{"settled by the first only", []*trial.Trial{by("Alder", 6, 400, 450, 0.01, 1), by("Bo", 3, 420, 430, 0.06, 3)}, NotSettled,
			"Not settled across 2 testers: for Alder Ash took 11 % less time than Birch; "},
	} {
		got := judged(t, c.trials...)
		if got.Class != c.class || !strings.HasPrefix(got.Sentence, c.sentence) {
			t.Errorf("%s: %s: %q\nwant %s: %q", c.name, got.Class, got.Sentence, c.class, c.sentence)
		}
		if len(got.Axes[0].Pairs) == 1 && len(got.Testers) > 1 && got.Axes[0].Pairs[0].Class != c.class {
			t.Errorf("%s: the only pair %q: %s", c.name, got.Axes[0].Pairs[0].Class, got.Axes[0].Pairs[0].Sentence)
		}
	}
}

// A tester with too few burns does not count as one for whom it holds.
func TestATesterWithTooFewBurnsIsNotCountedIn(t *testing.T) {
	by := func(tester string, n int, seed uint64) *trial.Trial {
		return bench{"trial of " + tester, tester, n, boils(400, 460), 0.01}.trial(seed, trees[:2]...)
	}
	c := judged(t, by("Alder", 5, 1), by("Bo", 5, 2), by("Cy", 1, 3))
	if want := "It holds for every tester: each of the 2 (of 3) with enough burns finds that Ash boils fastest."; c.Sentence != want {
		t.Errorf("%q, want %q", c.Sentence, want)
	}
	if p := c.Axes[0].Pairs[0]; !strings.Contains(p.Sentence, "every tester with enough burns (not Cy)") || !strings.Contains(p.Sentence, "Cy has too few burns") {
		t.Error(p.Sentence)
	}
	m := c.Axes[0].Entries[0].Means[2]
	if m.N != 1 || m.Lo != 0 || m.Center == 0 || !math.IsNaN(m.K) || math.IsNaN(m.H) {
		t.Errorf("a single burn: %+v", m)
	}
}

// Burns that did not boil are counted and shown, and no mean is made of them.
func TestBurnsThatDidNotBoilAreCounted(t *testing.T) {
	a, b := alder(), bo()
	fail(b, "Bo", "Ash")
	fail(b, "Bo", "Ash")
	c := judged(t, a, b)
	if got := c.Entries[0].Boils; !slices.Equal(got, []Boils{{"Alder", 5, 5}, {"Bo", 6, 4}}) {
		t.Errorf("%+v", got)
	}
	m := c.Axes[0].Entries[0].Means[1]
	if m.N != 4 || m.NoBoil != 2 || len(m.Points) != 6 {
		t.Errorf("%+v", m)
	}
	if !slices.Contains(c.Because, "Ash boiled in 4 of 6 burns of Bo") {
		t.Errorf("because %q", c.Because)
	}
	for _, p := range c.Axes[0].Pairs {
		if (p.A == "Ash") != (p.Ratio == 0) {
			t.Errorf("%s against %s: a mean of %g over testers", p.A, p.B, p.Ratio)
		}
	}
	if s := c.Axes[0].Pairs[0].Sentence; strings.Contains(s, "over 2 testers") {
		t.Error(s)
	}
}

func TestEntriesOfOneTesterAreNamed(t *testing.T) {
	a := alder()
	b := bench{"two", "Bo", 4, map[string]float64{"Ash": 420, "Birch": 480, "Yew": 300}, 0.02}.trial(2, "Ash", "Birch", "Yew")
	c := judged(t, a, b)
	if !slices.Equal(c.Alone, []Alone{{"Cedar", "Alder"}, {"Yew", "Bo"}}) || len(c.Entries) != 2 {
		t.Errorf("%+v", c.Alone)
	}
	expect(t, lines(c.Findings, "entry_of_one_tester"),
		"entry Cedar: note: only Alder burned it, so nothing is compared; build it, or give what is the same thing the same name",
		"entry Yew: note: only Bo burned it, so nothing is compared; build it, or give what is the same thing the same name")
	// Bo's own best is Yew, which says nothing of Ash against Birch.
	if want := "It holds for every tester: each of 2 finds that Ash boils fastest, among the entries that testers share."; c.Sentence != want {
		t.Error(c.Sentence)
	}
}

// Figures as measured are of one bench: they are not set beside another's.
func TestFiguresAsMeasuredAreNotCompared(t *testing.T) {
	a, b := alder(), bo()
	for i := range b.Burns {
		b.Burns[i].Water.Start = quantity.Reading[quantity.Temperature]{}
	}
	c := judged(t, a, b)
	if c.Class != TooFew || !slices.Contains(c.Axes[0].Notes, "Bo's burns could not be brought to the reference, so they are not compared here: benches differ") {
		t.Errorf("%s, %q", c.Class, c.Axes[0].Notes)
	}
	if p := c.Axes[0].Entries[0].Precision; p != nil {
		t.Errorf("%+v", p)
	}
}

// The precision of an entry against plain sums over its points: two testers with
// three burns each.
func TestPrecisionBySums(t *testing.T) {
	a, b := empty("one", "Ash"), empty("two", "Ash")
	for _, d := range []float64{-0.01, 0, 0.01} {
		add(a, "Alder", "Ash", 400*math.Exp(d), 12)
		add(b, "Bo", "Ash", 440*math.Exp(d), 12)
	}
	e := judged(t, a, b).Axes[0].Entries[0]
	var means [2]float64
	squares := 0.0
	for i, m := range e.Means {
		for _, p := range m.Points {
			means[i] += math.Log(p.Value) / 3
		}
		for _, p := range m.Points {
			squares += math.Pow(math.Log(p.Value)-means[i], 2)
		}
	}
	within := squares / 4                                  // on 2·(3-1)
	between := math.Pow(means[0]-means[1], 2)/2 - within/3 // s_L² = (3·d²/2 - s_r²)/3
	limit := func(square float64) float64 { return math.Expm1(1.96 * math.Sqrt(2*square)) }
	p := e.Precision
	for _, x := range []struct {
		what      string
		got, want float64
	}{
		{"s_r", p.Within, math.Expm1(math.Sqrt(within))}, {"r", p.Repeatability, limit(within)}, {"R", p.Reproducibility, limit(between + within)},
		{"critical difference", p.Critical, limit(between + within/3)},
	} {
		if math.Abs(x.got-x.want) > 1e-9 {
			t.Errorf("%s: got %g, want %g", x.what, x.got, x.want)
		}
	}
	if !p.Indicative || p.ReproducibilityLo != 0 || p.Clamped || p.CriticalN != 3 || p.HLimit[0] != 0 || p.KLimit[0] == 0 {
		t.Errorf("%+v", p)
	}
	if m := e.Means; math.Abs(m[0].H+math.Sqrt(0.5)) > 1e-9 || math.Abs(m[0].K*m[0].K+m[1].K*m[1].K-2) > 1e-9 {
		t.Errorf("%+v", m)
	}
}

// Of four testers one whose burns lie far off and one whose burns scatter stand
// out, and stay in.
func TestWhoStandsOut(t *testing.T) {
	var trials []*trial.Trial
	for i, name := range []string{"Alder", "Bo", "Cy", "Di", "Ed", "Fay"} {
		b := bench{"trial of " + name, name, 5, boils(400+float64(i), 460), 0.005}
		if name == "Cy" {
			b.boil = boils(600, 460)
		}
		if name == "Di" {
			b.scatter = 0.08
		}
		trials = append(trials, b.trial(uint64(i+1), trees[:2]...))
	}
	c := judged(t, trials...)
	var said []string
	for _, f := range c.Findings {
		if f.Code == "tester_stands_out" && f.Where.Subject == "entry Ash" && strings.HasPrefix(f.Sentence, "time") {
			said = append(said, f.Sentence)
		}
	}
	if len(said) != 2 || !strings.HasPrefix(said[0], "time to boil, from light: the mean of Cy lies apart from the other testers' (h = 2.0") ||
		!strings.HasPrefix(said[1], "time to boil, from light: the burns of Di scatter more than the other testers' (Cochran's C = ") {
		t.Errorf("%q", said)
	}
	if p := c.Axes[0].Entries[0].Precision; p.Testers != 6 || p.Indicative || !(p.ReproducibilityLo < p.Reproducibility && p.Reproducibility < p.ReproducibilityHi) {
		t.Errorf("%+v", p)
	}
	if n := len(c.Axes[0].Entries[0].Apart); n != 15 {
		t.Errorf("%d comparisons of two testers, want 15", n)
	}
}

// The same trials give the same comparison, and the order of others changes no
// class.
func TestOrderAndAgain(t *testing.T) {
	third := bench{"three", "Cy", 3, boils(410, 455), 0.03}.trial(3, trees...)
	x, y := judged(t, alder(), bo(), third), judged(t, alder(), bo(), third)
	if !reflect.DeepEqual(text(x), text(y)) {
		t.Error("twice is not the same")
	}
	z := judged(t, alder(), third, bo())
	for i, p := range x.Axes[0].Pairs {
		if q := z.Axes[0].Pairs[i]; q.Class != p.Class || math.Abs(q.Lo-p.Lo) > 1e-9 {
			t.Errorf("%s against %s: %s, in another order %s", p.A, p.B, p.Class, q.Class)
		}
	}
}

// text is what a comparison says, without the numbers that are not.
func text(c *Comparison) []string {
	said := append([]string{c.Sentence}, c.Because...)
	for _, a := range c.Axes {
		for _, p := range a.Pairs {
			said = append(said, p.Sentence)
		}
	}
	for _, f := range c.Findings {
		said = append(said, f.String())
	}
	return said
}

// Little or odd data bring words, never a figure that is none.
func TestLittleToCompare(t *testing.T) {
	alike := func(tester string) *trial.Trial {
		x := empty("trial of "+tester, "Ash", "Birch")
		for range 3 {
			add(x, tester, "Ash", 400, 12)
			add(x, tester, "Birch", 460, 13)
		}
		return x
	}
	c := judged(t, alike("Alder"), func() *trial.Trial { x := alike("Bo"); x.Burns[0].Fuel.Left = grams(47.9); return x }())
	e := c.Axes[0].Entries[0]
	if e.Precision != nil || !strings.HasPrefix(e.Why, "no tester's burns show how one burn differs from the next: no spread") {
		t.Errorf("%+v, %q", e.Precision, e.Why)
	}
	if len(e.Apart) != 1 || e.Apart[0].Says != SaysTooFew || e.Apart[0].Lo != 0 || e.Apart[0].Ratio != 1 {
		t.Errorf("%+v", e.Apart)
	}
	if c.Class != NotSettled {
		t.Errorf("%s: %s", c.Class, c.Sentence)
	}
	one := bench{"two", "Bo", 1, map[string]float64{"Yew": 300}, 0.02}.trial(2, "Yew")
	if c := judged(t, alder(), one); c.Class != TooFew || c.Sentence != "Too few testers: no two entries were burned by two of the 2 testers." || len(c.Axes[0].Pairs) > 0 {
		t.Errorf("%s: %s", c.Class, c.Sentence)
	}
	lost := alder()
	lost.Entries = nil // burns of entries that are not listed
	if c := judged(t, bo(), lost); c.Class != TooFew {
		t.Errorf("%s: %s", c.Class, c.Sentence)
	}
	if c := judged(t, lost, bo()); c.Class != TooFew {
		t.Errorf("%s: %s", c.Class, c.Sentence)
	}
}

// A trial judged by something else than time and fuel says on what this is.
func TestJudgedBySomethingElse(t *testing.T) {
	for _, by := range []trial.JudgeBy{trial.Surest, trial.Lightest} {
		a, b := alder(), bo()
		a.Settings.JudgeBy = by
		c := judged(t, a, b)
		want := "the trial is judged by " + string(by) + "; between testers time and fuel are compared, and this sentence is on time to boil, from light"
		if !slices.Contains(c.Because, want) {
			t.Errorf("%q", c.Because)
		}
	}
}

// Whose burns are whose is always there.
func TestWhoseBurns(t *testing.T) {
	a := alder()
	a.Burns[3].Void = "wind"
	c := judged(t, a, bo())
	want := Tester{Name: "Alder", Named: true, Title: "one", Class: verdict.WorthHaving, Best: []string{"Ash"}, Void: []string{"4"}}
	got := c.Testers[0]
	if len(got.Burns) != 14 || slices.Contains(got.Burns, "4") || got.Sentence == "" {
		t.Errorf("%+v", got)
	}
	got.Burns, got.Sentence, got.Cautions = nil, "", 0
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%+v", got)
	}
}
