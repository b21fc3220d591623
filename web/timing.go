package web

import (
	"cmp"
	"encoding/json"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"fairburn/bench"
	"fairburn/burn"
	"fairburn/quantity"
	"fairburn/station"
	"fairburn/trial"
)

// timingPages are the page beside the flame and what it talks to.
func (s *Site) timingPages() map[string]handler {
	return map[string]handler{
		"GET /trial/{title}/bench":       s.benchPage,
		"GET /trial/{title}/bench/state": s.benchState,
		"POST /trial/{title}/bench":      s.setStations,
		"GET /trial/{title}/setup":       s.setupPage,
		"POST /trial/{title}/setup":      s.setUp,
		"POST /marks":                    s.marks,
		"GET /clock":                     s.clock,
		"GET /events":                    s.events,
	}
}

// mostStations is how many burners one person can watch (common practice, no source).
const mostStations = 6

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
	From   string `json:"-"` // time from light
	Label  string `json:"-"`
	Device string `json:"device"`
	State  string `json:"state"`
}

// Going reports whether the flame may still burn.
func (b *burning) Going() bool { return b.Stage == station.Burning || b.Stage == station.Unseen }

// bays are the stations of a trial, worked out once for each change.
func (s *Site) bays(v *view, n int) ([]bay, error) {
	last, err := part(v, "bays", func() (map[int]*burning, error) { return s.burnings(v.Trial), nil })
	bays := make([]bay, n)
	for i := range bays {
		bays[i] = bay{i + 1, last[i+1]}
	}
	for number, b := range last { // one that burns where the page shows no station is not hidden
		if number > n && b.Going() {
			bays = append(bays, bay{number, b})
		}
	}
	slices.SortFunc(bays, func(x, y bay) int { return cmp.Compare(x.Number, y.Number) })
	return bays, err
}

