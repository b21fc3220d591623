package web

import (
	"maps"
	"slices"
	"sort"
	"strings"
	"time"

	"fairburn/bench"
	"fairburn/burn"
	"fairburn/quantity"
	"fairburn/station"
	"fairburn/trial"
)

// bay is one station as the page shows it. Times are milliseconds of Unix time.
type bay struct {
	Number int      `json:"number"`
	Burn   *burning `json:"burn"` // the last that was set up here, nil for none
}

// burning is a burn at a station.
type burning struct {
	ID      string        `json:"id"`
	Entry   string        `json:"entry"`
	Marker  int           `json:"-"`
	Plan    string        `json:"-"` // what is meant to become of it
	Order   []burn.Mark   `json:"order"`
	Moments []momentState `json:"moments"` // that stand, in order of time
	Stage   station.Stage `json:"stage"`
	Next    string        `json:"next"`  // the mark expected next, "" for none
	Light   int64         `json:"light"` // 0: not lit
	Ended   int64         `json:"ended"` // 0: not ended
	Void    bool          `json:"void"`
	Undo    string        `json:"-"` // what the last press was and its nonce
	Undoes  string        `json:"-"` // the same in words
	Missing []station.Ask `json:"-"` // to be weighed and written down afterwards
	Record  burn.Record   `json:"-"`
}

// momentState is one moment as the page shows it.
type momentState struct {
	What   string `json:"what"`
	Nonce  string `json:"nonce"`
	At     int64  `json:"at"`
	Within int64  `json:"within"` // half-width of the clock
	From   string `json:"-"`      // time from light
	Label  string `json:"-"`
	Device string `json:"device"`
	State  string `json:"state"`
}

// Going reports whether the flame may still burn.
func (b *burning) Going() bool { return b.Stage == station.Burning || b.Stage == station.Unseen }

// bays are the stations of a trial, worked out once for each change.
func (s *Site) bays(v *view, n int) ([]bay, error) {
	last, err := s.lastAt(v)
	bays := make([]bay, n)
	for i := range bays {
		bays[i] = bay{i + 1, last[i+1]}
	}
	for number, b := range last { // one that burns where the page shows no station is not hidden
		if number > n && b.Going() {
			bays = append(bays, bay{number, b})
		}
	}
	sort.SliceStable(bays, func(i, j int) bool { return bays[i].Number < bays[j].Number })
	return bays, err
}

// lastAt is the burn that was set up last at each station.
func (s *Site) lastAt(v *view) (map[int]*burning, error) {
	return part(v, "bays", func() (map[int]*burning, error) { return s.burnings(v.Trial), nil })
}

// burnings finds the burn that was set up last at each station.
func (s *Site) burnings(t *trial.Trial) map[int]*burning {
	last, since := map[int]*burning{}, map[int]time.Time{}
	for _, r := range t.Burns {
		moments := inOrder(s.Bench.Moments(t.Title, r.ID))
		i := slices.IndexFunc(moments, func(m bench.Moment) bool { return m.What == bench.Ready })
		number := max(1, r.Station)
		if i < 0 || !moments[i].At.After(since[number]) && last[number] != nil {
			continue
		}
		last[number], since[number] = newBurning(t, r, moments), moments[i].At
	}
	return last
}

func newBurning(t *trial.Trial, r burn.Record, moments []bench.Moment) *burning {
	e, _ := t.Entry(r.Entry)
	burner, _ := t.Burner(e)
	slot, planned := station.SlotOf(t, r.ID)
	b := &burning{ID: r.ID, Entry: r.Entry, Marker: t.Marker(r.Entry), Plan: planWords(slot, planned), Moments: []momentState{}, Record: r}
	b.Void = r.Void != ""
	unseen, simmer := false, false
	live := burn.Record{ID: r.ID, Void: r.Void, Marks: map[burn.Mark]quantity.Reading[time.Duration]{}}
	maps.Copy(live.Marks, r.Marks) // some were written down, not pressed
	for _, m := range moments {
		if !stands(m) {
			continue
		}
		simmer = simmer || m.What == bench.Ready && slices.Contains(splitDetail(m.Detail), simmerWord)
		if m.What == bench.Ready {
			continue
		}
		unseen = unseen || m.What == bench.Unseen
		b.add(m)
		if slices.Contains(burn.Marks(), burn.Mark(m.What)) {
			live.Marks[burn.Mark(m.What)] = quantity.Given(time.Duration(0))
		}
	}
	b.written(r)
	b.Order = station.Order(burner.Family, slot.Snuff, simmer)
	next, _ := station.Next(b.Order, func(m burn.Mark) bool { return live.Marks[m].Given })
	b.Next = string(next)
	b.Stage = station.StageOf(live, nil, unseen)
	b.Missing = station.After(t, r)
	b.Undoes = b.undoes()
	return b
}

