package bench

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"fairburn/finding"
	"fairburn/gear"
	"fairburn/journal"
	"fairburn/trial"
)

// Edit is one thing as a person wants it to stand.
type Edit struct {
	Kind  string       // such as "burner", "burn" or "trial"
	Title string       // of the trial, for a burn
	Thing *trial.Trial // holds that one thing; of a trial, what is said of it as a whole
	// Saw lists the records that the person had before them. What was recorded
	// since then is contradicted, not replaced: a person will see both. Nil
	// replaces whatever stands.
	Saw []journal.ID
}

// Put records one thing, or a correction of it. It says what was changed, and
// the subject for History and Undo.
func (b *Bench) Put(ctx context.Context, e Edit) (Report, string, error) {
	b.mu.Lock()
	k, subject, err := b.put(ctx, e)
	b.mu.Unlock()
	if err == nil {
		err = b.keep(ctx, k.records)
	}
	return k.report, subject, err
}

func (b *Bench) put(ctx context.Context, e Edit) (*taking, string, error) {
	k := &taking{Bench: b, trial: e.Thing, clash: Correct, saw: e.Saw, report: newReport(e.Title)}
	kind, ok := kindNamed(e.Kind)
	if !ok {
		return k, "", fmt.Errorf("kind %.40q is %w", e.Kind, ErrUnknown)
	}
	if err := b.catchUp(ctx); err != nil {
		return k, "", err
	}
	alone := kind.one(e.Thing, 0)
	name := kind.names(alone)[0]
	if name == "" {
		return k, "", fmt.Errorf("a %s without a name cannot be found again", e.Kind)
	}
	subject := kind.subject(e.Title, name)
	s := k.stand(kind, subject, k.authorsFor(kind))
	if own := s.value(); own != nil && e.Kind == burnKind.name {
		alone.Burns[0] = k.untimed(subject, alone.Burns[0], own.Burns[0])
	}
	if err := k.decide(s, alone); err != nil {
		return k, subject, err
	}
	return k, subject, k.stamp()
}

// authorsFor are those whose word on a thing is looked at: gear goes by each
// tester's own names.
func (b *Bench) authorsFor(k kind) []journal.Author {
	if k.name == trialKind.name || k.name == burnKind.name {
		return nil
	}
	return []journal.Author{b.tester.Key.Author()}
}

// Undo takes this tester's last word on a subject back: what it replaced holds
// again, by a record that says so, and a thing that was new is withdrawn. To
// undo twice is to do it again.
func (b *Bench) Undo(ctx context.Context, kindName, subject string) error {
	r, err := b.undoing(ctx, kindName, subject)
	if err != nil {
		return err
	}
	return b.keep(ctx, []journal.Record{r})
}

func (b *Bench) undoing(ctx context.Context, kindName, subject string) (journal.Record, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	r := journal.Record{Kind: kindName, Subject: subject}
	own := by(b.fold.State(kindName, subject).Live, []journal.Author{b.tester.Key.Author()})
	if len(own) == 0 {
		return r, fmt.Errorf("%s %.60q: nothing of yours stands there, so there is nothing to undo: %w", kindName, subject, ErrUnknown)
	}
	last := own[len(own)-1].Record
	for _, f := range own {
		r.Replaces = append(r.Replaces, f.ID)
		if f.Record.At.After(last.At) {
			last = f.Record
		}
	}
	var before *journal.Fact
	for _, id := range last.Replaces {
		f, ok := b.fold.Fact(id)
		if ok && f.Record.Author == b.tester.Key.Author() && (before == nil || f.Record.At.After(before.Record.At)) {
			before = &f
		}
	}
	if before == nil {
		return b.withdrawing(r)
	}
	e, err := b.store.Get(ctx, before.ID) // its body may have stayed in the store
	if err != nil {
		return r, err
	}
	was, err := e.Check()
	if err != nil {
		return r, err
	}
	r.Version, r.Body = was.Version, was.Body
	return b.stamped(r)
}

