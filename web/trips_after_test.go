package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// What a trip used corrects the plans of others, and never its own.
func TestTheFuelUsedCorrectsOtherPlans(t *testing.T) {
	s := tripSite(t)
	own, other := sentenceOf(t, page(t, s, at("trip", cold))), page(t, s, at("trip", weekend)+"?reserve=1+%25+dry")
	v := url.Values{"stove": {"Sorrel"}, "used.0": {"700 mL"}, "used.1": {"1100 g"}}
	to := sent(t, s, at("trip", cold, "used"), v)
	body := page(t, s, to)
	follows(t, body, "the fuel used is kept", "After the trip", "Sorrel: <strong>", "used where", "were likely")
	if said := sentenceOf(t, body); said != own {
		t.Errorf("a trip corrects its own plan: %s, before %s", said, own)
	}
	x := tripOn(t, s, cold)
	p := x.Past[len(x.Past)-1]
	if len(x.Past) != 2 || p.Trip != cold || p.Stove != "Sorrel" || p.Used.Value < 1.64 || p.Used.Value > 1.70 || p.Planned.Value <= 0 {
		t.Errorf("%+v", x.Past)
	}
	if after := page(t, s, at("trip", weekend)+"?reserve=1+%25+dry"); tableRow(after, "Sorrel and pot") == tableRow(other, "Sorrel and pot") {
		t.Error("the plan of another trip stays as it was")
	}
	v.Set("used.1", "") // written down anew, of one leg: it replaces
	v.Set("used.0", "600 mL")
	sent(t, s, at("trip", cold, "used"), v)
	if again := tripOn(t, s, cold).Past; len(again) != 2 || again[1].Planned.Value >= p.Planned.Value {
		t.Errorf("%+v", again)
	}
	for _, row := range []struct {
		stove, used, want string
	}{
		{"Sorrel", "", "write the fuel used on one leg or on each"},
		{"Sorrel", "much", "much"},
		{"Sorrel", "12 oz", "oz can be read two ways"},
		{"nobody", "100 g", "choose the stove that you carried"},
		{"no stove", "100 g", "choose the stove that you carried"},
		{"canister top", "100 mL", "burns nothing that is poured: write the fuel used in g"},
	} {
		w := post(t, s, at("trip", cold, "used"), url.Values{"stove": {row.stove}, "used.0": {row.used}})
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), row.want) {
			t.Errorf("%v: %d", row, w.Code)
		}
	}
}

// tableRow is the first row of a table that a name heads, without tags.
func tableRow(page, name string) string {
	_, rest, _ := strings.Cut(page, "Every stove and pot at its best")
	_, rest, _ = strings.Cut(rest, name)
	row, _, ok := strings.Cut(rest, "</tr>")
	if !ok {
		return "no row of " + name
	}
	return row
}

func TestNotesOnRulesArePassedOn(t *testing.T) {
	s := tripSite(t)
	to := sent(t, s, at("trip", weekend, "note"), url.Values{"place": {"<hut>"}, "text": {"ask \"again\"\r\nin June"}, "checked": {"3 May"}, "link": {"https://example.org/a?b=c"}})
	follows(t, page(t, s, to), "Your notes on local rules", "&lt;hut&gt;: ask", "(not checked since 3 May)", "example.org")
	if n := tripOn(t, s, weekend).Rules; len(n) != 2 || n[1].Text != "ask \"again\"\nin June" {
		t.Errorf("%+v", n)
	}
	n := noteRow{RuleNote: tripOn(t, s, weekend).Rules[0]}
	sent(t, s, at("trip", weekend, "note"), url.Values{"remove": {n.Key()}})
	if n := tripOn(t, s, weekend).Rules; len(n) != 1 || n[0].Place != "<hut>" {
		t.Errorf("%+v", n)
	}
	for _, row := range []struct{ text, want string }{{" ", "write what you noted"}, {strings.Repeat("x", 2001), "expected at most 2000"}, {"a\x00b", "0000, expected text"}} {
		w := post(t, s, at("trip", weekend, "note"), url.Values{"place": {"here"}, "text": {row.text}})
		if body := w.Body.String(); w.Code != http.StatusUnprocessableEntity || !strings.Contains(body, row.want) || !strings.Contains(body, `value="here"`) {
			t.Errorf("%.20q: %d", row.text, w.Code)
		}
	}
}

// BenchmarkTripAnswer is what the page of a trip waits for when something on it
// changes: two legs, the burners of the demo, ten thousand draws, every question new.
func BenchmarkTripAnswer(b *testing.B) {
	s := tripSite(b)
	winds := []string{"still", "breeze", "wind", "gale"}
	for name, q := range map[string]func(i int) url.Values{
		"days":   func(i int) url.Values { return url.Values{"days": {[]string{"5", "6", "7", "8", "9"}[i%5]}} },
		"people": func(i int) url.Values { return url.Values{"people": {[]string{"1", "2", "3"}[i%3]}} },
		"wind":   func(i int) url.Values { return url.Values{"wind": {winds[i%4]}} },
		"reserve": func(i int) url.Values {
			return url.Values{"reserve": {[]string{"1 day", "2 days", "25 % more", "5 % dry", "1 % dry"}[i%5]}}
		},
	} {
		b.Run(name, func(b *testing.B) {
			get(b, s, at("trip", cold, "answer"))
			for i := 0; b.Loop(); i++ {
				v, err := s.tripNamed(cold)
				if err != nil {
					b.Fatal(err)
				}
				clear(v.answers) // so that none is only looked up
				clear(v.shown)
				if w := get(b, s, at("trip", cold, "answer")+"?"+q(i).Encode()); w.Code != http.StatusOK {
					b.Fatal(w.Code)
				}
			}
		})
	}
}
