package bench

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"sort"
	"strings"
	"time"

	"fairburn/burn"
	"fairburn/journal"
)

// Moments that a bench keeps beside the marks and faults of package burn.
const (
	Unseen = "unseen" // the flame was not seen; it may still burn
	Ready  = "ready"  // what the tester confirmed before the light
	Sync   = "sync"   // a flash and a tone, by which films are aligned
)

// Press is one press of a button beside the flame.
type Press struct {
	Nonce   string        // 32 hex digits drawn by the device: a press that is sent again is the same press
	Title   string        // of the trial
	Burn    string        // its id
	What    string        // a burn.Mark, a burn.FaultKind, Unseen, Ready or Sync
	At      time.Time     // the moment meant, on the clock of the bench
	Within  time.Duration // half-width of the device's clock against the bench's
	Pressed time.Time     // by the device's own clock
	Device  string        // what its user calls it
	Detail  string        // in words, such as what was confirmed
	// TakesBack is the nonce of the press that did not happen after all; What
	// is that press's.
	TakesBack string
}

// Moment is a press that stands, or stood.
type Moment struct {
	ID      journal.ID
	Subject string // for Undo
	Nonce   string
	What    string
	At      time.Time
	Within  time.Duration
	Device  string
	Detail  string
	Tester  string
	// State is "holds", "rival" or "replaced"; of a press that took back another,
	// which is replaced by it, "taken back".
	State string
}

// pressed is the body of a mark's record, version 1.
type pressed struct {
	At        time.Time `json:"at"`
	Within    float64   `json:"within_s"`
	Device    string    `json:"device,omitempty"`
	Detail    string    `json:"detail,omitempty"`
	TakenBack bool      `json:"taken_back,omitempty"`
}

// The kind of record that holds a moment. Its subject is the burn's and what it
// is of; of what can happen more than once, also the nonce of its first press.
const (
	markName    = "mark"
	markVersion = 1
)

// most is how far the clock of a device may be from the bench's. What lies
// further off is a clock that was never set.
const most = 31 * 24 * time.Hour

// Once tells moments of which a burn has one from those that come in numbers.
func Once(what string) bool {
	return burn.Mark(what) != burn.NotBoiling && isMark(what) || what == Unseen
}

func isMark(what string) bool { return slices.Contains(burn.Marks(), burn.Mark(what)) }

func isFault(what string) bool { return slices.Contains(burn.FaultKinds(), burn.FaultKind(what)) }

// isNonce reports whether s is a nonce in the one form that a journal takes.
func isNonce(s string) bool { return len(s) == 32 && strings.Trim(s, "0123456789abcdef") == "" }

func markSubject(of, what, nonce string) string {
	if Once(what) {
		return of + "/" + what
	}
	return of + "/" + what + "-" + nonce
}

// splitMark is the burn's subject and what the moment is of.
func splitMark(subject string) (of, what string) {
	of, what = titleOf(subject), subject[strings.LastIndexByte(subject, '/')+1:]
	what, _, _ = strings.Cut(what, "-")
	return of, what
}

// half is how far the moment may be from the time it states.
func (p pressed) half() time.Duration { return time.Duration(p.Within * float64(time.Second)) }

func readMark(_ int, raw json.RawMessage) (any, error) {
	var p pressed
	if err := json.Unmarshal(raw, &p); err != nil {
		return nil, fmt.Errorf("expected a moment: %w", err)
	}
	if p.At.IsZero() || p.Within < 0 || p.Within > most.Seconds() {
		return nil, errors.New("expected a moment with its time, and the half-width of the clock within a month")
	}
	return p, nil
}

// Press keeps presses, all or none, and returns once they would outlive a power
// cut. Those that are here already are passed over, so a device may send them
// until it is answered. Several devices may press at once. The error wraps
// ErrRefused where sending them again would not help.
func (b *Bench) Press(ctx context.Context, presses []Press) error {
	sealed, err := b.press(presses)
	if errors.Is(err, ErrUnknown) { // what it is about may have come through another server
		if err := b.Refresh(ctx); err != nil {
			return err
		}
		sealed, err = b.press(presses)
	}
	if err != nil {
		return err
	}
	return b.append(ctx, sealed)
}

