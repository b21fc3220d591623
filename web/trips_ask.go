package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"fairburn/carry"
	"fairburn/quantity"
	"fairburn/sheet"
)

// asking is what the page of a trip asks beside what is kept: days, people, wind,
// reserve and objective, as typed.
type asking struct {
	values, wrong map[string]string
	trip          *sheet.Trip // as it is kept
	Changed       bool        // from what is kept
	whole         bool        // days and drivers as well
}

// asks are its fields, in order.
var asks = []string{"days", "people", "wind", "reserve", "choose"}

const mostPeople = 40

// asked returns the trip as an address asks for it. A field that is not there or
// empty is as it is kept; what is wrong stands in the asking, and nothing of it in
// the trip.
func (v *tripView) asked(q url.Values) (carry.Trip, asking) {
	t := v.Trip.Trip
	a := asking{values: map[string]string{}, wrong: map[string]string{}, trip: v.Trip, whole: q.Get("whole") != ""}
	for _, name := range asks {
		a.values[name] = strings.TrimSpace(brief(q.Get(name)))
	}
	a.put("days", func(s string) (err error) {
		n, err := wholeOf(s, 1, 365, "days")
		if err == nil && n != daysOf(&t) {
			t, a.Changed = t.Lasting(n), true
		}
		return err
	})
	a.put("people", func(s string) (err error) {
		n, err := wholeOf(s, 1, mostPeople, "people")
		if err == nil && n != t.People {
			t.People, a.Changed = n, true
		}
		return err
	})
	a.put("wind", func(s string) error { return a.blow(&t, s) })
	a.put("reserve", func(s string) error {
		r, err := sheet.ParseReserve(s)
		if err == nil && sheet.ReserveText(r) != reserveOf(t) {
			t.Reserve, a.Changed = r, true
		}
		return err
	})
	a.put("choose", func(s string) error {
		o, err := quantity.ParseWord("what to have least of", s, quantity.Words(carry.Objectives()...))
		if err == nil && o != objectiveOf(t) {
			t.Choose, a.Changed = o, true
		}
		return err
	})
	return t, a
}

// put reads one field where something stands in it.
func (a *asking) put(name string, read func(string) error) {
	if s := a.values[name]; s != "" {
		if err := read(s); err != nil {
			a.wrong[name] = err.Error()
		}
	}
}

// blow puts one wind on every leg.
func (a *asking) blow(t *carry.Trip, s string) error {
	wind, err := quantity.ParseWord("wind", s, quantity.Words(carry.Winds()...))
	if err != nil {
		return err
	}
	if now, same := windOf(*t); same && now == wind {
		return nil
	}
	t.Legs, a.Changed = slices.Clone(t.Legs), true
	for i := range t.Legs {
		t.Legs[i].Wind = wind
	}
	return nil
}

func wholeOf(s string, least, most int, what string) (int, error) {
	n, err := strconv.Atoi(s)
	if err != nil || n < least || n > most {
		return 0, fmt.Errorf("read %q, expected a whole number of %s from %d to %d", s, what, least, most)
	}
	return n, nil
}

func daysOf(t *carry.Trip) int {
	n := 0
	for _, l := range t.Legs {
		n += l.Days
	}
	return n
}

// windOf is the wind of all legs, and false where they differ.
func windOf(t carry.Trip) (wind carry.Wind, same bool) {
	for i, l := range t.Legs {
		now := l.Wind
		if now == "" {
			now = carry.Still
		}
		if i > 0 && now != wind {
			return "", false
		}
		wind = now
	}
	return wind, len(t.Legs) > 0
}

func reserveOf(t carry.Trip) string {
	if t.Reserve.Rule == "" {
		return "1 day"
	}
	return sheet.ReserveText(t.Reserve)
}

func objectiveOf(t carry.Trip) carry.Objective {
	if t.Choose == "" {
		return carry.LeastStart
	}
	return t.Choose
}

// key tells questions from each other.
func (a asking) key() string {
	var values []string
	for _, name := range asks {
		values = append(values, a.Value(name))
	}
	return strings.Join(values, " · ")
}

