package bench

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fairburn/journal"
	"fairburn/journal/journaltest"
	"fairburn/journal/sqlite"
)

func TestPressesThatAreRefused(t *testing.T) {
	b := fresh(t, bare)
	good := at(1, "light", 0)
	for want, change := range map[string]func(*Press){
		`"kindled" of burn "1": it is no moment of a burn`:                                                                          func(p *Press) { p.What = "kindled" },
		`"light" of burn "7": the burn is not on the bench`:                                                                         func(p *Press) { p.Burn = "7" },
		`"light" of burn "": the burn is not on the bench`:                                                                          func(p *Press) { p.Burn = "" },
		`"light" of burn "1": nonce "7": expected 32 hex digits 0-9 a-f`:                                                            func(p *Press) { p.Nonce = "7" },
		`"boil" of burn "1": what it would take back is not on the bench`:                                                           func(p *Press) { *p = back(3, at(9, "boil", 0)) },
		`"spill" of burn "1": what it would take back is not on the bench`:                                                          func(p *Press) { p.What, p.TakesBack = "spill", "../x" },
		`"light" of burn "1": half-width of the clock -1ns: expected 0 to 744h0m0s`:                                                 func(p *Press) { p.Within = -1 },
		`"light" of burn "1": its time 2029-05-01 10:00:00 is 1096 days from the clock of the bench: set the clock of the device`:   func(p *Press) { p.At = p.At.AddDate(3, 0, 0) },
		`"light" of burn "1": its time 1970-01-01 00:00:00 is -20574 days from the clock of the bench: set the clock of the device`: func(p *Press) { p.At = time.Unix(0, 0).UTC() },
		`"light" of burn "1": device and detail of 101 and 0 bytes: expected at most 100 and 1000`:                                  func(p *Press) { p.Device = strings.Repeat("d", 101) },
		`"light" of burn "1": device and detail of 5 and 1001 bytes: expected at most 100 and 1000`:                                 func(p *Press) { p.Detail = strings.Repeat("d", 1001) },
		`"light" of burn "1": sealing a record: time 10000-01-01 00:00:00 +0000 UTC: expected the years 1 to 9999 and an offset of whole minutes`: func(p *Press) {
			p.Pressed = time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC)
		},
	} {
		bad := good
		change(&bad)
		err := b.Press(context.Background(), []Press{at(2, "light", 1), bad})
		if err == nil || err.Error() != want || !errors.Is(err, ErrRefused) {
			t.Errorf("%v\nexpected\n%s", err, want)
		}
	}
	if n := records(t, b); n != 7 {
		t.Errorf("%d records: something of a lot that was refused was kept", n)
	}
	if err := b.Press(context.Background(), nil); err != nil {
		t.Error(err)
	}
}

// A store that cannot be written now is no reason to drop the press.
func TestAPressThatTheStoreCannotKeepIsNotRefused(t *testing.T) {
	b := fresh(t, bare)
	if err := b.store.Close(); err != nil {
		t.Fatal(err)
	}
	if err := b.Press(context.Background(), []Press{at(1, "light", 0)}); !errors.Is(err, journal.ErrClosed) || errors.Is(err, ErrRefused) {
		t.Error(err)
	}
}

func TestWordsOfAPressStayWords(t *testing.T) {
	store := journaltest.NewMemory()
	b := open(t, store, tester(1, "Fern"))
	take(t, b, bare, Refuse)
	words := []string{"<script>alert(1)</script>", "two\nlines\x00", `"quoted" \ and '`, "Ünïcode 火", "\u2028\u2029", `{"a":1}`}
	for i, w := range words {
		p := at(i+1, "sync", float64(i))
		p.Device, p.Detail = w, w+w
		pressAll(t, b, p)
	}
	for i, m := range open(t, store, tester(1, "Fern")).Moments("Ring", "1") {
		if m.Device != words[i] || m.Detail != words[i]+words[i] {
			t.Errorf("%q and %q, expected %q", m.Device, m.Detail, words[i])
		}
	}
	broken := at(99, "sync", 99)
	broken.Device = "a\xff"
	pressAll(t, b, broken)
	if m := b.Moments("Ring", "1"); m[len(m)-1].Device != "a\ufffd" {
		t.Errorf("%q", m[len(m)-1].Device)
	}
}