// burnings finds the burn that was set up last at each station.
func (s *Site) burnings(t *trial.Trial) map[int]*burning {
	last, since := map[int]*burning{}, map[int]time.Time{}
	for _, r := range t.Burns {
		moments := s.Bench.Moments(t.Title, r.ID)
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
		if m.State != "holds" && m.State != "rival" {
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
	slices.SortStableFunc(b.Moments, func(x, y momentState) int { return cmp.Compare(x.At, y.At) })
}

// add appends a moment; they come in order of time.
func (b *burning) add(m bench.Moment) {
	state := momentState{What: m.What, Nonce: m.Nonce, At: m.At.UnixMilli(), Label: labelOf(m.What), Device: m.Device, State: m.State}
	switch burn.Mark(m.What) {
	case burn.Light:
		if b.Light == 0 {
			b.Light = state.At
		}
	case burn.Out, burn.Snuffed:
		b.Ended = state.At
	}
	if b.Light != 0 && m.What != string(burn.Light) {
		state.From = quantity.FormatDuration(time.Duration(state.At-b.Light)*time.Millisecond, 1)
	}
	b.Moments, b.Undo = append(b.Moments, state), m.What+" "+m.Nonce
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

// benchView is what the timing page shows.
type benchView struct {
	*trial.Trial
	Bays     []bay
	Stations int
	Moments  []station.Moment
	Snuffer  []string
	Next     *nextBurn
	State    string // of the bays, for the script
	Moment   string // all moments, for the script
	Nonce    string // of presses without script
	Agos     []int
	Done     int
	Planned  int
}

// Choices are the numbers of stations to choose from.
func (benchView) Choices() []int { return []int{1, 2, 3, 4, 5, mostStations} }

// nextBurn is the burn that comes next in the order.
type nextBurn struct {
	Entry, Block, Level, Plan string
	Marker                    int
	Order                     int
	Until                     int64 // its burner rests until then, 0 when it has
}

func (s *Site) benchPage(w http.ResponseWriter, r *http.Request) error {
	v, err := s.view(r.PathValue("title"))
	if err != nil {
		return err
	}
	n := stations(r)
	bays, err := s.bays(v, n)
	if err != nil {
		return err
	}
	state, err := json.Marshal(bays)
	if err != nil {
		return err
	}
	moments, err := json.Marshal(scriptMoments())
	if err != nil {
		return err
	}
	p := station.Of(v.Trial)
	b := benchView{Trial: v.Trial, Bays: bays, Stations: n, Moments: station.Moments(), Snuffer: station.SnufferTest(), Next: s.next(v),
		State: string(state), Moment: string(moments), Nonce: newNonce(), Agos: []int{0, 2, 5, 10, 30},
		Done: p.Done, Planned: p.Planned}
	return s.show(w, r, "timing.html", frame{Title: "Bench: " + v.Title, Section: "trials", Scripts: []string{"/timing.js"}, Wide: n > 1, Body: b})
}

// scriptMoment is a moment as the page's script knows it.
type scriptMoment struct {
	Name  string `json:"name"`
	Label string `json:"label"`
	Key   string `json:"key"`
	Means string `json:"means"`
	Test  bool   `json:"test"`
}

func scriptMoments() (all []scriptMoment) {
	for _, m := range station.Moments() {
		all = append(all, scriptMoment{m.Name(), m.Label, m.Key, m.Means, m.AfterTest})
	}
	return all
}

// next is the burn to set up next, nil when the plan has none left.
func (s *Site) next(v *view) *nextBurn {
	slot, ok := station.Of(v.Trial).Next()
	if !ok {
		return nil
	}
	n := &nextBurn{Entry: slot.Entry, Block: slot.Block, Level: slot.Level, Plan: planWords(slot, true), Marker: v.Marker(slot.Entry), Order: slot.Order}
	if left, warm := s.rest(v, slot.Entry); warm {
		n.Until = s.Now().Add(left).UnixMilli()
	}
	return n
}

// rest is what is left of the cool-down of an entry's burner.
func (s *Site) rest(v *view, entry string) (time.Duration, bool) {
	ends, _ := part(v, "ends", func() (map[string]time.Time, error) { return s.ends(v.Trial), nil })
	return station.Rest(v.Trial, entry, func(entry string) (time.Time, bool) { at, ok := ends[entry]; return at, ok }, s.Now())
}

// ends are the times at which the last flame of each entry ended, whatever was
// set up at its station since.
func (s *Site) ends(t *trial.Trial) map[string]time.Time {
	last := map[string]time.Time{}
	for _, r := range t.Burns {
		b := newBurning(t, r, s.Bench.Moments(t.Title, r.ID))
		if at := time.UnixMilli(b.Ended); b.Ended != 0 && at.After(last[r.Entry]) {
			last[r.Entry] = at
		}
	}
	return last
}

func (s *Site) benchState(w http.ResponseWriter, r *http.Request) error {
	v, err := s.view(r.PathValue("title"))
	if err != nil {
		return err
	}
	bays, err := s.bays(v, stations(r))
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, bays)
	return nil
}

// stationsCookie remembers how many stations a device shows.
const stationsCookie = "stations"

func stations(r *http.Request) int {
	c, err := r.Cookie(stationsCookie)
	if err != nil {
		return 1
	}
	n, err := strconv.Atoi(c.Value)
	if err != nil || n < 1 || n > mostStations {
		return 1
	}
	return n
}

func (s *Site) setStations(w http.ResponseWriter, r *http.Request) error {
	n, err := strconv.Atoi(r.PostFormValue("stations"))
	if err != nil || n < 1 || n > mostStations {
		return refuse("stations %.20q: expected 1 to %d", r.PostFormValue("stations"), mostStations)
	}
	http.SetCookie(w, &http.Cookie{Name: stationsCookie, Value: strconv.Itoa(n), Path: "/", MaxAge: 400 * 86400, HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: s.TLS})
	return back(w, r, at("trial", r.PathValue("title"), "bench"), done{})
}
