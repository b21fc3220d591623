package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/burn"
	"fairburn/journal"
	"fairburn/station"
	"fairburn/trial"
)

// filled is the form of the setup page as a careful person fills it in.
func filled(stationNumber, entry string) url.Values {
	v := url.Values{"station": {stationNumber}, "entry": {entry}, "water": {"500 g"}, "start": {"14.2 °C"}, "dose": {"20 mL"}, "poured": {"25.8 g"},
		"weighed": {"burner_and_fuel"}, "boil_by": {"rolling"}, "air": {"12 °C"}, "wind": {"still"}}
	for _, t := range station.Ticks(1) {
		v.Add("tick", t.Key)
	}
	return v
}

// atTen is a site with the demo trial, not yet burned, at ten in the morning.
func atTen(t *testing.T) *Site {
	t.Helper()
	s := emptySite(t)
	s.Now = func() time.Time { return time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC) }
	unburned(t, s)
	return s
}

func setupPath() string { return at("trial", demoTitle, "setup") }

func TestWhatIsMissingIsAskedForOnce(t *testing.T) {
	s := atTen(t)
	form := filled("1", "Tansy")
	form.Del("start")
	form["tick"] = form["tick"][1:]
	w := post(t, s, setupPath(), form)
	if w.Code != http.StatusUnprocessableEntity {
		t.Fatalf("%d: %s", w.Code, w.Body)
	}
	for _, says := range []string{"Before the light", "temperature of the stirred water", "Not confirmed", "fuel bottle closed and moved away", "Go on without", `value="25.8 g"`} {
		if !strings.Contains(w.Body.String(), says) {
			t.Errorf("the page does not say %q", says)
		}
	}
	if n := len(burnsIn(t, s)); n != 0 {
		t.Errorf("%d burns before anybody said go on", n)
	}
	form.Set("go_on", "yes")
	sent(t, s, setupPath(), form)
	b := burnsIn(t, s)
	if len(b) != 1 || b[0].Fuel.Poured.Text != "25.8 g" || b[0].Water.Start.Given {
		t.Fatalf("burns %+v", b)
	}
	if detail := s.Bench.Moments(demoTitle, "1")[0].Detail; !strings.Contains(detail, "not confirmed: bottle") || !strings.Contains(detail, "snuffer") {
		t.Errorf("what was confirmed is kept as %q", detail)
	}
}

func burnsIn(t *testing.T, s *Site) []burn.Record {
	t.Helper()
	v, err := s.view(demoTitle)
	if err != nil {
		t.Fatal(err)
	}
	return v.Burns
}

func TestAWrongUnitKeepsWhatWasTyped(t *testing.T) {
	s := atTen(t)
	form := filled("1", "Tansy")
	form.Set("water", "500 furlongs <b>")
	form.Set("go_on", "yes")
	w := post(t, s, setupPath(), form)
	body := w.Body.String()
	if w.Code != http.StatusUnprocessableEntity || !strings.Contains(body, "500 furlongs &lt;b&gt;") || !strings.Contains(body, `aria-invalid="true"`) || !strings.Contains(body, `value="14.2 °C"`) {
		t.Errorf("%d: %s", w.Code, body)
	}
	if n := len(burnsIn(t, s)); n != 0 {
		t.Errorf("%d burns came of it", n)
	}
}

func TestSetupsThatAreRefused(t *testing.T) {
	s := atTen(t)
	for _, c := range []struct {
		form   url.Values
		status int
		says   string
	}{
		{filled("0", "Tansy"), http.StatusBadRequest, "expected 1 to 6"},
		{filled("7", "Tansy"), http.StatusBadRequest, "expected 1 to 6"},
		{filled("one", "Tansy"), http.StatusBadRequest, "expected 1 to 6"},
		{filled("1", "Nettle"), http.StatusBadRequest, "expected one of the trial&#39;s: Tansy, Burdock, Sorrel, Yarrow"},
	} {
		if w := post(t, s, setupPath(), c.form); w.Code != c.status || !strings.Contains(w.Body.String(), c.says) {
			t.Errorf("%v: %d, wanted %d and %q:\n%s", c.form, w.Code, c.status, c.says, w.Body)
		}
	}
	if w := post(t, s, at("trial", "no such", "setup"), filled("1", "Tansy")); w.Code != http.StatusNotFound {
		t.Errorf("a trial that is not there: %d", w.Code)
	}
}

// TestSetUpTwice sends the form of one burn twice, then another's: a double tap makes
// one burn, and no burn is put over one that waits for its light or burns.
func TestSetUpTwice(t *testing.T) {
	s := atTen(t)
	form := filled("1", "Tansy")
	form.Set("burn", "1")
	sent(t, s, setupPath(), form)
	sent(t, s, setupPath(), form)
	if b := burnsIn(t, s); len(b) != 1 {
		t.Fatalf("%d burns of one form", len(b))
	}
	other := filled("1", "Sorrel")
	other.Set("burn", "2")
	if w := post(t, s, setupPath(), other); w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "burn 1 of Tansy is set up at station 1 and not lit") {
		t.Errorf("over a burn that waits: %d %s", w.Code, w.Body)
	}
	sent(t, s, "/marks", url.Values{"title": {demoTitle}, "burn": {"1"}, "nonce": {newNonce()}, "what": {"light"}})
	if w := post(t, s, setupPath(), other); w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "burn 1 at station 1 has not ended") {
		t.Errorf("over a flame: %d %s", w.Code, w.Body)
	}
	sent(t, s, "/marks", url.Values{"title": {demoTitle}, "burn": {"1"}, "nonce": {newNonce()}, "what": {"snuffed"}})
	sent(t, s, setupPath(), other)
	if b := burnsIn(t, s); len(b) != 2 {
		t.Errorf("%d burns", len(b))
	}
}

