package bench

import (
	"bytes"
	"cmp"
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
	kind, ok := kindNamed(e.Kind)
	if !ok {
		return newReport(e.Title), "", fmt.Errorf("kind %.40q is %w", e.Kind, ErrUnknown)
	}
	names := kind.names(e.Thing)
	if len(names) == 0 || names[0] == "" || kind.name == burnKind.name && e.Title == "" {
		return newReport(e.Title), "", fmt.Errorf("a %s without a name cannot be found again", e.Kind)
	}
	if err := b.catchUp(ctx); err != nil {
		return newReport(e.Title), "", err
	}
	subject := kind.subject(e.Title, names[0])
	k, err := b.put(kind, subject, e)
	if err == nil {
		err = b.keep(ctx, k.records)
	}
	return k.report, subject, err
}

// put works out what is to be recorded.
func (b *Bench) put(kind kind, subject string, e Edit) (*taking, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	k := &taking{Bench: b, trial: e.Thing, clash: Correct, saw: e.Saw, report: newReport(e.Title)}
	alone := kind.one(e.Thing, 0)
	s := k.stand(kind, subject, k.authorsFor(kind))
	if kind.isGear() && e.Saw != nil && len(s.live) > 0 && !slices.ContainsFunc(s.live, k.own) && !slices.ContainsFunc(s.live, k.seen) {
		s = standing{kind: kind, subject: subject} // a name of this tester's own, whatever others call so
	}
	if own := s.value(); own != nil && e.Kind == burnKind.name {
		alone.Burns[0] = k.untimed(subject, alone.Burns[0], own.Burns[0])
	}
	return k, k.place(s, alone)
}

// place works out the record of one thing as a person wants it to stand.
func (k *taking) place(s standing, alone any) error {
	if err := k.decide(s, alone); err != nil {
		return err
	}
	if k.saw != nil && len(k.records) > 0 {
		k.tellMeanwhile(s)
	}
	return k.stamp(k.records)
}

func (k *taking) seen(f journal.Fact) bool { return slices.Contains(k.saw, f.ID) }

func (b *Bench) own(f journal.Fact) bool { return f.Record.Author == b.tester.Key.Author() }

// tellMeanwhile says where a correction contradicts what its writer had not seen.
func (k *taking) tellMeanwhile(s standing) {
	for _, f := range s.live {
		if !k.seen(f) {
			k.report.Findings = append(k.report.Findings, finding.Finding{Code: "changed_meanwhile", Severity: finding.Caution, Where: s.where(),
				Sentence: fmt.Sprintf("%s recorded something else meanwhile; both stand", f.Record.Name), Remedy: "choose one on its page"})
		}
	}
}

// authorsFor are those whose word on a thing is looked at: gear goes by each
// tester's own names.
func (b *Bench) authorsFor(k kind) []journal.Author {
	if k.isGear() {
		return []journal.Author{b.tester.Key.Author()}
	}
	return nil
}

// Undo takes this tester's last word on a subject back: what stood before holds
// again, by records that say so, and a thing that was new is withdrawn. To undo
// twice is to do it again. Where another's word stands, the last that this tester
// proposed is taken back. Of moments a choice is undone; a press by itself is taken
// back by a press.
func (b *Bench) Undo(ctx context.Context, kindName, subject string) error {
	if err := b.catchUp(ctx); err != nil {
		return err
	}
	r, before := b.undoing(kindName, subject)
	if len(r.Replaces) == 0 {
		return fmt.Errorf("%.20s %.60q: nothing of yours stands there, so there is nothing to undo: %w", kindName, subject, ErrUnknown)
	}
	var was []journal.Record
	for _, id := range before {
		e, err := b.store.Get(ctx, id) // its body may have stayed in the store
		if err != nil {
			return err
		}
		w, err := e.Check()
		if err != nil {
			return err
		}
		was = append(was, w)
	}
	records, err := b.restoring(r, was)
	if err != nil {
		return err
	}
	return b.keep(ctx, records)
}

// restoring makes the records that say again what was said before, or the one by
// which a thing leaves. What those had answered of other testers stays answered;
// what they had replaced of their own is replaced already.
func (b *Bench) restoring(r journal.Record, was []journal.Record) ([]journal.Record, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	var records []journal.Record
	for _, w := range was {
		again := r
		again.Version, again.Body = w.Version, w.Body
		again.Replaces = slices.Concat(slices.DeleteFunc(w.Replaces, b.wrote), r.Replaces)
		records = append(records, again)
	}
	if len(records) == 0 {
		records = append(records, withdrawing(r))
	}
	return records, b.stamp(records)
}

// wrote tells this tester's own records.
func (b *Bench) wrote(id journal.ID) bool {
	r, here := b.fold.Record(id)
	return here && r.Author == b.tester.Key.Author()
}

// undoing begins the record that takes the last word back, and says what is to
// hold again. It replaces nothing where there is nothing to undo.
func (b *Bench) undoing(kindName, subject string) (r journal.Record, before []journal.ID) {
	b.mu.Lock()
	defer b.mu.Unlock()
	r = journal.Record{Kind: kindName, Subject: subject}
	own := b.lastWords(b.fold.State(kindName, subject))
	if kindName == markName {
		own, before = b.choice(own)
	} else if id, stood := b.before(own); stood {
		before = []journal.ID{id}
	}
	for _, f := range own {
		r.Replaces = append(r.Replaces, f.ID)
	}
	return r, before
}

