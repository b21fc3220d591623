package bench

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/journal"
	"fairburn/journal/journaltest"
	"fairburn/trial"
)

// pot is a pot of a mass alone, as a page would have it.
func pot(t fataler, name, mass string) *trial.Trial {
	t.Helper()
	x := read(t, "fairburn = 1\n[[pot]]\nname = \""+name+"\"\nmass = \""+mass+"\"\n")
	x.Title = ""
	return x
}

// put keeps a pot and returns what it did in words.
func put(t fataler, b *Bench, x *trial.Trial, saw ...[]journal.ID) string {
	t.Helper()
	e := Edit{Kind: "pot", Thing: x}
	if len(saw) > 0 {
		e.Saw = saw[0]
	}
	r, subject, err := b.Put(context.Background(), e)
	if err != nil || subject != x.Shelf.Pots[0].Name {
		t.Fatal(err, subject)
	}
	words := strings.Join(r.Added, "; ")
	if words != "" {
		words = "added " + words
	}
	for _, c := range r.Replaced {
		words += "replaced " + c.String()
	}
	for _, c := range r.Proposed {
		words += "proposed " + c.String()
	}
	for _, f := range r.Findings {
		words += "; " + f.Code
	}
	return words
}

func undo(t fataler, b *Bench, kind, subject string) {
	t.Helper()
	if err := b.Undo(context.Background(), kind, subject); err != nil {
		t.Fatal(err)
	}
}

// mass is what holds for a pot: its mass, "" where there is none, "rivals".
func mass(t fataler, b *Bench, name string) string {
	t.Helper()
	x, live, _ := b.Thing("pot", name)
	switch {
	case x != nil:
		return x.Shelf.Pots[0].Mass.Text
	case len(live) > 1:
		return "rivals"
	}
	return ""
}

func saw(b *Bench, name string) []journal.ID {
	_, live, _ := b.Thing("pot", name)
	return live
}

func TestAThingIsPutCorrectedAndUndone(t *testing.T) {
	store := journaltest.NewMemory()
	b := open(t, store, tester(1, "Fern"))
	if got := put(t, b, pot(t, "mug", "90 g"), []journal.ID{}); got != "added pot mug" {
		t.Error(got)
	}
	if got := put(t, b, pot(t, "mug", "90 g")); got != "" {
		t.Error(got)
	}
	if got := put(t, b, pot(t, "mug", "95 g"), saw(b, "mug")); got != `replaced mass = "95 g" in place of mass = "90 g"` {
		t.Error(got)
	}
	for i, want := range []string{"90 g", "95 g", "90 g"} { // undo twice is do it again
		if undo(t, b, "pot", "mug"); mass(t, b, "mug") != want {
			t.Error(i, mass(t, b, "mug"))
		}
	}
	if got := mass(t, open(t, store, tester(1, "Fern")), "mug"); got != "90 g" {
		t.Error(got)
	}
	for _, x := range []struct{ kind, subject string }{{"pot", "cup"}, {"kettle", "mug"}, {"", ""}} {
		if err := b.Undo(context.Background(), x.kind, x.subject); !errors.Is(err, ErrUnknown) || !strings.Contains(err.Error(), "nothing of yours stands there, so there is nothing to undo") {
			t.Error(err)
		}
	}
}

