package verdict

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"fairburn/burn"
	"fairburn/quantity"
	"fairburn/stats"
	"fairburn/trial"
)

func TestPairSentences(t *testing.T) {
	pair := func(change func(p *Pair)) Pair {
		p := Pair{A: "Ash", B: "Birch", Ratio: 0.91, Lo: 0.86, Hi: 0.96, Class: Different}
		change(&p)
		return p
	}
	for _, c := range []struct {
		name string
		pair Pair
		kind axisKind
		want string
	}{
		{"different", pair(func(*Pair) {}), fuel,
			"Ash took 9 % less fuel than Birch (95 % interval 4 to 14 %)"},
		{"the other way round", pair(func(p *Pair) { p.Ratio, p.Lo, p.Hi = 1/0.91, 1/0.96, 1/0.86 }), speed,
			"Birch took 9 % less time than Ash (95 % interval 4 to 14 %)"},
		{"worth having", pair(func(p *Pair) { p.Class, p.Hi = WorthHaving, 0.94 }), speed,
			"Ash took 9 % less time than Birch (95 % interval 6 to 14 %)"},
		{"worth having in one reading only", pair(func(p *Pair) { p.worthOn = "burn 7" }), speed,
			"Ash took 9 % less time than Birch (95 % interval 4 to 14 %); whether by more than is worth having depends on burn 7"},
		{"narrow", pair(func(p *Pair) { p.Ratio, p.Lo, p.Hi = 0.961, 0.959, 0.962 }), speed,
			"Ash took 4 % less time than Birch (95 % interval 3.8 to 4.1 %)"},
		{"equal", pair(func(p *Pair) { p.Ratio, p.Lo, p.Hi, p.Class = 0.99, 0.97, 1.02, EqualInPractice }), speed,
			"Ash and Birch are equal for practical purposes: from 3 % less to 2 % more"},
		{"equal though apart", pair(func(p *Pair) { p.Ratio, p.Lo, p.Hi, p.Class = 0.98, 0.97, 0.99, EqualInPractice }), speed,
			"Ash and Birch are equal for practical purposes: 1 to 3 % less"},
		{"open", pair(func(p *Pair) {
			p.Lo, p.Hi, p.Class, p.MoreFor, p.MoreFrom, p.MoreTo = 0.94, 1.09, NotSettled, 0.05, 7, 14
		}), speed,
			"no difference shown between Ash and Birch: anything from 6 % less to 9 % more fits these burns; about 7 to 14 more burns each would show a difference of 5 %, if there is one, 8 times in 10"},
		{"too few", pair(func(p *Pair) {
			p.Lo, p.Hi, p.Class, p.MoreFor, p.MoreFrom, p.MoreTo, p.Planned = 0, 0, TooFew, 0.05, 9, 9, true
		}), speed,
			"Ash and Birch: too few burns to compare; about 9 more burns each would show a difference of 5 %, if there is one, 8 times in 10, if burns scatter by 3 to 8 % as is usual"},
		{"depends", pair(func(p *Pair) {
			p.Class, p.DependsOn, p.reading, p.otherwise = NotSettled, []string{"burn 3", "burn 7"}, WorthHaving, NotSettled
		}), speed,
			"Ash against Birch depends on burn 3 and burn 7: different and worth having as it stands, not settled otherwise"},
		{"ranks", pair(func(p *Pair) { p.Ranked, p.Beats = true, 0.08 }), speed,
			"Birch beat Ash in 92 of 100 pairings of their burns, a burn that did not boil losing to every boil"},
		{"ranks, open", pair(func(p *Pair) { p.Ranked, p.Beats, p.Class = true, 0.7, NotSettled }), speed,
			"Ash beat Birch in 70 of 100 pairings of their burns, a burn that did not boil losing to every boil, which these burns do not show to be more than chance"},
		{"no spread", pair(func(p *Pair) { p.Class, p.why = NotSettled, "all burns of each read alike" }), speed,
			"Ash and Birch cannot be compared: all burns of each read alike"},
	} {
		if got := c.pair.sentence(c.kind, usual); got != c.want {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, got, c.want)
		}
	}
	ninety := usual
	ninety.level = 0.9
	p := pair(func(*Pair) {})
	if got := p.sentence(fuel, ninety); !strings.Contains(got, "90 % interval") {
		t.Errorf("level is not the trial's: %s", got)
	}
}

// three is an axis of three entries with the classes of pairs AB, AC, BC.
func three(best, good []string, ab, ac, bc Pair) Axis {
	a := Axis{CouldBeBest: best, AsGood: good}
	for _, name := range []string{"Ash", "Birch", "Cedar"} {
		a.Groups = append(a.Groups, Group{Entry: name, N: 5})
	}
	ab.A, ab.B, ac.A, ac.B, bc.A, bc.B = "Ash", "Birch", "Ash", "Cedar", "Birch", "Cedar"
	a.Pairs = []Pair{ab, ac, bc}
	return a
}

