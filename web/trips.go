package web

import (
	"context"
	"errors"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"slices"
	"strings"
	"sync"

	"fairburn/bench"
	"fairburn/carry"
	"fairburn/finding"
	"fairburn/journal"
	"fairburn/quantity"
	"fairburn/report"
	"fairburn/sheet"
	"fairburn/trial"
)

// tripPages are the pages of trips: what to carry.
func (s *Site) tripPages() map[string]handler {
	return map[string]handler{
		"GET /trips":                  s.trips,
		"GET /trips/new":              s.newTrip,
		"POST /trips/new":             s.addTrip,
		"GET /trip/{title}":           s.trip,
		"GET /trip/{title}/answer":    s.tripAnswer,
		"POST /trip/{title}/keep":     s.keepTrip,
		"GET /trip/{title}/card":      s.tripCard,
		"GET /trip/{title}/trip.toml": s.tripSheet,
		"GET /trip/{title}/edit":      s.editTrip,
		"POST /trip/{title}/edit":     s.saveTrip,
		"POST /trip/{title}/leave":    s.leaveTrip,
		"POST /trip/{title}/note":     s.noteTrip,
		"POST /trip/{title}/used":     s.usedTrip,
	}
}

// trips lists them, or says what they are for.
func (s *Site) trips(w http.ResponseWriter, r *http.Request) error {
	return s.show(w, r, "trips.html", frame{Title: "Trips", Section: "trips", Live: "*", Body: s.Bench.Trips()})
}

// tripView is a trip with what there is to take, worked out once and kept until
// anything on the bench changes. Nothing in it is ever changed.
type tripView struct {
	*sheet.Trip
	saw     []journal.ID
	used    []carry.Past // what it says of itself
	version uint64
	shelf   carry.Shelf
	found   []finding.Finding
	markers map[string]int // of burners
	planner *carry.Planner

	mu      sync.Mutex
	answers map[string]report.Carry  // by what is asked
	shown   map[string]template.HTML // by that and the units
}

// tripViews keeps the trips asked for last, and what was drawn for any of them.
type tripViews struct {
	planner carry.Planner
	mu      sync.Mutex
	list    []*tripView // the one asked for last at the end
}

const (
	tripsKept   = 8
	answersKept = 64 // of one trip
)

// tripNamed returns a trip as it stands.
func (s *Site) tripNamed(title string) (*tripView, error) {
	version := s.Bench.Version("")
	s.walks.mu.Lock()
	defer s.walks.mu.Unlock()
	s.walks.list = slices.DeleteFunc(s.walks.list, func(v *tripView) bool { return v.version != version })
	if i := slices.IndexFunc(s.walks.list, func(v *tripView) bool { return v.Title == title }); i >= 0 {
		return s.walks.list[i], nil
	}
	v, err := s.newTripView(title, version)
	if err != nil {
		return nil, err
	}
	s.walks.list = append(s.walks.list, v)
	if len(s.walks.list) > tripsKept {
		s.walks.list = s.walks.list[1:]
	}
	return v, nil
}

// newTripView finds what there is to take: gear with its burns, trial by trial, then
// what else is on the shelf. Fuel that other trips used corrects this one.
func (s *Site) newTripView(title string, version uint64) (*tripView, error) {
	kept, saw, err := s.Bench.Trip(title)
	if err != nil {
		if errors.Is(err, bench.ErrUnknown) {
			return nil, err
		}
		return nil, misuse{err}
	}
	t := *kept
	t.Past = slices.Concat(s.Bench.Used(title), kept.Past)
	v := &tripView{Trip: &t, saw: saw, version: version, planner: &s.walks.planner, answers: map[string]report.Carry{}, shown: map[string]template.HTML{}}
	for _, p := range kept.Past {
		if p.Trip == title {
			v.used = append(v.used, p)
		}
	}
	var burned []*trial.Reduced
	for _, l := range s.Bench.List() {
		if !l.Own {
			continue
		}
		x, err := s.view(l.Title)
		if err != nil {
			v.found = append(v.found, bench.LeftOut(l.Title, err))
			continue
		}
		burned = append(burned, x.Reduced())
	}
	shelf, found := t.Take(append(burned, s.Bench.Unburned())...)
	v.shelf, v.found, v.markers = shelf, append(v.found, found...), report.MarkersOf(burned)
	return v, nil
}

// Bounds of what a page reckons while somebody waits.
const (
	mostTripBoils = 3_000
	mostTripDraws = 50_000
	leastSweep    = 14 // days, past the published turns of spirit against gas
)

// tooMuch says why a trip is too large for a page, "" where it is not.
func tooMuch(t carry.Trip) string {
	boils := 0.0
	for _, l := range t.Legs {
		for _, b := range l.Boils {
			n := float64(b.PerDay) * float64(l.Days)
			if b.PerPerson {
				n *= float64(t.People)
			}
			boils += n
		}
	}
	switch {
	case boils > mostTripBoils:
		return fmt.Sprintf("%.0f boils over the whole trip, expected at most %d: check days, people and boils a day, or plan it in parts", boils, mostTripBoils)
	case t.Draws > mostTripDraws:
		return fmt.Sprintf("%d draws, expected at most %d on a page; fairburn carry takes more", t.Draws, mostTripDraws)
	}
	return ""
}

