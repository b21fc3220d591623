// Package journaltest holds every store to one suite, and brings what tests of
// stores and of their users need: a maker of records, and a store in memory.
//
// Read suite.go first.
package journaltest

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"fairburn/journal"
)

// Bench is a place for records under test.
type Bench struct {
	// Open opens the bench; called again it opens the same one a second time.
	Open func(t testing.TB) journal.Store
	// Restore opens what Backup wrote to path as a bench of its own.
	Restore func(t testing.TB, path string) journal.Store
	// Forgets says that nothing outlives Close and that there is no second handle.
	Forgets bool
	// Heeds says that Watch hears of what is done through another handle.
	Heeds bool
}

// Run holds a kind of store to the contract of journal.Store. empty makes a new
// place each time.
func Run(t *testing.T, empty func(t testing.TB) Bench) {
	for _, test := range []struct {
		name string
		run  func(*testing.T, Bench)
	}{
		{"bytes come back as they were", bytesComeBack},
		{"appending again changes nothing", againIsKnown},
		{"twenty writers lose nothing", writersLoseNone},
		{"order holds while others write", orderHolds},
		{"bodies stay in the store", bodiesStay},
		{"a record's beginning is read alone", beginningAlone},
		{"a restart finds everything", restartFinds},
		{"shunned records go and stay away", shunnedStay},
		{"a backup opens and equals", backupEquals},
		{"a watcher hears of changes", watcherHears},
		{"a closed store refuses", closedRefuses},
		{"an ended context is told", contextEnds},
	} {
		t.Run(test.name, func(t *testing.T) { test.run(t, empty(t)) })
	}
}

var ctx = context.Background()

// receipt has microseconds, the finest that a store keeps.
var receipt = journal.Receipt{At: time.Date(2026, 5, 1, 9, 30, 0, 123456000, time.UTC), From: "phone 3, “Brück”"}

func add(t testing.TB, s journal.Store, records ...journal.Stored) []journal.Outcome {
	t.Helper()
	outcomes, err := s.Append(ctx, journal.Batch{Records: records, Receipt: receipt})
	if err != nil {
		t.Fatal(err)
	}
	return outcomes
}

// All reads every entry after a sequence number in full.
func All(t testing.TB, s journal.Store, after int64) []journal.Entry {
	t.Helper()
	var all []journal.Entry
	for e, err := range s.Since(ctx, after, journal.Whole) {
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, e)
	}
	return all
}

func sameEntry(a, b journal.Entry) bool {
	return a.ID == b.ID && string(a.Bytes) == string(b.Bytes) && a.Signer.Equal(b.Signer) &&
		string(a.Signature) == string(b.Signature) && a.Cut == b.Cut
}

func bytesComeBack(t *testing.T, b Bench) {
	s, m := b.Open(t), NewMaker(1)
	records := []journal.Stored{m.Make("a", `{"note": "Grüße, \u00e9 \\ \" 火  <&> 1.50e+3"}`), m.Make("b", `[]`), m.Make("c", Blob(300_000)), m.Make("d", `0`)}
	for _, o := range add(t, s, records...) {
		if o != journal.Added {
			t.Errorf("outcome %d, expected Added", o)
		}
	}
	all := All(t, s, 0)
	if len(all) != len(records) {
		t.Fatalf("%d entries, expected %d", len(all), len(records))
	}
	for i, e := range all {
		if !sameEntry(e, journal.Entry{Stored: records[i]}) {
			t.Errorf("record %d came back otherwise: %.200q", i, e.Bytes)
		}
		if _, err := e.Check(); err != nil {
			t.Errorf("record %d: %v", i, err)
		}
		if !e.Receipt.At.Equal(receipt.At) || e.Receipt.From != receipt.From {
			t.Errorf("receipt %v, expected %v", e.Receipt, receipt)
		}
	}
}

