package bench

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"fairburn/burn"
	"fairburn/journal"
	"fairburn/journal/journaltest"
	"fairburn/trial"
)

func TestTheLogComesInPages(t *testing.T) {
	b := fresh(t, ring)
	if _, err := b.AddPhoto(context.Background(), Shot{Kind: "pot", Subject: "pot", JPEG: jpeg(2 * largestKept)}); err != nil {
		t.Fatal(err)
	}
	pressAll(t, b, at(1, "light", 0), at(2, "light", 3))
	put(t, b, pot(t, "pot", "119 g"))
	page := func(skip, n int) (states []string) {
		t.Helper()
		all, total := b.Log(skip, n)
		if total != 11 {
			t.Fatal(total)
		}
		for _, l := range all {
			if l.From != "this bench" || l.Received.IsZero() || l.Tester != "Fern" {
				t.Errorf("%+v", l)
			}
			states = append(states, fmt.Sprintf("%s %s %v", l.Kind, l.State, l.Corrects))
		}
		return states
	}
	whole := page(0, 100)
	if d := cmp.Diff([]string{"pot holds true", "mark rival false", "mark rival false", "photo holds false", "burn holds false"}, whole[:5]); d != "" || len(whole) != 11 {
		t.Error(d, len(whole))
	}
	if n := slices.Index(whole, "pot replaced false"); n < 5 {
		t.Error(whole)
	}
	var pages []string
	for skip := 0; skip < 12; skip += 4 {
		pages = append(pages, page(skip, 4)...)
	}
	if d := cmp.Diff(whole, pages); d != "" {
		t.Error(d)
	}
	if got := append(page(11, 4), append(page(1000, 4), page(0, 0)...)...); len(got) > 0 || len(page(-3, 100)) != 11 || len(page(0, -1)) != 0 {
		t.Error(got)
	}
	_, live, _ := b.Thing("pot", "pot")
	if _, err := b.Shun(context.Background(), live[0], "test"); err != nil {
		t.Fatal(err)
	}
	if all, total := b.Log(0, 100); total != 10 || len(all) != 10 {
		t.Error(total, len(all))
	}
}

func TestVersionsChangeWithWhatMatters(t *testing.T) {
	b := fresh(t, ring)
	take(t, b, strings.Replace(ring, `"Ring"`, `"Wing"`, 1), Refuse)
	var photo Photo
	var id journal.ID
	gust := func() error {
		x := get(t, b, "Ring").Burns[0]
		x.Notes = "a gust"
		_, _, err := b.Put(context.Background(), Edit{Kind: "burn", Title: "Ring", Thing: &trial.Trial{Settings: trial.DefaultSettings(), Burns: []burn.Record{x}}})
		return err
	}
	for _, x := range []struct {
		what       string
		do         func() error
		ring, wing bool
	}{
		{"nothing", func() error { return b.Refresh(context.Background()) }, false, false},
		{"a light", func() error { return b.Press(context.Background(), []Press{at(1, "light", 0)}) }, true, false},
		{"the same again", func() error { return b.Press(context.Background(), []Press{at(1, "light", 0)}) }, false, false},
		{"a rival", func() error { return b.Press(context.Background(), []Press{at(2, "light", 3)}) }, true, false},
		{"a choice", func() error { return b.SettleMark(context.Background(), "Ring", "1", b.Moments("Ring", "1")[0].ID) }, true, false},
		{"a note", gust, true, false},
		{"its undo", func() error { return b.Undo(context.Background(), "burn", "Ring/1") }, true, false},
		{"the trial", func() error { return b.Undo(context.Background(), "trial", "Wing") }, false, true},
		{"a pot", func() error {
			_, _, err := b.Put(context.Background(), Edit{Kind: "pot", Thing: pot(t, "pot", "119 g")})
			return err
		}, true, true},
		{"a photo", func() (err error) {
			photo, err = b.AddPhoto(context.Background(), Shot{Kind: "pot", Subject: "pot", JPEG: jpeg(9)})
			return err
		}, true, true},
		{"its undo", func() error { return b.Undo(context.Background(), "photo", photo.Subject) }, true, true},
		{"a shun", func() error {
			id = b.Moments("Ring", "1")[0].ID
			_, err := b.Shun(context.Background(), id, "test")
			return err
		}, true, true},
	} {
		all, ring, wing := b.Version(""), b.Version("Ring"), b.Version("Wing")
		if err := x.do(); err != nil {
			t.Fatal(x.what, err)
		}
		if b.Version("Ring") != ring != x.ring || b.Version("Wing") != wing != x.wing || b.Version("") != all != (x.ring || x.wing) {
			t.Errorf("%s: Ring %d to %d, Wing %d to %d, all %d to %d", x.what, ring, b.Version("Ring"), wing, b.Version("Wing"), all, b.Version(""))
		}
	}
}

// The list reads what is said of trials, and no burn but one that was withdrawn.
func TestTheListReadsNoBurns(t *testing.T) {
	store := journaltest.NewMemory()
	b := open(t, store, tester(1, "Fern"))
	take(t, b, ring, Refuse)
	take(t, b, strings.Replace(ring, `"Ring"`, `"Wing"`, 1), Refuse)
	undo(t, b, "burn", "Wing/2")
	pressAll(t, b, at(1, "light", 0))
	b = open(t, store, tester(1, "Fern"))
	read := map[string]int{}
	kinds := Kinds()
	for name, k := range kinds {
		kinds[name] = journal.Kind{Newest: k.Newest, Read: func(version int, body json.RawMessage) (any, error) { read[name]++; return k.Read(version, body) }}
	}
	b.fold, b.index, b.seq = journal.NewFold(kinds), newIndex(), 0
	if err := b.Refresh(context.Background()); err != nil {
		t.Fatal(err)
	}
	b.Version("Ring")
	pressAll(t, b, at(2, "boil", 390))
	if d := cmp.Diff(map[string]int{}, read); d != "" {
		t.Errorf("opening, a version and a press read bodies: %s", d)
	}
	want := []Listed{{Title: "Ring", Entries: 1, Burns: 2, Invented: true, Own: true, By: []string{"Fern"}}, {Title: "Wing", Entries: 1, Burns: 1, Invented: true, Own: true, By: []string{"Fern"}}}
	if d := cmp.Diff(want, b.List()); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(map[string]int{"trial": 2, "burn": 2}, read); d != "" {
		t.Error(d)
	}
}

// Erasing a record takes nothing else from the lists, whatever it is called.
func TestErasingABurnLeavesMomentsOfTheSameSubject(t *testing.T) {
	b := fresh(t, bare)
	pressAll(t, b, at(1, "light", 0), at(2, "boil", 390))
	take(t, b, strings.NewReplacer(`"Ring"`, `"Ring/1"`, "id = 1", `id = "boil"`).Replace(bare), Refuse)
	_, live, _ := b.Thing("burn", BurnSubject("Ring/1", "boil")) // as the moment is filed
	if here, err := b.Shun(context.Background(), live[0], "test"); err != nil || !here {
		t.Fatal(here, err)
	}
	if got := timesOf(t, b, "1"); got != "boil 6:30.0" {
		t.Error(got)
	}
}