// lastWords are this tester's facts that stand, else what the tester proposes.
func (b *Bench) lastWords(state journal.State) []journal.Fact {
	facts := state.Live
	if !slices.ContainsFunc(facts, b.own) {
		facts = nil
		for _, p := range state.Proposals {
			facts = append(facts, p.Fact)
		}
	}
	return by(facts, []journal.Author{b.tester.Key.Author()})
}

// before finds what a tester said before the last of the own words that stand:
// what that one replaced, or another that stands beside it.
func (b *Bench) before(own []journal.Fact) (journal.ID, bool) {
	if len(own) == 0 {
		return journal.ID{}, false
	}
	last := slices.MaxFunc(own, laterOf)
	earlier := slices.DeleteFunc(slices.Clone(own), func(f journal.Fact) bool { return f.ID == last.ID })
	for _, id := range last.Record.Replaces {
		if r, _ := b.fold.Record(id); b.wrote(id) {
			earlier = append(earlier, journal.Fact{ID: id, Record: r})
		}
	}
	if len(earlier) == 0 {
		return journal.ID{}, false
	}
	return slices.MaxFunc(earlier, laterOf).ID, true
}

// choice finds the last of a tester's words on a moment that replaced words of the
// tester's own, with those that did so together with it, and what they replaced.
// Presses of one bench are all of its tester's, so rivals come back in numbers.
func (b *Bench) choice(own []journal.Fact) (words []journal.Fact, before []journal.ID) {
	own = slices.DeleteFunc(own, func(f journal.Fact) bool { return !slices.ContainsFunc(f.Record.Replaces, b.wrote) })
	if len(own) == 0 {
		return nil, nil
	}
	for _, id := range slices.MaxFunc(own, laterOf).Record.Replaces {
		if b.wrote(id) {
			before = append(before, id)
		}
	}
	return slices.DeleteFunc(own, func(f journal.Fact) bool {
		return !slices.ContainsFunc(f.Record.Replaces, func(id journal.ID) bool { return slices.Contains(before, id) })
	}), before
}

// laterOf orders one tester's records by the tester's clock.
func laterOf(f, g journal.Fact) int {
	return cmp.Or(f.Record.At.Compare(g.Record.At), bytes.Compare(f.ID[:], g.ID[:]))
}

// withdrawing makes of a record that by which a thing leaves the bench.
func withdrawing(r journal.Record) journal.Record {
	r.Version, r.Body = withdrawnVersion, json.RawMessage(`{"withdrawn":true}`)
	if r.Kind == photoName {
		r.Version = photoVersion
	}
	return r
}

// Withdraw takes a thing off the bench by a record that says so. What it was
// stays in its history, and Undo brings it back.
func (b *Bench) Withdraw(ctx context.Context, kindName, subject string) error {
	r, err := b.leaving(kindName, subject)
	if err != nil {
		return err
	}
	return b.keep(ctx, []journal.Record{r})
}

func (b *Bench) leaving(kindName, subject string) (journal.Record, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	r := journal.Record{Kind: kindName, Subject: subject}
	for _, f := range by(b.fold.State(kindName, subject).Live, []journal.Author{b.tester.Key.Author()}) {
		r.Replaces = append(r.Replaces, f.ID)
	}
	if len(r.Replaces) == 0 {
		return r, fmt.Errorf("%s %.60q: nothing of yours stands there: %w", kindName, subject, ErrUnknown)
	}
	return b.stamped(withdrawing(r))
}

// Settle makes one record what holds, in this tester's own name: it replaces
// the rivals and answers what others proposed, for the subject of that record.
// To settle on one's own record declines the proposals. Where one record of
// another's stands, this is a proposal to its author.
func (b *Bench) Settle(ctx context.Context, id journal.ID) error {
	if err := b.catchUp(ctx); err != nil {
		return err
	}
	e, err := b.store.Get(ctx, id)
	if err != nil {
		return err
	}
	chosen, err := e.Check()
	if err != nil {
		return err
	}
	records, err := b.settling(id, chosen)
	if err != nil {
		return err
	}
	return b.keep(ctx, records)
}

func (b *Bench) settling(id journal.ID, chosen journal.Record) ([]journal.Record, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	state := b.fold.State(chosen.Kind, chosen.Subject)
	is := func(f journal.Fact) bool { return f.ID == id }
	if !slices.ContainsFunc(state.Live, is) && !slices.ContainsFunc(state.Proposals, func(p journal.Proposal) bool { return is(p.Fact) }) {
		return nil, fmt.Errorf("record %.8v does not stand any more: %w", id, ErrUnknown)
	}
	return b.choosing(chosen)
}

// choosing makes the records by which what chosen says holds.
func (b *Bench) choosing(chosen journal.Record) ([]journal.Record, error) {
	r := journal.Record{Kind: chosen.Kind, Version: chosen.Version, Subject: chosen.Subject, Body: chosen.Body}
	state := b.fold.State(r.Kind, r.Subject)
	for _, f := range state.Live {
		r.Replaces = append(r.Replaces, f.ID)
	}
	for _, p := range state.Proposals {
		r.Replaces = append(r.Replaces, p.Fact.ID)
	}
	var records []journal.Record
	if len(state.Live) > 1 && len(by(state.Live, []journal.Author{b.tester.Key.Author()})) == 0 {
		said, err := b.said(r)
		if err != nil {
			return nil, err
		}
		records, r.Replaces = append(records, said.Record), append(r.Replaces, said.ID)
	}
	r, err := b.stamped(r)
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
