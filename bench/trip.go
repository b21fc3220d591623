package bench

import (
	"context"
	"errors"
	"fmt"

	"fairburn/carry"
	"fairburn/finding"
	"fairburn/journal"
	"fairburn/sheet"
	"fairburn/trial"
)

// Trip returns a trip as it stands, and the records that say so. The caller must
// not change what its lists hold. A trip that is contradicted is an error, as is
// one that was withdrawn or never was.
func (b *Bench) Trip(title string) (*sheet.Trip, []journal.ID, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	s := b.stand(tripKind, title, nil)
	t := s.trip()
	var ids []journal.ID
	for _, f := range s.live {
		ids = append(ids, f.ID)
	}
	switch {
	case len(s.live) == 0:
		return nil, nil, fmt.Errorf("trip %.80q is %w", title, ErrUnknown)
	case t == nil:
		return nil, ids, fmt.Errorf("trip %.80q cannot be read: %s; settle that in the journal", title, s.findings[0].Sentence)
	}
	return t, ids, nil
}

// trip is the trip that holds, or nil.
func (s *standing) trip() *sheet.Trip {
	if s.holds == nil {
		return nil
	}
	t, _ := thing(*s.holds).(*sheet.Trip)
	return t
}

// ListedTrip is one trip in the list of all; Trip is nil where records contradict
// each other.
type ListedTrip struct {
	Title    string
	Trip     *sheet.Trip
	Findings []finding.Finding
}

// Trips lists the trips on the bench by title.
func (b *Bench) Trips() []ListedTrip {
	b.mu.Lock()
	defer b.mu.Unlock()
	var all []ListedTrip
	for _, title := range b.fold.Subjects(tripKind.name) {
		if s := b.stand(tripKind, title, nil); len(s.live) > 0 {
			all = append(all, ListedTrip{title, s.trip(), s.findings})
		}
	}
	return all
}

// Used lists what trips on the bench say of the fuel that they themselves used,
// but for the trip of that title: one does not correct its own plan.
func (b *Bench) Used(but string) []carry.Past {
	var all []carry.Past
	for _, l := range b.Trips() {
		if l.Trip == nil || l.Title == but {
			continue
		}
		for _, p := range l.Trip.Past {
			if p.Trip == l.Title {
				all = append(all, p)
			}
		}
	}
	return all
}

// Unburned is the whole shelf as a trial without burns: what a trip can take of what
// no trial names.
func (b *Bench) Unburned() *trial.Reduced {
	shelf, _ := b.Shelf()
	return &trial.Reduced{Trial: &trial.Trial{Shelf: shelf}}
}

// LeftOut says that a trial counts for nothing, and why.
func LeftOut(title string, why error) finding.Finding {
	return finding.Finding{Code: "trial_left_out", Severity: finding.Caution, Where: finding.Place{Subject: "trial " + title}, Sentence: why.Error(), Remedy: "settle it in the journal"}
}

// PutTrip records a trip, or a correction of it; saw is as in Edit. It says what
// was changed, and the subject for History and Undo.
func (b *Bench) PutTrip(ctx context.Context, t *sheet.Trip, saw []journal.ID) (Report, string, error) {
	if t.Title == "" {
		return newReport(""), "", errors.New("a trip without a title cannot be found again")
	}
	if err := b.catchUp(ctx); err != nil {
		return newReport(t.Title), "", err
	}
	k, err := b.puttingTrip(t, saw)
	if err == nil {
		err = b.keep(ctx, k.records)
	}
	return k.report, t.Title, err
}

func (b *Bench) puttingTrip(t *sheet.Trip, saw []journal.ID) (*taking, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	k := &taking{Bench: b, clash: Correct, saw: saw, report: newReport(t.Title)}
	return k, k.place(k.stand(tripKind, t.Title, nil), t)
}
