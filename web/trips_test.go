package web

import (
	"net/http"
	"net/url"
	"os"
	"reflect"
	"strings"
	"testing"

	"fairburn/sheet"
)

const (
	weekend = "A summer weekend"
	cold    = "Ten cold days for two"
)

// walk puts examples of the documents on the bench of a site.
func walk(t testing.TB, s *Site, names ...string) {
	t.Helper()
	for _, name := range names {
		data, err := os.ReadFile("../docs/examples/" + name)
		if err != nil {
			t.Fatal(err)
		}
		x, fs, err := sheet.ReadTrip(name, data)
		if err != nil || len(fs) > 0 {
			t.Fatal(err, fs)
		}
		if _, _, err := s.Bench.PutTrip(t.Context(), x, nil); err != nil {
			t.Fatal(err)
		}
	}
}

// tripSite has the demo trial and both examples.
func tripSite(t testing.TB) *Site {
	t.Helper()
	s := newSite(t)
	walk(t, s, "weekend.toml", "ten-days.toml")
	return s
}

func tripOn(t testing.TB, s *Site, title string) *sheet.Trip {
	t.Helper()
	x, _, err := s.Bench.Trip(title)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// holds needs every text in a page, in that order.
func follows(t testing.TB, page string, texts ...string) {
	t.Helper()
	at := 0
	for _, x := range texts {
		i := strings.Index(page[at:], x)
		if i < 0 {
			t.Errorf("no %q after what stands before it", x)
			return
		}
		at += i + len(x)
	}
}

// sentenceOf is the first sentence of an answer.
func sentenceOf(t testing.TB, page string) string {
	t.Helper()
	_, rest, ok := strings.Cut(page, `<p class="sentence">`)
	if !ok {
		t.Fatalf("no answer in %.300s", page)
	}
	said, _, _ := strings.Cut(rest, "</p>")
	return said
}

func TestTripsAreListed(t *testing.T) {
	follows(t, page(t, emptySite(t), "/trips"), "what do I put in the pack?", `href="/trips/new"`, "Ask the first trip")
	follows(t, page(t, tripSite(t), "/trips"), `aria-current="page">Trips`, weekend, "2 days · 1 person · 1 leg · invented", cold, "10 days · 2 people · 2 legs", "Ask a trip")
}

func TestATripIsAnsweredFromTheBurns(t *testing.T) {
	s := tripSite(t)
	follows(t, page(t, s, at("trip", cold)), "Chance of running dry", "How likely it is to run dry", "What is carried, day by day",
		"Every stove and pot at its best", "own burns", "no stove", "not checked since 14 September", "date not written down", "Findings", "How days change it, and what it hangs on", "Card to print and fold")
	follows(t, page(t, s, at("trip", cold)+"?whole=yes"), "How days change the start mass", "What the answer hangs on")
	follows(t, page(t, s, at("trip", cold, "card")), "mL", "reserve", "Marks for the cap", "not checked since 14 September", "Local rules and the maker")
	text := get(t, s, at("trip", cold, "trip.toml")).Body.String()
	again, fs, err := sheet.ReadTrip("trip.toml", []byte(text))
	if err != nil || len(fs) > 0 {
		t.Fatal(err, fs)
	}
	if !reflect.DeepEqual(tripOn(t, s, cold), again) {
		t.Errorf("the sheet says another trip:\n%s", text)
	}
	for _, path := range []string{at("trip", "nowhere"), at("trip", "nowhere", "answer"), at("trip", "nowhere", "card"), at("trip", "nowhere", "trip.toml"), at("trip", "nowhere", "edit")} {
		if w := get(t, s, path); w.Code != http.StatusNotFound {
			t.Errorf("%s: %d", path, w.Code)
		}
	}
}

// What is asked beside what is kept changes the answer, and nothing on the bench.
func TestAskingKeepsNothing(t *testing.T) {
	s := tripSite(t)
	before := recordsOf(t, s)
	base := sentenceOf(t, page(t, s, at("trip", cold)))
	for _, q := range []string{"days=7", "people=3", "wind=gale", "reserve=1+%25+dry", "choose=waiting", "choose=cost&days=3&people=1&wind=still&reserve=2+days"} {
		w := get(t, s, at("trip", cold, "answer")+"?"+q)
		whole := page(t, s, at("trip", cold)+"?"+q)
		if said := sentenceOf(t, w.Body.String()); w.Code != http.StatusOK || said == base || said != sentenceOf(t, whole) {
			t.Errorf("%s: %d %s", q, w.Code, said)
		}
		follows(t, whole, "Not the trip that is kept", "Keep it so")
	}
	for _, q := range []string{"", "days=10&people=2&wind=&reserve=5+%25+dry&choose=mean+carried+mass"} { // as it is kept
		if said := sentenceOf(t, page(t, s, at("trip", cold)+"?"+q)); said != base {
			t.Errorf("%s: %s", q, said)
		}
	}
	for _, part := range []string{"card", "edit", "trip.toml"} {
		page(t, s, at("trip", cold, part))
	}
	page(t, s, "/trips/new")
	if n := recordsOf(t, s); n != before {
		t.Errorf("%d records were made by looking", n-before)
	}
}

func TestWhatIsAskedAmissIsSaidAndKept(t *testing.T) {
	s := tripSite(t)
	for q, want := range map[string]string{
		"days=0":           `days: read &#34;0&#34;, expected a whole number of days from 1 to 365`,
		"days=<b>":         `read &#34;&lt;b&gt;&#34;, expected a whole number`,
		"days=9999999999":  `expected a whole number of days from 1 to 365`,
		"people=-1":        `expected a whole number of people from 1 to 40`,
		"people=41":        `expected a whole number of people from 1 to 40`,
		"wind=hurricane":   `expected one of still, breeze, wind, gale`,
		"reserve=2+%25":    `2 % more`,
		"reserve=0+%25dry": `lies above 0 % and below 100 %`,
		"choose=colour":    `expected one of start mass`,
	} {
		for _, path := range []string{at("trip", cold), at("trip", cold, "answer")} {
			w := get(t, s, path+"?"+q)
			if body := w.Body.String(); w.Code != http.StatusUnprocessableEntity || !strings.Contains(body, want) || strings.Contains(body, "<b>") || strings.Contains(body, `class="sentence"`) {
				t.Errorf("%s?%s: %d, expected %q in %.200s", path, q, w.Code, want, body)
			}
		}
		if w := get(t, s, at("trip", cold, "card")+"?"+q); w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), want) {
			t.Errorf("card?%s: %d", q, w.Code)
		}
	}
	if body := get(t, s, at("trip", cold)+"?days=0&people=3").Body.String(); !strings.Contains(body, `value="0"`) || !strings.Contains(body, `value="3"`) {
		t.Error("what was typed is gone")
	}
	// The least chance of running dry has no answer without a greatest mass.
	follows(t, page(t, s, at("trip", weekend)+"?choose=chance+of+running+dry"), "No answer", "without a greatest mass")
	// No page waits for more boils than anybody makes.
	follows(t, page(t, s, at("trip", cold)+"?days=365&people=40"), "No answer", "boils over the whole trip, expected at most 3000")
}

