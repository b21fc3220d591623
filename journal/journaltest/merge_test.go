package journaltest

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"fairburn/finding"
	"fairburn/journal"
)

var kinds = map[string]journal.Kind{"note": {Newest: 1, Read: func(_ int, body json.RawMessage) (any, error) {
	if string(body) == `"bad"` {
		return nil, errors.New("a note must not be bad")
	}
	return string(body), nil
}}}

// text writes a store as an exchange file.
func text(t testing.TB, s journal.Store) string {
	t.Helper()
	var b bytes.Buffer
	if _, err := journal.WriteExchange(&b, s.Since(ctx, 0, journal.Whole)); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func merge(t testing.TB, into journal.Store, file string) journal.Merged {
	t.Helper()
	m, err := journal.Merge(ctx, into, journal.ReadExchange(strings.NewReader(file)), receipt)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// state prints everything that a fold shows.
func state(t testing.TB, s journal.Store) string {
	t.Helper()
	fold := journal.NewFold(kinds)
	for _, e := range All(t, s, 0) {
		if err := fold.Add(e); err != nil {
			t.Fatal(err)
		}
	}
	shunned, err := s.Shunned(ctx)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, subject := range fold.Subjects("note") {
		fmt.Fprintf(&b, "%s: %+v\n", subject, fold.State("note", subject))
	}
	for _, f := range fold.Findings(shunned) {
		fmt.Fprintln(&b, f)
	}
	return b.String()
}

// device is a bench that is sometimes out of reach.
type device struct {
	store *Memory
	maker *Maker
}

// write states or corrects something, knowing only what the device holds.
func (d device) write(t *testing.T, rnd *rand.Rand) {
	subject := fmt.Sprintf("burn %d", rnd.IntN(4))
	body := fmt.Sprintf("%q", []string{"bad", "1", "2", "3", "4"}[rnd.IntN(5)])
	var replaces []journal.ID
	for _, e := range All(t, d.store, 0) {
		if bytes.Contains(e.Bytes, []byte(subject)) && rnd.IntN(2) == 0 {
			replaces = append(replaces, e.ID)
		}
	}
	add(t, d.store, d.maker.Make(subject, body, replaces...))
}

// 300 random histories of three devices, which write, and merge one way now and
// then; at the end all is merged in two orders, with retries. One state must come
// of it. Two of the devices share a key, as a tester's phone and desk would.
func TestMergingInAnyOrderGivesOneState(t *testing.T) {
	for seed := range uint64(300) {
		rnd := rand.New(rand.NewPCG(seed, 2026))
		shared := NewMaker(seed)
		devices := []device{{NewMemory(), shared}, {NewMemory(), shared}, {NewMemory(), NewMaker(seed + 1000)}}
		for range 4 + rnd.IntN(12) {
			d := devices[rnd.IntN(3)]
			if rnd.IntN(4) == 0 {
				merge(t, d.store, text(t, devices[rnd.IntN(3)].store))
				continue
			}
			d.write(t, rnd)
		}
		var states []string
		for range 2 {
			all := NewMemory()
			for _, i := range rnd.Perm(3) {
				file := text(t, devices[i].store)
				merge(t, all, file)
				if again := merge(t, all, file); len(again.New) > 0 || again.Refused > 0 {
					t.Fatalf("seed %d: merging again brought %d new, %d refused", seed, len(again.New), again.Refused)
				}
			}
			states = append(states, state(t, all))
		}
		if states[0] != states[1] || states[0] == "" {
			t.Fatalf("seed %d: two orders, two states\n%s\n%s", seed, states[0], states[1])
		}
	}
}

func TestMergeTellsWhatBecameOfEachLine(t *testing.T) {
	m, other := NewMaker(1), NewMaker(2)
	here, shunned, fresh, forged := m.Make("a", `1`), m.Make("b", `2`), m.Make("c", `3`), m.Make("d", `4`)
	forged.Signer, forged.Signature = other.Make("d", `4`).Signer, other.Make("d", `4`).Signature
	from, into := NewMemory(), NewMemory()
	add(t, from, here, shunned, forged, fresh)
	add(t, into, here)
	if err := into.Shun(ctx, []journal.Shunned{{ID: shunned.ID}}); err != nil {
		t.Fatal(err)
	}
	file := strings.Replace(text(t, from), `"body":3`, `"body":3.0`, 1) + "nonsense\n" + text(t, from)[len("{\"fairburn_exchange\":1}\n"):]
	got := merge(t, into, file)
	if !slices.Equal(got.New, []journal.ID{fresh.ID}) || got.Known != 2 || got.Barred != 2 || got.Refused != 4 {
		t.Errorf("new %v, known %d, barred %d, refused %d; expected 1, 2, 2, 4", got.New, got.Known, got.Barred, got.Refused)
	}
	var faults []string
	for _, f := range got.Faults {
		faults = append(faults, fmt.Sprintf("%d %s", f.Where.Line, f.Code))
	}
	want := []string{"4 signer_differs", "5 signature_wrong", "6 line_unreadable", "9 signer_differs"}
	if !slices.Equal(faults, want) {
		t.Errorf("faults %v, expected %v", faults, want)
	}
}

func TestMergeKeepsWhatCameBeforeTheEndOfAFile(t *testing.T) {
	from, into, m := NewMemory(), NewMemory(), NewMaker(1)
	for i := range 2500 {
		add(t, from, m.Make(fmt.Sprint(i), `1`))
	}
	lost := errors.New("the stick was pulled")
	lines := func(yield func(journal.Line, error) bool) {
		for line, err := range journal.ReadExchange(strings.NewReader(text(t, from))) {
			if !yield(line, err) {
				return
			}
		}
		yield(journal.Line{}, lost)
	}
	got, err := journal.Merge(ctx, into, lines, receipt)
	if !errors.Is(err, lost) || len(got.New) != 2500 || len(All(t, into, 0)) != 2500 {
		t.Errorf("%d new, %v", len(got.New), err)
	}
	into.Close()
	if _, err := journal.Merge(ctx, into, journal.ReadExchange(strings.NewReader(text(t, from))), receipt); !errors.Is(err, journal.ErrClosed) {
		t.Errorf("into a closed store: %v", err)
	}
}

func TestMergeTellsAHundredFaultsAtMost(t *testing.T) {
	got := merge(t, NewMemory(), "{\"fairburn_exchange\":1}\n"+strings.Repeat("x\n", 150))
	if got.Refused != 150 || len(got.Faults) != 100 {
		t.Errorf("refused %d, told %d; expected 150, 100", got.Refused, len(got.Faults))
	}
}

func TestVerifyNamesEachFaultAndKeepsTheRest(t *testing.T) {
	s, m := NewMemory(), NewMaker(1)
	whole, erased, gone := m.Make("a", `1`), m.Make("b", `2`), m.Make("c", `3`)
	altered, unsigned := m.Make("d", `4`), m.Make("e", `5`)
	altered.Bytes = bytes.Replace(altered.Bytes, []byte(`"body":4`), []byte(`"body":5`), 1)
	unsigned.Signature = whole.Signature
	riddle := m.Seal(journal.Record{Kind: "riddle", Version: 1, Subject: "x", Body: []byte(`1`)})
	add(t, s, whole, altered, unsigned, riddle, m.Make("f", `"bad"`), m.Make("b", `6`, erased.ID), m.Make("c", `7`, gone.ID))
	if err := s.Shun(ctx, []journal.Shunned{{ID: erased.ID}}); err != nil {
		t.Fatal(err)
	}
	v, err := journal.Verify(ctx, s, kinds)
	if err != nil || v.Records != 7 {
		t.Fatalf("%d records, %v", v.Records, err)
	}
	var got []string
	for _, f := range v.Findings {
		got = append(got, f.Code)
	}
	slices.Sort(got[2:])
	want := []string{"record_altered", "signature_wrong", "kind_unknown", "record_set_aside", "replaces_missing"}
	if !slices.Equal(got, want) {
		t.Errorf("findings %v, expected %v", got, want)
	}
	if v.Findings[0].Where.Subject != "record "+altered.ID.String() || v.Findings[0].Severity != finding.Fault {
		t.Errorf("the first is %v", v.Findings[0])
	}
	s.Close()
	if _, err := journal.Verify(ctx, s, kinds); !errors.Is(err, journal.ErrClosed) {
		t.Errorf("a closed store: %v", err)
	}
}
