package web

import (
	"net/http"
	"net/url"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/burn"
	"fairburn/station"
)

// press keeps presses for a burn, at so many seconds from a light an hour ago.
func press(t *testing.T, s *Site, title, id, device string, at map[string]float64) {
	t.Helper()
	light := s.Now().Add(-time.Hour)
	for what, seconds := range at {
		p := bench.Press{Nonce: newNonce(), Title: title, Burn: id, What: what, At: light.Add(time.Duration(seconds * float64(time.Second))), Pressed: light, Device: device}
		if err := s.Bench.Press(t.Context(), []bench.Press{p}); err != nil {
			t.Fatal(err)
		}
	}
}

// timed is a site with a burn that was set up and pressed for.
func timed(t *testing.T, at map[string]float64) (s *Site, page string) {
	t.Helper()
	s = emptySite(t)
	now := time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)
	s.Now = func() time.Time { return now }
	take(t, s, shelfSheet+"[[burn]]\nid = \"1\"\nentry = \"Narrow\"\nwater = \"500 g\"\nstart = \"15 °C\"\ndose = \"20 mL\"\n")
	press(t, s, "an older one", "1", "red phone", at)
	return s, "/trial/an%20older%20one/burn/1"
}

func TestBurnShowsFiguresAndWhoPressed(t *testing.T) {
	s, p := timed(t, map[string]float64{"light": 0, "pot_on": 20, "boil": 400.5, "out": 460})
	body := page(t, s, p)
	for _, want := range []string{"red phone", "6:40.5", time.Date(2026, 5, 1, 9, 6, 40, 500e6, time.UTC).Local().Format("15:04:05.0"), "Figures, with half-width", "Take back", "first record"} {
		if !strings.Contains(body, want) {
			t.Errorf("the page of the burn lacks %q:\n%s", want, body)
		}
	}
}

func TestBurnThatHasNotEndedLeadsToTheBench(t *testing.T) {
	s, p := timed(t, map[string]float64{"light": 0, "boil": 400})
	body := page(t, s, p)
	if !strings.Contains(body, "This burn has not ended") || strings.Contains(body, "Figures, with half-width") || !strings.Contains(body, `href="/trial/an%20older%20one/bench"`) {
		t.Errorf("a burn whose flame may burn shows figures, or no way to the bench:\n%s", body)
	}
	if w := get(t, s, p+"/after"); w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "burn 1 has not ended") {
		t.Errorf("weighing is asked beside a flame: %d", w.Code)
	}
}

func TestTakeBackAndMarkAnew(t *testing.T) {
	s, p := timed(t, map[string]float64{"light": 0, "boil": 400, "out": 460})
	form := url.Values{}
	for _, f := range strings.Split(page(t, s, p), "<form")[1:] {
		if strings.Contains(f, `name="what" value="boil"`) {
			form = fieldsOf("<main" + f[:strings.Index(f, "</form>")] + "</main>")
		}
	}
	to := sent(t, s, p+"/takeback", form)
	sent(t, s, p+"/takeback", form) // sent twice, it happened once
	if body := page(t, s, to); !strings.Contains(body, "taken back") {
		t.Errorf("what was taken back is not shown:\n%s", body)
	}
	v, _ := s.view("an older one")
	if _, ok := v.Trial.Burns[0].At(burn.Boil); ok {
		t.Error("a boil that was taken back still stands")
	}
	edit := fieldsOf(page(t, s, p+"/edit"))
	edit.Set("boil", "6:35")
	sent(t, s, p+"/edit", edit)
	v, _ = s.view("an older one")
	if at, _ := v.Trial.Burns[0].At(burn.Boil); at != 395*time.Second {
		t.Errorf("boil typed as 6:35 became %v", at)
	}
	if n := len(s.Bench.Moments("an older one", "1")); n != 4 {
		t.Errorf("%d records of moments, expected light, boil, out and the one that took boil back", n)
	}
	if w := post(t, s, p+"/takeback", url.Values{"what": {"boil"}}); w.Code != http.StatusBadRequest {
		t.Errorf("a take-back of nothing: %d", w.Code)
	}
}

