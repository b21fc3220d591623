package bench

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"sort"
	"time"

	"fairburn/journal"
	"fairburn/trial"
)

// Version is one record about a subject.
type Version struct {
	ID       journal.ID     `json:"id"`
	Tester   string         `json:"tester"`
	Author   journal.Author `json:"author"`
	At       time.Time      `json:"at"`    // by the tester's own clock
	State    string         `json:"state"` // "holds", "stands", "proposed" or "replaced"
	Replaces []journal.ID   `json:"replaces,omitempty"`
	Changes  []Change       `json:"changes,omitempty"` // against each that it replaces
	Text     string         `json:"text"`              // as a sheet
}

// Part is one subject that a trial is made of, for History.
type Part struct{ Kind, Name, Subject string }

// Parts lists what a trial is made of: the trial as a whole, its gear, its burns.
func (b *Bench) Parts(title string) ([]Part, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	t, _, err := b.trial(title)
	if err != nil {
		return nil, err
	}
	parts := []Part{{trialKind.name, title, title}}
	for _, k := range gearKinds {
		for _, name := range k.names(t) {
			parts = append(parts, Part{k.name, name, name})
		}
	}
	burns := b.index.burns[title]
	for _, subject := range burns {
		parts = append(parts, Part{burnKind.name, idOf(subject), subject})
	}
	last := parts[len(parts)-len(burns):]
	sort.SliceStable(last, func(i, j int) bool { return trial.CompareIDs(last[i].Name, last[j].Name) < 0 })
	return parts, nil
}

// History returns the records about a subject, each after those it replaces. A
// record whose body breaks the rules of its kind is not among them.
func (b *Bench) History(ctx context.Context, kindName, subject string) ([]Version, error) {
	k, ok := kindNamed(kindName)
	if !ok {
		return nil, fmt.Errorf("kind %q is %w", kindName, ErrUnknown)
	}
	h := history{store: b.store, kind: k, texts: map[journal.ID]string{}}
	var roots []journal.ID
	roots, h.state = b.roots(k, subject)
	for _, id := range roots {
		if err := h.walk(ctx, id); err != nil {
			return nil, fmt.Errorf("%s %q: %w", kindName, subject, err)
		}
	}
	if len(h.versions) == 0 {
		return nil, fmt.Errorf("%s %q is %w", kindName, subject, ErrUnknown)
	}
	return h.versions, nil
}

// roots are the records that nothing has replaced; all others hang on them. It says
// how each stands.
func (b *Bench) roots(k kind, subject string) ([]journal.ID, map[journal.ID]string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	var roots []journal.ID
	state := map[journal.ID]string{}
	of := b.fold.State(k.name, subject)
	for _, f := range of.Live {
		roots, state[f.ID] = append(roots, f.ID), "stands"
	}
	for _, p := range of.Proposals {
		if roots = append(roots, p.Fact.ID); against(p, of.Live) {
			state[p.Fact.ID] = "proposed"
		}
	}
	if s := b.stand(k, subject, nil); s.holds != nil {
		state[s.holds.ID] = "holds"
	}
	return roots, state
}

// history reads what never changes, from the store.
type history struct {
	store    journal.Store
	kind     kind
	state    map[journal.ID]string
	texts    map[journal.ID]string
	versions []Version
}

// walk adds a record after those that it replaces. What is not here is passed over.
func (h *history) walk(ctx context.Context, id journal.ID) error {
	if _, seen := h.texts[id]; seen {
		return nil
	}
	h.texts[id] = ""
	e, err := h.store.Get(ctx, id)
	if errors.Is(err, journal.ErrAbsent) {
		return nil
	}
	if err != nil {
		return err
	}
	r, err := e.Check()
	if err != nil {
		return err
	}
	slices.SortFunc(r.Replaces, func(a, b journal.ID) int { return bytes.Compare(a[:], b[:]) })
	for _, target := range r.Replaces {
		if err := h.walk(ctx, target); err != nil {
			return err
		}
	}
	f := journal.Fact{ID: id, Record: r}
	if r.Version <= withdrawnVersion {
		if f.Value, err = h.kind.read(r.Version, r.Body); err != nil {
			return err
		}
	}
	h.add(f)
	return nil
}

func (h *history) add(f journal.Fact) {
	s := standing{kind: h.kind}
	text := s.textOf(f)
	h.texts[f.ID] = text
	v := Version{ID: f.ID, Tester: f.Record.Name, Author: f.Record.Author, At: f.Record.At, State: h.state[f.ID], Replaces: f.Record.Replaces, Text: text}
	if v.State == "" {
		v.State = "replaced"
	}
	for _, target := range v.Replaces {
		if was := h.texts[target]; was != "" {
			c := Change{Thing: target.String()}
			c.Was, c.Is = difference(was, text)
			v.Changes = append(v.Changes, c)
		}
	}
	h.versions = append(h.versions, v)
}
