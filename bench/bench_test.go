package bench

import (
	"bytes"
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/journal"
	"fairburn/journal/journaltest"
	"fairburn/quantity"
	"fairburn/sheet"
	"fairburn/trial"
)

// same compares trials but for the places in the files they were read from.
var same = cmp.Options{
	cmpopts.EquateEmpty(),
	cmpopts.IgnoreFields(burn.Record{}, "Where"),
	cmp.Comparer(func(a, b quantity.Temperature) bool { return a == b }),
}

// fataler is what tests, benchmarks and properties have in common.
type fataler interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
}

// tester is one of several people; the same seed is the same person.
func tester(seed uint64, name string) Tester {
	now := time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC)
	return Tester{
		Key: journaltest.NewMaker(seed).Key, Name: name, Random: rand.NewChaCha8([32]byte{byte(seed), 1}),
		Now: func() time.Time { now = now.Add(time.Second); return now },
	}
}

func open(t fataler, store journal.Store, who Tester) *Bench {
	t.Helper()
	b, err := Open(context.Background(), store, who)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func read(t fataler, text string) *trial.Trial {
	t.Helper()
	x, fs, err := sheet.Read("x.toml", []byte(text))
	if err != nil || len(fs) > 0 {
		t.Fatal(err, fs)
	}
	return x
}

func take(t fataler, b *Bench, text string, clash Clash) Report {
	t.Helper()
	r, err := b.Take(context.Background(), read(t, text), clash)
	if err != nil {
		t.Fatal(err, r.Findings)
	}
	return r
}

func get(t fataler, b *Bench, title string) *trial.Trial {
	t.Helper()
	x, _, err := b.Trial(title)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// merge hands all records of one bench to another.
func merge(t fataler, from, to *Bench) Merged {
	t.Helper()
	var file bytes.Buffer
	if _, err := journal.WriteExchange(&file, from.store.Since(context.Background(), 0, journal.Whole)); err != nil {
		t.Fatal(err)
	}
	m, err := to.Merge(context.Background(), &file, "another bench")
	if err != nil || m.Refused > 0 {
		t.Fatal(err, m.Faults)
	}
	return m
}

// ring is a small trial, its pieces easy to exchange.
const ring = `fairburn = 1
title = "Ring"
invented = true
[[scale]]
name = "kitchen"
step = "1 g"
[[fuel]]
name = "bottle"
strength = "95 % vol"
[[burner]]
name = "Heron"
dry_mass = "9.6 g"
[[pot]]
name = "pot"
mass = "118 g"
[[entry]]
name = "Heron"
burner = "Heron"
pot = "pot"
fuel = "bottle"
[[burn]]
id = 1
entry = "Heron"
boil = "6:33"
[[burn]]
id = 2
entry = "Heron"
boil = "6:40"
`

func swap(old, new string) string { return strings.Replace(ring, old, new, 1) }

func has(t *testing.T, fs []finding.Finding, code, sentence string) {
	t.Helper()
	if !slices.ContainsFunc(fs, func(f finding.Finding) bool { return f.Code == code && strings.Contains(f.Sentence, sentence) }) {
		t.Errorf("no %s with %q in:\n%v", code, sentence, fs)
	}
}

func TestExamplesComeBackTheSame(t *testing.T) {
	files, _ := filepath.Glob("../docs/examples/*.toml")
	for _, file := range append(files, "../cmd/fairburn/demo.toml") {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(data), "[[leg]]") || strings.Contains(string(data), "[[clip]]") {
			continue // a trip or a film, of which a bench keeps nothing
		}
		store := journaltest.NewMemory()
		b := open(t, store, tester(1, "Fern"))
		want := read(t, string(data))
		take(t, b, string(data), Refuse)
		for _, b := range []*Bench{b, open(t, store, tester(2, "Rowan"))} {
			got, fs, err := b.Trial(want.Title)
			if err != nil || len(fs) > 0 {
				t.Fatal(err, fs)
			}
			if d := cmp.Diff(want, got, same); d != "" {
				t.Errorf("%s: %s", file, d)
			}
		}
		if r := take(t, b, string(data), Refuse); len(r.Added)+len(r.Replaced)+len(r.Proposed)+len(r.Findings) > 0 {
			t.Errorf("%s taken again: %+v", file, r)
		}
	}
}

func TestCorrectionsReplaceAndBothStay(t *testing.T) {
	store := journaltest.NewMemory()
	b := open(t, store, tester(1, "Fern"))
	if r := take(t, b, ring, Refuse); len(r.Added) != 7 {
		t.Fatalf("%+v", r)
	}
	r := take(t, b, swap(`"6:33"`, `"6:35"`), Refuse)
	if d := cmp.Diff(Report{Title: "Ring", Replaced: []Change{{"burn 1", `boil = "6:33"`, `boil = "6:35"`}}, Kept: 6}, r, cmpopts.EquateEmpty()); d != "" {
		t.Fatal(d)
	}
	r = take(t, b, swap(`boil = "6:33"`, "boil = \"6:35\"\nvoid = \"the lid slid off\""), Refuse)
	if len(r.Replaced) != 1 || r.Replaced[0].String() != `with void = "the lid slid off"` {
		t.Fatalf("%+v", r)
	}
	if r := take(t, b, ring, Refuse); len(r.Replaced) != 1 { // all undone
		t.Fatalf("%+v", r)
	}
	if d := cmp.Diff(read(t, ring), get(t, b, "Ring"), same); d != "" {
		t.Fatal(d)
	}
	parts, err := b.Parts("Ring")
	if err != nil || len(parts) != 7 || parts[6] != (Part{"burn", "2", "Ring/2"}) || parts[2] != (Part{"pot", "pot", "pot"}) {
		t.Error(err, parts)
	}
	h, err := b.History(context.Background(), "burn", burnSubject("Ring", "1"))
	if err != nil || len(h) != 4 {
		t.Fatal(err, h)
	}
	var states, changes []string
	for _, v := range h {
		states = append(states, v.State)
		for _, c := range v.Changes {
			changes = append(changes, c.String())
		}
	}
	if d := cmp.Diff([]string{"replaced", "replaced", "replaced", "holds"}, states); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{`boil = "6:35" in place of boil = "6:33"`, `with void = "the lid slid off"`,
		`boil = "6:33" in place of boil = "6:35"; void = "the lid slid off"`}, changes); d != "" {
		t.Error(d)
	}
	if r := take(t, b, swap(`invented = true`, `question = "Does it?"`), Refuse); len(r.Replaced) != 1 || r.Replaced[0].Thing != "trial Ring" {
		t.Fatalf("%+v", r)
	}
	if x := get(t, b, "Ring"); x.Question != "Does it?" || x.Invented {
		t.Error(x.Question)
	}
}