func TestRivalMomentsAreSettled(t *testing.T) {
	s, p := timed(t, map[string]float64{"light": 0, "boil": 400, "out": 460})
	press(t, s, "an older one", "1", "blue phone", map[string]float64{"boil": 410})
	body := page(t, s, p)
	if !strings.Contains(body, "disagrees") || !strings.Contains(body, "blue phone") {
		t.Fatalf("two boils do not disagree:\n%s", body)
	}
	all := s.Bench.Moments("an older one", "1")
	i := slices.IndexFunc(all, func(m bench.Moment) bool { return m.Device == "blue phone" })
	to := sent(t, s, p+"/settle", url.Values{"record": {all[i].ID.String()}})
	v, _ := s.view("an older one")
	if at, _ := v.Trial.Burns[0].At(burn.Boil); at != 410*time.Second {
		t.Errorf("the moment that was chosen does not hold: %v", at)
	}
	contains(t, page(t, s, to), "that moment holds", `action="/undo"`)
	sent(t, s, "/undo", url.Values{"kind": {"mark"}, "subject": {all[i].Subject}, "to": {p}})
	contains(t, page(t, s, p), "disagrees", "blue phone")
	if w := post(t, s, p+"/settle", url.Values{"record": {"zz"}}); w.Code != http.StatusBadRequest {
		t.Errorf("a record without an id: %d", w.Code)
	}
}

func TestVoidAndBack(t *testing.T) {
	s := newSite(t)
	p := at("trial", demoTitle, "burn", "6")
	if w := post(t, s, p+"/void", url.Values{"void": {"  "}}); w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "no reason was given") {
		t.Errorf("left out without a reason: %d", w.Code)
	}
	sent(t, s, p+"/void", url.Values{"void": {"the door stood open"}})
	if body := page(t, s, p); !strings.Contains(body, "the door stood open") || !strings.Contains(body, "count again") {
		t.Errorf("the reason is not shown:\n%s", body)
	}
	sent(t, s, p+"/void", url.Values{"counts": {"yes"}})
	v, _ := s.view(demoTitle)
	if x := v.Trial.Burns[5]; x.ID != "6" || x.Void != "" {
		t.Errorf("burn %s is still left out: %q", x.ID, x.Void)
	}
}

func TestEditIsRefusedInWordsAndNothingIsLost(t *testing.T) {
	s := newSite(t)
	p := at("trial", demoTitle, "burn", "6", "edit")
	form := fieldsOf(page(t, s, p))
	form.Set("peak", "hot")
	form.Set("notes", "a <b>bold</b> word")
	w := post(t, s, p, form)
	body := w.Body.String()
	if w.Code != http.StatusUnprocessableEntity || !strings.Contains(body, `id="w-peak"`) || !strings.Contains(body, `value="hot"`) || !strings.Contains(body, "a &lt;b&gt;bold&lt;/b&gt; word") {
		t.Errorf("%d: the reason does not stand beside the field, or what was typed is lost:\n%s", w.Code, body)
	}
	if again := fieldsOf(body); again.Get("saw") != form.Get("saw") || again.Get("saw") == "" {
		t.Error("what the person had before them is lost")
	}
}

// TestInstrumentsOutliveTheForm holds that a form without the instruments of
// readings does not drop them.
func TestInstrumentsOutliveTheForm(t *testing.T) {
	s := emptySite(t)
	take(t, s, shelfSheet+"[[burn]]\nid = \"1\"\nentry = \"Wide\"\nboil = \"6:00\"\npoured = { read = \"20.1 g\", with = \"pocket scale\" }\n")
	p := at("trial", "an older one", "burn", "1", "edit")
	form := fieldsOf(page(t, s, p))
	form.Set("left", "3.2 g")
	sent(t, s, p, form)
	v, _ := s.view("an older one")
	if f := v.Trial.Burns[0].Fuel; f.Poured.Instrument != "pocket scale" || f.Left.Text != "3.2 g" {
		t.Errorf("poured %+v, left %+v", f.Poured, f.Left)
	}
}