// press seals those presses that are not here yet.
func (b *Bench) press(presses []Press) ([]journal.Stored, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	l := lot{Bench: b, made: map[string][]journal.Fact{}}
	for _, p := range presses {
		if err := l.add(p); err != nil {
			return nil, refusal{fmt.Errorf("%.40q of burn %.40q: %w", p.What, p.Burn, err)}
		}
	}
	return l.sealed, nil
}

// lot is what one call of Press is to keep.
type lot struct {
	*Bench
	made   map[string][]journal.Fact // by subject
	sealed []journal.Stored
}

// add takes up a press unless it is here already. It may take back another of
// the same lot.
func (l *lot) add(p Press) error {
	if err := l.check(p); err != nil {
		return err
	}
	r := journal.Record{Kind: markName, Version: markVersion, Name: l.tester.Name, At: p.Pressed, Nonce: p.Nonce, Subject: l.subject(p)}
	facts := slices.Concat(l.fold.Facts(markName, r.Subject), l.made[r.Subject])
	if len(withNonce(facts, p.Nonce)) > 0 {
		return nil
	}
	if p.TakesBack != "" {
		if r.Replaces = withNonce(facts, p.TakesBack); len(r.Replaces) == 0 {
			return fmt.Errorf("what it would take back is %w", ErrUnknown)
		}
	}
	var err error
	r.Body, err = json.Marshal(pressed{At: p.At.UTC().Round(time.Millisecond), Within: p.Within.Seconds(), Device: p.Device, Detail: p.Detail, TakenBack: p.TakesBack != ""})
	if err != nil {
		return err
	}
	s, err := l.tester.Key.Seal(r)
	if err != nil {
		return err
	}
	l.sealed = append(l.sealed, s)
	l.made[r.Subject] = append(l.made[r.Subject], journal.Fact{ID: s.ID, Record: r})
	return nil
}

// subject is where a press is filed: one that takes another back, with that. A
// press that was settled on has a nonce of its own and is filed with the first.
func (l *lot) subject(p Press) string {
	of := burnSubject(p.Title, p.Burn)
	if p.TakesBack == "" || Once(p.What) {
		return markSubject(of, p.What, p.Nonce)
	}
	for _, subject := range l.index.marks[of] {
		if _, what := splitMark(subject); what == p.What && len(withNonce(l.fold.Facts(markName, subject), p.TakesBack)) > 0 {
			return subject
		}
	}
	return markSubject(of, p.What, p.TakesBack)
}

// withNonce are the records of one press: two, where it was sent again while the
// first was being kept and the device knew its clock better by then.
func withNonce(facts []journal.Fact, nonce string) []journal.ID {
	var ids []journal.ID
	for _, f := range facts {
		if f.Record.Nonce == nonce {
			ids = append(ids, f.ID)
		}
	}
	return ids
}

// check says what a press lacks.
func (b *Bench) check(p Press) error {
	switch off := p.At.Sub(b.tester.Now()); {
	case !isMark(p.What) && !isFault(p.What) && !slices.Contains([]string{Unseen, Ready, Sync}, p.What):
		return errors.New("it is no moment of a burn")
	case !isNonce(p.Nonce):
		return fmt.Errorf("nonce %.40q: expected 32 hex digits 0-9 a-f", p.Nonce)
	case b.fold.Count(burnKind.name, burnSubject(p.Title, p.Burn)) == 0:
		return fmt.Errorf("the burn is %w", ErrUnknown)
	case off.Abs() > most:
		return fmt.Errorf("its time %s is %d days from the clock of the bench: set the clock of the device", p.At.Format(time.DateTime), int(off.Hours()/24))
	case p.Within < 0 || p.Within > most:
		return fmt.Errorf("half-width of the clock %v: expected 0 to %v", p.Within, most)
	case len(p.Device) > 100 || len(p.Detail) > 1000:
		return fmt.Errorf("device and detail of %d and %d bytes: expected at most 100 and 1000", len(p.Device), len(p.Detail))
	}
	return nil
}

