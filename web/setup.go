package web

import (
	"cmp"
	"errors"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fairburn/bench"
	"fairburn/burn"
	"fairburn/finding"
	"fairburn/sheet"
	"fairburn/station"
	"fairburn/trial"
	"fairburn/web/guard"
)

// setting is one burn being set up at a station.
type setting struct {
	view    *view
	bays    []bay
	number  int // of the station
	entry   string
	slot    trial.Slot
	planned bool
	values  map[string]string // as typed
	ticked  map[string]bool
	simmer  bool
	goOn    bool // without what is missing
}

// setupView is the page of the short check before the flame.
type setupView struct {
	*trial.Trial
	Station  int
	Stations int
	ID       string
	Entry    string
	Marker   int
	Plan     string
	Block    string
	Level    string
	Entries  []choice
	Asked    []field // must and should
	Others   []field
	Other    []finding.Finding
	Ticks    []tick
	Simmer   bool
	MaySim   bool
	Until    int64
	Left     string // of the cool-down
	Missing  []station.Ask
	Untold   []string // not confirmed
}

type tick struct {
	station.Tick
	Ticked bool
}

// setting reads what is to be set up from a request.
func (s *Site) setting(r *http.Request) (*setting, error) {
	v, err := s.view(r.PathValue("title"))
	if err != nil {
		return nil, err
	}
	values, err := posted(r)
	if err != nil {
		return nil, err
	}
	number, err := strconv.Atoi(cmp.Or(r.FormValue("station"), "1"))
	if err != nil || number < 1 || number > mostStations {
		return nil, refuse("station %.20q: expected 1 to %d", r.FormValue("station"), mostStations)
	}
	x := &setting{view: v, number: number, values: values, ticked: map[string]bool{}, simmer: values["simmer"] != "", goOn: values["go_on"] != ""}
	if x.bays, err = s.bays(v, max(number, stations(r))); err != nil {
		return nil, err
	}
	for _, key := range r.PostForm["tick"] {
		x.ticked[key] = true
	}
	x.slot, x.planned = station.Of(v.Trial).Next()
	x.entry = cmp.Or(r.FormValue("entry"), x.slot.Entry)
	if x.entry == "" && len(v.Entries) > 0 {
		x.entry = v.Entries[0].Name
	}
	if _, known := v.Trial.Entry(x.entry); !known {
		return nil, refuse("entry %.60q: expected one of the trial's: %s", x.entry, entryNames(v.Trial))
	}
	if x.entry != x.slot.Entry {
		x.slot, x.planned = trial.Slot{Entry: x.entry}, false
	}
	return x, nil
}

func entryNames(t *trial.Trial) string {
	var names []string
	for _, e := range t.Entries {
		names = append(names, e.Name)
	}
	return strings.Join(names, ", ")
}

// record makes the burn of what was typed.
func (s *Site) record(x *setting) (*trial.Trial, []finding.Finding, error) {
	start := station.Start(x.view.Trial, x.slot, station.Turn{ID: station.NextID(x.view.Trial), Tester: s.Bench.Tester(),
		Date: s.Now().Format("2006-01-02"), Station: x.number})
	alone := &trial.Trial{Settings: trial.DefaultSettings(), Burns: []burn.Record{start}}
	alone.Settings.System = x.view.Settings.System
	values, err := sheet.FormOf("burn", alone)
	if err != nil {
		return nil, nil, err
	}
	fields, _ := sheet.Fields("burn", values, x.view.Settings.System)
	for _, f := range fields {
		if typed := x.values[f.Name]; typed != "" && (values[f.Name] == "" || f.Key == "levels") {
			values[f.Name] = typed
		}
	}
	t, fs := sheet.ReadForm("burn", values, x.view.Settings.System)
	if len(t.Burns) != 1 {
		t.Burns = []burn.Record{start}
	}
	return t, fs, nil
}

func (s *Site) setupPage(w http.ResponseWriter, r *http.Request) error {
	x, err := s.setting(r)
	if err != nil {
		return err
	}
	return s.showSetup(w, r, x, http.StatusOK, nil, false)
}

// showSetup shows the form; told says that what is missing was asked for already.
func (s *Site) showSetup(w http.ResponseWriter, r *http.Request, x *setting, status int, fs []finding.Finding, told bool) error {
	t, more, err := s.record(x)
	if err != nil {
		return err
	}
	if fs == nil && told {
		fs = more
	}
	rec := t.Burns[0]
	n := max(stations(r), x.number)
	left, warm := s.rest(x.view, x.entry)
	v := setupView{Trial: x.view.Trial, Station: x.number, Stations: n, ID: rec.ID, Entry: x.entry, Marker: x.view.Marker(x.entry),
		Plan: planWords(x.slot, x.planned), Block: x.slot.Block, Level: x.slot.Level, Simmer: x.simmer, MaySim: !x.slot.Snuff}
	if warm {
		v.Until, v.Left = s.Now().Add(left).UnixMilli(), clock(left.Seconds())
	}
	for _, e := range x.view.Entries {
		v.Entries = append(v.Entries, choice{e.Name, e.Name, e.Name == x.entry})
	}
	v.Asked, v.Others, v.Other = s.asked(x, rec, warm, fs)
	for _, tk := range station.Ticks(n) {
		v.Ticks = append(v.Ticks, tick{tk, x.ticked[tk.Key]})
	}
	if told {
		v.Missing, v.Untold = x.missing(rec, warm), x.untold(n)
	}
	return s.showStatus(w, r, status, "setup.html", frame{Title: "Set up burn " + rec.ID, Section: "trials", Body: v})
}