// A press that the store took is kept, whether its device waits or not.
func TestAPressOutlivesWhoeverSentIt(t *testing.T) {
	b := fresh(t, bare)
	ctx, cancel := context.WithCancel(context.Background())
	b.store = impatient{b.store, cancel}
	if err := b.Press(ctx, []Press{at(1, "light", 0)}); err != nil || len(b.Moments("Ring", "1")) != 1 {
		t.Error(err, b.Moments("Ring", "1"))
	}
	if err := b.Refresh(ctx); err != nil && !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	if fs := b.Findings(); len(fs) > 0 {
		t.Error(fs)
	}
}

// impatient is a store whose writer leaves as soon as the record is kept.
type impatient struct {
	journal.Store
	leave context.CancelFunc
}

func (s impatient) Append(ctx context.Context, b journal.Batch) ([]journal.Outcome, error) {
	defer s.leave()
	return s.Store.Append(ctx, b)
}

// What other programs may have filed: of a newer kind of moment, out of all
// measure, under a subject where nobody files it.
func TestForeignMomentsDoNoHarm(t *testing.T) {
	b := fresh(t, bare)
	pressAll(t, b, at(1, "light", 0))
	file := func(subject, body string) {
		t.Helper()
		seal(t, b, journal.Record{Kind: markName, Subject: subject, Body: []byte(body)})
	}
	file("Ring/1/smoke-00", `{"at":"2026-05-01T10:01:00Z","within_s":0}`)
	file("Ring/1/boil-00", `{"at":"2026-05-01T10:02:00Z","within_s":0}`)
	file("Ring/1/out", `{"at":"9999-12-31T00:00:00Z","within_s":0}`)
	file("Ring/1/pot_on", `{"at":"2026-05-01T10:03:00Z","within_s":1e300}`)
	file("Ring/1/bloom", `{"at":"2026-05-01T10:03:00Z","within_s":-1}`)
	file("Ring/1/snuffed", `7`)
	file("boil", `{"at":"2026-05-01T10:03:00Z","within_s":0}`)
	if got := timesOf(t, b, "1"); got != "" {
		t.Error(got)
	}
	has(t, found(t, b), "mark_outside_burn", "out was marked")
	v, err := b.Verify(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	has(t, v.Findings, "record_set_aside", "expected a moment with its time, and the half-width of the clock within a month")
}

func TestTwentyPhonesLoseNoPress(t *testing.T) {
	store, err := sqlite.Open(filepath.Join(t.TempDir(), "bench.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	b := open(t, store, tester(1, "Fern"))
	take(t, b, bare, Refuse)
	const phones, each = 20, 50
	var wg sync.WaitGroup
	for i := range phones {
		wg.Go(func() {
			for j := range each {
				p := at(1+i*each+j, "pot_lifted", float64(i*each+j))
				p.Burn = fmt.Sprint(1 + i%2)
				for range 1 + j%2 { // half of them are sent again
					if err := b.Press(context.Background(), []Press{p}); err != nil {
						t.Error(err)
					}
				}
				b.Version("Ring")
				if j%10 == 0 {
					b.Moments("Ring", "1")
					b.List()
				}
			}
		})
	}
	wg.Wait()
	for _, b := range []*Bench{b, open(t, store, tester(1, "Fern"))} {
		here := map[string]bool{}
		for _, m := range append(b.Moments("Ring", "1"), b.Moments("Ring", "2")...) {
			here[m.Nonce] = true
		}
		if n := records(t, b); len(here) != phones*each || n != 7+phones*each {
			t.Errorf("%d presses in %d records", len(here), n)
		}
	}
	if got := slices.Collect(maps.Keys(b.index.marks)); len(got) != 2 {
		t.Error(got)
	}
}
