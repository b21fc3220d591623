package bench

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"unique"

	"fairburn/finding"
	"fairburn/journal"
)

// largestKept is the size from which a body stays in the store until it is asked
// for, but for those of things, which are fetched one by one: few are as large.
const largestKept = 4 << 10

// atOnce is how many entries are taken up in one go. What came in one transaction
// is so seen whole, unless it brought more.
const atOnce = 1000

// reading is one look at what came into the store.
type reading struct {
	begun, ended int   // how many were, this one included
	err          error // what it came to
	left         bool  // whoever read gave up; that says nothing of the store
}

// serves reports whether a reading tells those what they want to know who asked
// when then was the last: it began after that and saw all there was, or the store
// failed while they waited and would fail them too.
func (r reading) serves(then reading) bool {
	waited := then.ended < then.begun
	return !r.left && (r.begun > then.begun || waited && r.err != nil)
}

// Refresh reads what others wrote to the store since the last time.
func (b *Bench) Refresh(ctx context.Context) error { return b.catchUp(ctx) }

// catchUp reads what came into the store since the last time. One reads at a time,
// for all who wait, so that a server that does not answer is waited for once.
func (b *Bench) catchUp(ctx context.Context) error { return b.catchUpSince(ctx, b.lastReading()) }

// catchUpSince is catchUp for one who asked when then was the last reading.
func (b *Bench) catchUpSince(ctx context.Context, then reading) error {
	select {
	case b.turn <- struct{}{}:
		defer func() { <-b.turn }()
	case <-ctx.Done():
		return ctx.Err()
	}
	if last := b.lastReading(); last.serves(then) {
		return last.err
	}
	b.mu.Lock()
	b.reading.begun++
	after := b.seq
	b.mu.Unlock()
	err := b.readSince(ctx, after)
	b.mu.Lock()
	defer b.mu.Unlock()
	b.reading.ended, b.reading.err, b.reading.left = b.reading.begun, err, ctx.Err() != nil
	return err
}

func (b *Bench) lastReading() reading {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.reading
}

// readSince takes up what the store has after an entry. What came before an error is
// taken up all the same.
func (b *Bench) readSince(ctx context.Context, after int64) error {
	var lot []journal.Entry
	for e, err := range b.store.Since(ctx, after, largestKept) {
		if err == nil && e.Cut && isThing(e) {
			e, err = b.store.Get(ctx, e.ID)
		}
		if errors.Is(err, journal.ErrAbsent) {
			continue // shunned meanwhile
		}
		if err != nil {
			b.takeUp(lot)
			return err
		}
		if lot = append(lot, e); len(lot) == atOnce {
			b.takeUp(lot)
			lot = lot[:0]
		}
	}
	b.takeUp(lot)
	return nil
}

// takeUp adds entries to the fold.
func (b *Bench) takeUp(lot []journal.Entry) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, e := range lot {
		b.seq = e.Seq
		if b.shunned[e.ID] {
			continue
		}
		if err := b.fold.Add(e); err != nil {
			b.damaged = append(b.damaged, finding.Finding{Code: "record_damaged", Severity: finding.Fault,
				Sentence: err.Error(), Remedy: "verify the bench; restore a backup that verifies and merge this bench into it"})
			continue
		}
		if r, ok := b.fold.Record(e.ID); ok {
			b.index.add(e, r, b.fold.Count(r.Kind, r.Subject) == 1)
		}
	}
}

// isThing tells a record of a thing, or of a moment, by its first bytes.
func isThing(e journal.Entry) bool {
	return hasKind(e, markName) || slices.ContainsFunc(allKinds, func(k kind) bool { return hasKind(e, k.name) })
}

func hasKind(e journal.Entry, name string) bool {
	return bytes.HasPrefix(e.Bytes, []byte(`{"fairburn":1,"kind":"`+name+`",`))
}

// index finds the records of a trial without looking at all of them.
type index struct {
	burns  map[string][]string // subjects of burns by title
	marks  map[string][]string // subjects of moments by the burn's subject
	photos map[string][]string // subjects of photos by what they show
	gone   map[string]bool     // subjects of burns that were withdrawn once, if not for good
	order  []place             // as they came into the store
	said   map[string]uint64   // by title, how many records could have changed the trial
	gear   uint64              // the same for gear, which any trial may use
	shuns  uint64              // how many records were shunned since the bench was opened
}

// place is when and from where a record came.
type place struct {
	id       journal.ID
	received int64                 // microseconds of Unix time
	from     unique.Handle[string] // few, and each of many records
}