func TestANewThingIsWithdrawn(t *testing.T) {
	fern, rowan := open(t, journaltest.NewMemory(), tester(1, "Fern")), open(t, journaltest.NewMemory(), tester(2, "Rowan"))
	put(t, fern, pot(t, "mug", "90 g"))
	for i, want := range []string{"", "90 g", ""} {
		undo(t, fern, "pot", "mug")
		merge(t, fern, rowan)
		for _, b := range []*Bench{fern, rowan} {
			shelf, fs := b.Shelf()
			if mass(t, b, "mug") != want || len(shelf.Pots) != len(want)/4 || len(fs) > 0 {
				t.Error(i, mass(t, b, "mug"), shelf.Pots, fs)
			}
		}
	}
	if got := put(t, fern, pot(t, "mug", "95 g"), []journal.ID{}); got != "added pot mug" || mass(t, fern, "mug") != "95 g" {
		t.Error(got, mass(t, fern, "mug"))
	}
	h, err := fern.History(context.Background(), "pot", "mug")
	if err != nil || len(h) != 5 || h[4].State != "holds" || h[3].State != "replaced" {
		t.Fatal(err, h)
	}
	if h[1].Text != "withdrawn = true\n" || !strings.HasPrefix(h[1].Changes[0].String(), "withdrawn = true in place of ") || !strings.HasSuffix(h[2].Changes[0].String(), "in place of withdrawn = true") {
		t.Errorf("%q: %v, then %v", h[1].Text, h[1].Changes, h[2].Changes)
	}
	if undo(t, fern, "pot", "mug"); mass(t, fern, "mug") != "" {
		t.Error(mass(t, fern, "mug"))
	}
}

func TestCorrectionsBySomebodyWhoHadNotSeenWhatStands(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	put(t, b, pot(t, "mug", "90 g"))
	seen := saw(b, "mug")
	put(t, b, pot(t, "mug", "91 g"), seen)
	if got := put(t, b, pot(t, "mug", "92 g"), seen); got != "added pot mug; changed_meanwhile" || mass(t, b, "mug") != "rivals" {
		t.Error(got, mass(t, b, "mug"))
	}
	if _, live, fs := b.Thing("pot", "mug"); len(live) != 2 {
		t.Error(live)
	} else {
		has(t, fs, "records_disagree", `by Fern (mass = "92 g")`)
	}
	if undo(t, b, "pot", "mug"); mass(t, b, "mug") != "91 g" { // the last word alone is taken back
		t.Error(mass(t, b, "mug"))
	}
	if undo(t, b, "pot", "mug"); mass(t, b, "mug") != "92 g" {
		t.Error(mass(t, b, "mug"))
	}
	if got := put(t, b, pot(t, "mug", "92 g"), seen); got != "" { // what stands anyway
		t.Error(got)
	}
	if got := put(t, b, pot(t, "mug", "93 g"), saw(b, "mug")); got != `replaced mass = "93 g" in place of mass = "92 g"` {
		t.Error(got)
	}
}

func TestRivalsOfOneTesterAreSettled(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	put(t, b, pot(t, "mug", "90 g"))
	put(t, b, pot(t, "mug", "92 g"), []journal.ID{{1}})
	if mass(t, b, "mug") != "rivals" {
		t.Fatal(mass(t, b, "mug"))
	}
	for _, id := range saw(b, "mug") {
		if r, _ := b.fold.Record(id); strings.Contains(string(r.Body), "92 g") {
			if err := b.Settle(context.Background(), id); err != nil {
				t.Fatal(err)
			}
		}
	}
	if mass(t, b, "mug") != "92 g" {
		t.Error(mass(t, b, "mug"))
	}
}

func TestSettlingIsUndone(t *testing.T) {
	fern, rowan := open(t, journaltest.NewMemory(), tester(1, "Fern")), open(t, journaltest.NewMemory(), tester(2, "Rowan"))
	hazel := open(t, journaltest.NewMemory(), tester(3, "Hazel"))
	take(t, fern, ring, Refuse)
	take(t, rowan, swap(`"6:33"`, `"6:35"`), Refuse)
	merge(t, fern, hazel)
	merge(t, rowan, hazel)
	choose(t, hazel, "Rowan")
	for i, want := range []string{"", "6:35", ""} {
		undo(t, hazel, "burn", "Ring/1")
		if got := boil(t, hazel, "1"); got != want {
			t.Error(i, got)
		}
	}
	merge(t, rowan, fern)
	choose(t, fern, "Rowan")
	if boil(t, fern, "1") != "6:35" {
		t.Error(boil(t, fern, "1"))
	}
	if undo(t, fern, "burn", "Ring/1"); boil(t, fern, "1") != "" {
		t.Error(boil(t, fern, "1"))
	}
}