// An id under which the bench has anything is not given again: records that
// contradict each other would be replaced, moments of a burn that was withdrawn
// would come to the new one.
func TestIDsAreNotGivenTwice(t *testing.T) {
	s := atTen(t)
	sent(t, s, setupPath(), filled("1", "Tansy"))
	rival := &trial.Trial{Settings: trial.DefaultSettings(), Burns: []burn.Record{{ID: "1", Entry: "Sorrel"}}}
	if _, _, err := s.Bench.Put(t.Context(), bench.Edit{Kind: "burn", Title: demoTitle, Thing: rival, Saw: []journal.ID{}}); err != nil {
		t.Fatal(err)
	}
	sent(t, s, setupPath(), filled("1", "Burdock"))
	if b := burnsIn(t, s); len(b) != 1 || b[0].ID != "2" {
		t.Errorf("burns %+v, expected 2 alone", b)
	}
	if _, live, _ := s.Bench.Thing("burn", bench.BurnSubject(demoTitle, "1")); len(live) != 2 {
		t.Errorf("%d records of burn 1 stand, expected both", len(live))
	}
	if err := s.Bench.Withdraw(t.Context(), "burn", bench.BurnSubject(demoTitle, "2")); err != nil {
		t.Fatal(err)
	}
	sent(t, s, setupPath(), filled("1", "Burdock"))
	if b := burnsIn(t, s); len(b) != 1 || b[0].ID != "3" {
		t.Errorf("burns %+v, expected 3 alone", b)
	}
}

// TestSixAtOnce sets six burns up at six stations at the same time.
func TestSixAtOnce(t *testing.T) {
	s := newStand(t).Site
	unburned(t, s)
	var all sync.WaitGroup
	for _, n := range []string{"1", "2", "3", "4", "5", "6"} {
		all.Go(func() {
			form := filled(n, "Tansy")
			form.Set("burn", "1")
			form.Set("go_on", "yes")
			if w := post(t, s, setupPath(), form); w.Code != http.StatusSeeOther {
				t.Errorf("station %s: %d %s", n, w.Code, w.Body)
			}
		})
	}
	all.Wait()
	var ids, places []string
	for _, b := range burnsIn(t, s) {
		ids, places = append(ids, b.ID), append(places, string(rune('0'+b.Station)))
	}
	slices.Sort(places)
	if len(ids) != 6 || strings.Join(places, "") != "123456" {
		t.Errorf("burns %v at %v", ids, places)
	}
}

// TestOneBurnerAtOneStation says where the burner of the next burn stands while it
// is in another that has not ended.
func TestOneBurnerAtOneStation(t *testing.T) {
	s := atTen(t)
	sent(t, s, setupPath(), filled("1", "Tansy"))
	const busy = "This burner stands at station 1"
	if p := page(t, s, setupPath()+"?station=2&entry=Tansy"); !strings.Contains(p, busy) {
		t.Error("a second burn of Tansy is set up beside the first without a word")
	}
	if p := page(t, s, setupPath()+"?station=2&entry=Sorrel"); strings.Contains(p, busy) {
		t.Error("Sorrel is said to stand where Tansy does")
	}
}

// TestCoolDown tells how long a burner rests, wherever its last burn was.
func TestCoolDown(t *testing.T) {
	s := emptySite(t)
	now := time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)
	s.Now = func() time.Time { return now }
	unburned(t, s, trial.Slot{Entry: "Tansy", Block: "1"}, trial.Slot{Entry: "Sorrel", Block: "1"}, trial.Slot{Entry: "Tansy", Block: "2"})
	burnOut := func(id string) {
		t.Helper()
		for _, what := range []string{"light", "snuffed"} {
			now = now.Add(time.Minute)
			sent(t, s, "/marks", url.Values{"title": {demoTitle}, "burn": {id}, "nonce": {newNonce()}, "what": {what}})
		}
	}
	ready(t, s, 1, "Tansy")
	burnOut("1")
	if body := page(t, s, setupPath()+"?station=1&entry=Tansy"); !strings.Contains(body, "rests for another <strong") || !strings.Contains(body, ">10:00</strong>") {
		t.Errorf("the page says nothing of the rest:\n%s", body)
	}
	if body := page(t, s, setupPath()+"?station=1"); strings.Contains(body, "rests for another") {
		t.Error("another's burner is said to rest")
	}
	ready(t, s, 1, "Sorrel") // at the same station
	burnOut("2")
	if body := page(t, s, setupPath()); !strings.Contains(body, ">8:00</strong>") || !strings.Contains(body, "Never refuel a hot burner") {
		t.Errorf("the rest of the first burner is forgotten:\n%s", body)
	}
	if body := page(t, s, at("trial", demoTitle, "bench")); !strings.Contains(body, "it rests for another") {
		t.Error("the page beside the flame does not say that it rests")
	}
	now = now.Add(8 * time.Minute)
	if body := page(t, s, setupPath()); strings.Contains(body, "rests for another") {
		t.Error("a rested burner is said to rest")
	}
}
