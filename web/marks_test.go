package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/burn"
	"fairburn/quantity"
	"fairburn/trial"
)

// pressed sends what a page's script would and returns the answer.
func pressed(t *testing.T, s *Site, body string) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/marks", strings.NewReader(body))
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Accept", "application/json")
	return ask(s, r)
}

// answer is what the bench says of presses.
type answer struct {
	Kept    []string          `json:"kept"`
	Refused map[string]string `json:"refused"`
	Error   string            `json:"error"`
}

func answered(t *testing.T, w *httptest.ResponseRecorder) answer {
	t.Helper()
	var a answer
	if err := json.Unmarshal(w.Body.Bytes(), &a); err != nil {
		t.Fatalf("%v: %s", err, w.Body)
	}
	return a
}

// oneReady is a site with burn 1 of Tansy set up, and the time of its bench.
func oneReady(t *testing.T) *Site {
	t.Helper()
	s := atTen(t)
	ready(t, s, 1, "Tansy")
	return s
}

// pressOf is a press as JSON.
func pressOf(s *Site, nonce int, what string, more string) string {
	return fmt.Sprintf(`{"nonce":"%032x","title":%s,"burn":"1","what":%q,"at":%d,"within":5,"pressed":%d,"zone":120%s}`,
		nonce, quoted(demoTitle), what, s.Now().UnixMilli(), s.Now().UnixMilli(), more)
}

func TestPressesThatCannotBeRead(t *testing.T) {
	s := oneReady(t)
	many := make([]string, mostPresses+1)
	for i := range many {
		many[i] = pressOf(s, i+1, "spill", "")
	}
	for name, c := range map[string]struct{ body, says string }{
		"no JSON":        {"light", "expected a list of presses as JSON"},
		"not a list":     {`{"nonce":"1"}`, "expected a list of presses as JSON"},
		"cut short":      {`[{"nonce":"1"`, "expected a list of presses as JSON"},
		"not a number":   {strings.Replace("["+pressOf(s, 1, "light", "")+"]", `"within":5`, `"within":NaN`, 1), "expected a list of presses as JSON"},
		"beyond numbers": {strings.Replace("["+pressOf(s, 1, "light", "")+"]", `"within":5`, `"within":1e999`, 1), "expected a list of presses as JSON"},
		"too many":       {"[" + strings.Join(many, ",") + "]", "201 presses at once: expected at most 200"},
	} {
		t.Run(name, func(t *testing.T) {
			w := pressed(t, s, c.body)
			if a := answered(t, w); w.Code != http.StatusBadRequest || !strings.Contains(a.Error, c.says) {
				t.Errorf("%d %s: wanted 400 and %q", w.Code, a.Error, c.says)
			}
		})
	}
	if got := held(s, "1"); len(got) != 0 {
		t.Errorf("the bench has %v", got)
	}
	if a := answered(t, pressed(t, s, "["+strings.Join(many[:mostPresses], ",")+"]")); len(a.Kept) != mostPresses {
		t.Errorf("%d of %d presses are kept: %v", len(a.Kept), mostPresses, a.Refused)
	}
}

// TestOneBadAmongGood refuses a press in words and keeps the others.
func TestOneBadAmongGood(t *testing.T) {
	for name, c := range map[string]struct{ bad, says string }{
		"no such burn":     {`{"nonce":"%032x","title":` + quoted(demoTitle) + `,"burn":"99","what":"pot_on","at":1777629600000,"pressed":1}`, "not on the bench"},
		"no such trial":    {`{"nonce":"%032x","title":"another","burn":"1","what":"pot_on","at":1777629600000,"pressed":1}`, "not on the bench"},
		"no such moment":   {`{"nonce":"%032x","title":` + quoted(demoTitle) + `,"burn":"1","what":"refuel","at":1777629600000,"pressed":1}`, "is no moment of a burn"},
		"a time of no use": {`{"nonce":"%032x","title":` + quoted(demoTitle) + `,"burn":"1","what":"pot_on","at":1e300,"pressed":1}`, "set the clock of the device"},
		"before all time":  {`{"nonce":"%032x","title":` + quoted(demoTitle) + `,"burn":"1","what":"pot_on","at":-5,"pressed":1}`, "set the clock of the device"},
		"a clock unknown":  {`{"nonce":"%032x","title":` + quoted(demoTitle) + `,"burn":"1","what":"pot_on","at":1777629600000,"within":1e300,"pressed":1}`, "half-width of the clock"},
		"no nonce":         {`{"nonce":"","title":` + quoted(demoTitle) + `,"burn":"1","what":"pot_on","at":1777629600000,"pressed":1,"detail":"%d"}`, "nonce"},
		"what is not here": {`{"nonce":"%032x","title":` + quoted(demoTitle) + `,"burn":"1","what":"pot_on","at":1777629600000,"pressed":1,"takes_back":"77"}`, "what it would take back"},
	} {
		t.Run(name, func(t *testing.T) {
			s := oneReady(t)
			w := pressed(t, s, "["+pressOf(s, 1, "light", "")+","+fmt.Sprintf(c.bad, 7)+","+pressOf(s, 2, "bloom", "")+"]")
			a := answered(t, w)
			if w.Code != http.StatusOK || len(a.Kept) != 2 || len(a.Refused) != 1 {
				t.Fatalf("%d, kept %v, refused %v", w.Code, a.Kept, a.Refused)
			}
			for _, why := range a.Refused {
				if !strings.Contains(why, c.says) {
					t.Errorf("refused with %q, wanted %q", why, c.says)
				}
			}
			if got := held(s, "1"); len(got) != 2 {
				t.Errorf("the bench has %v", got)
			}
		})
	}
}

