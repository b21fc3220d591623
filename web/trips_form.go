package web

import (
	"cmp"
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

// typed reads one field; what is wrong stands in the form.
func typed[T any](f *tripForm, name string, parse func(string) (quantity.Reading[T], error)) quantity.Reading[T] {
	text := strings.TrimSpace(f.values[name])
	if text == "" {
		return quantity.Reading[T]{}
	}
	x, err := parse(text)
	if err != nil {
		f.wrong[name] = err.Error()
	}
	return x
}

func word[T ~string](f *tripForm, name, what string, all []T) T {
	text := strings.TrimSpace(f.values[name])
	if text == "" {
		return ""
	}
	x, err := quantity.ParseWord(what, text, quantity.Words(all...))
	if err != nil {
		f.wrong[name] = err.Error()
	}
	return x
}

// whole reads a whole number; one that is not there is what it is otherwise.
func (f *tripForm) whole(name string, otherwise, least, most int, what string) int {
	text := strings.TrimSpace(f.values[name])
	if text == "" {
		return otherwise
	}
	n, err := wholeOf(text, least, most, what)
	if err != nil {
		f.wrong[name] = err.Error()
	}
	return n
}

// trip makes the trip that is typed over one that was.
func (f *tripForm) trip(was *sheet.Trip) *sheet.Trip {
	t := *was
	t.People = f.whole("people", 1, 1, mostPeople, "people")
	t.Choose = word(f, "choose", "what to have least of", carry.Objectives())
	t.Notes = strings.TrimSpace(strings.ReplaceAll(f.values["notes"], "\r\n", "\n"))
	t.Limits.Start = typed(f, "limit.start", quantity.ParseMass)
	t.Limits.Wait = typed(f, "limit.wait", quantity.ParseDuration)
	t.Reserve = carry.Reserve{}
	if text := strings.TrimSpace(f.values["reserve"]); text != "" {
		r, err := sheet.ParseReserve(text)
		if t.Reserve = r; err != nil {
			f.wrong["reserve"] = err.Error()
		}
	}
	t.Legs = nil
	for i := range f.Legs {
		if at := fmt.Sprintf("leg.%d.", i); f.values[at+"remove"] == "" {
			t.Legs = append(t.Legs, f.leg(at))
		}
	}
	t.Shelf = f.shelf(was.Shelf)
	return &t
}

func (f *tripForm) leg(at string) carry.Leg {
	l := carry.Leg{Name: strings.TrimSpace(f.values[at+"name"]), Days: f.whole(at+"days", 0, 0, 365, "days")}
	l.WaterStart = typed(f, at+"water_start", quantity.ParseTemperature)
	l.SnowShare = typed(f, at+"snow", quantity.ParseRatio)
	l.SnowTemperature = typed(f, at+"snow_temperature", quantity.ParseTemperature)
	l.Elevation = typed(f, at+"elevation", quantity.ParseElevation)
	l.Air = typed(f, at+"air", quantity.ParseTemperature)
	l.Wind = word(f, at+"wind", "wind", carry.Winds())
	for text := range strings.SplitSeq(f.values[at+"resupply"], "; ") {
		if text = strings.TrimSpace(text); text != "" {
			l.Resupply = append(l.Resupply, carry.Kind(text))
		}
	}
	for j := range f.count(at+"boil.", "") {
		if b, some := f.boil(fmt.Sprintf("%sboil.%d.", at, j)); some {
			l.Boils = append(l.Boils, b)
		}
	}
	return l
}

// boil reads one row; one with no water and no name says nothing.
func (f *tripForm) boil(at string) (carry.Boil, bool) {
	b := carry.Boil{Name: strings.TrimSpace(f.values[at+"name"]), PerDay: f.whole(at+"per_day", 1, 0, 50, "boils a day"), PerPerson: f.values[at+"each"] != ""}
	b.Simmer = typed(f, at+"simmer", quantity.ParseDuration)
	water := strings.TrimSpace(f.values[at+"water"])
	if water == "" {
		if b.Name != "" || b.Simmer.Given {
			f.wrong[at+"water"] = `write how much water, such as "500 mL"`
		}
		return b, b.Name != "" || b.Simmer.Given
	}
	d, err := quantity.ParseDose(water, f.system)
	if b.Mass, b.Volume = d.Mass, d.Volume; err != nil {
		f.wrong[at+"water"] = strings.NewReplacer("a dose by mass", "an amount of water by mass", "a dose:", "an amount of water:").Replace(err.Error())
	}
	return b, true
}

// shelf reads what there is to take beside the bench; what forms do not show of a
// thing stays as it was under its name.
func (f *tripForm) shelf(was carry.Shelf) carry.Shelf {
	var s carry.Shelf
	f.rows("stove", func(at, name string) {
		x := named(was.Stoves, func(x carry.Stove) bool { return x.Name == name })
		x.Name, x.Kind = name, word(f, at+"burns", "what a stove burns", []carry.Kind{carry.Spirit, carry.Gas, carry.Tablets, carry.NoStove})
		x.Mass, x.PerLitre = typed(f, at+"mass", quantity.ParseMass), typed(f, at+"per_litre", quantity.ParseMass)
		if x.Kind == "" {
			f.wrong[at+"burns"] = cmp.Or(f.wrong[at+"burns"], "choose what it burns")
		}
		s.Stoves = append(s.Stoves, x)
	})
	vessel := func(key string, kind carry.Kind, read func(at string, v *carry.Vessel)) {
		f.rows(key, func(at, name string) {
			x := named(was.Vessels, func(x carry.Vessel) bool { return x.Name == name && x.For == kind })
			x.Name, x.For = name, kind
			read(at, &x)
			s.Vessels = append(s.Vessels, x)
		})
	}
	vessel("bottle", carry.Spirit, func(at string, v *carry.Vessel) {
		v.Mass = typed(f, at+"mass", quantity.ParseMass)
		v.Holds = typed(f, at+"holds", func(text string) (quantity.Reading[quantity.Volume], error) {
			return quantity.ParseVolume(text, f.system)
		})
	})
	vessel("cartridge", carry.Gas, func(at string, v *carry.Vessel) {
		v.Fuel, v.Mass = typed(f, at+"gas", quantity.ParseMass), typed(f, at+"full", quantity.ParseMass)
	})
	vessel("tablet", carry.Tablets, func(at string, v *carry.Vessel) {
		v.Mass = typed(f, at+"mass", quantity.ParseMass)
		v.Fuel = v.Mass
	})
	f.rows("part", func(at, name string) {
		slot := word(f, at+"slot", "what a thing is", carry.Slots())
		if slot == "" {
			f.wrong[at+"slot"] = cmp.Or(f.wrong[at+"slot"], "choose what it is")
		}
		x := named(was.Parts, func(x carry.Part) bool { return x.Name == name && x.Slot == slot })
		x.Name, x.Slot, x.Mass = name, slot, typed(f, at+"mass", quantity.ParseMass)
		s.Parts = append(s.Parts, x)
	})
	return s
}

// rows reads the rows of a kind that have a name; one without is taken out.
func (f *tripForm) rows(key string, read func(at, name string)) {
	for i := range f.count(key+".", "") {
		at := fmt.Sprintf("%s.%d.", key, i)
		if name := strings.TrimSpace(f.values[at+"name"]); name != "" {
			read(at, name)
		}
	}
}

func named[T any](all []T, is func(T) bool) T {
	if i := slices.IndexFunc(all, is); i >= 0 {
		return all[i]
	}
	var none T
	return none
}

// typedOf is a trip as it was typed.
func typedOf(t *sheet.Trip) map[string]string {
	v := map[string]string{
		"people": strconv.Itoa(t.People), "choose": string(t.Choose), "notes": t.Notes, "reserve": reserveOf(t.Trip),
		"limit.start": t.Limits.Start.Text, "limit.wait": t.Limits.Wait.Text,
	}
	for i, l := range t.Legs {
		at := fmt.Sprintf("leg.%d.", i)
		v[at+"name"], v[at+"days"], v[at+"wind"] = l.Name, strconv.Itoa(l.Days), string(l.Wind)
		v[at+"water_start"], v[at+"snow"], v[at+"snow_temperature"] = l.WaterStart.Text, l.SnowShare.Text, l.SnowTemperature.Text
		v[at+"elevation"], v[at+"air"] = l.Elevation.Text, l.Air.Text
		var fuels []string
		for _, k := range l.Resupply {
			fuels = append(fuels, string(k))
		}
		v[at+"resupply"] = strings.Join(fuels, "; ")
		for j, b := range l.Boils {
			at := fmt.Sprintf("%sboil.%d.", at, j)
			v[at+"name"], v[at+"water"], v[at+"per_day"], v[at+"simmer"] = b.Name, b.Mass.Text+b.Volume.Text, strconv.Itoa(b.PerDay), b.Simmer.Text
			if b.PerPerson {
				v[at+"each"] = "yes"
			}
		}
	}
	thingsTyped(v, t.Shelf)
	return v
}

func thingsTyped(v map[string]string, s carry.Shelf) {
	n := map[string]int{}
	next := func(key string) string {
		n[key]++
		return fmt.Sprintf("%s.%d.", key, n[key]-1)
	}
	for _, x := range s.Stoves {
		at := next("stove")
		v[at+"name"], v[at+"burns"], v[at+"mass"], v[at+"per_litre"] = x.Name, string(x.Kind), x.Mass.Text, x.PerLitre.Text
	}
	for _, x := range s.Vessels {
		switch x.For {
		case carry.Spirit:
			at := next("bottle")
			v[at+"name"], v[at+"holds"], v[at+"mass"] = x.Name, x.Holds.Text, x.Mass.Text
		case carry.Gas:
			at := next("cartridge")
			v[at+"name"], v[at+"gas"], v[at+"full"] = x.Name, x.Fuel.Text, x.Mass.Text
		default:
			at := next("tablet")
			v[at+"name"], v[at+"mass"] = x.Name, x.Mass.Text
		}
	}
	for _, x := range s.Parts {
		at := next("part")
		v[at+"name"], v[at+"slot"], v[at+"mass"] = x.Name, string(x.Slot), x.Mass.Text
	}
}