func againIsKnown(t *testing.T, b Bench) {
	s, m := b.Open(t), NewMaker(2)
	first, second := m.Make("a", `1`), m.Make("b", `2`)
	add(t, s, first)
	got := add(t, s, first, second, second)
	if want := []journal.Outcome{journal.Known, journal.Added, journal.Known}; !slices.Equal(got, want) {
		t.Errorf("outcomes %v, expected %v", got, want)
	}
	if n := len(All(t, s, 0)); n != 2 {
		t.Errorf("%d entries, expected 2", n)
	}
	if got := add(t, s); len(got) != 0 {
		t.Errorf("outcomes %v of nothing", got)
	}
}

// writersLoseNone lets twenty writers append, half of them the same records.
func writersLoseNone(t *testing.T, b Bench) {
	const writers, each = 20, 25
	s := b.Open(t)
	var wg sync.WaitGroup
	var mu sync.Mutex
	want, added := map[journal.ID]bool{}, 0
	for w := range writers {
		wg.Go(func() {
			m := NewMaker(uint64(100 + w/2))
			for i := range each {
				r := m.Make(fmt.Sprintf("mark %d", i), `{"m":1}`)
				o, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{r}, Receipt: receipt})
				if err != nil {
					t.Error(err)
					return
				}
				mu.Lock()
				want[r.ID] = true
				if o[0] == journal.Added {
					added++
				}
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	all := All(t, s, 0)
	for _, e := range all {
		delete(want, e.ID)
	}
	if len(want) != 0 || len(all) != writers*each/2 || added != len(all) {
		t.Errorf("%d acknowledged records lost; %d kept and %d told as added, expected %d", len(want), len(all), added, writers*each/2)
	}
}

// orderHolds follows a store by its sequence while others append: whoever asks
// only for what is newer must miss nothing.
func orderHolds(t *testing.T, b Bench) {
	const writers, each = 4, 20
	s := b.Open(t)
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			other := s
			if !b.Forgets {
				other = b.Open(t)
			}
			m := NewMaker(uint64(200 + w))
			for i := range each {
				if _, err := other.Append(ctx, journal.Batch{Records: []journal.Stored{m.Make(fmt.Sprint(i), `1`)}}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	done := make(chan struct{})
	go func() { wg.Wait(); close(done) }()
	seen, last := 0, int64(0)
	for ended := false; !ended; {
		select {
		case <-done:
			ended = true
		default:
		}
		for _, e := range All(t, s, last) {
			if e.Seq <= last {
				t.Fatalf("sequence %d after %d", e.Seq, last)
			}
			seen, last = seen+1, e.Seq
		}
	}
	if seen != writers*each {
		t.Errorf("%d entries seen in passing, expected %d", seen, writers*each)
	}
}

func restartFinds(t *testing.T, b Bench) {
	if b.Forgets {
		t.Skip("this store is meant to forget")
	}
	s, m := b.Open(t), NewMaker(4)
	add(t, s, m.Make("a", `1`), m.Make("b", `2`))
	before := All(t, s, 0)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = b.Open(t)
	add(t, s, m.Make("c", `3`))
	after := All(t, s, 0)
	if len(after) != 3 || after[2].Seq <= before[1].Seq {
		t.Fatalf("%d entries after the restart, expected 3", len(after))
	}
	for i := range before {
		if !sameEntry(before[i], after[i]) || before[i].Seq != after[i].Seq {
			t.Errorf("entry %d differs after the restart", i)
		}
	}
}

func shunnedStay(t *testing.T, b Bench) {
	s, m := b.Open(t), NewMaker(5)
	gone, never, stays := m.Make("a", `1`), m.Make("b", `2`), m.Make("c", `3`)
	add(t, s, stays, gone)
	last := All(t, s, 0)[1].Seq
	list := []journal.Shunned{{ID: gone.ID, At: receipt.At, Why: "a person asked"}, {ID: never.ID, At: receipt.At, Why: "not ours"}}
	for range 2 {
		if err := s.Shun(ctx, list); err != nil {
			t.Fatal(err)
		}
	}
	if got := add(t, s, gone, never); !slices.Equal(got, []journal.Outcome{journal.Barred, journal.Barred}) {
		t.Errorf("outcomes %v, expected both barred", got)
	}
	if all := All(t, s, 0); len(all) != 1 || all[0].ID != stays.ID {
		t.Errorf("%d entries after shunning, expected the one that stays", len(all))
	}
	got, err := s.Shunned(ctx)
	if err != nil || len(got) != 2 || got[0].ID.String() > got[1].ID.String() {
		t.Fatalf("list %v, %v", got, err)
	}
	for _, x := range list {
		if !slices.ContainsFunc(got, func(y journal.Shunned) bool { return x.ID == y.ID && x.At.Equal(y.At) && x.Why == y.Why }) {
			t.Errorf("%v is not on the list", x)
		}
	}
	add(t, s, m.Make("d", `4`))
	if all := All(t, s, last); len(all) != 1 {
		t.Errorf("%d entries after the shunned one's number, expected 1: numbers must not be given twice", len(all))
	}
}

func backupEquals(t *testing.T, b Bench) {
	s, m := b.Open(t), NewMaker(6)
	add(t, s, m.Make("a", `1`), m.Make("b", Blob(100_000)), m.Make("c", `3`))
	path := filepath.Join(t.TempDir(), "back up?.bench")
	if err := s.Backup(ctx, path); err != nil {
		t.Fatal(err)
	}
	if err := s.Backup(ctx, path); !errors.Is(err, fs.ErrExist) {
		t.Errorf("a second backup over the first: %v", err)
	}
	want := All(t, s, 0)
	add(t, s, m.Make("d", `4`))
	got := All(t, b.Restore(t, path), 0)
	if !slices.EqualFunc(want, got, sameEntry) {
		t.Errorf("%d entries restored, expected the %d that were there", len(got), len(want))
	}
}

// patience is how long a watcher waits before the test gives up; a store on a
// quiet machine needs milliseconds.
const patience = 10 * time.Second

func watcherHears(t *testing.T, b Bench) {
	s, m := b.Open(t), NewMaker(7)
	watch, cancel := context.WithCancel(ctx)
	heard := s.Watch(watch)
	writer := s
	if b.Heeds {
		writer = b.Open(t)
	}
	for i := range 3 {
		add(t, writer, m.Make(fmt.Sprint(i), `1`))
		all := All(t, s, 0)
		for last := all[len(all)-1].Seq; ; {
			select {
			case seq := <-heard:
				if seq < last {
					continue
				}
			case <-time.After(patience):
				t.Fatalf("nothing heard of record %d", i)
			}
			break
		}
	}
	cancel()
	for range heard {
	}
	heard = s.Watch(ctx)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	for range heard {
	}
}

func closedRefuses(t *testing.T, b Bench) {
	s, m := b.Open(t), NewMaker(8)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{m.Make("a", `1`)}}); !errors.Is(err, journal.ErrClosed) {
		t.Errorf("Append: %v, expected %v", err, journal.ErrClosed)
	}
	for _, err := range s.Since(ctx, 0, journal.Whole) {
		if err == nil {
			t.Error("Since of a closed store yields entries")
		}
		return
	}
	t.Error("Since of a closed store says nothing")
}

func contextEnds(t *testing.T, b Bench) {
	s, m := b.Open(t), NewMaker(9)
	add(t, s, m.Make("a", `1`))
	ended, cancel := context.WithCancel(ctx)
	cancel()
	for _, err := range s.Since(ended, 0, journal.Whole) {
		if !errors.Is(err, context.Canceled) {
			t.Errorf("Since: %v", err)
		}
		break
	}
	if _, err := s.Append(ended, journal.Batch{Records: []journal.Stored{m.Make("b", `2`)}}); !errors.Is(err, context.Canceled) {
		t.Errorf("Append: %v", err)
	}
	if o := add(t, s, m.Make("c", `3`)); o[0] != journal.Added {
		t.Errorf("after an ended context: outcome %v", o)
	}
}

// Unpack returns a Bench.Restore that merges an exchange file into an empty store.
func Unpack(into journal.Store) func(testing.TB, string) journal.Store {
	return func(t testing.TB, path string) journal.Store {
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		m, err := journal.Merge(ctx, into, journal.ReadExchange(f), receipt)
		if err != nil || m.Refused > 0 {
			t.Fatalf("merging %s: %v %v", path, m.Faults, err)
		}
		return into
	}
}