func TestWhatIsAskedIsKept(t *testing.T) {
	s := tripSite(t)
	_, saw, _ := s.Bench.Trip(weekend)
	to := sent(t, s, at("trip", weekend, "keep"), url.Values{"saw": {sawText(saw)}, "days": {"4"}, "people": {"2"}, "wind": {"gale"}, "reserve": {"25 % more"}, "choose": {"waiting"}})
	x := tripOn(t, s, weekend)
	if x.Legs[0].Days != 4 || x.People != 2 || x.Legs[0].Wind != "gale" || sheet.ReserveText(x.Reserve) != "25 % more" || x.Choose != "waiting" {
		t.Errorf("%+v", x.Trip)
	}
	follows(t, page(t, s, to), "the trip is kept as asked", "Undo", `value="4"`)
	sent(t, s, "/undo", url.Values{"kind": {"trip"}, "subject": {weekend}, "to": {at("trip", weekend)}})
	if x := tripOn(t, s, weekend); x.Legs[0].Days != 2 {
		t.Error(x.Legs[0].Days)
	}
	if w := post(t, s, at("trip", weekend, "keep"), url.Values{"days": {"no"}}); w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "expected a whole number of days") {
		t.Error(w.Code)
	}
	to = sent(t, s, at("trip", weekend, "keep"), url.Values{"days": {"2"}})
	if !strings.Contains(to, "nothing+was+changed") {
		t.Error(to)
	}
	// Whoever kept something from an old page sees both, and which to settle.
	sent(t, s, at("trip", weekend, "keep"), url.Values{"saw": {sawText(saw)}, "days": {"5"}})
	if w := get(t, s, at("trip", weekend)); w.Code == http.StatusOK || !strings.Contains(w.Body.String(), "settle that in the journal") {
		t.Error(w.Code)
	}
	follows(t, page(t, s, "/trips"), "Two records disagree on this trip")
	follows(t, page(t, s, "/journal"), weekend)
}

