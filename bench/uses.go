package bench

import (
	"context"
	"fmt"
	"slices"

	"fairburn/journal"
)

// Uses lists the trials whose head names a thing of a kind, by title.
func (b *Bench) Uses(kindName, name string) []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	k, ok := kindNamed(kindName)
	if !ok {
		return nil
	}
	var titles []string
	for _, title := range b.fold.Subjects(trialKind.name) {
		s := b.stand(trialKind, title, nil)
		if x := s.value(); x != nil && slices.Contains(k.names(x), name) {
			titles = append(titles, title)
		}
	}
	return titles
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
	return b.withdrawing(r)
}