func TestAProposalIsUndone(t *testing.T) {
	fern, rowan := two(t)
	x := get(t, rowan, "Ring").Burns[0]
	x.Notes = "a gust"
	e := Edit{Kind: "burn", Title: "Ring", Thing: &trial.Trial{Settings: trial.DefaultSettings(), Burns: []burn.Record{x}}}
	if r, _, err := rowan.Put(context.Background(), e); err != nil || len(r.Proposed) != 1 {
		t.Fatal(err, r)
	}
	for _, want := range []int{0, 1, 0} { // and done again
		undo(t, rowan, "burn", "Ring/1")
		merge(t, rowan, fern)
		for _, b := range []*Bench{fern, rowan} {
			if got := brief(b); len(got) != want {
				t.Error(got, want)
			}
		}
	}
	if r, _, err := rowan.Put(context.Background(), e); err != nil || len(r.Proposed) != 1 || len(brief(rowan)) != 1 {
		t.Error(err, r)
	}
	log, _ := rowan.Log(0, 100)
	if n := len(slices.DeleteFunc(log, func(l Logged) bool { return l.State != "proposed" })); n != 1 {
		t.Errorf("%d records proposed", n)
	}
	if boil(t, fern, "1") != "6:33" || boil(t, rowan, "1") != "6:33" {
		t.Error("the proposal is in use")
	}
}

// A pot is called so by many; a new one of one's own is no correction of another's.
func TestANewPotOfANameThatAnotherUses(t *testing.T) {
	fern, rowan := two(t)
	if got := put(t, rowan, pot(t, "pot", "95 g"), []journal.ID{}); got != "added pot pot" || mass(t, rowan, "pot") != "95 g" {
		t.Error(got, mass(t, rowan, "pot"))
	}
	if m := get(t, rowan, "Ring").Shelf.Pots[0].Mass.Text; m != "118 g" { // Fern's trial, Fern's pot
		t.Error(m)
	}
	merge(t, rowan, fern)
	waits(t, fern)
	waits(t, rowan)
	_, hazel := two(t)
	if got := put(t, hazel, pot(t, "pot", "120 g"), saw(hazel, "pot")); got != `proposed mass = "120 g" in place of mass = "118 g"` {
		t.Error(got)
	}
}

func TestThingsThatCannotBePut(t *testing.T) {
	b := fresh(t, ring)
	none := &trial.Trial{Settings: trial.DefaultSettings()}
	nameless := &trial.Trial{Settings: trial.DefaultSettings(), Shelf: gear.Shelf{Pots: []gear.Pot{{}}}}
	lit := &trial.Trial{Settings: trial.DefaultSettings(), Burns: []burn.Record{{ID: "1"}}}
	long := pot(t, strings.Repeat("p", longestSubject+1), "90 g")
	for _, x := range []struct {
		edit Edit
		want string
	}{
		{Edit{Kind: "kettle", Thing: none}, `kind "kettle" is not on the bench`},
		{Edit{Kind: "pot", Thing: none}, "a pot without a name cannot be found again"},
		{Edit{Kind: "pot", Thing: nameless}, "a pot without a name cannot be found again"},
		{Edit{Kind: "trial", Thing: none}, "a trial without a name cannot be found again"},
		{Edit{Kind: "burn", Thing: lit}, "a burn without a name cannot be found again"},
		{Edit{Kind: "pot", Thing: long}, `pot "` + strings.Repeat("p", 80) + `": its name takes 151 bytes, expected at most 150`},
		{Edit{Kind: "pot", Thing: pot(t, "two\\nlines", "90 g")}, `pot "two\nlines": sealing a record: subject "two\nlines": expected 1 to 200 bytes of text on one line`},
	} {
		if _, _, err := b.Put(context.Background(), x.edit); err == nil || err.Error() != x.want {
			t.Errorf("%v\nexpected\n%s", err, x.want)
		}
	}
	if n := records(t, b); n != 7 {
		t.Error(n)
	}
}