// newTripValues is a form as a person fills it.
func newTripValues() url.Values {
	v := url.Values{"title": {"Über den <b>Paß</b>/2"}, "people": {"2"}, "reserve": {"1 day"}, "choose": {"start mass"}, "leg.0.days": {"3"}, "leg.0.name": {"up"},
		"leg.0.boil.0.name": {"supper"}, "leg.0.boil.0.water": {"500 mL"}, "leg.0.boil.0.per_day": {"2"}, "leg.0.boil.0.each": {"yes"}, "leg.0.boil.0.simmer": {"5 min"},
		"leg.0.water_start": {"8 ± 4 °C"}, "leg.0.elevation": {"1800 m"}, "leg.0.air": {"-2 °C"}, "leg.0.wind": {"breeze"}, "leg.0.snow": {"20 %"}, "leg.0.resupply": {"spirit", "gas"}}
	for name, text := range plainThings {
		v.Set(name, text)
	}
	return v
}

func TestATripIsAsked(t *testing.T) {
	s := newSite(t)
	follows(t, page(t, s, "/trips/new"), "Ask a trip", "Leg 1", "plain 250 mL bottle", "no stove")
	follows(t, page(t, emptySite(t), "/trips/new"), "No pot on the shelf has a mass")
	v := newTripValues()
	title := v.Get("title")
	before := recordsOf(t, s)
	v.Set("more", "leg") // keeps nothing
	w := post(t, s, "/trips/new", v)
	if w.Code != http.StatusOK || recordsOf(t, s) != before {
		t.Error(w.Code)
	}
	follows(t, w.Body.String(), "Leg 1", "Leg 2", `name="leg.1.water_start" value="8 ± 4 °C"`)
	v.Del("more")
	to := sent(t, s, "/trips/new", v)
	body := page(t, s, to)
	follows(t, body, "the trip is on the bench", "Über den &lt;b&gt;Paß&lt;/b&gt;/2", "Chance of running dry", "plain")
	if strings.Contains(body, "<b>Paß") {
		t.Error("the title is not escaped")
	}
	x := tripOn(t, s, title)
	l := x.Legs[0]
	if l.Days != 3 || l.Boils[0].PerDay != 2 || !l.Boils[0].PerPerson || l.Boils[0].Simmer.Text != "5 min" || l.SnowShare.Value != 0.2 || l.Elevation.Text != "1800 m" || len(l.Resupply) != 2 || len(x.Shelf.Vessels) != 5 || len(x.Shelf.Stoves) != 3 {
		t.Errorf("%+v", x)
	}
	if w := post(t, s, "/trips/new", v); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "there is a trip of this title on the bench already") {
		t.Error(w.Code)
	}
	to = sent(t, s, at("trip", title, "leave"), url.Values{})
	if follows(t, page(t, s, to), "the trip is off the bench", "Undo"); len(s.Bench.Trips()) != 0 {
		t.Error(s.Bench.Trips())
	}
}

