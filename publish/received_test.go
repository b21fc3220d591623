package publish

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/finding"
	"fairburn/journal"
	"fairburn/journal/journaltest"
	"fairburn/pack"
	"fairburn/repeat"
	"fairburn/sheet"
)

// Invented; nobody burned anything for it.
const mine = `fairburn = 1
title = "Two burners"
invented = true
[site]
station_pressure = "985 hPa"
[[fuel]]
name = "bottle"
product = "spirit"
strength = "95 % vol"
known_by = "label"
[[pot]]
name = "pot"
mass = "110 g"
material = "titanium"
[[burner]]
name = "Ash"
family = "side jets"
dry_mass = "12 g"
[[entry]]
name = "Ash"
burner = "Ash"
pot = "pot"
fuel = "bottle"
[[burn]]
id = "1"
entry = "Ash"
tester = "Alder"
boil = "6:40"
out = "8:00"
[[burn]]
id = "2"
entry = "Ash"
tester = "Alder"
boil = "6:44"
out = "8:10"
`

// theirs is what a stranger makes of the same sheet.
func theirs(edits ...string) string { return strings.NewReplacer(edits...).Replace(mine) }

func packed(t testing.TB, title, text string, earlier *pack.Pack) *pack.Pack {
	t.Helper()
	at := made
	if earlier != nil {
		at = earlier.Made.Add(time.Hour)
	}
	p, err := pack.New(pack.About{Tool: "fairburn test", Title: title, Made: at, Earlier: earlier}, []pack.File{{Path: SheetName, Data: []byte(text), Says: "the sheet"}})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// benchOf is a tester's bench, with their trial on it where there is one.
func benchOf(t testing.TB, seed uint64, name, text string) (*bench.Bench, *journaltest.Memory) {
	t.Helper()
	store := journaltest.NewMemory()
	now := made
	b, err := bench.Open(context.Background(), store, bench.Tester{Key: journaltest.NewMaker(seed).Key, Name: name,
		Random: rand.NewChaCha8([32]byte{byte(seed)}), Now: func() time.Time { now = now.Add(time.Second); return now }})
	if err != nil {
		t.Fatal(err)
	}
	if text == "" {
		return b, store
	}
	x, _, err := sheet.Read("x.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.Take(context.Background(), x, bench.Refuse); err != nil {
		t.Fatal(err)
	}
	return b, store
}

func merge(t testing.TB, b *bench.Bench, store journal.Store, p *pack.Pack, replace bool) Merged {
	t.Helper()
	m, err := Merge(context.Background(), b, store, p, replace)
	if err != nil {
		t.Fatal(err, m.Findings)
	}
	return m
}

func sheetOf(t testing.TB, b *bench.Bench, title string) string {
	t.Helper()
	x, _, err := b.Trial(title)
	if err != nil {
		t.Fatal(err)
	}
	text, err := sheet.Write(x)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// records are the ids of all records in a store.
func records(t testing.TB, store journal.Store) (ids []journal.ID) {
	t.Helper()
	for e, err := range store.Since(context.Background(), 0, 1<<20) {
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, e.ID)
	}
	return ids
}

func codes(fs []finding.Finding) (cs []string) {
	for _, f := range fs {
		cs = append(cs, f.Code)
	}
	return cs
}

// Whatever a pack says, what this tester recorded stays as it was, and with --replace
// too: other figures under names of theirs, their title, their burns' ids, their name,
// an edition of somebody else's pack.
func TestNothingOfTheTestersOwnChanges(t *testing.T) {
	honest := packed(t, "From Fern", theirs("Two burners", "From Fern", "Alder", "Fern"), nil)
	for _, c := range []struct {
		name, text string
		earlier    *pack.Pack
		title      string // that it gets here
	}{
		{"the same sheet", mine, nil, "Two burners (%s)"},
		{"gear with other figures", theirs("110 g", "410 g", "12 g", "99 g", "95 % vol", "60 % vol"), nil, "Two burners (%s)"},
		{"burns with the same ids", theirs("6:40", "3:00", "6:44", "3:01", "Two burners", "Others"), nil, "Others"},
		{"the title with its author after it", theirs("Two burners", "Two burners (pack 00000000)"), nil, "Two burners (pack 00000000)"},
		{"a later edition of another's pack", theirs("6:40", "3:00", "110 g", "1 g"), honest, "From Fern"},
		{"one that says it repeats", theirs("6:40", "3:00", "6:44", "3:01", `title = "Two burners"`, "title = \"Faster\"\nrepeats = \"Two burners\""), nil, "Faster"},
	} {
		b, store := benchOf(t, 1, "Alder", mine)
		before, own := sheetOf(t, b, "Two burners"), records(t, store)
		if c.earlier != nil {
			merge(t, b, store, honest, false)
		}
		p := packed(t, "x", c.text, c.earlier)
		m := merge(t, b, store, p, true)
		if want := strings.Replace(c.title, "%s", m.Who, 1); m.Title != want || len(m.Proposed) > 0 {
			t.Errorf("%s: taken as %q, expected %q; proposed %v", c.name, m.Title, want, m.Proposed)
		}
		if after := sheetOf(t, b, "Two burners"); after != before {
			t.Errorf("%s: the tester's own trial was\n%s\nand is\n%s", c.name, before, after)
		}
		if !slices.Equal(records(t, store)[:len(own)], own) {
			t.Errorf("%s: records of the tester's are gone", c.name)
		}
		theirs, _, err := b.Trial(m.Title)
		if err != nil || len(theirs.Burns) != 2 {
			t.Fatal(c.name, err)
		}
		for _, r := range theirs.Burns {
			if !strings.HasSuffix(r.Tester, " ("+m.Who+")") {
				t.Errorf("%s: burn %s is %q's, expected the pack's", c.name, r.ID, r.Tester)
			}
		}
	}
}

// Two packs in which testers are not named, and one that calls its tester by this
// one's name, are three testers; a copy of one's own burns is none.
func TestPacksAreTestersOfTheirOwn(t *testing.T) {
	b, store := benchOf(t, 1, "Alder", mine)
	repeats := func(title string, edits ...string) string {
		return theirs(append(edits, `title = "Two burners"`, "title = \""+title+"\"\nrepeats = \"Two burners\"")...)
	}
	for _, text := range []string{
		repeats("second", "Alder", "tester 1", "6:40", "6:20"), repeats("third", "Alder", "tester 1", "6:44", "6:51"),
		repeats("named", "6:40", "5:00", "6:44", "5:01"), repeats("copy"),
	} {
		merge(t, b, store, packed(t, "x", text, nil), false)
	}
	var sources []repeat.Source
	for _, title := range b.Repeated("Two burners") {
		x, _, err := b.Trial(title)
		if err != nil {
			t.Fatal(err)
		}
		sources = append(sources, repeat.Source{Trial: x, Signed: b.Signed(title)})
	}
	parts, found := repeat.Parts(sources...)
	if len(sources) != 5 || len(parts) != 4 || !slices.Equal(codes(found), []string{"burns_twice"}) {
		t.Fatalf("%d trials, %d testers, %v", len(sources), len(parts), found)
	}
	for i, p := range parts {
		if pack := strings.Contains(p.Tester, "(pack "); pack != (i > 0) {
			t.Errorf("tester %d is %q", i, p.Tester)
		}
	}
}

// Editions: another one is refused without the tester's word, told with what it says
// of itself, and takes the place under the title that is here whatever it is called.
func TestEditionsTakeEachOthersPlace(t *testing.T) {
	b, store := benchOf(t, 1, "Alder", "")
	one := packed(t, "Two burners", mine, nil)
	two := packed(t, "Renamed", theirs("Two burners", "Renamed", "6:44", "6:45", "12 g", "13 g"), one)
	first := merge(t, b, store, one, false)
	kept := len(records(t, store))
	m, err := Merge(context.Background(), b, store, two, false)
	want := "the bench holds another edition of this pack: this one says that it is edition 2, made 2 May 2026, of a pack taken here as \"Two burners\", and has the checksum " + two.Sum()
	if !errors.Is(err, ErrEdition) || err.Error() != want || len(records(t, store)) != kept {
		t.Errorf("%v, want %s", err, want)
	}
	m = merge(t, b, store, two, true)
	if m.Who != first.Who || m.Title != "Two burners" || len(m.Replaced) != 2 || len(m.Added) > 0 || !slices.Contains(codes(m.Findings), "title_kept") {
		t.Errorf("%+v", m)
	}
	if got := sheetOf(t, b, "Two burners"); !strings.Contains(got, "6:45") || !strings.Contains(got, "13 g") || len(b.Trials()) != 1 {
		t.Error("the second edition does not stand:", got)
	}
	if _, err := Merge(context.Background(), b, store, one, false); !errors.Is(err, ErrEdition) {
		t.Error("an older edition took the place unasked:", err)
	}
	if again := merge(t, b, store, two, true); len(again.Added)+len(again.Replaced) > 0 {
		t.Errorf("the same again: %+v", again)
	}
}

// Two who take the same pack have the same records of it, so that exchanging them adds
// nothing and contradicts nothing.
func TestEveryBenchMakesTheSameRecords(t *testing.T) {
	p := packed(t, "Two burners", mine, nil)
	a, storeA := benchOf(t, 1, "Alder", "")
	b, storeB := benchOf(t, 2, "Bo", "")
	merge(t, a, storeA, p, false)
	merge(t, b, storeB, p, false)
	if !slices.Equal(records(t, storeA), records(t, storeB)) {
		t.Fatal("two benches made other records of one pack")
	}
	path := t.TempDir() + "/records.txt"
	if err := journal.BackupText(context.Background(), storeA, path); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	m, err := b.Merge(context.Background(), bytes.NewReader(data), path)
	if err != nil || len(m.New) > 0 || len(m.Findings) > 0 || m.Known != len(records(t, storeA)) {
		t.Errorf("%+v, %v", m, err)
	}
}

// A name proves nothing: a tester who calls themselves as a pack does is not taken for it.
func TestATesterWhoIsCalledLikeAPack(t *testing.T) {
	p := packed(t, "From Fern", theirs("Two burners", "From Fern"), nil)
	b, store := benchOf(t, 1, "pack "+p.Sum()[:8], mine)
	before := sheetOf(t, b, "Two burners")
	m := merge(t, b, store, p, true)
	if m.Title != "From Fern" || sheetOf(t, b, "Two burners") != before {
		t.Errorf("%+v", m)
	}
}

// Burns whose trial was withdrawn still hold its title.
func TestBurnsWithoutATrialAreNotAdopted(t *testing.T) {
	b, store := benchOf(t, 1, "Alder", mine)
	versions, err := b.History(context.Background(), "trial", "Two burners")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.Shun(context.Background(), versions[0].ID, "a test"); err != nil {
		t.Fatal(err)
	}
	if m := merge(t, b, store, packed(t, "x", theirs("6:40", "3:00"), nil), false); m.Title != "Two burners ("+m.Who+")" || len(m.Proposed) > 0 {
		t.Errorf("%+v", m)
	}
}

// failing is a disk that is full.
type failing struct{ *journaltest.Memory }

var errFull = errors.New("no space left on the disk")

func (f failing) Append(context.Context, journal.Batch) ([]journal.Outcome, error) {
	return nil, errFull
}

func TestNothingIsTakenByHalves(t *testing.T) {
	b, store := benchOf(t, 1, "Alder", mine)
	kept := len(records(t, store))
	away, cancel := context.WithCancel(context.Background())
	cancel()
	long := strings.Repeat("x", 3000)
	big := strings.Repeat("\n[[burn]]\nid = \"9\"\nentry = \"Ash\"\n", 2)
	for _, c := range []struct {
		name  string
		ctx   context.Context
		store journal.Store
		pack  *pack.Pack
		want  string
	}{
		{"full disk", context.Background(), failing{store}, packed(t, "x", theirs("Two burners", "Other"), nil), errFull.Error()},
		{"given up", away, store, packed(t, "x", theirs("Two burners", "Other"), nil), "context canceled"},
		{"no sheet", context.Background(), store, empty(t), "the pack holds no trial.toml that can be trusted"},
		{"no TOML", context.Background(), store, packed(t, "x", "{", nil), "trial.toml"},
		{"a reading that cannot be read", context.Background(), store, packed(t, "x", theirs("6:40", "soon"), nil), "some of trial.toml cannot be read, so nothing was taken"},
		{"a newer sheet", context.Background(), store, packed(t, "x", theirs("fairburn = 1", "fairburn = 99"), nil), "99"},
		{"huge title", context.Background(), store, packed(t, "x", theirs("Two burners", long), nil), "expected at most"},
		{"an id twice", context.Background(), store, packed(t, "x", mine+big, nil), "nothing was taken"},
		{"no title", context.Background(), store, packed(t, "x", theirs(`title = "Two burners"`, ""), nil), "nothing was taken"},
	} {
		m, err := Merge(c.ctx, b, c.store, c.pack, false)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v %v, want %s", c.name, err, m.Findings, c.want)
		}
		if got := records(t, store); len(got) != kept {
			t.Fatalf("%s: %d records were kept", c.name, len(got)-kept)
		}
	}
}

