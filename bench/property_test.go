package bench

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"fairburn/burn"
	"fairburn/journal/journaltest"
	"fairburn/trial"
)

// drawn writes a sheet as odd as people write them, but with names and ids that
// a bench can keep.
type drawn struct {
	*rapid.T
	strings.Builder
}

func (d *drawn) pick(of ...string) string { return rapid.SampledFrom(of).Draw(d.T, "pick") }

// maybe writes one of the lines or none.
func (d *drawn) maybe(lines ...string) {
	if line := d.pick(append(lines, "")...); line != "" {
		fmt.Fprintln(d, line)
	}
}

// section writes up to most things of a kind and returns their names, quoted.
func (d *drawn) section(name string, most int, lines ...[]string) []string {
	pool := rapid.Permutation([]string{`"7"`, `"007"`, `"the \"old\" one"`, `"back\\slash"`, `"über 5 °C"`, `"a/b"`, `"a%2Fb"`, `"x = 1"`, `"<&>"`}).Draw(d.T, "names")
	pool = pool[:rapid.IntRange(0, most).Draw(d.T, name)]
	key := "name"
	if name == "burn" {
		key = "id"
	}
	for _, label := range pool {
		fmt.Fprintf(d, "[[%s]]\n%s = %s\n", name, key, label)
		for _, l := range lines {
			d.maybe(l...)
		}
	}
	return append(pool, `"nowhere listed"`)
}

var notes = []string{`notes = "two\nlines\twith a tab"`, `notes = '''"quoted" # no comment'''`}

func (d *drawn) sheet() string {
	fmt.Fprintf(d, "fairburn = 1\ntitle = %s\n", d.pick(`"Ring"`, `"a/b"`, `"50 % \"more\""`))
	d.maybe(`question = "Which?"`)
	d.maybe(`judge_by = "least fuel"`, `judge_by = "lightest system"`)
	d.maybe(notes...)
	fmt.Fprintf(d, "[settings]\nunits = %s\n", d.pick(`"metric"`, `"us"`, `"imperial"`))
	d.maybe(`margin = "7 %"`)
	d.maybe(`seed = 9`)
	fmt.Fprintln(d, "[reference]")
	d.maybe(`water = "16 oz"`)
	fmt.Fprintln(d, "[rules]")
	d.maybe(`grace = "20 s"`)
	fmt.Fprintln(d, "[site]")
	d.maybe(`elevation = "2100 ft"`)
	d.maybe(`wind = "still"`, `wind = "3 m/s"`)
	mass := []string{`mass = "118 g"`, `mass = "7/8 oz"`}
	step := []string{`step = "0.1 g"`, `step = "1 g"`}
	d.section("scale", 3, step, []string{`for = "fuel"`, `for = "water"`})
	d.section("thermometer", 2, []string{`limit = "0.5 K"`})
	d.section("barometer", 2, []string{`limit = "1.5 hPa"`})
	d.section("measure", 2, []string{`tolerance = "4 %"`})
	fuels := d.section("fuel", 2, []string{`strength = "95 ± 1 % vol"`, `components = [{ substance = "methanol", share = "90 % by mass" }, { substance = "water", rest = true }]`})
	burners := d.section("burner", 3, []string{`family = "side jets"`}, []string{`holds = "1 US fl oz"`, `holds = "35 mL"`}, []string{`jets = [{ count = 16, diameter = "1/16 in" }]`}, notes)
	pots := d.section("pot", 2, mass, []string{`holds = "2 US cups"`, `holds = "0.9 L"`})
	lids := d.section("lid", 2, mass)
	screens := d.section("screen", 2, mass)
	stands := d.section("stand", 2, mass)
	name := func(key string, of []string) []string { return []string{key + " = " + d.pick(of...)} }
	entries := d.section("entry", 3, name("burner", burners), name("pot", pots), name("lid", lids), name("screen", screens), name("stand", stands), name("fuel", fuels))
	fmt.Fprintln(d, "[plan]")
	d.maybe(`cool_down = "10:00"`)
	d.maybe(`slots = [{ order = 1, block = 1, entry = "7" }, { order = 2, entry = "007", snuff = true }]`)
	d.section("burn", 5, name("entry", entries), []string{`dose = "1 US fl oz"`, `dose = "20 mL"`}, []string{`poured = { read = "14.90 g", with = "7" }`},
		[]string{`start = "58 °F"`}, []string{`light = "14:03:20"`}, []string{`boil = "7:12"`, `boil = "7:12.5"`}, []string{`void = "spilled"`}, notes,
		[]string{`levels = { wind = "fan low" }`}, []string{`faults = ["spill at 3:20"]`})
	return d.String()
}