// answer says what to carry for a trip that is asked of v: at once the choice, and
// with whole also how days change it and what it hangs on. What is known is given
// whole in any case.
func (v *tripView) answer(ctx context.Context, t carry.Trip, key string, whole bool) (report.Carry, error) {
	v.mu.Lock()
	c, known := v.answers[key]
	v.mu.Unlock()
	if known && (!whole || isWhole(c)) {
		return c, nil
	}
	var err error
	if !known {
		if c, err = v.choose(ctx, t); err != nil {
			return c, err
		}
	}
	if whole && !isWhole(c) {
		if c.Sweep, err = v.planner.Sweep(ctx, t, v.shelf, max(leastSweep, c.Answer.Days+2), nil); err != nil {
			return c, err
		}
		if c.Drivers, err = v.planner.Drive(ctx, t, v.shelf, nil); err != nil {
			return c, err
		}
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	if len(v.answers) >= answersKept {
		clear(v.answers)
		clear(v.shown)
	}
	v.answers[key] = c
	return c, nil
}

// isWhole reports whether there is nothing more to be said.
func isWhole(c report.Carry) bool { return c.Sweep != nil || len(c.Answer.Kits) == 0 }

func (v *tripView) choose(ctx context.Context, t carry.Trip) (report.Carry, error) {
	c := report.Carry{Reserve: t.Reserve, Markers: v.markers}
	if why := tooMuch(t); why != "" {
		c.Answer = &carry.Answer{Title: t.Title, Invented: t.Invented, Rules: t.Rules, Findings: []finding.Finding{{Code: "trip_too_long", Severity: finding.Fault, Sentence: why}}}
		return c, nil
	}
	var err error
	if c.Answer, err = v.planner.Choose(ctx, t, v.shelf, nil); err != nil {
		return c, err
	}
	c.Answer.Findings = slices.Concat(v.found, c.Answer.Findings)
	return c, nil
}

// tripBody is what the page of a trip shows.
type tripBody struct {
	*sheet.Trip
	Saw      string
	Ask      asking
	Answered template.HTML
	After    after
}

// trip shows what to carry, and asks what could be otherwise.
func (s *Site) trip(w http.ResponseWriter, r *http.Request) error {
	return s.showTrip(w, r, http.StatusOK, after{})
}

func (s *Site) showTrip(w http.ResponseWriter, r *http.Request, status int, typed after) error {
	v, err := s.tripNamed(r.PathValue("title"))
	if err != nil {
		return err
	}
	sys := system(r, v.System)
	b := tripBody{Trip: v.Trip, Saw: sawText(v.saw)}
	t, a := v.asked(r.URL.Query())
	if b.Ask = a; len(a.wrong) > 0 {
		status = http.StatusUnprocessableEntity
	}
	if b.Answered, err = s.answered(r.Context(), v, t, a, sys); err != nil {
		return err
	}
	if b.After, err = v.after(r.Context(), t, a, typed); err != nil {
		return err
	}
	return s.showStatus(w, r, status, "trip.html", frame{Title: v.Title, Section: "trips", Units: sys.String(), Scripts: []string{"/carry.js"}, Body: b})
}

// tripAnswer is the part of the page that follows what is asked.
func (s *Site) tripAnswer(w http.ResponseWriter, r *http.Request) error {
	v, err := s.tripNamed(r.PathValue("title"))
	if err != nil {
		return err
	}
	t, a := v.asked(r.URL.Query())
	text, err := s.answered(r.Context(), v, t, a, system(r, v.System))
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	if len(a.wrong) > 0 {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	_, _ = io.WriteString(w, string(text)) // a reader who has left is no error
	return nil
}

// answered is the answer to what is asked, with what can be done with it.
func (s *Site) answered(ctx context.Context, v *tripView, t carry.Trip, a asking, sys quantity.System) (template.HTML, error) {
	body := struct {
		*sheet.Trip
		Saw    string
		Ask    asking
		Report template.HTML
		Whole  bool
	}{Trip: v.Trip, Saw: sawText(v.saw), Ask: a}
	write := func() (template.HTML, error) {
		return html(func(w *strings.Builder) error { return templates["trip.html"].ExecuteTemplate(w, "answered", body) })
	}
	if len(a.wrong) > 0 {
		return write()
	}
	c, err := v.answer(ctx, t, a.key(), a.whole)
	if err != nil {
		return "", err
	}
	body.Whole = isWhole(c)
	key := fmt.Sprint(a.key(), " ", body.Whole, " ", sys)
	v.mu.Lock()
	text, ok := v.shown[key]
	v.mu.Unlock()
	if ok {
		return text, nil
	}
	body.Report, err = html(func(w *strings.Builder) error { return report.CarryBody(w, c, s.options(sys)) })
	if err != nil {
		return "", err
	}
	if text, err = write(); err != nil {
		return "", err
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	v.shown[key] = text
	return text, nil
}

// tripCard is the card to print and fold.
func (s *Site) tripCard(w http.ResponseWriter, r *http.Request) error {
	v, err := s.tripNamed(r.PathValue("title"))
	if err != nil {
		return err
	}
	sys := system(r, v.System)
	t, a := v.asked(r.URL.Query())
	if err := a.err(); err != nil {
		return err
	}
	c, err := v.answer(r.Context(), t, a.key(), false)
	if err != nil {
		return err
	}
	card, err := html(func(w *strings.Builder) error { return report.CarryCard(w, c, s.options(sys)) })
	if err != nil {
		return err
	}
	return s.show(w, r, "trip_card.html", frame{Title: "Card: " + v.Title, Section: "trips", Units: sys.String(), Body: struct {
		*sheet.Trip
		Ask  asking
		Card template.HTML
	}{v.Trip, a, card}})
}

// tripSheet hands a trip over as its sheet.
func (s *Site) tripSheet(w http.ResponseWriter, r *http.Request) error {
	t, _, err := s.Bench.Trip(r.PathValue("title"))
	if err != nil {
		return err
	}
	text, err := sheet.WriteTrip(t)
	if err != nil {
		return err
	}
	return attach(w, "application/toml", t.Title+".toml", func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
}
