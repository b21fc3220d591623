package web

import (
	"cmp"
	"context"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fairburn/bench"
	"fairburn/burn"
	"fairburn/finding"
	"fairburn/journal"
	"fairburn/quantity"
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
	units   quantity.System   // of examples
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
	Busy     int    // the station at which its burner is in a burn that has not ended, 0 for none
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
	x := &setting{view: v, number: number, values: values, units: system(r, v.Settings.System), ticked: map[string]bool{}, simmer: values["simmer"] != "", goOn: values["go_on"] != ""}
	if x.bays, err = s.bays(v, max(number, stations(r))); err != nil {
		return nil, err
	}
	for _, t := range station.Ticks(mostStations) {
		x.ticked[t.Key] = slices.Contains(r.PostForm["tick"], t.Key)
	}
	return x, s.place(x, r.FormValue("entry"))
}

// place finds the entry to burn, which is the one that is due where none is named,
// and its place in the plan.
func (s *Site) place(x *setting, entry string) error {
	v := x.view
	if x.entry = entry; entry == "" {
		next, err := s.next(v)
		switch {
		case err != nil:
			return err
		case next != nil:
			x.entry = next.Entry
		case len(v.Entries) > 0:
			x.entry = v.Entries[0].Name
		}
	}
	if _, known := v.Trial.Entry(x.entry); !known {
		return refuse("entry %.60q: expected one of the trial's: %s", x.entry, entryNames(v.Trial))
	}
	if x.slot, x.planned = station.Of(v.Trial).Open(x.entry); !x.planned {
		x.slot = trial.Slot{Entry: x.entry}
	}
	return nil
}

func entryNames(t *trial.Trial) string {
	var names []string
	for _, e := range t.Entries {
		names = append(names, e.Name)
	}
	return strings.Join(names, ", ")
}

// nextID is the id of the next burn: one of which the bench has nothing, neither a
// burn that is contradicted nor moments of one that was withdrawn.
func (s *Site) nextID(t *trial.Trial) string {
	id := station.NextID(t)
	known := func() bool {
		_, live, _ := s.Bench.Thing("burn", bench.BurnSubject(t.Title, id))
		return len(live) > 0 || len(s.Bench.Moments(t.Title, id)) > 0
	}
	for known() {
		id = station.NextID(&trial.Trial{Burns: []burn.Record{{ID: id}}})
	}
	return id
}