// Moments returns all that was pressed for a burn, in order of time; what does
// not hold any more as well.
func (b *Bench) Moments(title, id string) []Moment {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.moments(burnSubject(title, id))
}

func (b *Bench) moments(of string) []Moment {
	var all []Moment
	for _, subject := range b.index.marks[of] {
		_, what := splitMark(subject)
		live := b.standingMarks(b.fold.State(markName, subject).Live)
		for _, f := range b.fold.Facts(markName, subject) {
			if _, readable := f.Value.(pressed); readable {
				m := momentOf(what, f)
				m.State = stateOfMark(f, live)
				all = append(all, m)
			}
		}
	}
	sortMoments(all)
	return all
}

func momentOf(what string, f journal.Fact) Moment {
	p := f.Value.(pressed)
	return Moment{ID: f.ID, Subject: f.Record.Subject, Nonce: f.Record.Nonce, What: what, At: p.At, Within: p.half(), Device: p.Device, Detail: p.Detail, Tester: f.Record.Name}
}

// sortMoments orders by time, of equal times always in the same way.
func sortMoments(ms []Moment) {
	sort.SliceStable(ms, func(i, j int) bool {
		x, y := ms[i], ms[j]
		return cmp.Or(x.At.Compare(y.At), strings.Compare(x.Nonce, y.Nonce), bytes.Compare(x.ID[:], y.ID[:])) < 0
	})
}

// stateOfMark says in a word what became of a press; live are those that stand.
func stateOfMark(f journal.Fact, live []journal.Fact) string {
	stands := slices.ContainsFunc(live, func(g journal.Fact) bool { return g.ID == f.ID })
	switch {
	case stands && agree(live):
		return "holds"
	case stands:
		return "rival"
	case f.Value.(pressed).TakenBack:
		return "taken back"
	}
	return "replaced"
}

// standingMarks leaves out what was taken back, what cannot be read, what this
// tester settled by a word of their own, and all but one record of one press.
func (b *Bench) standingMarks(live []journal.Fact) []journal.Fact {
	own := by(live, []journal.Author{b.tester.Key.Author()})
	var standing []journal.Fact
	for _, f := range live {
		settled := func(g journal.Fact) bool { return slices.Contains(g.Record.Replaces, f.ID) }
		again := func(g journal.Fact) bool {
			return g.Record.Nonce == f.Record.Nonce && g.Record.Author == f.Record.Author
		}
		if p, readable := f.Value.(pressed); readable && !p.TakenBack && !slices.ContainsFunc(own, settled) && !slices.ContainsFunc(standing, again) {
			standing = append(standing, f)
		}
	}
	return standing
}

// agree reports whether moments may be one and the same: there is a time that
// the clocks of all their devices allow.
func agree(live []journal.Fact) bool {
	if len(live) < 2 {
		return true
	}
	first := live[0].Value.(pressed)
	from, to := first.At.Add(-first.half()), first.At.Add(first.half())
	for _, f := range live[1:] {
		p := f.Value.(pressed)
		if t := p.At.Add(-p.half()); t.After(from) {
			from = t
		}
		if t := p.At.Add(p.half()); t.Before(to) {
			to = t
		}
	}
	return !from.After(to)
}

// SettleMark makes one press the moment that holds: one of several rivals, or,
// where the choice was wrong, one that was replaced or taken back.
func (b *Bench) SettleMark(ctx context.Context, title, id string, keep journal.ID) error {
	if err := b.catchUp(ctx); err != nil {
		return err
	}
	records, err := b.choosingMark(burnSubject(title, id), keep)
	if err != nil {
		return err
	}
	return b.keep(ctx, records)
}

func (b *Bench) choosingMark(of string, keep journal.ID) ([]journal.Record, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	f, _ := b.fold.Fact(keep)
	if p, readable := f.Value.(pressed); !readable || p.TakenBack || titleOf(f.Record.Subject) != of {
		return nil, fmt.Errorf("moment %.8v is %w", keep, ErrUnknown)
	}
	return b.choosing(f.Record)
}