// TestAfterAsksWhatIsMissing fills the short form of a burn once.
func TestAfterAsksWhatIsMissing(t *testing.T) {
	s, p := timed(t, map[string]float64{"light": 0, "pot_on": 20, "boil": 400, "out": 460})
	v, _ := s.view("an older one")
	body := page(t, s, p+"/after")
	for _, a := range station.After(v.Trial, v.Trial.Burns[0]) {
		if !strings.Contains(body, `name="`+a.Key+`"`) {
			t.Errorf("%s is missing and not asked", a.Key)
		}
	}
	form := fieldsOf(body)
	form.Set("water_end", "half")
	form.Set("dry", "yes")
	w := post(t, s, p+"/after", form)
	if back := fieldsOf(w.Body.String()); w.Code != http.StatusUnprocessableEntity || back.Get("water_end") != "half" || back.Get("dry") != "yes" {
		t.Errorf("%d: what was typed is lost: %v", w.Code, back)
	}
	form.Set("water_end", "491 g")
	form["failures"] = []string{"uneven", "spitting"}
	if to := sent(t, s, p+"/after", form); !strings.HasPrefix(to, "/trial/an%20older%20one/bench") {
		t.Errorf("it leads to %s", to)
	}
	v, _ = s.view("an older one")
	if x := v.Trial.Burns[0]; !x.Fuel.LeftNothing || x.Water.End.Text != "491 g" || len(x.Failures) != 2 || !x.Fuel.DoseVolume.Given {
		t.Errorf("kept %+v", x)
	}
}

func TestBurnFromANotebook(t *testing.T) {
	s := newSite(t)
	p := at("trial", demoTitle, "burns", "new")
	form := fieldsOf(page(t, s, p))
	if form.Get("id") != "38" {
		t.Errorf("no id is offered: %v", form)
	}
	form.Set("entry", "")
	if w := post(t, s, p, form); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "choose the entry that burned") {
		t.Errorf("a burn of no entry: %d", w.Code)
	}
	form.Set("entry", "Tansy")
	form.Set("boil", "5:20")
	to := sent(t, s, p, form)
	if !strings.Contains(page(t, s, to), "Marks as written") {
		t.Error("the marks are not shown")
	}
	form.Set("boil", "6:00")
	if w := post(t, s, p, form); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "already; the next free number is") {
		t.Errorf("an id was given twice: %d", w.Code)
	}
}

func TestUnknownBurnsAndTrials(t *testing.T) {
	s := newSite(t)
	for _, p := range []string{at("trial", "nowhere"), at("trial", "nowhere", "plan"), at("trial", "nowhere", "edit"), at("trial", demoTitle, "burn", "999"), at("trial", demoTitle, "burn", "999", "edit"), at("trial", demoTitle, "burn", "")} {
		if w := get(t, s, p); w.Code != http.StatusNotFound {
			t.Errorf("GET %s: %d, expected 404", p, w.Code)
		}
	}
}

// TestHostileNamesStayText takes a trial whose every name attacks through all
// pages of trials and burns.
func TestHostileNamesStayText(t *testing.T) {
	const evil = `<img src=x onerror=alert(1)>/"'`
	s := emptySite(t)
	data, err := os.ReadFile("testdata/hostile.toml")
	if err != nil {
		t.Fatal(err)
	}
	x := take(t, s, string(data))
	if x.Title != evil || len(x.Entries) != 4 {
		t.Fatalf("the sheet holds %q and %d entries", x.Title, len(x.Entries))
	}
	sent(t, s, at("trial", evil, "plan"), url.Values{"blocks": {"2"}, "factor": {"<b>wind</b>: <i>still</i>, fan low"}})
	id := x.Burns[1].ID
	s.Now = func() time.Time { return time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC) }
	press(t, s, evil, id, "<script>alert(3)</script>", map[string]float64{"light": 0, "boil": 300, "out": 360})
	sent(t, s, at("trial", evil, "burn", id, "void"), url.Values{"void": {"<u>reason</u>"}})
	pages := []string{"/", at("trial", evil), at("trial", evil, "edit"), at("trial", evil, "entries"), at("trial", evil, "plan"), at("trial", evil, "plan") + "?blocks=%3Cb%3E", at("trial", evil, "checklist"),
		at("trial", evil, "burns", "new"), at("trial", evil, "burn", id), at("trial", evil, "burn", id, "edit"), at("trial", evil, "burn", id, "after"), "/trials/new"}
	for _, p := range pages {
		w := get(t, s, p)
		body := w.Body.String()
		if w.Code != http.StatusOK && w.Code != http.StatusUnprocessableEntity {
			t.Errorf("GET %s: %d: %s", p, w.Code, body)
		}
		for _, tag := range []string{"<img", "<script>", "<b>", "<i>", "<u>", `"'`, "onerror=alert(1)>/\""} {
			if strings.Contains(body, tag) {
				t.Errorf("GET %s lets %s through", p, tag)
			}
		}
	}
	hub := page(t, s, at("trial", evil))
	for _, name := range []string{"موقد", "चूल्हा", "酒精炉"} {
		if !strings.Contains(hub, name) {
			t.Errorf("the page of the trial lacks %s", name)
		}
	}
}