// TestPressedAgain keeps a press once however often it is sent, and undoes within a lot.
func TestPressedAgain(t *testing.T) {
	s := oneReady(t)
	light := pressOf(s, 1, "light", "")
	for range 3 {
		pressed(t, s, "["+light+","+light+"]")
	}
	if n := len(s.Bench.Moments(demoTitle, "1")); n != 2 {
		t.Errorf("%d moments, wanted ready and light", n)
	}
	pressed(t, s, "["+pressOf(s, 2, "bloom", "")+","+pressOf(s, 3, "bloom", `,"takes_back":"`+fmt.Sprintf("%032x", 2)+`"`)+"]")
	if got := held(s, "1"); !slices.Equal(got, []string{"light"}) {
		t.Errorf("the bench has %v after bloom was taken back", got)
	}
}

func TestPressesByForm(t *testing.T) {
	form := func(more ...string) url.Values {
		v := url.Values{"title": {demoTitle}, "burn": {"1"}, "nonce": {newNonce()}}
		for i := 0; i+1 < len(more); i += 2 {
			v.Set(more[i], more[i+1])
		}
		return v
	}
	s := oneReady(t)
	for _, c := range []struct {
		form url.Values
		says string
	}{
		{form("what", "light", "ago", "soon"), `&#34;soon&#34; seconds ago: expected 0 to 3600`},
		{form("what", "light", "ago", "-1"), "expected 0 to 3600"},
		{form("what", "light", "ago", "NaN"), "expected 0 to 3600"},
		{form("what", "light", "ago", "3601"), "expected 0 to 3600"},
		{form("what", "add fuel"), "is no moment of a burn"},
		{form("what", "light", "burn", "8"), "not on the bench"},
		{form("undo", "light 77"), "what it would take back"},
	} {
		if w := post(t, s, "/marks", c.form); w.Code < 400 || !strings.Contains(w.Body.String(), c.says) {
			t.Errorf("%v: %d, wanted %q", c.form, w.Code, c.says)
		}
	}
	if got := held(s, "1"); len(got) != 0 {
		t.Errorf("the bench has %v", got)
	}
	sent(t, s, "/marks", form("what", "light", "ago", "3600"))
	if m := moment(t, s, "1", "light"); !m.At.Equal(s.Now().Add(-time.Hour)) {
		t.Errorf("light at %v, wanted an hour before %v", m.At, s.Now())
	}
	sent(t, s, "/marks", form("undo", "light "+moment(t, s, "1", "light").Nonce))
	if got := held(s, "1"); len(got) != 0 {
		t.Errorf("the bench has %v after the undo", got)
	}
}

// A name of 60 characters takes up to 240 bytes, and its device's presses count.
func TestThePressesOfALongName(t *testing.T) {
	s := atTen(t)
	s.LAN, s.Hosts = true, []string{"192.168.1.7"}
	sent(t, s, setupPath(), filled("1", "Tansy"))
	key, err := s.Devices.NewKey()
	if err != nil {
		t.Fatal(err)
	}
	phone := pairedAs(t, s, key.Text, strings.Repeat("炉", 60))
	for _, what := range []string{"light", "bloom"} {
		if w := phone(http.MethodPost, "/marks", url.Values{"title": {demoTitle}, "burn": {"1"}, "nonce": {newNonce()}, "what": {what}}); w.Code != http.StatusSeeOther {
			t.Errorf("%s: %d %s", what, w.Code, w.Body)
		}
	}
	if all := beside(t, s); len(all) != 2 {
		t.Errorf("moments %v", all)
	}
}