func TestAFormAmissIsSaidAndKept(t *testing.T) {
	s := newSite(t)
	before := recordsOf(t, s)
	for name, row := range map[string]struct{ text, want string }{
		"title":                {"", "give the trip a title"},
		"people":               {"0", "expected a whole number of people from 1 to 40"},
		"reserve":              {"2 %", "2 % more"},
		"choose":               {"colour", "expected one of start mass"},
		"leg.0.days":           {"two", "expected a whole number of days from 0 to 365"},
		"leg.0.water_start":    {"8", "°C"},
		"leg.0.elevation":      {"1800", "ft"},
		"leg.0.wind":           {"storm", "expected one of still, breeze, wind, gale"},
		"leg.0.snow":           {"20", "20 %"},
		"leg.0.boil.0.water":   {"5 oz", "oz can be read two ways"},
		"leg.0.boil.0.per_day": {"51", "expected a whole number of boils a day from 0 to 50"},
		"leg.0.boil.0.simmer":  {"5", "min"},
		"bottle.0.mass":        {"18 mL", "18 mL"},
		"bottle.0.holds":       {"<script>", "&lt;script&gt;"},
		"stove.0.burns":        {"", "choose what it burns"},
		"part.0.slot":          {"hat", "expected one of pot"},
		"notes":                {strings.Repeat("x", 2_001), "read 2001 bytes, expected at most 2000"},
		"leg.0.name":           {"a\x00b", "0000, expected text"},
	} {
		v := newTripValues()
		v.Set(name, row.text)
		w := post(t, s, "/trips/new", v)
		if body := w.Body.String(); w.Code != http.StatusUnprocessableEntity || !strings.Contains(body, row.want) || !strings.Contains(body, "supper") || strings.Contains(body, "<script>") {
			t.Errorf("%s %q: %d, no %q", name, row.text, w.Code, row.want)
		}
	}
	v := newTripValues()
	v.Set("leg.0.days", "0")
	follows(t, post(t, s, "/trips/new", v).Body.String(), "the trip lasts 0 days, expected 1 or more", "supper")
	v = newTripValues()
	v.Set("leg.0.boil.0.water", "40 L")
	follows(t, post(t, s, "/trips/new", v).Body.String(), "expected above 0 and at most 20 kg", "40 L")
	for range 30 {
		v.Set("more", "leg")
		for i := range 25 {
			v.Set("leg."+string(rune('0'+i%10))+".days", "1")
		}
	}
	if body := post(t, s, "/trips/new", v).Body.String(); strings.Count(body, "<legend>Leg ") > 20 {
		t.Error("more than 20 legs")
	}
	if n := recordsOf(t, s); n != before {
		t.Errorf("%d records were made of faulty forms", n-before)
	}
}

// A form that is sent as it is shown changes nothing, whatever the sheet says that
// forms do not show.
func TestAFormSentBackChangesNothing(t *testing.T) {
	s := tripSite(t)
	for _, title := range []string{weekend, cold} {
		x, saw, _ := s.Bench.Trip(title)
		v := url.Values{"saw": {sawText(saw)}}
		for name, text := range typedOf(x) {
			v[name] = strings.Split(text, "; ")
		}
		if to := sent(t, s, at("trip", title, "edit"), v); !strings.Contains(to, "nothing+was+changed") {
			t.Errorf("%s: %s", title, to)
			h, _ := s.Bench.History(t.Context(), "trip", title)
			t.Log(h[len(h)-1].Changes)
		}
		page := page(t, s, at("trip", title, "edit"))
		for name, text := range typedOf(x) {
			if !strings.Contains(page, `name="`+name+`"`) {
				t.Errorf("%s: no field %s for %q", title, name, text)
			}
		}
	}
	_, saw, _ := s.Bench.Trip(cold)
	v := url.Values{"saw": {sawText(saw)}}
	for name, text := range typedOf(tripOn(t, s, cold)) {
		v[name] = strings.Split(text, "; ")
	}
	v.Set("leg.0.remove", "yes")
	v.Set("bottle.0.name", "")
	sent(t, s, at("trip", cold, "edit"), v)
	if x := tripOn(t, s, cold); len(x.Legs) != 1 || x.Legs[0].Name != "over the pass" || len(x.Shelf.Vessels) != 4 || x.Shelf.Vessels[3].Price.Text != "8.90" || len(x.Rules) != 2 || len(x.Past) != 1 {
		t.Errorf("%+v", x)
	}
}
