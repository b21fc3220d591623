package web

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"fairburn/bench"
	"fairburn/carry"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/journal"
	"fairburn/quantity"
	"fairburn/sheet"
)

// tripForm is a trip as it is typed, before it is kept.
type tripForm struct {
	Title  string // of the trip that is changed, "" of a new one
	Saw    string
	Legs   int
	values map[string]string
	wrong  map[string]string
	Other  []finding.Finding
	Lacks  string // of the shelf
	system quantity.System
}

const (
	mostLegsTyped = 20
	mostRowsTyped = 40
	mostTyped     = 2_000 // bytes of one field
)

// plain marks sizes that were made up so that a first trip can be answered.
const plainSize = "plain "

// plainThings are offered to a new trip. Their masses lie where published tables and
// builders' notes have such things; each says that it is a plain size.
var plainThings = map[string]string{
	"bottle.0.name": plainSize + "100 mL bottle", "bottle.0.holds": "100 mL", "bottle.0.mass": "18 g",
	"bottle.1.name": plainSize + "250 mL bottle", "bottle.1.holds": "250 mL", "bottle.1.mass": "32 g",
	"bottle.2.name": plainSize + "500 mL bottle", "bottle.2.holds": "500 mL", "bottle.2.mass": "45 g",
	"cartridge.0.name": plainSize + "cartridge", "cartridge.0.gas": "100 g", "cartridge.0.full": "195 g",
	"tablet.0.name": plainSize + "tablet", "tablet.0.mass": "14 g",
	"stove.0.name": plainSize + "canister top", "stove.0.burns": "gas", "stove.0.mass": "80 g",
	"stove.1.name": plainSize + "tablet stand", "stove.1.burns": "tablets", "stove.1.mass": "13 g",
	"stove.2.name": "no stove", "stove.2.burns": "none",
	"part.0.name": plainSize + "lighter", "part.0.slot": "lighter", "part.0.mass": "11 g",
}

func (s *Site) newTrip(w http.ResponseWriter, r *http.Request) error {
	f := tripForm{Legs: 1, values: map[string]string{"people": "1", "reserve": "1 day", "leg.0.days": "2", "leg.0.boil.0.per_day": "2",
		"choose": string(carry.LeastStart), "leg.0.wind": string(carry.Still)}}
	for name, text := range plainThings {
		f.values[name] = text
	}
	_ = f.system.UnmarshalText([]byte(chosenUnits(r)))
	return s.showTripForm(w, r, http.StatusOK, f)
}

func (s *Site) showTripForm(w http.ResponseWriter, r *http.Request, status int, f tripForm) error {
	f.Lacks = s.lacks()
	title := "Ask a trip"
	if f.Title != "" {
		title = "Change " + f.Title
	}
	return s.showStatus(w, r, status, "trip_form.html", frame{Title: title, Section: "trips", Body: f})
}

// lacks says what the shelf has too little of for an answer.
func (s *Site) lacks() string {
	shelf, _ := s.Bench.Shelf()
	weighed := slices.ContainsFunc(shelf.Pots, func(p gear.Pot) bool { return p.Mass.Given })
	switch {
	case !weighed:
		return "No pot on the shelf has a mass, and every kit that heats needs one: weigh it first, or list it below."
	case len(shelf.Burners) == 0:
		return "There is no burner on the shelf yet, so only what stands below is compared."
	}
	return ""
}

// tripFormOf reads what was typed. One more leg is asked for by a button that keeps
// nothing.
func (s *Site) tripFormOf(r *http.Request, own quantity.System) (tripForm, bool, error) {
	values, err := posted(r)
	f := tripForm{values: values, wrong: map[string]string{}, Saw: values["saw"], system: own}
	f.Legs = min(max(1, f.count("leg.", "")), mostLegsTyped)
	more := values["more"] != ""
	if more && f.Legs < mostLegsTyped {
		f.values[fmt.Sprintf("leg.%d.days", f.Legs)] = "1"
		last, next := fmt.Sprintf("leg.%d.", f.Legs-1), fmt.Sprintf("leg.%d.", f.Legs)
		for name, text := range values { // as the one before, to be changed
			if rest, ok := strings.CutPrefix(name, last); ok && rest != "name" && rest != "days" && rest != "resupply" {
				f.values[next+rest] = text
			}
		}
		f.Legs++
	}
	return f, more, err
}

// count is how many rows are filled whose names begin with a prefix.
func (f *tripForm) count(prefix, within string) int {
	n := 0
	for name, text := range f.values {
		rest, ok := strings.CutPrefix(name, prefix)
		row, field, _ := strings.Cut(rest, ".")
		i, err := strconv.Atoi(row)
		if ok && err == nil && i >= n && i < mostRowsTyped && text != "" && strings.HasPrefix(field, within) {
			n = i + 1
		}
	}
	return n
}