// TestClock answers with the bench's time to better than a millisecond.
func TestClock(t *testing.T) {
	s := oneReady(t)
	at := time.Date(2026, 5, 1, 10, 0, 0, 123456000, time.UTC)
	s.Now = func() time.Time { return at }
	if body := page(t, s, "/clock"); strings.TrimSpace(body) != `{"now":1777629600123.456}` {
		t.Errorf("the clock says %s", body)
	}
}

// burnings of a burner are told by what was pressed and what was written down.
func TestStagesOfABurning(t *testing.T) {
	plan := []trial.Slot{{Entry: "Tansy", Block: "1", Snuff: true}, {Entry: "Sorrel", Block: "1"}}
	s := emptySite(t)
	s.Now = func() time.Time { return time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC) }
	unburned(t, s, plan...)
	ready(t, s, 1, "Tansy")
	at := func() *burning {
		t.Helper()
		v, err := s.view(demoTitle)
		if err != nil {
			t.Fatal(err)
		}
		bays, err := s.bays(v, 1)
		if err != nil || bays[0].Burn == nil {
			t.Fatalf("bays %v: %v", bays, err)
		}
		return bays[0].Burn
	}
	offers := func(b *burning) string {
		if m := b.Offers(); m != nil {
			return m.Name()
		}
		return ""
	}
	if b := at(); b.Plan != "to be put out at the boil, then weighed" || !slices.Equal(b.Order, []burn.Mark{"light", "bloom", "pot_on", "boil", "snuffed", "pot_off"}) {
		t.Errorf("%s: %v", b.Plan, b.Order)
	}
	for i, step := range []struct{ press, stage, offers string }{
		{"", "ready", "light"}, {"light", "burning", "bloom"}, {"pot_on", "burning", "boil"}, {"bloom", "burning", "boil"},
		{"unseen", "flame not seen", ""}, {"boil", "flame not seen", ""}, {"snuffed", "ended", "pot_off"}, {"pot_off", "ended", ""},
	} {
		if step.press != "" {
			pressed(t, s, "["+pressOf(s, i, step.press, "")+"]")
		}
		if b := at(); string(b.Stage) != step.stage || offers(b) != step.offers {
			t.Errorf("after %q: %s, offers %q; wanted %s, %q", step.press, b.Stage, offers(b), step.stage, step.offers)
		}
	}
}

// TestRivalsBothStand lets two devices press one mark at different times.
func TestRivalsBothStand(t *testing.T) {
	s := oneReady(t)
	pressed(t, s, "["+pressOf(s, 1, "light", "")+"]")
	phone := pairedAs(t, s, newKey(t, s), "phone")
	if w := phone(http.MethodPost, "/marks", url.Values{"title": {demoTitle}, "burn": {"1"}, "nonce": {newNonce()}, "what": {"light"}, "ago": {"100"}}); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code, w.Body)
	}
	body := page(t, s, at("trial", demoTitle, "bench"))
	if n := strings.Count(body, "marked twice, at different times"); n != 2 {
		t.Errorf("%d of two rivals are said to be", n)
	}
	if got := held(s, "1"); !slices.Equal(got, []string{"light", "light"}) {
		t.Errorf("the bench has %v", got)
	}
}

// TestWrittenMarksEndABurn ends a burn whose end was not pressed but written down.
func TestWrittenMarksEndABurn(t *testing.T) {
	s := oneReady(t)
	pressed(t, s, "["+pressOf(s, 1, "light", "")+"]")
	w := post(t, s, at("trial", demoTitle, "setup"), url.Values{"station": {"1"}, "entry": {"Sorrel"}, "go_on": {"yes"}})
	if w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "burn 1 at station 1 has not ended") {
		t.Errorf("a second burn on a station with a flame: %d %s", w.Code, w.Body)
	}
	x, _, _ := s.Bench.Thing("burn", bench.BurnSubject(demoTitle, "1"))
	text, err := tableOfOut(x)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := s.Bench.Put(t.Context(), bench.Edit{Kind: "burn", Title: demoTitle, Thing: text}); err != nil {
		t.Fatal(err)
	}
	body := page(t, s, at("trial", demoTitle, "bench"))
	if !strings.Contains(body, `data-stage="ended"`) || !strings.Contains(body, "7:30") {
		t.Errorf("the burn goes on: %s", body)
	}
}

// tableOfOut is a burn with the end of its flame written down.
func tableOfOut(x *trial.Trial) (*trial.Trial, error) {
	copied := *x
	copied.Burns = slices.Clone(x.Burns)
	out, err := quantity.ParseDuration("7:30")
	copied.Burns[0].Marks = map[burn.Mark]quantity.Reading[time.Duration]{burn.Out: out}
	return &copied, err
}