// Query is the question as the end of an address, "" where it is the one kept.
func (a asking) Query() string {
	if !a.Changed && len(a.wrong) == 0 {
		return ""
	}
	q := url.Values{}
	for _, name := range asks {
		if s := a.values[name]; s != "" {
			q.Set(name, s)
		}
	}
	return "?" + q.Encode()
}

// WholeQuery is the question with all that can be said of it.
func (a asking) WholeQuery() string {
	if q := a.Query(); q != "" {
		return q + "&whole=yes"
	}
	return "?whole=yes"
}

// Wrong is why a field could not be taken.
func (a asking) Wrong(name string) string { return a.wrong[name] }

// AllWrong is why the question has no answer.
func (a asking) AllWrong() []string {
	var all []string
	for _, name := range asks {
		if a.wrong[name] != "" {
			all = append(all, name+": "+a.wrong[name])
		}
	}
	return all
}

func (a asking) err() error {
	if all := a.AllWrong(); len(all) > 0 {
		return refuse("%s", strings.Join(all, "; "))
	}
	return nil
}

// Fields are their names.
func (a asking) Fields() []string { return asks }

// Value is what stands in a field.
func (a asking) Value(name string) string {
	if s := a.values[name]; s != "" {
		return s
	}
	switch t := a.trip.Trip; name {
	case "days":
		return strconv.Itoa(daysOf(&t))
	case "people":
		return strconv.Itoa(t.People)
	case "wind":
		wind, _ := windOf(t)
		return string(wind)
	case "reserve":
		return reserveOf(t)
	default:
		return string(objectiveOf(t))
	}
}

// reserves are offered beside the trip's own.
var reserves = []string{"1 day", "2 days", "25 % more", "50 % more", "10 % dry", "5 % dry", "2 % dry", "1 % dry"}

var reserveWords = map[string]string{"1 day": "1 day more", "2 days": "2 days more", "10 % dry": "10 % chance of running dry", "5 % dry": "5 % chance of running dry", "2 % dry": "2 % chance of running dry", "1 % dry": "1 % chance of running dry"}

// Choices are those of a field.
func (a asking) Choices(name string) []choice {
	var all []string
	switch name {
	case "wind":
		for _, w := range carry.Winds() {
			all = append(all, string(w))
		}
		if _, same := windOf(a.trip.Trip); !same {
			all = append([]string{""}, all...)
		}
	case "reserve":
		all = slices.Clone(reserves)
		for _, own := range []string{reserveOf(a.trip.Trip), a.Value(name)} {
			if !slices.Contains(all, own) {
				all = append([]string{own}, all...)
			}
		}
	default:
		for _, o := range carry.Objectives() {
			all = append(all, string(o))
		}
	}
	var cs []choice
	for _, s := range all {
		c := choice{s, s, s == a.Value(name)}
		if words := reserveWords[s]; name == "reserve" && words != "" {
			c.Label = words
		} else if s == "" {
			c.Label = "as each leg says"
		}
		cs = append(cs, c)
	}
	return cs
}

// keepTrip keeps what is asked as the trip.
func (s *Site) keepTrip(w http.ResponseWriter, r *http.Request) error {
	v, err := s.tripNamed(r.PathValue("title"))
	if err != nil {
		return err
	}
	if _, err := posted(r); err != nil {
		return err
	}
	asked, a := v.asked(r.PostForm)
	if err := a.err(); err != nil {
		return err
	}
	kept, _, err := s.Bench.Trip(v.Title)
	if err != nil {
		return err
	}
	t := *kept
	asked.Past = t.Past // those of other trips stay theirs
	t.Trip = asked
	return s.putTrip(w, r, &t, "the trip is kept as asked")
}

// putTrip keeps a trip and goes to its page.
func (s *Site) putTrip(w http.ResponseWriter, r *http.Request, t *sheet.Trip, said string) error {
	report, subject, err := s.Bench.PutTrip(r.Context(), t, sawOf(r))
	if err != nil {
		return err
	}
	if len(report.Added)+len(report.Replaced)+len(report.Proposed) == 0 {
		return back(w, r, at("trip", t.Title), done{Said: "it stands so already; nothing was changed"})
	}
	return back(w, r, at("trip", t.Title), done{Said: said, Kind: "trip", Subject: subject})
}