// record makes the burn of what was typed.
func (s *Site) record(x *setting) (*trial.Trial, []finding.Finding, error) {
	start := station.Start(x.view.Trial, x.slot, station.Turn{ID: s.nextID(x.view.Trial), Tester: s.Bench.Tester(),
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
	t, _, err := s.record(x)
	if err != nil {
		return err
	}
	return s.showSetup(w, r, x, reading{record: t.Burns[0]})
}

// reading is what the form came to.
type reading struct {
	record   burn.Record
	findings []finding.Finding
	told     bool // it was sent: what is missing is said
}

// showSetup shows the form.
func (s *Site) showSetup(w http.ResponseWriter, r *http.Request, x *setting, read reading) error {
	rec, status := read.record, http.StatusOK
	last, err := s.lastAt(x.view)
	if err != nil {
		return err
	}
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
	v.Busy = usedAt(x.view.Trial, last, x.entry, x.number)
	v.Asked, v.Others, v.Other = s.asked(x, rec, warm, read.findings)
	for _, tk := range station.Ticks(n) {
		v.Ticks = append(v.Ticks, tick{tk, x.ticked[tk.Key]})
	}
	if read.told {
		status = http.StatusUnprocessableEntity
		v.Missing, v.Untold = x.missing(rec, warm), x.untold(n)
	}
	return s.showStatus(w, r, status, "setup.html", frame{Title: "Set up burn " + rec.ID, Section: "trials", Scripts: timingModule, Body: v})
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
	fields, _ := sheet.Fields("burn", x.values, x.units)
	for _, a := range asks {
		for _, f := range fields {
			if f.Key != a.Key || f.Group != "" || f.Kind == sheet.Instrument || a.Section != "[[burn]]" {
				continue
			}
			y := fieldOf(f, x.values[f.Name], fs)
			y.Label, y.Help, y.Must = capital(a.Words), a.Why, a.Need == station.Must
			y.Example = cmp.Or(lastTime(was[f.Name]), f.Example, a.Example)
			if last := lastTime(was[f.Name]); y.As == "choice" && last != "" { // a list shows no example
				y.Help += "; " + last
			}
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
	if err := s.Bench.Refresh(r.Context()); err != nil { // another server may have set up the next burn
		return err
	}
	x, err := s.setting(r)
	if err != nil {
		return err
	}
	beside := besideStation(x.view.Title, strconv.Itoa(x.number), nil)
	again, err := x.taken()
	if err != nil {
		return err
	}
	if again {
		return back(w, r, beside, done{})
	}
	t, fs, err := s.record(x)
	if err != nil {
		return err
	}
	_, warm := s.rest(x.view, x.entry)
	n := max(stations(r), x.number)
	lacks := len(x.missing(t.Burns[0], warm)) + len(x.untold(n))
	if faulty(fs) || lacks > 0 && !x.goOn {
		return s.showSetup(w, r, x, reading{t.Burns[0], fs, true})
	}
	now := s.Now()
	p := bench.Press{Nonce: newNonce(), Title: x.view.Title, Burn: t.Burns[0].ID, What: bench.Ready, At: now, Pressed: now, Device: deviceOf(r), Detail: x.confirmed(n)}
	if err := s.ready(r.Context(), t, p); err != nil {
		return err
	}
	return back(w, r, beside, done{})
}

// taken refuses a station at which a burn goes on or waits; again says that the
// one that waits came of this same form.
func (x *setting) taken() (again bool, err error) {
	i := slices.IndexFunc(x.bays, func(b bay) bool { return b.Number == x.number })
	if i < 0 || x.bays[i].Burn == nil {
		return false, nil
	}
	switch there := x.bays[i].Burn; {
	case there.Going():
		return false, refuse("burn %s at station %d has not ended: the snuffer test or putting it out ends it", there.ID, x.number)
	case there.Stage == station.Ready && there.ID == x.values["burn"] && there.Entry == x.entry:
		return true, nil
	case there.Stage == station.Ready:
		return false, refuse("burn %s of %s is set up at station %d and not lit: light it, or leave it out on its own page first", there.ID, there.Entry, x.number)
	}
	return false, nil
}

// ready keeps a burn and that it is ready, both or none, whether anybody waits for
// the answer or not. It replaces nothing: whatever another server put under the
// same id in this moment stands beside it, and neither is timed.
func (s *Site) ready(ctx context.Context, t *trial.Trial, p bench.Press) error {
	ctx = context.WithoutCancel(ctx)
	rep, subject, err := s.Bench.Put(ctx, bench.Edit{Kind: "burn", Title: p.Title, Thing: t, Saw: []journal.ID{}})
	switch {
	case err != nil:
		return err
	case len(rep.Findings) > 0:
		return refuse("burn %s was set up elsewhere in the same moment: choose one of the two on its page, and set the other up anew", p.Burn)
	}
	if err := s.Bench.Press(ctx, []bench.Press{p}); err != nil { // a burn that no station has would only be in the way
		return errors.Join(err, s.Bench.Withdraw(ctx, "burn", subject))
	}
	return nil
}

// confirmed says in words what was, and what was not.
func (x *setting) confirmed(stations int) string {
	var parts []string
	if x.simmer {
		parts = append(parts, simmerWord)
	}
	for _, t := range station.Ticks(stations) {
		if x.ticked[t.Key] {
			parts = append(parts, t.Key)
		} else {
			parts = append(parts, "not confirmed: "+t.Key)
		}
	}
	return strings.Join(parts, detailBreak)
}

const detailBreak = "; "

func splitDetail(detail string) []string { return strings.Split(detail, detailBreak) }

// longestDevice is what a press takes of a device's name, in bytes; one of 60
// characters may have more.
const longestDevice = 100

// deviceOf is what the device that asks is called, "" at the machine itself.
func deviceOf(r *http.Request) string {
	d, ok := guard.DeviceOf(r.Context())
	if !ok {
		return ""
	}
	return cut(d.Name, longestDevice)
}