// withdrawing completes the record by which a thing leaves the bench.
func (b *Bench) withdrawing(r journal.Record) (journal.Record, error) {
	r.Version, r.Body = withdrawnVersion, json.RawMessage(`{"withdrawn":true}`)
	switch r.Kind {
	case photoName:
		r.Version, r.Body = photoVersion, json.RawMessage(`{"withdrawn":true}`)
	case markName:
		return r, fmt.Errorf("a moment is taken back by a press: %w", ErrUnknown)
	}
	return b.stamped(r)
}

// Settle makes one record what holds, in this tester's own name: it replaces
// the rivals and answers what others proposed, for the subject of that record.
// To settle on one's own record declines the proposals. Where one record of
// another's stands, this is a proposal to its author.
func (b *Bench) Settle(ctx context.Context, id journal.ID) error {
	records, err := b.choosing(ctx, id)
	if err != nil {
		return err
	}
	return b.keep(ctx, records)
}

func (b *Bench) choosing(ctx context.Context, id journal.ID) ([]journal.Record, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	e, err := b.store.Get(ctx, id)
	if err != nil {
		return nil, err
	}
	chosen, err := e.Check()
	if err != nil {
		return nil, err
	}
	r := journal.Record{Kind: chosen.Kind, Version: chosen.Version, Subject: chosen.Subject, Body: chosen.Body}
	state := b.fold.State(r.Kind, r.Subject)
	for _, f := range state.Live {
		r.Replaces = append(r.Replaces, f.ID)
	}
	for _, p := range state.Proposals {
		r.Replaces = append(r.Replaces, p.Fact.ID)
	}
	if !slices.Contains(r.Replaces, id) {
		return nil, fmt.Errorf("record %.8v does not stand any more: %w", id, ErrUnknown)
	}
	var records []journal.Record
	if len(state.Live) > 1 && len(by(state.Live, []journal.Author{b.tester.Key.Author()})) == 0 {
		said, err := b.said(r)
		if err != nil {
			return nil, err
		}
		records, r.Replaces = append(records, said.Record), append(r.Replaces, said.ID)
	}
	r, err = b.stamped(r)
	return append(records, r), err
}

// said makes a record by which this tester says what r says and replaces nothing.
// A word that replaces nothing of its author's own would only be a proposal.
func (b *Bench) said(r journal.Record) (journal.Fact, error) {
	r.Replaces = nil
	r, err := b.stamped(r)
	if err != nil {
		return journal.Fact{}, err
	}
	r.Name = b.tester.Name
	s, err := b.tester.Key.Seal(r)
	return journal.Fact{ID: s.ID, Record: r}, err
}

// Thing returns what holds for one thing, nil when nothing does, the records
// that stand for it, and what was found. Of a burn that is its own record,
// without what was pressed.
func (b *Bench) Thing(kindName, subject string) (*trial.Trial, []journal.ID, []finding.Finding) {
	b.mu.Lock()
	defer b.mu.Unlock()
	k, ok := kindNamed(kindName)
	if !ok {
		return nil, nil, nil
	}
	s := b.stand(k, subject, b.authorsFor(k))
	var ids []journal.ID
	for _, f := range s.live {
		ids = append(ids, f.ID)
	}
	return s.value(), ids, s.findings
}

// Shelf returns all gear on the bench, by this tester's own word where there is
// one, sorted by name within each kind.
func (b *Bench) Shelf() (gear.Shelf, []finding.Finding) {
	b.mu.Lock()
	defer b.mu.Unlock()
	var t trial.Trial
	var fs []finding.Finding
	for _, k := range gearKinds {
		for _, name := range b.fold.Subjects(k.name) {
			s := b.stand(k, name, b.authorsFor(k))
			if x := s.value(); x != nil {
				k.add(&t, x)
			}
			fs = append(fs, s.findings...)
		}
	}
	return t.Shelf, fs
}

// BurnSubject names a burn for History, Undo and Thing.
func BurnSubject(title, id string) string { return burnSubject(title, id) }
