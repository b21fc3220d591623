// Package bench joins the journal to the trade: it takes trials apart into
// records, one for each burn and each thing on the shelf, and puts them together
// again from whatever records stand.
//
// It refuses to choose between records that contradict each other: those are
// left out of a trial, with a finding, until a person settles it. Nothing is
// ever changed or lost: what is corrected is replaced and stays.
//
// Whose word holds: burns of one trial may be of several testers. Gear goes by
// names that each tester gives in their own way ("pot"), so a trial uses the gear
// of whoever recorded the trial, and another's only where they have none.
//
// Moments pressed beside the flame are records of their own, one each, and come
// to a burn's marks when it is read: so no two devices overwrite each other.
//
// Read kind.go (what a record holds), store.go (how records come in), stand.go (what
// holds for one subject), trial.go (a trial put together), take.go (one taken
// apart), edit.go (one thing at a time), trip.go (trips), mark.go (moments), timed.go
// (how they time a burn), then history.go, log.go and photo.go.
package bench

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"sync"
	"time"

	"fairburn/finding"
	"fairburn/journal"
)

// ErrUnknown is wrapped where the bench has no trial of a title, or nothing
// about a subject.
var ErrUnknown = errors.New("not on the bench")

// ErrRefused is wrapped by Take when something must be settled by a person
// first; the report's findings say what. Nothing of the trial was taken. It is
// also what a press is that cannot be kept, however often it is sent, and a thing
// whose name is too long.
var ErrRefused = errors.New("nothing was taken")

// refusal is an error in its own words that counts as ErrRefused.
type refusal struct{ error }

func (r refusal) Unwrap() error        { return r.error }
func (r refusal) Is(target error) bool { return target == ErrRefused }

// Tester is who writes to a bench, and with what.
type Tester struct {
	Key    journal.Key
	Name   string // as the tester wants to be called
	Now    func() time.Time
	Random io.Reader // of nonces; crypto/rand.Reader outside tests
}

// Bench is what a store's records come to. Its methods may be called from
// several goroutines.
//
// Nobody holds mu while the store is asked, so a server that is slow holds up those
// who wait for its answer and no page besides. What follows from that:
//   - seq and the fold change together, under mu, and only by whoever has the turn;
//     so no entry is passed over or taken up twice.
//   - Between what a method learned from the store and its next look at the fold,
//     records may have come. A decision is made in one look, from the fold alone;
//     the store is asked before it, for what never changes: the bytes of a record.
//   - A record that was shunned while it was being read stays out: see shunned.
type Bench struct {
	store  journal.Store
	tester Tester
	turn   chan struct{} // holds one while somebody reads what came into the store

	mu      sync.Mutex // of all below, and of the tester's clock and random source
	reading reading    // the last one, or the one under way
	fold    *journal.Fold
	seq     int64 // of the last entry read
	index   index
	shunned map[journal.ID]bool // since the bench was opened
	damaged []finding.Finding   // entries that could not be read
	found   []finding.Finding   // by Findings
	foundAt uint64              // the version of the bench when they were found
}

// Open reads all records of a store. Damaged ones are left out, with a finding.
// The store stays the caller's to close.
func Open(ctx context.Context, store journal.Store, tester Tester) (*Bench, error) {
	b := &Bench{store: store, tester: tester, turn: make(chan struct{}, 1), fold: journal.NewFold(Kinds()), index: newIndex(), shunned: map[journal.ID]bool{}}
	if err := b.catchUp(ctx); err != nil {
		return nil, fmt.Errorf("opening the bench: %w", err)
	}
	return b, nil
}

// stamped completes a record that this tester makes now.
func (b *Bench) stamped(r journal.Record) (journal.Record, error) {
	var err error
	r.Nonce, err = journal.NewNonce(b.tester.Random)
	r.At = b.tester.Now()
	return r, err
}

// stamp completes records that this tester makes now.
func (b *Bench) stamp(records []journal.Record) (err error) {
	for i, r := range records {
		if records[i], err = b.stamped(r); err != nil {
			return err
		}
	}
	return nil
}

// keep seals complete records and keeps them all or none.
func (b *Bench) keep(ctx context.Context, records []journal.Record) error {
	var sealed []journal.Stored
	for _, r := range records {
		r.Name = b.tester.Name
		s, err := b.tester.Key.Seal(r)
		if err != nil {
			return fmt.Errorf("%s %.60q: %w", r.Kind, r.Subject, err)
		}
		sealed = append(sealed, s)
	}
	return b.append(ctx, sealed)
}

// append keeps records all or none. The lock is not held while the store writes,
// so that those who wait share one transaction.
func (b *Bench) append(ctx context.Context, sealed []journal.Stored) error {
	if len(sealed) == 0 {
		return nil
	}
	_, err := b.store.Append(ctx, journal.Batch{Records: sealed, Receipt: journal.Receipt{At: b.now(), From: "this bench"}})
	if err != nil {
		return err
	}
	return b.Refresh(context.WithoutCancel(ctx)) // they are kept, whether anybody waits for the answer or not
}

func (b *Bench) now() time.Time {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.tester.Now()
}

// Tester returns the name by which this bench's own records go.
func (b *Bench) Tester() string { return b.tester.Name }

// Findings says what a person should look at in all that is on the bench:
// damage, and what Trial says of each trial.
func (b *Bench) Findings() []finding.Finding {
	b.mu.Lock()
	defer b.mu.Unlock()
	if at := b.version(); b.foundAt != at { // to look at every burn takes long
		b.found, b.foundAt = b.findings(), at
	}
	return slices.Clone(b.found)
}

func (b *Bench) findings() []finding.Finding {
	fs := slices.Clone(b.damaged)
	titles := b.titles()
	for _, title := range titles {
		_, of, err := b.trial(title)
		if err != nil {
			of = append(of, finding.Finding{Code: "trial_unusable", Severity: finding.Caution, Sentence: err.Error()})
		}
		for _, f := range of {
			f.Where.File = title
			fs = append(fs, f)
		}
	}
	for _, subject := range b.fold.Subjects(burnKind.name) {
		title := titleOf(subject)
		if s := b.stand(burnKind, subject, nil); slices.Contains(titles, title) || len(s.live) == 0 {
			continue
		}
		f := finding.Finding{Code: "burn_without_trial", Severity: finding.Note, Where: finding.Place{Subject: "burn " + subject},
			Sentence: "its trial is not on this bench", Remedy: "merge the bench it came from"}
		if b.fold.Count(trialKind.name, title) > 0 {
			f.Sentence, f.Remedy = "its trial was withdrawn", "put the trial on the bench again, or withdraw the burn too"
		}
		fs = append(fs, f)
	}
	for _, title := range b.fold.Subjects(tripKind.name) {
		s := b.stand(tripKind, title, nil)
		fs = append(fs, s.findings...)
	}
	return fs
}