func empty(t *testing.T) *pack.Pack {
	p, err := pack.New(pack.About{Tool: "x", Title: "x", Made: made}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// What a pack's sheet says in its texts comes to no harm, and a sheet of another title
// than the pack's is pointed out.
func TestTextsOfAStrangersSheet(t *testing.T) {
	for _, title := range []string{`<script>alert(1)</script>`, `..\\..\\u001bx`, "a/b/../c", "=cmd|'/c calc'!A0", "title (pack 12345678)", "\u00e9 \u4e2d"} {
		b, store := benchOf(t, 1, "Alder", mine)
		m := merge(t, b, store, packed(t, "x", theirs("Two burners", title), nil), false)
		if x, _, err := b.Trial(m.Title); err != nil || len(x.Burns) != 2 || !slices.Contains(codes(m.Findings), "title_differs") {
			t.Errorf("%q: %v %v", title, err, m.Findings)
		}
	}
	b, store := benchOf(t, 1, "Alder", "")
	for _, text := range []string{`\u001b[2J`, `\u0000`, `\\\u0007`, `\u007f`, "\u009b2J", `\u202e`, "\u2066", `\r`, `\r\r\n`, `\b`, `\f`} {
		for _, where := range []string{"Two burners", "Alder", "titanium", "spirit"} {
			_, err := Merge(context.Background(), b, store, packed(t, "x", theirs(where, "x"+text+"y"), nil), false)
			if err == nil || len(b.Trials()) > 0 {
				t.Errorf("%q in place of %q was taken", text, where)
			}
		}
	}
	for _, text := range []string{`\r\n`, `\n`, `\t`, `\\b`, `\\u001b`} { // lines and backslashes are words
		b, store := benchOf(t, 1, "Alder", "")
		merge(t, b, store, packed(t, "x", mine+"notes = \"a"+text+"b\"\n", nil), false)
	}
	m := merge(t, b, store, packed(t, "Lies", mine, nil), false)
	want := `trial Two burners: caution: the pack calls itself "Lies" and its sheet "Two burners"; the sheet's title is used; look at what it is before you rely on it`
	if got := fmt.Sprint(m.Findings[len(m.Findings)-1]); !slices.ContainsFunc(m.Findings, func(f finding.Finding) bool { return f.String() == want }) {
		t.Errorf("got %s\nwant %s", got, want)
	}
}

// Two merges at once of one pack on one store come to one.
func TestTwoMergesAtOnce(t *testing.T) {
	b, store := benchOf(t, 1, "Alder", mine)
	p := packed(t, "x", theirs("Two burners", "Other"), nil)
	errs := make(chan error, 4)
	for range cap(errs) {
		go func() { _, err := Merge(context.Background(), b, store, p, false); errs <- err }()
	}
	for range cap(errs) {
		if err := <-errs; err != nil {
			t.Error(err)
		}
	}
	once, onceStore := benchOf(t, 1, "Alder", mine)
	merge(t, once, onceStore, p, false)
	if got, want := len(records(t, store)), len(records(t, onceStore)); got != want {
		t.Errorf("%d records, expected %d", got, want)
	}
}