func TestVerdictSentences(t *testing.T) {
	far := Pair{Ratio: 0.7, Lo: 0.65, Hi: 0.75, Class: WorthHaving}
	open := Pair{Ratio: 0.97, Lo: 0.93, Hi: 1.01, Class: NotSettled}
	equal := Pair{Ratio: 0.99, Lo: 0.97, Hi: 1.02, Class: EqualInPractice}
	few := Pair{Class: TooFew}
	all := []string{"Ash", "Birch", "Cedar"}
	for _, c := range []struct {
		axis  Axis
		class Class
		want  string
	}{
		{three(all[:1], nil, Pair{Ratio: 0.91, Lo: 0.86, Hi: 0.96, Class: Different}, far, far), Different,
			"Ash needs the least fuel: 9 % less fuel than Birch, the next (95 % interval 4 to 14 %, allowing for all 3 comparisons)."},
		{three(all[:1], all[:2], Pair{Ratio: 0.98, Lo: 0.965, Hi: 0.995, Class: EqualInPractice}, far, far), EqualInPractice,
			"Ash needs the least fuel, but by less than is worth having: 2 % less fuel than Birch, the next (95 % interval 0.5 to 3.5 %, allowing for all 3 comparisons), which is as good for practical purposes."},
		{three(all[:1], nil, open, far, far), Different,
			"Ash needs the least fuel, 95 % sure: every other entry is ruled out as best, though Birch comes close (3 % less fuel; two-sided interval from 7 % less to 1 % more)."},
		{three(all[:2], nil, open, far, far), NotSettled,
			"Not settled on fuel to boil: Ash or Birch may be best; Cedar is ruled out."},
		{three(all[:2], all[:1], open, far, far), NotSettled,
			"Not settled on fuel to boil: Ash or Birch may be best; Cedar is ruled out. Whichever is, Ash is as good as the best within 5 %."},
		{three(all, all, equal, open, open), NotSettled,
			"Not settled on fuel to boil: Ash, Birch or Cedar may be best; nothing is ruled out. Whichever is, Ash, Birch and Cedar are as good as the best within 5 %."},
		{three(all[:2], nil, equal, far, far), EqualInPractice,
			"Equal for practical purposes on fuel to boil: Ash and Birch differ by less than 5 %; Cedar is ruled out."},
		{three(all, nil, equal, equal, equal), EqualInPractice,
			"Equal for practical purposes on fuel to boil: Ash, Birch and Cedar differ by less than 5 %."},
		{three(all, nil, few, few, few), TooFew,
			"Too few burns to say which is better on fuel to boil."},
		{three(all[:1], nil, Pair{Ratio: 0.8, Lo: 0.6, Hi: 1.1, Ranked: true, Beats: 0.96, Class: Different}, far, far), WorthHaving,
			"Ash needs the least fuel: 30 % less fuel than Cedar, the next (95 % interval 25 to 35 %, allowing for all 3 comparisons)."},
	} {
		v := &Verdict{Level: 0.95, Margin: 0.05, Entries: make([]Entry, 3)}
		v.conclude(c.axis, fuel, usual)
		if v.Sentence != c.want || v.Class != c.class {
			t.Errorf("%s: %s\nwant %s: %s", v.Class, v.Sentence, c.class, c.want)
		}
	}
}

// Both sides of every limit between classes.
func TestClassLimits(t *testing.T) {
	const m, e = 0.05, 1e-9
	for _, c := range []struct {
		lo, hi float64
		want   Class
	}{
		{m + e, 0.2, WorthHaving}, {m - e, 0.2, Different}, {-0.2, -m - e, WorthHaving}, {-0.2, -m + e, Different},
		{e, 0.2, Different}, {-e, 0.2, NotSettled}, {-0.2, -e, Different}, {-0.2, e, NotSettled},
		{-m + e, m - e, EqualInPractice}, {-m - e, m - e, NotSettled}, {-m + e, m + e, NotSettled},
		{e, m - e, EqualInPractice}, {e, m + e, Different},
	} {
		iv := stats.Interval{Lo: c.lo, Hi: c.hi}
		if got := classify(iv, m); got != c.want {
			t.Errorf("%v: %s, want %s", iv, got, c.want)
		}
		if got := classify(stats.Interval{Lo: -c.hi, Hi: -c.lo}, m); got != c.want {
			t.Errorf("%v turned round: %s, want %s", iv, got, c.want)
		}
	}
}

func TestSpans(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		want   string
	}{
		{0.86, 0.96, "4 to 14 %"}, {1.04, 1.14, "4 to 14 %"}, {0.97, 1.02, "from 3 % less to 2 % more"},
		{0.994, 0.999, "0.1 to 0.6 %"}, {0.956, 0.962, "3.8 to 4.4 %"}, {1, 1.2, "0.0 to 20.0 %"},
	} {
		if got := span(c.lo, c.hi); got != c.want {
			t.Errorf("span(%g, %g) = %q, want %q", c.lo, c.hi, got, c.want)
		}
	}
}

