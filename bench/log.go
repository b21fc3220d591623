package bench

import (
	"context"
	"slices"
	"time"

	"fairburn/journal"
)

// Logged is one record in the order in which records came to this bench.
type Logged struct {
	ID       journal.ID
	Kind     string
	Subject  string
	Tester   string
	At       time.Time // by the tester's own clock
	Received time.Time
	From     string
	State    string // "holds", "rival", "proposed", "replaced", "unreadable"
	Corrects bool   // it replaces others
}

// Log returns up to n records, the newest first, after passing over as many as
// skip says, and how many there are in all.
func (b *Bench) Log(ctx context.Context, skip, n int) ([]Logged, int, error) {
	ids, facts, states := b.newest(skip, n)
	var all []Logged
	for i, id := range ids {
		e, err := b.store.Get(ctx, id)
		if err != nil {
			return nil, 0, err
		}
		r := facts[i].Record
		all = append(all, Logged{ID: id, Kind: r.Kind, Subject: r.Subject, Tester: r.Name, At: r.At,
			Received: e.Receipt.At, From: e.Receipt.From, State: states[i], Corrects: len(r.Replaces) > 0})
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	return all, len(b.index.order), nil
}

func (b *Bench) newest(skip, n int) (ids []journal.ID, facts []journal.Fact, states []string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	end := max(0, len(b.index.order)-skip)
	for _, id := range slices.Backward(b.index.order[max(0, end-n):end]) {
		f, _ := b.fold.Fact(id)
		ids, facts, states = append(ids, id), append(facts, f), append(states, b.stateOf(f))
	}
	return ids, facts, states
}

// stateOf says in a word what became of a record.
func (b *Bench) stateOf(f journal.Fact) string {
	state := b.fold.State(f.Record.Kind, f.Record.Subject)
	is := func(g journal.Fact) bool { return g.ID == f.ID }
	switch {
	case slices.ContainsFunc(state.Live, is) && state.Disagree:
		return "rival"
	case slices.ContainsFunc(state.Live, is):
		return "holds"
	case slices.ContainsFunc(state.Proposals, func(p journal.Proposal) bool { return is(p.Fact) }):
		return "proposed"
	case slices.ContainsFunc(b.fold.Facts(f.Record.Kind, f.Record.Subject), is):
		return "replaced"
	}
	return "unreadable"
}

// Listed is one trial as far as it is known without reading its burns.
type Listed struct {
	Title    string
	Question string
	Entries  int
	Burns    int
	Invented bool
}

// List lists the trials on the bench by title.
func (b *Bench) List() []Listed {
	b.mu.Lock()
	defer b.mu.Unlock()
	var all []Listed
	for _, title := range b.fold.Subjects(trialKind.name) {
		s := b.stand(trialKind, title, nil)
		l := Listed{Title: title, Burns: len(b.index.burns[title])}
		if x := s.value(); x != nil {
			l.Question, l.Entries, l.Invented = x.Question, len(x.Entries), x.Invented
		}
		if len(s.live) > 0 {
			all = append(all, l)
		}
	}
	return all
}