func newIndex() index {
	return index{burns: map[string][]string{}, marks: map[string][]string{}, photos: map[string][]string{}, gone: map[string]bool{}, said: map[string]uint64{}}
}

// add takes up a record; first says that nothing was known of its subject.
func (x *index) add(e journal.Entry, r journal.Record, first bool) {
	x.order = append(x.order, place{e.ID, e.Receipt.At.UnixMicro(), unique.Make(e.Receipt.From)})
	at := titleOf(r.Subject)
	switch r.Kind {
	case trialKind.name:
		x.said[r.Subject]++
	case burnKind.name:
		x.said[at]++
		if r.Version == withdrawnVersion {
			x.gone[r.Subject] = true
		}
	case markName:
		x.said[titleOf(at)]++
		if of, what := splitMark(r.Subject); Once(what) && r.Subject != markSubject(of, what, "") {
			return // filed where nobody files such a moment
		}
	case tripKind.name: // no trial uses it
	default:
		x.gear++
	}
	if list := x.list(r.Kind); first && list != nil {
		list[at] = append(list[at], r.Subject)
	}
}

// list is where the subjects of a kind are, nil for those that are not listed.
func (x *index) list(kindName string) map[string][]string {
	return map[string]map[string][]string{burnKind.name: x.burns, markName: x.marks, photoName: x.photos}[kindName]
}

// drop forgets a record that was shunned.
func (b *Bench) drop(id journal.ID) {
	r, ok := b.fold.Record(id)
	if !ok {
		return
	}
	b.fold.Drop(id)
	b.index.order = slices.DeleteFunc(b.index.order, func(p place) bool { return p.id == id })
	b.index.gear++
	b.index.shuns++
	if list, at := b.index.list(r.Kind), titleOf(r.Subject); list != nil && b.fold.Count(r.Kind, r.Subject) == 0 {
		list[at] = slices.DeleteFunc(list[at], func(s string) bool { return s == r.Subject })
	}
}

// Version changes whenever something was recorded that could change the trial;
// that of "", whenever anything was. Erasing counts.
func (b *Bench) Version(title string) uint64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	if title == "" {
		return b.version()
	}
	return b.index.said[title] + b.index.gear
}

// version grows whenever something was recorded or erased.
func (b *Bench) version() uint64 { return uint64(b.seq) + b.index.shuns }

// Merged is what became of the records of another bench.
type Merged struct {
	journal.Merged
	Findings []finding.Finding // what there is to look at that was not there before
}

// Merge adds the records of an exchange file; from says where they came from.
// Doing so twice, or in another order, comes to the same.
func (b *Bench) Merge(ctx context.Context, file io.Reader, from string) (Merged, error) {
	before := b.Findings()
	m, err := journal.Merge(ctx, b.store, journal.ReadExchange(file), journal.Receipt{At: b.now(), From: from})
	if err != nil {
		return Merged{Merged: m}, err
	}
	if err := b.Refresh(ctx); err != nil {
		return Merged{Merged: m}, fmt.Errorf("reading what was merged: %w", err)
	}
	fresh := slices.DeleteFunc(b.Findings(), func(f finding.Finding) bool { return slices.Contains(before, f) })
	return Merged{m, fresh}, nil
}

// Shun erases a record here and keeps it out; what it had replaced stands again.
// It holds for this bench alone. It reports whether the record was here.
func (b *Bench) Shun(ctx context.Context, id journal.ID, why string) (here bool, err error) {
	if _, err := b.store.Get(ctx, id); err == nil {
		here = true
	}
	if err := b.store.Shun(ctx, []journal.Shunned{{ID: id, At: b.now(), Why: why}}); err != nil {
		return here, err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.shunned[id] = true
	b.drop(id)
	return here, nil
}

// Verify reads every record again, holds it to its hash and its signature, and
// adds what Findings says. Where two testers have gear of one name that is no
// fault: each trial uses its own tester's.
func (b *Bench) Verify(ctx context.Context) (journal.Verified, error) {
	v, err := journal.Verify(ctx, b.store, Kinds())
	if err != nil {
		return v, err
	}
	told := []string{"records_disagree", "record_proposed", "record_newer"} // by Findings, of what a trial uses
	v.Findings = slices.DeleteFunc(v.Findings, func(f finding.Finding) bool { return slices.Contains(told, f.Code) })
	for _, f := range b.Findings() {
		if f.Code != "record_damaged" {
			v.Findings = append(v.Findings, f)
		}
	}
	return v, nil
}