// forbidden are words that no verdict may say.
var forbidden = regexp.MustCompile(`(?i)signific|outlier|removed|the same|proves that|95 % prob|no difference(?: between|[.,;]|$)|NaN|Inf\b|%!|  |\.\.|approved|legal`)

// Words over many trials of every kind: nothing forbidden is said, "no
// difference shown" carries its interval, and "safe" stands only where it is
// said not to have been tested.
func TestWordsOfManyVerdicts(t *testing.T) {
	seen := map[Class]bool{}
	for seed := range uint64(40) {
		v := randomTrial(seed).judge()
		seen[v.Class] = true
		for _, s := range texts(reflect.ValueOf(v)) {
			if forbidden.MatchString(s) {
				t.Errorf("seed %d: %q says %q", seed, s, forbidden.FindString(s))
			}
			if strings.Contains(s, "no difference") && !strings.Contains(s, ": anything from ") {
				t.Errorf("seed %d: no interval in %q", seed, s)
			}
			if strings.Contains(s, "safe") && !strings.HasPrefix(s, "soot, carbon monoxide, and whether") {
				t.Errorf("seed %d: %q", seed, s)
			}
		}
		if msg := notFinite(reflect.ValueOf(v), ""); msg != "" {
			t.Errorf("seed %d: %s", seed, msg)
		}
	}
	for _, c := range []Class{WorthHaving, NotSettled, TooFew} {
		if !seen[c] {
			t.Errorf("no trial came out %q", c)
		}
	}
}

// randomTrial draws a trial of any kind: few or many burns, blocks or none,
// burns that fail, boil late, stop, are void or not weighed, readings missing.
func randomTrial(seed uint64) bench {
	r := rand.New(rand.NewPCG(seed, 5))
	names := []string{"Ash", "Birch"}
	if seed%6 == 0 {
		names = append(names, "Cedar")
	}
	b := newBenchTrial(names...)
	b.t.Settings.JudgeBy = trial.JudgeBys()[r.IntN(4)]
	trouble, blocks := r.IntN(3) == 0, r.IntN(2) == 0
	gap := []float64{0, 0.01, 0.15}[r.IntN(3)]
	for n := range 1 + r.IntN(9) {
		block := ""
		if blocks {
			block = fmt.Sprint("day ", n+1)
		}
		for e, entry := range b.t.Entries {
			scale := math.Exp(gap*float64(e) + 0.03*r.NormFloat64())
			if b.t.Settings.JudgeBy != trial.Surest && (!trouble || r.IntN(3) > 0) {
				b.boiled(entry.Name, block, 420*scale, 13*scale)
			} else {
				b.failed(entry.Name, block, 500*scale, 15*scale, 90+5*r.Float64())
			}
			if trouble {
				spoil(&b.t.Burns[len(b.t.Burns)-1], r.IntN(8))
			}
		}
	}
	return b
}

// spoil does to a burn what benches do, or nothing.
func spoil(r *burn.Record, how int) {
	switch how {
	case 0:
		r.Void = "wind got up"
	case 1:
		r.Water.Start = quantity.Reading[quantity.Temperature]{}
	case 2:
		r.Fuel.Left = quantity.Reading[quantity.Mass]{}
	case 3:
		if boil, ok := r.Marks[burn.Boil]; ok {
			delete(r.Marks, burn.Snuffed)
			r.Marks[burn.Out] = at(boil.Value.Seconds() - 20)
		}
	case 4:
		r.Marks[burn.PotOff] = at(200)
	}
}

// texts gathers every string of a verdict.
func texts(v reflect.Value) []string {
	var all []string
	switch v.Kind() {
	case reflect.Pointer:
		return texts(v.Elem())
	case reflect.String:
		return []string{v.String()}
	case reflect.Struct:
		for i := range v.NumField() {
			all = append(all, texts(v.Field(i))...)
		}
	case reflect.Slice:
		for i := range v.Len() {
			all = append(all, texts(v.Index(i))...)
		}
	}
	return all
}

// notFinite names a number that JSON cannot hold, but for those that may be
// +Inf: the time of a burn that did not boil, and the median when half did not.
func notFinite(v reflect.Value, path string) string {
	switch v.Kind() {
	case reflect.Pointer:
		return notFinite(v.Elem(), path)
	case reflect.Float64:
		f := v.Float()
		mayBe := strings.HasSuffix(path, ".Points.Value") || strings.HasSuffix(path, ".Boils.Median")
		if math.IsNaN(f) || math.IsInf(f, 0) && !(mayBe && f > 0) {
			return fmt.Sprintf("%s is %g", path, f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if msg := notFinite(v.Field(i), path+"."+v.Type().Field(i).Name); msg != "" {
				return msg
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if msg := notFinite(v.Index(i), path); msg != "" {
				return msg
			}
		}
	}
	return ""
}