func (s *Site) addTrip(w http.ResponseWriter, r *http.Request) error {
	var own quantity.System
	_ = own.UnmarshalText([]byte(chosenUnits(r)))
	f, more, err := s.tripFormOf(r, own)
	if err != nil {
		return err
	}
	if more {
		return s.showTripForm(w, r, http.StatusOK, f)
	}
	t := f.trip(&sheet.Trip{System: own})
	t.Title = strings.TrimSpace(f.values["title"])
	if why := titleTrouble(t.Title); why != "" {
		f.wrong["title"] = strings.Replace(strings.Replace(why, "trial", "trip", 1), "narrow against wide wall", "a weekend at the lake", 1)
	} else if _, _, err := s.Bench.Trip(t.Title); !errors.Is(err, bench.ErrUnknown) {
		f.wrong["title"] = "there is a trip of this title on the bench already: choose another, or open that one from the list of trips"
	}
	if !f.holds(t) {
		return s.showTripForm(w, r, http.StatusUnprocessableEntity, f)
	}
	_, subject, err := s.Bench.PutTrip(r.Context(), t, []journal.ID{})
	if err != nil {
		return err
	}
	return back(w, r, at("trip", t.Title), done{Said: "the trip is on the bench", Kind: "trip", Subject: subject})
}

// holds reports whether a trip can be kept; what is wrong stands in the form.
func (f *tripForm) holds(t *sheet.Trip) bool {
	for name, text := range f.values {
		if why := textTrouble(name, text); why != "" {
			f.wrong[name] = why
		}
	}
	if len(f.wrong) > 0 {
		return false
	}
	text, err := sheet.WriteTrip(t)
	if err == nil {
		var found []finding.Finding
		_, found, err = sheet.ReadTrip("trip", text)
		f.Other = append(f.Other, found...)
	}
	if err != nil {
		f.Other = append(f.Other, finding.Finding{Code: "not_kept", Severity: finding.Fault, Sentence: err.Error()})
	}
	f.Other = append(f.Other, t.Check()...)
	if why := tooMuch(t.Trip); why != "" {
		f.Other = append(f.Other, finding.Finding{Code: "trip_too_long", Severity: finding.Fault, Sentence: why})
	}
	return !faulty(f.Other)
}

// textTrouble says why a text cannot be kept, "" where it can.
func textTrouble(name, text string) string {
	if name == "saw" {
		return ""
	}
	if len(text) > mostTyped {
		return fmt.Sprintf("read %d bytes, expected at most %d: say it shorter", len(text), mostTyped)
	}
	if !utf8.ValidString(text) {
		return "read bytes that are no UTF-8, expected text"
	}
	for _, c := range text {
		if lines := name == "notes" || name == "text"; unicode.IsControl(c) && !(lines && strings.ContainsRune("\r\n\t", c)) {
			return fmt.Sprintf("read the invisible sign %U, expected text: take it out", c)
		}
	}
	return ""
}

// keptTrip returns a trip to be changed.
func (s *Site) keptTrip(title string) (*sheet.Trip, []journal.ID, error) {
	kept, saw, err := s.Bench.Trip(title)
	if err != nil {
		if !errors.Is(err, bench.ErrUnknown) {
			err = misuse{err}
		}
		return nil, nil, err
	}
	t := *kept
	return &t, saw, nil
}

func (s *Site) editTrip(w http.ResponseWriter, r *http.Request) error {
	t, saw, err := s.keptTrip(r.PathValue("title"))
	if err != nil {
		return err
	}
	f := tripForm{Title: t.Title, Saw: sawText(saw), system: t.System, Legs: max(1, len(t.Legs)), values: typedOf(t)}
	return s.showTripForm(w, r, http.StatusOK, f)
}

func (s *Site) saveTrip(w http.ResponseWriter, r *http.Request) error {
	was, _, err := s.keptTrip(r.PathValue("title"))
	if err != nil {
		return err
	}
	f, more, err := s.tripFormOf(r, was.System)
	if err != nil {
		return err
	}
	f.Title = was.Title
	if more {
		return s.showTripForm(w, r, http.StatusOK, f)
	}
	t := f.trip(was)
	if !f.holds(t) {
		return s.showTripForm(w, r, http.StatusUnprocessableEntity, f)
	}
	return s.putTrip(w, r, t, "the trip is changed")
}

// leaveTrip takes a trip off the bench.
func (s *Site) leaveTrip(w http.ResponseWriter, r *http.Request) error {
	title := r.PathValue("title")
	if err := s.Bench.Withdraw(r.Context(), "trip", title); err != nil {
		return err
	}
	return back(w, r, "/trips", done{Said: "the trip is off the bench", Kind: "trip", Subject: title})
}
