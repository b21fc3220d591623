package web

import (
	"encoding/json"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"fairburn/bench"
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

// timingScripts are the modules of the page beside the flame; the first loads the others.
var timingScripts = []string{"page.js", "ask.js", "bay.js", "burn.js", "clock.js", "follow.js", "keys.js", "line.js", "outbox.js", "press.js", "signs.js"}

// timingModule is where a page loads them.
var timingModule = []string{"/timing/" + timingScripts[0]}

// benchView is what the timing page shows.
type benchView struct {
	*trial.Trial
	Bays     []bay
	Stations int
	Active   int // the station whose other marks are shown where there is little room
	Moments  []station.Moment
	Snuffer  []string
	Next     *nextBurn
	State    string // of the bays, for the script
	Moment   string // all moments, for the script
	Device   string // that asks
	Nonce    string // of presses without script
	Agos     []int
	Progress progress
	Undone   *undone
	Asks     *question
}

// Choices are the numbers of stations to choose from.
func (benchView) Choices() []int { return []int{1, 2, 3, 4, 5, mostStations} }

// nextBurn is the burn that comes next: the first in the order whose burner is cold.
type nextBurn struct {
	Entry, Block, Level, Plan string
	Marker                    int
	UsedAt                    int    // the station at which its burner is in a burn that has not ended, as all others then are; 0 for none
	Until                     int64  // its burner rests until then, and all others longer; 0 when it has
	Before                    string // the entry that comes before it in the order, whose burner is not cold; "" for none
	BeforeAt                  int    // the station at which that burner stands, 0 when it rests
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
	next, err := s.next(v)
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
	stages, err := s.stages(v)
	if err != nil {
		return err
	}
	b := benchView{Trial: v.Trial, Bays: bays, Stations: n, Active: activeOf(r, bays), Moments: station.Moments(), Snuffer: station.SnufferTest(), Next: next,
		State: string(state), Moment: string(moments), Device: deviceOf(r), Nonce: newNonce(), Agos: []int{0, 2, 5, 10, 30},
		Progress: v.progress(stages), Undone: s.undone(r, bays), Asks: questionOf(r, bays)}
	return s.show(w, r, "timing.html", frame{Title: "Bench: " + v.Title, Section: "trials", Scripts: timingModule, Wide: n > 1, Body: b})
}

// activeOf is the station that an address names, else the first with a burn.
func activeOf(r *http.Request, bays []bay) (number int) {
	for _, b := range slices.Backward(bays) {
		if b.Burn != nil {
			number = b.Number
		}
	}
	named := func(b bay) bool { return strconv.Itoa(b.Number) == r.URL.Query().Get("station") }
	if i := slices.IndexFunc(bays, named); i >= 0 {
		number = bays[i].Number
	}
	return number
}

// besideStation is the address of the timing page with a station before the others;
// more is what its page says beside that.
func besideStation(title, number string, more url.Values) string {
	if more == nil {
		more = url.Values{}
	}
	if number != "" {
		more.Set("station", cut(number, 2))
	}
	to := at("trial", title, "bench")
	if len(more) > 0 {
		to += "?" + more.Encode()
	}
	return to
}

// scriptMoment is a moment as the page's script knows it.
type scriptMoment struct {
	Name  string `json:"name"`
	Label string `json:"label"`
	Key   string `json:"key"`
	Means string `json:"means"`
	Test  bool   `json:"test"`
	Once  bool   `json:"once"`
}

func scriptMoments() (all []scriptMoment) {
	for _, m := range station.Moments() {
		all = append(all, scriptMoment{m.Name(), m.Label, m.Key, m.Means, m.AfterTest, bench.Once(m.Name())})
	}
	return all
}

// next is the burn to set up next, nil when the plan has none left.
func (s *Site) next(v *view) (*nextBurn, error) {
	last, err := s.lastAt(v)
	if err != nil {
		return nil, err
	}
	progress := station.Of(v.Trial)
	slot, heat, ok := progress.Due(func(entry string) station.Heat { return s.heat(v, last, entry) })
	if !ok {
		return nil, nil
	}
	n := &nextBurn{Entry: slot.Entry, Block: slot.Block, Level: slot.Level, Plan: planWords(slot, true), Marker: v.Marker(slot.Entry), UsedAt: usedAt(v.Trial, last, slot.Entry, 0)}
	if heat.Left > 0 {
		n.Until = s.Now().Add(heat.Left).UnixMilli()
	}
	if first := progress.Left[0]; first.Order != slot.Order {
		n.Before, n.BeforeAt = first.Entry, usedAt(v.Trial, last, first.Entry, 0)
	}
	return n, nil
}

// heat is that of an entry's burner, wherever it stands.
func (s *Site) heat(v *view, last map[int]*burning, entry string) station.Heat {
	left, _ := s.rest(v, entry)
	return station.Heat{InUse: usedAt(v.Trial, last, entry, 0) > 0, Left: left}
}

// usedAt is the station, another than except, at which the burner of an entry is in
// a burn that has not ended; 0 for none.
func usedAt(t *trial.Trial, last map[int]*burning, entry string, except int) int {
	mine, _ := t.Entry(entry)
	for _, number := range slices.Sorted(maps.Keys(last)) {
		b := last[number]
		if number == except || b.Stage == station.Ended {
			continue
		}
		its, _ := t.Entry(b.Entry)
		if b.Entry == entry || its.Burner != "" && its.Burner == mine.Burner {
			return number
		}
	}
	return 0
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