// A sheet taken apart into records and put together again is the same trial, on
// this bench, after a new start, and on another tester's.
func TestTakenTrialsComeBackTheSame(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text := (&drawn{T: t}).sheet()
		want := read(t, text)
		store := journaltest.NewMemory()
		fern, rowan := open(t, store, tester(1, "Fern")), open(t, journaltest.NewMemory(), tester(2, "Rowan"))
		r := take(t, fern, text, Refuse)
		merge(t, fern, rowan)
		for _, b := range []*Bench{fern, open(t, store, tester(1, "Fern")), rowan} {
			got, fs, err := b.Trial(want.Title)
			if err != nil || len(fs) > 0 {
				t.Fatal(err, fs)
			}
			if d := cmp.Diff(want, got, same); d != "" {
				t.Fatalf("%s\n%s", d, text)
			}
			again, err := b.Take(context.Background(), got, Refuse)
			if err != nil || again.Kept != len(r.Added) || len(again.Added)+len(again.Replaced)+len(again.Proposed)+len(again.Findings) > 0 {
				t.Fatalf("%v %+v", err, again)
			}
		}
	})
}

// act does one thing on a bench, as somebody beside the flame or at a page would.
// It may be refused, since others do what they do.
func act(t *rapid.T, b *Bench, n int) {
	what := rapid.SampledFrom([]string{"light", "boil", "out", "spill", "not_boiling", "ready"}).Draw(t, "what")
	p := at(n, what, rapid.SampledFrom([]float64{0, 0.02, 0.06, 3, 390}).Draw(t, "seconds"))
	moments := b.Moments("Ring", "1")
	switch rapid.IntRange(0, 5).Draw(t, "act") {
	case 0, 1:
		pressAll(t, b, p)
	case 2:
		if len(moments) > 0 {
			m := rapid.SampledFrom(moments).Draw(t, "moment")
			p.What, p.TakesBack = m.What, m.Nonce
			pressAll(t, b, p)
		}
	case 3:
		if len(moments) > 0 {
			_ = b.SettleMark(context.Background(), "Ring", "1", rapid.SampledFrom(moments).Draw(t, "moment").ID)
		}
	case 4:
		x := burn.Record{ID: "1", Entry: "Heron", Notes: rapid.SampledFrom([]string{"", "a gust", "rain"}).Draw(t, "notes")}
		_, saw, _ := b.Thing("burn", "Ring/1")
		if rapid.Bool().Draw(t, "stale") {
			saw = nil
		}
		if _, _, err := b.Put(context.Background(), Edit{Kind: "burn", Title: "Ring", Thing: &trial.Trial{Settings: trial.DefaultSettings(), Burns: []burn.Record{x}}, Saw: saw}); err != nil {
			t.Fatal(err)
		}
	default:
		_ = b.Undo(context.Background(), "burn", "Ring/1")
	}
}

// Two benches press, edit and merge at random: whoever merges them in which order
// sees the same trial, findings and moments, each press once; and what is seen
// goes out as a sheet and comes back without a word added.
func TestOrderOfMergingPressesDoesNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		benches := []*Bench{open(t, journaltest.NewMemory(), tester(1, "Fern")), open(t, journaltest.NewMemory(), tester(2, "Rowan"))}
		take(t, benches[0], bare, Refuse)
		merge(t, benches[0], benches[1])
		for n := range rapid.IntRange(1, 8).Draw(t, "acts") {
			i := rapid.IntRange(0, 1).Draw(t, "bench")
			act(t, benches[i], n)
			if rapid.IntRange(0, 4).Draw(t, "merge") == 0 {
				merge(t, benches[i], benches[1-i])
			}
		}
		looks := make([]*Bench, 2) // Fern on two other machines
		for i := range looks {
			looks[i] = open(t, journaltest.NewMemory(), tester(1, "Fern"))
			merge(t, benches[i], looks[i])
			merge(t, benches[1-i], looks[i])
		}
		x, fs, err := looks[0].Trial("Ring")
		y, gs, also := looks[1].Trial("Ring")
		if d := cmp.Diff(x, y, same) + cmp.Diff(fs, gs) + cmp.Diff(looks[0].Moments("Ring", "1"), looks[1].Moments("Ring", "1")); d != "" || err != nil || also != nil {
			t.Fatal(d, err, also)
		}
		seen := map[string]bool{}
		for _, m := range looks[0].Moments("Ring", "1") {
			if seen[m.Nonce] {
				t.Fatalf("the press %s is there twice", m.Nonce)
			}
			seen[m.Nonce] = true
		}
		looks[0].tester.Now = func() time.Time { return lit }
		r, err := looks[0].Take(context.Background(), x, Refuse)
		if len(r.Added)+len(r.Replaced)+len(r.Proposed) > 0 {
			t.Fatalf("%v %+v", err, r)
		}
	})
}