// asked are the fields of what is to be read before the light, in the order in
// which it is done: first what a fair burn needs, then what is good to have.
func (s *Site) asked(x *setting, rec burn.Record, warm bool, fs []finding.Finding) (first, then []field, other []finding.Finding) {
	bare := burn.Record{ID: rec.ID, Entry: rec.Entry, Block: rec.Block, Levels: rec.Levels}
	asks := station.Before(x.view.Trial, bare, x.slot, warm)
	last, any := station.Last(x.view.Trial, rec)
	was := map[string]string{}
	if any {
		alone := &trial.Trial{Settings: x.view.Settings, Burns: []burn.Record{last}}
		was, _ = sheet.FormOf("burn", alone) // what cannot be shown is not shown
	}
	fields, _ := sheet.Fields("burn", x.values, x.view.Settings.System)
	for _, a := range asks {
		for _, f := range fields {
			if f.Key != a.Key || f.Group != "" || f.Kind == sheet.Instrument || a.Section != "[[burn]]" {
				continue
			}
			y := fieldOf(f, x.values[f.Name], fs)
			y.Label, y.Help, y.Must = capital(a.Words), a.Why, a.Need == station.Must
			y.Example = cmp.Or(lastTime(was[f.Name]), f.Example, a.Example)
			if a.Need == station.May {
				then = append(then, y)
			} else {
				first = append(first, y)
			}
		}
	}
	for _, f := range fs {
		named := func(y field) bool { return y.Name == f.Where.Field }
		if !slices.ContainsFunc(first, named) && !slices.ContainsFunc(then, named) {
			other = append(other, f)
		}
	}
	return first, then, other
}

func lastTime(value string) string {
	if value == "" {
		return ""
	}
	return "last time " + value
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// missing is what must be there and is not.
func (x *setting) missing(rec burn.Record, warm bool) (asks []station.Ask) {
	for _, a := range station.Before(x.view.Trial, rec, x.slot, warm) {
		if a.Need == station.Must {
			asks = append(asks, a)
		}
	}
	return asks
}

// untold lists what was not confirmed.
func (x *setting) untold(stations int) (words []string) {
	for _, t := range station.Ticks(stations) {
		if !x.ticked[t.Key] {
			words = append(words, t.Words)
		}
	}
	return words
}

// setUp puts a burn on the bench, ready to be lit. What is missing is asked for
// once; whoever goes on without it may.
func (s *Site) setUp(w http.ResponseWriter, r *http.Request) error {
	s.setups.Lock()
	defer s.setups.Unlock()
	x, err := s.setting(r)
	if err != nil {
		return err
	}
	if i := slices.IndexFunc(x.bays, func(b bay) bool { return b.Number == x.number }); i >= 0 && x.bays[i].Burn != nil {
		switch there := x.bays[i].Burn; {
		case there.Going():
			return refuse("burn %s at station %d has not ended: the snuffer test or putting it out ends it", there.ID, x.number)
		case there.Stage == station.Ready && there.ID == x.values["burn"] && there.Entry == x.entry: // the form came twice
			return back(w, r, at("trial", x.view.Title, "bench"), done{})
		case there.Stage == station.Ready:
			return refuse("burn %s of %s is set up at station %d and not lit: light it, or leave it out on its own page first", there.ID, there.Entry, x.number)
		}
	}
	t, fs, err := s.record(x)
	if err != nil {
		return err
	}
	_, warm := s.rest(x.view, x.entry)
	n := max(stations(r), x.number)
	lacks := len(x.missing(t.Burns[0], warm)) + len(x.untold(n))
	if faulty(fs) || lacks > 0 && !x.goOn {
		return s.showSetup(w, r, x, http.StatusUnprocessableEntity, fs, true)
	}
	rec := t.Burns[0]
	_, subject, err := s.Bench.Put(r.Context(), bench.Edit{Kind: "burn", Title: x.view.Title, Thing: t})
	if err != nil {
		return err
	}
	detail := x.confirmed(n)
	now := s.Now()
	err = s.Bench.Press(r.Context(), []bench.Press{{Nonce: newNonce(), Title: x.view.Title, Burn: rec.ID, What: bench.Ready, At: now, Pressed: now, Device: deviceOf(r), Detail: detail}})
	if err != nil { // a burn that no station has would only be in the way
		return errors.Join(err, s.Bench.Withdraw(r.Context(), "burn", subject))
	}
	return back(w, r, at("trial", x.view.Title, "bench"), done{})
}

// confirmed says in words what was, and what was not.
func (x *setting) confirmed(stations int) string {
	var parts []string
	if x.simmer {
		parts = append(parts, simmerWord)
	}
	parts = append(parts, slices.Sorted(maps.Keys(x.ticked))...)
	for _, t := range station.Ticks(stations) {
		if !x.ticked[t.Key] {
			parts = append(parts, "not confirmed: "+t.Key)
		}
	}
	return strings.Join(parts, detailBreak)
}

const detailBreak = "; "

func splitDetail(detail string) []string { return strings.Split(detail, detailBreak) }

// deviceOf is what the device that asks is called, "" at the machine itself.
func deviceOf(r *http.Request) string {
	d, ok := guard.DeviceOf(r.Context())
	if !ok {
		return ""
	}
	return d.Name
}