func TestABurnLeftOutOfTheSheetStays(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	take(t, b, ring, Refuse)
	r := take(t, b, ring[:strings.Index(ring, "[[burn]]")], Refuse)
	has(t, r.Findings, "burns_beyond_sheet", "2 burns of the trial are on the bench and not in what was taken; they stay: 1, 2")
	if n := len(get(t, b, "Ring").Burns); n != 2 {
		t.Error(n)
	}
}

func TestGearOfOneNameIsNotReplacedInSilence(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	take(t, b, ring, Refuse)
	other := strings.Replace(swap(`"118 g"`, `"120 g"`), `"Ring"`, `"Second ring"`, 1)
	r, err := b.Take(context.Background(), read(t, other), Refuse)
	if err == nil || err.Error() != `trial "Second ring": nothing was taken` {
		t.Fatal(err)
	}
	has(t, r.Findings, "gear_changed", `the bench has another of this name: mass = "120 g" in place of mass = "118 g"`)
	if r.Findings[0].Where.Subject != "pot pot" || r.Findings[0].Severity != finding.Fault || !strings.Contains(r.Findings[0].Remedy, `parent = "…"`) {
		t.Error(r.Findings[0])
	}
	if _, _, err := b.Trial("Second ring"); err == nil || err.Error() != `trial "Second ring" is not on the bench` {
		t.Error(err)
	}
	take(t, b, strings.Replace(other, `"pot"`, `"wide pot"`, 2), Refuse) // under a name of its own
	if r := take(t, b, swap(`"118 g"`, `"119 g"`), Replace); len(r.Replaced) != 1 || r.Replaced[0].Thing != "pot pot" {
		t.Fatalf("%+v", r)
	}
	if m := get(t, b, "Ring").Shelf.Pots[0].Mass.Text; m != "119 g" {
		t.Error(m)
	}
	if m := get(t, b, "Second ring").Shelf.Pots[0].Mass.Text; m != "120 g" {
		t.Error(m)
	}
}