// The longest names still leave room for moments and photos.
func TestTheLongestNames(t *testing.T) {
	title, id := strings.Repeat("t", LongestTitle), strings.Repeat("i", longestSubject-LongestTitle-1)
	b := fresh(t, strings.NewReplacer(`"Ring"`, `"`+title+`"`, "id = 1", `id = "`+id+`"`).Replace(ring))
	for _, what := range append(burn.Marks(), burn.Mark(Unseen), burn.Mark(burn.LidChanged)) {
		p := at(len(what), string(what), 1)
		p.Title, p.Burn = title, id
		pressAll(t, b, p)
	}
	if _, err := b.AddPhoto(context.Background(), Shot{Kind: "burn", Subject: BurnSubject(title, id), JPEG: jpeg(10)}); err != nil {
		t.Error(err)
	}
}

func TestAWithdrawnTrialIsGone(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	head := read(t, ring)
	head.Burns = nil
	if _, _, err := b.Put(context.Background(), Edit{Kind: "trial", Thing: head, Saw: []journal.ID{}}); err != nil {
		t.Fatal(err)
	}
	if _, fs, err := b.Trial("Ring"); err != nil || len(fs) != 4 {
		t.Error(err, fs)
	}
	undo(t, b, "trial", "Ring")
	if _, _, err := b.Trial("Ring"); !errors.Is(err, ErrUnknown) || len(b.List()) != 0 || len(b.Trials()) != 0 || len(b.Findings()) != 0 {
		t.Error(err, b.List(), b.Trials(), b.Findings())
	}
	undo(t, b, "trial", "Ring")
	take(t, b, ring, Refuse)
	undo(t, b, "pot", "pot")
	has(t, found(t, b), "gear_missing_here", "the trial was taken with it and it was withdrawn since")
	undo(t, b, "trial", "Ring")
	has(t, b.Findings(), "burn_without_trial", "its trial was withdrawn")
	undo(t, b, "trial", "Ring")
	undo(t, b, "burn", "Ring/1")
	if l := b.List(); len(l) != 1 || l[0].Burns != 1 {
		t.Error(l)
	}
	if n := len(get(t, b, "Ring").Burns); n != 1 {
		t.Error(n)
	}
}

// Who takes back a word of their own that contradicted another's contradicts
// nobody any more, on either bench.
func TestARivalTakenBackLeavesTheOther(t *testing.T) {
	fern, rowan := open(t, journaltest.NewMemory(), tester(1, "Fern")), open(t, journaltest.NewMemory(), tester(2, "Rowan"))
	head := read(t, "fairburn = 1\ntitle = \"Ring\"\n[[burner]]\nname = \"Sedge\"\n[[entry]]\nname = \"Sedge\"\nburner = \"Sedge\"\n")
	if _, err := fern.Take(t.Context(), head, Refuse); err != nil {
		t.Fatal(err)
	}
	merge(t, fern, rowan)
	burned := func(b *Bench, boil string) {
		t.Helper()
		x := read(t, "fairburn = 1\n[[burn]]\nid = 1\nentry = \"Sedge\"\nboil = \""+boil+"\"\n")
		if _, _, err := b.Put(t.Context(), Edit{Kind: "burn", Title: "Ring", Thing: x, Saw: []journal.ID{}}); err != nil {
			t.Fatal(err)
		}
	}
	burned(fern, "6:30")
	burned(rowan, "6:40")
	merge(t, fern, rowan)
	merge(t, rowan, fern)
	for _, b := range []*Bench{fern, rowan} {
		if n := len(get(t, b, "Ring").Burns); n != 0 {
			t.Fatalf("%d burns though the records contradict each other", n)
		}
	}
	for _, want := range []int{1, 0, 1} { // taken back, said again, taken back
		undo(t, rowan, "burn", "Ring/1")
		merge(t, rowan, fern)
		for _, b := range []*Bench{fern, rowan} {
			burns := get(t, b, "Ring").Burns
			if len(burns) != want || want == 1 && burns[0].Marks["boil"].Text != "6:30" {
				t.Errorf("burns %v, expected %d with Fern's time", burns, want)
			}
		}
	}
}
