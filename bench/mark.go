package bench

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/journal"
	"fairburn/quantity"
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
	ID     journal.ID
	Nonce  string
	What   string
	At     time.Time
	Within time.Duration
	Device string
	Detail string
	Tester string
	State  string // "holds", "rival", "replaced" or "taken back"
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
// is of; of what can happen more than once, also a part of its nonce.
const (
	markName    = "mark"
	markVersion = 1
)

// most is how far the clock of a device may be from the bench's. What lies
// further off is a clock that was never set.
const most = 31 * 24 * time.Hour

// once tells moments of which a burn has one from those that come in numbers.
func once(what string) bool {
	return burn.Mark(what) != burn.NotBoiling && slices.Contains(burn.Marks(), burn.Mark(what)) || what == Unseen
}

func isFault(what string) bool { return slices.Contains(burn.FaultKinds(), burn.FaultKind(what)) }

func markSubject(of, what, nonce string) string {
	if once(what) {
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

func readMark(_ int, raw json.RawMessage) (any, error) {
	var p pressed
	if err := json.Unmarshal(raw, &p); err != nil {
		return nil, fmt.Errorf("expected a moment: %w", err)
	}
	if p.At.IsZero() || p.Within < 0 {
		return nil, errors.New("expected a moment with its time")
	}
	return p, nil
}

// Press keeps presses, all or none, and returns once they would outlive a power
// cut. Those that are here already are passed over, so a device may send them
// until it is answered. Several devices may press at once.
func (b *Bench) Press(ctx context.Context, presses []Press) error {
	records, err := b.presses(presses)
	if err != nil {
		return err
	}
	return b.keep(ctx, records)
}

func (b *Bench) presses(presses []Press) ([]journal.Record, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	var records []journal.Record
	for _, p := range presses {
		r, err := b.press(p, records)
		if err != nil {
			return nil, fmt.Errorf("%s of burn %q: %w", p.What, p.Burn, err)
		}
		if r != nil {
			records = append(records, *r)
		}
	}
	return records, nil
}

// press makes the record of a press, nil where it is here already. A press may
// take back another of the same lot.
func (b *Bench) press(p Press, lot []journal.Record) (*journal.Record, error) {
	if err := b.checkPress(p); err != nil {
		return nil, err
	}
	of, nonce := burnSubject(p.Title, p.Burn), cmp.Or(p.TakesBack, p.Nonce)
	r := journal.Record{Kind: markName, Version: markVersion, Subject: markSubject(of, p.What, nonce), At: p.Pressed, Nonce: p.Nonce}
	facts := b.fold.Facts(markName, r.Subject)
	if slices.ContainsFunc(facts, func(f journal.Fact) bool { return f.Record.Nonce == p.Nonce }) {
		return nil, nil
	}
	if p.TakesBack != "" {
		i := slices.IndexFunc(facts, func(f journal.Fact) bool { return f.Record.Nonce == p.TakesBack })
		if i >= 0 {
			r.Replaces = []journal.ID{facts[i].ID}
		} else if err := b.sealed(&r, lot, p.TakesBack); err != nil {
			return nil, err
		}
	}
	body, err := json.Marshal(pressed{At: p.At.UTC().Round(time.Millisecond), Within: p.Within.Seconds(), Device: p.Device, Detail: p.Detail, TakenBack: p.TakesBack != ""})
	r.Body = body
	return &r, err
}

// sealed lets r replace the record of the lot that has the nonce.
func (b *Bench) sealed(r *journal.Record, lot []journal.Record, nonce string) error {
	for _, other := range lot {
		if other.Nonce == nonce && other.Subject == r.Subject {
			other.Name = b.tester.Name
			s, err := b.tester.Key.Seal(other)
			r.Replaces = []journal.ID{s.ID}
			return err
		}
	}
	return fmt.Errorf("what it would take back is %w", ErrUnknown)
}

// checkPress says what a press lacks.
func (b *Bench) checkPress(p Press) error {
	known := once(p.What) || isFault(p.What) || slices.Contains([]string{string(burn.NotBoiling), Ready, Sync}, p.What)
	subject := burnSubject(p.Title, p.Burn)
	switch off := p.At.Sub(b.tester.Now()); {
	case !known:
		return fmt.Errorf("%.40q is no moment of a burn", p.What)
	case len(b.fold.Facts(burnKind.name, subject)) == 0:
		return fmt.Errorf("the burn is %w", ErrUnknown)
	case off.Abs() > most:
		return fmt.Errorf("its time %s is %d days from the clock of the bench: set the clock of the device", p.At.Format(time.DateTime), int(off.Hours()/24))
	case p.Within < 0 || p.Within > most:
		return fmt.Errorf("half-width of the clock %v: expected 0 or more", p.Within)
	case len(p.Device) > 100 || len(p.Detail) > 1000:
		return errors.New("device and detail: expected at most 100 and 1000 bytes")
	}
	return nil
}

// Moments returns all that was pressed for a burn, in order of time; what was
// taken back or replaced as well.
func (b *Bench) Moments(title, id string) []Moment {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.moments(burnSubject(title, id))
}

func (b *Bench) moments(of string) []Moment {
	var all []Moment
	for _, subject := range b.index.marks[of] {
		_, what := splitMark(subject)
		state := b.fold.State(markName, subject)
		live := b.standingMarks(state.Live)
		for _, f := range b.fold.Facts(markName, subject) {
			p, ok := f.Value.(pressed)
			if !ok {
				continue
			}
			m := Moment{ID: f.ID, Nonce: f.Record.Nonce, What: what, At: p.At, Within: time.Duration(p.Within * float64(time.Second)),
				Device: p.Device, Detail: p.Detail, Tester: f.Record.Name}
			isLive := slices.ContainsFunc(live, func(g journal.Fact) bool { return g.ID == f.ID })
			switch {
			case isLive && !agree(live):
				m.State = "rival"
			case isLive:
				m.State = "holds"
			case p.TakenBack:
				m.State = "taken back"
			default:
				m.State = "replaced"
			}
			all = append(all, m)
		}
	}
	slices.SortFunc(all, func(x, y Moment) int { return cmp.Or(x.At.Compare(y.At), strings.Compare(x.Nonce, y.Nonce)) })
	return all
}

// standingMarks leaves out what was taken back, what cannot be read, and what
// this tester settled by a word of their own.
func (b *Bench) standingMarks(live []journal.Fact) []journal.Fact {
	own := by(live, []journal.Author{b.tester.Key.Author()})
	return slices.DeleteFunc(slices.Clone(live), func(f journal.Fact) bool {
		p, ok := f.Value.(pressed)
		return !ok || p.TakenBack || slices.ContainsFunc(own, func(g journal.Fact) bool { return slices.Contains(g.Record.Replaces, f.ID) })
	})
}

// agree reports whether moments are one and the same: no further apart than the
// clocks of the devices may be.
func agree(live []journal.Fact) bool {
	for _, f := range live {
		a, b := f.Value.(pressed), live[0].Value.(pressed)
		if a.At.Sub(b.At).Abs().Seconds() > a.Within+b.Within {
			return false
		}
	}
	return true
}

// timed returns a burn with the moments that were pressed for it. What its own
// record says leads. Moments that contradict each other are left out, and a
// finding says so; without one light there is no time at all.
func (b *Bench) timed(of string, r burn.Record) (burn.Record, []finding.Finding) {
	if len(b.index.marks[of]) == 0 {
		return r, nil
	}
	holds, fs := b.holding(of)
	light, lit := holds[string(burn.Light)]
	if !lit {
		return r, fs
	}
	r.Marks, r.Faults = maps.Clone(r.Marks), slices.Clone(r.Faults)
	if r.Marks == nil {
		r.Marks = map[burn.Mark]quantity.Reading[time.Duration]{}
	}
	for _, subject := range slices.Sorted(maps.Keys(holds)) {
		what, at := burn.Mark(holds[subject].What), sinceLight(light.At, holds[subject].At)
		switch {
		case what == burn.Light || what == Unseen:
		case holds[subject].At.Before(light.At):
			fs = append(fs, finding.Finding{Code: "mark_before_light", Severity: finding.Caution, Where: finding.Place{Subject: "burn " + r.ID, Field: string(what)},
				Sentence: fmt.Sprintf("%s was marked %s before light and is not used", what.Label(), quantity.FormatDuration(light.At.Sub(holds[subject].At), 1)),
				Remedy:   "take the mark back, or correct the time of light, on the page of the burn"})
		case isFault(string(what)):
			r.Faults = append(r.Faults, burn.Fault{Kind: burn.FaultKind(what), At: at})
		case what == burn.NotBoiling && r.Marks[what].Given && r.Marks[what].Value >= at.Value:
		case !r.Marks[what].Given || what == burn.NotBoiling:
			r.Marks[what] = at
		}
	}
	slices.SortStableFunc(r.Faults, func(x, y burn.Fault) int { return cmp.Compare(x.At.Value, y.At.Value) })
	return r, fs
}

// holding is what holds of a burn's marks and faults, by the last part of its
// subject.
func (b *Bench) holding(of string) (map[string]Moment, []finding.Finding) {
	holds, rivals := map[string]Moment{}, map[string][]Moment{}
	for _, m := range b.moments(of) {
		key := markSubject("", m.What, m.Nonce)[1:]
		switch {
		case m.What == Ready || m.What == Sync:
		case m.State == "rival":
			rivals[m.What] = append(rivals[m.What], m)
		case m.State == "holds" && holds[key].What == "": // of those that agree the first
			holds[key] = m
		}
	}
	var fs []finding.Finding
	for _, what := range slices.Sorted(maps.Keys(rivals)) {
		var each []string
		for _, m := range rivals[what] {
			each = append(each, m.At.Format("15:04:05.0")+" by "+cmp.Or(m.Device, m.Tester))
		}
		fs = append(fs, finding.Finding{Code: "marks_disagree", Severity: finding.Caution, Where: finding.Place{Subject: "burn " + idOf(of), Field: what},
			Sentence: fmt.Sprintf("%s was marked at different times and none of them is used: %s", burn.Mark(what).Label(), strings.Join(each, "; ")),
			Remedy:   "choose one on the page of the burn"})
	}
	return holds, fs
}

// sinceLight is a mark as a person would write it, to a tenth of a second.
func sinceLight(light, at time.Time) quantity.Reading[time.Duration] {
	r, err := quantity.ParseDuration(quantity.FormatDuration(max(0, at.Sub(light)), 1))
	if err != nil {
		panic(err) // what FormatDuration writes ParseDuration reads
	}
	return r
}

// untimed takes from a burn the moments that were pressed for it and that its
// own record need not repeat.
func (b *Bench) untimed(of string, r, own burn.Record) burn.Record {
	full, _ := b.timed(of, own)
	r.Marks = maps.Clone(r.Marks)
	for what, at := range r.Marks {
		if !own.Marks[what].Given && full.Marks[what].Given && full.Marks[what].Text == at.Text {
			delete(r.Marks, what)
		}
	}
	r.Faults = slices.DeleteFunc(slices.Clone(r.Faults), func(f burn.Fault) bool {
		same := func(g burn.Fault) bool { return g.Kind == f.Kind && g.At.Text == f.At.Text }
		return !slices.ContainsFunc(own.Faults, same) && slices.ContainsFunc(full.Faults, same)
	})
	return r
}

// SettleMark makes one of several rivals the moment that holds.
func (b *Bench) SettleMark(ctx context.Context, title, id string, keep journal.ID) error {
	b.mu.Lock()
	r, ok := b.fold.Record(keep)
	b.mu.Unlock()
	if !ok || r.Kind != markName || titleOf(r.Subject) != burnSubject(title, id) {
		return fmt.Errorf("record %.8v is %w", keep, ErrUnknown)
	}
	return b.Settle(ctx, keep)
}