// Owed counts what a figure of the ended burn still waits for; one left out has none.
func (b *burning) Owed() (n int) {
	if b.Void {
		return 0
	}
	for _, a := range b.Missing {
		if a.Need != station.May {
			n++
		}
	}
	return n
}

// written adds the marks that stand in the burn's own record alone. They are not
// undone here: who wrote them down corrects them on the page of the burn.
func (b *burning) written(r burn.Record) {
	for _, what := range burn.Marks() {
		at, pressed := r.Marks[what], func(m momentState) bool { return m.What == string(what) }
		if b.Light == 0 || !at.Given || slices.ContainsFunc(b.Moments, pressed) {
			continue
		}
		undo := b.Undo
		b.add(bench.Moment{What: string(what), At: time.UnixMilli(b.Light).Add(at.Value), State: "holds"})
		b.Undo = undo
	}
	sort.SliceStable(b.Moments, func(i, j int) bool { return b.Moments[i].At < b.Moments[j].At })
}

// stands reports whether a moment was neither taken back nor replaced.
func stands(m bench.Moment) bool { return m.State == "holds" || m.State == "rival" }

// inOrder puts the end of the flame after the moment from which none was seen, whose
// time it has, so that it is the one to be undone first.
func inOrder(moments []bench.Moment) []bench.Moment {
	sort.SliceStable(moments, func(i, j int) bool {
		x, y := moments[i], moments[j]
		return x.At.Before(y.At) || x.At.Equal(y.At) && x.What != string(burn.Out) && y.What == string(burn.Out)
	})
	return moments
}

// add appends a moment; they come in order of time.
func (b *burning) add(m bench.Moment) {
	state := momentState{What: m.What, Nonce: m.Nonce, At: m.At.UnixMilli(), Within: m.Within.Milliseconds(), Label: labelOf(m.What), Device: m.Device, State: m.State}
	switch burn.Mark(m.What) {
	case burn.Light:
		if b.Light == 0 {
			b.Light = state.At
		}
	case burn.Out, burn.Snuffed:
		b.Ended = state.At
	}
	if m.What != string(burn.Light) {
		state.From = b.from(m.At)
	}
	b.Moments, b.Undo = append(b.Moments, state), m.What+" "+m.Nonce
}

// from is a moment's time from light, "" without one.
func (b *burning) from(at time.Time) string {
	if b.Light == 0 {
		return ""
	}
	return quantity.FormatDuration(time.Duration(at.UnixMilli()-b.Light)*time.Millisecond, 1)
}

func (b *burning) undoes() string {
	what, nonce, _ := strings.Cut(b.Undo, " ")
	for _, m := range b.Moments {
		if m.What == what && m.Nonce == nonce {
			return strings.TrimSpace("Undo: " + m.Label + " " + m.From)
		}
	}
	return "Undo the last"
}

// Offers is the moment that the large button marks, nil for none: while the flame
// is not seen nothing is expected but the snuffer test.
func (b *burning) Offers() *station.Moment {
	name := b.Next
	switch {
	case b.Stage == station.Unseen || name == "" || b.Void && b.Light == 0:
		return nil
	case name == string(burn.Out):
		name = bench.Unseen
	}
	all := station.Moments()
	return &all[slices.IndexFunc(all, func(m station.Moment) bool { return m.Name() == name })]
}

func planWords(slot trial.Slot, planned bool) string {
	switch {
	case !planned:
		return "not in the plan"
	case slot.Snuff:
		return "to be put out at the boil, then weighed"
	}
	return "to flame-out"
}

func labelOf(what string) string {
	for _, m := range station.Moments() {
		if m.Name() == what {
			return m.Label
		}
	}
	return map[string]string{bench.Sync: "film flash", bench.Ready: "set up"}[what]
}

// simmerWord in the detail of what was confirmed says that a low-power phase is meant.
const simmerWord = "low-power phase"