// A reading in cups is one in a trial of US units and, as a value, in another.
func TestGearServesTrialsOfOtherUnits(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	us := swap(`mass = "118 g"`, "mass = \"118 g\"\nholds = \"4 cups\"")
	us = strings.Replace(us, "invented = true", "[settings]\nunits = \"us\"", 1)
	take(t, b, us, Refuse)
	metric := strings.Replace(swap(`mass = "118 g"`, "mass = \"118 g\"\nholds = \"946.352946 mL\""), `"Ring"`, `"Second ring"`, 1)
	if _, err := b.Take(context.Background(), read(t, metric), Refuse); err == nil {
		t.Error("946.352946 mL is not what was typed")
	}
	if d := cmp.Diff(read(t, us), get(t, b, "Ring"), same); d != "" {
		t.Error(d)
	}
}

func TestTitlesAndNamesThatCannotBeKept(t *testing.T) {
	long := strings.Repeat("long ", 40)
	for _, row := range []struct{ sheet, err, finding string }{
		{swap(`title = "Ring"`, ""), `trial "": nothing was taken`, `fault: the trial has no title, and a bench finds it by that; write title = "…" at the top of the sheet`},
		{swap(`"Ring"`, `"`+long+`"`), `taking trial "` + long + `": trial "` + long[:80] + `": its name takes 200 bytes, expected at most 140`, ""},
		{swap(`"Ring"`, `"two\nlines"`), "taking trial \"two\\nlines\": trial \"two\\nlines\": sealing a record: subject \"two\\nlines\": expected 1 to 200 bytes of text on one line", ""},
		{swap("id = 2", "id = 1"), `trial "Ring": nothing was taken`, `x.toml:25:3: burn 1: fault: two burns have the id "1"; number them apart`},
		{swap("name = \"pot\"\nmass", "mass"), `trial "Ring": nothing was taken`, `pot: fault: pot number 1 has no name; give it a name of its own`},
	} {
		store := journaltest.NewMemory()
		r, err := open(t, store, tester(1, "Fern")).Take(context.Background(), read(t, row.sheet), Refuse)
		if err == nil || err.Error() != row.err {
			t.Errorf("%v\nexpected\n%s", err, row.err)
		}
		if row.finding != "" && (len(r.Findings) == 0 || r.Findings[0].String() != row.finding) {
			t.Errorf("%v, expected %s", r.Findings, row.finding)
		}
		for range store.Since(context.Background(), 0, journal.Whole) {
			t.Error("something was taken")
		}
	}
}

func TestBurnsOfAnyTitleAndIdAreKeptApart(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	one := strings.NewReplacer(`"Ring"`, `"a"`, "id = 1", `id = "b/c"`, "id = 2", `id = "b%2Fc"`).Replace(ring)
	two := strings.NewReplacer(`"Ring"`, `"a/b"`, "id = 1", `id = "c"`, `"6:33"`, `"7:00"`).Replace(ring)
	take(t, b, one, Refuse)
	take(t, b, two, Refuse)
	for _, text := range []string{one, two} {
		want := read(t, text)
		if d := cmp.Diff(want, get(t, b, want.Title), same); d != "" {
			t.Error(d)
		}
	}
}
