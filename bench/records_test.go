package bench

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"io/fs"
	"iter"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fairburn/journal"
	"fairburn/journal/journaltest"
)

var update = flag.Bool("update", false, "write records that testdata lacks; those that are there stay as they were written")

// stored merges the records of a file into a new bench of Rowan's. With -update,
// fill writes them where they are not there.
func stored(t *testing.T, path string, fill func(*Bench)) *Bench {
	t.Helper()
	if _, err := os.Stat(path); *update && errors.Is(err, fs.ErrNotExist) {
		b := open(t, journaltest.NewMemory(), tester(1, "Fern (invented)"))
		fill(b)
		var file bytes.Buffer
		if _, err := journal.WriteExchange(&file, b.store.Since(context.Background(), 0, journal.Whole)); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, file.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	b := open(t, journaltest.NewMemory(), tester(2, "Rowan"))
	m, err := b.Merge(context.Background(), file, path)
	if err != nil || m.Refused > 0 || len(m.Findings) > 0 {
		t.Fatal(err, m.Faults, m.Findings)
	}
	return b
}

// Records of every version ever written stay readable: testdata keeps some of
// each kind, and the sheet that they came from.
func TestRecordsOfVersion1AreReadForEver(t *testing.T) {
	text, err := os.ReadFile("testdata/records-1.toml")
	if err != nil {
		t.Fatal(err)
	}
	b := stored(t, "testdata/records-1.txt", func(b *Bench) { take(t, b, string(text), Refuse) })
	for _, k := range append([]kind{trialKind, burnKind}, gearKinds...) {
		if len(b.fold.Subjects(k.name)) == 0 {
			t.Errorf("no record of the kind %s", k.name)
		}
	}
	want := read(t, string(text))
	if d := cmp.Diff(want, get(t, b, want.Title), same); d != "" {
		t.Error(d)
	}
}

// The same of moments, photos and what was withdrawn.
func TestMomentsPhotosAndWithdrawalsAreReadForEver(t *testing.T) {
	b := stored(t, "testdata/records-2.txt", func(b *Bench) {
		take(t, b, bare, Refuse)
		red := at(3, "boil", 392.96)
		red.Device = "the <red> phone, \"no. 2\""
		ready := at(8, "ready", -30)
		ready.Detail = "outdoors; lid in reach"
		pressAll(t, b, ready, at(1, "light", 0), at(2, "boil", 390), back(4, at(2, "boil", 390)), red, at(5, "spill", 20), at(6, "not_boiling", 380), at(7, "unseen", 425))
		rival := at(9, "out", 430)
		rival.Device = "blue"
		pressAll(t, b, at(10, "out", 433), rival)
		moments := b.Moments("Ring", "1")
		i := slices.IndexFunc(moments, func(m Moment) bool { return m.Device == "blue" })
		if err := b.SettleMark(context.Background(), "Ring", "1", moments[i].ID); err != nil {
			t.Fatal(err)
		}
		if _, err := b.AddPhoto(context.Background(), Shot{Kind: "burn", Subject: "Ring/1", Caption: "the notebook's page", JPEG: jpeg(40)}); err != nil {
			t.Fatal(err)
		}
		p, err := b.AddPhoto(context.Background(), Shot{Kind: "pot", Subject: "pot", JPEG: jpeg(50)})
		if err != nil {
			t.Fatal(err)
		}
		undo(t, b, "photo", p.Subject)
		put(t, b, pot(t, "mug", "90 g"))
		undo(t, b, "pot", "mug")
		undo(t, b, "burn", "Ring/2")
	})
	if got := timesOf(t, b, "1"); got != "not_boiling 6:20.0, boil 6:33.0, out 7:10.0, spill 0:20.0" {
		t.Error(got)
	}
	var moments []string
	for _, m := range b.Moments("Ring", "1") {
		moments = append(moments, m.What+" "+m.State+" "+m.Device+m.Detail)
	}
	slices.Sort(moments)
	if d := cmp.Diff([]string{`boil holds the <red> phone, "no. 2"`, "boil replaced phone", "boil taken back phone", "light holds phone", "not_boiling holds phone",
		"out holds blue", "out replaced blue", "out replaced phone", "ready holds phoneoutdoors; lid in reach", "spill holds phone", "unseen holds phone"}, moments); d != "" {
		t.Error(d)
	}
	if photos := b.Photos("burn", "Ring/1"); len(photos) != 1 || len(b.Photos("pot", "pot")) != 0 {
		t.Error(photos)
	} else if picture, caption, err := b.Photo(context.Background(), photos[0].ID); err != nil || len(picture) != 40 || caption != "the notebook's page" {
		t.Error(err, len(picture), caption)
	}
	if shelf, _ := b.Shelf(); len(shelf.Pots) != 1 || len(get(t, b, "Ring").Burns) != 1 {
		t.Error(shelf.Pots)
	}
}

// seal makes a record as some other program might.
func seal(t *testing.T, b *Bench, r journal.Record) journal.ID {
	t.Helper()
	r.Version = max(1, r.Version)
	before := b.seq
	r, err := b.stamped(r)
	if err == nil {
		err = b.keep(context.Background(), []journal.Record{r})
	}
	if err != nil {
		t.Fatal(err)
	}
	for e, err := range b.store.Since(context.Background(), before, journal.Whole) {
		if err != nil {
			t.Fatal(err)
		}
		return e.ID
	}
	t.Fatal("nothing was kept")
	return journal.ID{}
}

func TestBodiesThatBreakTheRules(t *testing.T) {
	for _, row := range []struct{ kind, subject, body, want string }{
		{"pot", "pot", `7`, "expected a body with a sheet in it"},
		{"pot", "pot", `{"sheet":""}`, "it is empty"},
		{"pot", "pot", `{"sheet":"fairburn = 2"}`, "this program knows version 1"},
		{"pot", "pot", `{"sheet":"fairburn = 1\n[[pot]]\nname=\"pot\"\nmass=\"5\""}`, "record:4:8: pot pot: pot.mass: fault"},
		{"pot", "pot", `{"sheet":"fairburn = 1\n[[lid]]\nname=\"pot\""}`, "expected one pot and nothing else, found 0 of it among 1 things"},
		{"pot", "pot", `{"sheet":"fairburn = 1\n[[pot]]\nname=\"pot\"\n[[burn]]\nid=1"}`, "expected one pot and nothing else, found 1 of it among 2 things"},
		{"trip", "Weekend", `{"sheet":"fairburn = 1\n[[leg]]\ndays = 2"}`, `expected a trip with a title, found none`},
		{"trip", "Weekend", `{"sheet":"fairburn = 1\ntitle=\"Weekend\"\nreserve=\"2 %\""}`, `for the chance of running dry`},
		{"trip", "Ring", `{"sheet":"fairburn = 1\ntitle=\"Ring\"\n[[burn]]\nid=1"}`, `it is the sheet of a trial`},
		{"trial", "Ring", `{"sheet":"fairburn = 1\nquestion=\"?\""}`, `expected a trial with a title and without burns, found the title "" and 0 burns`},
	} {
		b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
		seal(t, b, journal.Record{Kind: row.kind, Subject: row.subject, Body: []byte(row.body)})
		v, err := b.Verify(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		has(t, v.Findings, "record_set_aside", row.want)
	}
}

func TestRecordsFiledUnderAnotherName(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	take(t, b, ring, Refuse)
	seal(t, b, journal.Record{Kind: "burn", Subject: "Ring/7", Body: []byte(`{"sheet":"fairburn = 1\n[[burn]]\nid=8"}`)})
	_, fs, err := b.Trial("Ring")
	if err != nil {
		t.Fatal(err)
	}
	has(t, fs, "record_misplaced", `by Fern is about "8", not about what it is filed under; it is not used`)
	if n := len(get(t, b, "Ring").Burns); n != 2 {
		t.Error(n)
	}
}

func TestRecordsOfANewerVersion(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	take(t, b, ring, Refuse)
	old := b.fold.State("burn", "Ring/1").Live[0].ID
	id := seal(t, b, journal.Record{Kind: "burn", Version: 3, Subject: "Ring/1", Body: []byte(`{}`), Replaces: []journal.ID{old}})
	_, fs, err := b.Trial("Ring")
	if err != nil || boil(t, b, "1") != "" {
		t.Fatal(err)
	}
	has(t, fs, "record_newer", "is of a newer version than this program reads")
	if r, err := b.Take(context.Background(), read(t, ring), Refuse); err == nil {
		t.Errorf("taken over what cannot be read: %+v", r)
	}
	h, err := b.History(context.Background(), "burn", "Ring/1")
	if err != nil || len(h) != 2 || h[1].ID != id {
		t.Error(err, h)
	}
}

func TestShunnedRecordsGiveWay(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	take(t, b, ring, Refuse)
	take(t, b, swap(`"6:33"`, `"6:35"`), Refuse)
	id := b.fold.State("burn", "Ring/1").Live[0].ID
	if here, err := b.Shun(context.Background(), id, "typed into the wrong trial"); err != nil || !here || boil(t, b, "1") != "6:33" {
		t.Error(here, err, boil(t, b, "1"))
	}
	if here, err := b.Shun(context.Background(), journal.ID{1}, "never seen"); err != nil || here {
		t.Error(here, err)
	}
	if _, err := b.History(context.Background(), "burn", "Ring/9"); !errors.Is(err, ErrUnknown) || err.Error() != `burn "Ring/9" is not on the bench` {
		t.Error(err)
	}
	if _, err := b.History(context.Background(), "kettle", "x"); err == nil || err.Error() != `kind "kettle" is not on the bench` {
		t.Error(err)
	}
}

// altered hands out one record with a byte changed, as a damaged disk would.
type altered struct{ *journaltest.Memory }

func (a altered) Since(ctx context.Context, after int64, largest int) iter.Seq2[journal.Entry, error] {
	return func(yield func(journal.Entry, error) bool) {
		for e, err := range a.Memory.Since(ctx, after, largest) {
			if e.Seq == 6 {
				e.Bytes = bytes.Replace(slices.Clone(e.Bytes), []byte("6:33"), []byte("6:34"), 1)
			}
			if !yield(e, err) {
				return
			}
		}
	}
}

func TestOneDamagedRecordLeavesTheOthers(t *testing.T) {
	store := journaltest.NewMemory()
	take(t, open(t, store, tester(1, "Fern")), ring, Refuse)
	b, err := Open(context.Background(), altered{store}, tester(1, "Fern"))
	if err != nil {
		t.Fatal(err)
	}
	has(t, b.Findings(), "record_damaged", "was altered in the store")
	if x := get(t, b, "Ring"); len(x.Burns) != 1 {
		t.Error(len(x.Burns))
	}
	v, err := b.Verify(context.Background())
	if err != nil || len(v.Findings) != 1 || v.Findings[0].Code != "record_altered" || !strings.HasPrefix(v.Findings[0].Where.Subject, "record ") {
		t.Error(err, v.Findings)
	}
}

func TestGearThatIsNowhereDescribed(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	take(t, b, ring, Refuse)
	if _, err := b.Shun(context.Background(), b.fold.State("pot", "pot").Live[0].ID, "test"); err != nil {
		t.Fatal(err)
	}
	_, fs, err := b.Trial("Ring")
	if err != nil {
		t.Fatal(err)
	}
	has(t, fs, "gear_missing_here", "the trial was taken with it and no record describes it here")
}
