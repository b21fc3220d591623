package web

import (
	htmlpkg "html"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/plan"
	"fairburn/sheet"
	"fairburn/station"
	"fairburn/trial"
)

// TestUndoOfWhatWasNewLeadsToThePageAbove holds that nobody is led to a page that
// has just gone.
func TestUndoOfWhatWasNewLeadsToThePageAbove(t *testing.T) {
	s := emptySite(t)
	take(t, s, shelfSheet)
	trial := sent(t, s, "/trials/new", asked())
	form := fieldsOf(page(t, s, at("trial", "walls", "burns", "new")))
	form.Set("entry", "Wide")
	burn := sent(t, s, at("trial", "walls", "burns", "new"), form)
	for _, c := range []struct{ page, to string }{{burn, "/trial/walls?"}, {trial, "/?"}} {
		undo := url.Values{}
		for _, f := range strings.Split(page(t, s, c.page), "<form")[1:] {
			if strings.Contains(f, `action="/undo"`) {
				undo = fieldsOf("<main" + f[:strings.Index(f, "</form>")] + "</main>")
			}
		}
		to := sent(t, s, "/undo", undo)
		if !strings.HasPrefix(to, c.to) {
			t.Errorf("undo on %s leads to %s, expected %s", c.page, to, c.to)
		}
		page(t, s, to)
	}
}

// shelfSheet is gear for a new trial, brought by another one.
const shelfSheet = `fairburn = 1
title = "an older one"
[[burner]]
name = "Narrow"
family = "side jets"
[[burner]]
name = "Wide"
family = "side jets"
[[pot]]
name = "pot"
mass = "118 g"
[[fuel]]
name = "bottle"
strength = "95 % vol"
[[scale]]
name = "pocket scale"
step = "0.1 g"
[[entry]]
name = "Narrow"
burner = "Narrow"
pot = "pot"
fuel = "bottle"
[[entry]]
name = "Wide"
burner = "Wide"
`

func asked() url.Values {
	return url.Values{"title": {"walls"}, "question": {"Does the narrow wall save fuel?"}, "judge_by": {"least fuel"}, "burner": {"Narrow", "Wide"},
		"pot": {"pot"}, "fuel": {"bottle"}, "site.elevation": {"640 m"}, "settings.units": {"metric"}, "reference.water": {"500 g"}}
}

// TestNewTrialToPlan goes from the shelf to a plan that holds.
func TestNewTrialToPlan(t *testing.T) {
	s := emptySite(t)
	take(t, s, shelfSheet)
	to := sent(t, s, "/trials/new", asked())
	if body := page(t, s, to); !strings.Contains(body, "There is no plan yet") || !strings.Contains(body, "the trial is on the bench") {
		t.Errorf("the page of a new trial asks for no plan:\n%s", body)
	}
	v, err := s.view("walls")
	if err != nil {
		t.Fatal(err)
	}
	want := trial.Entry{Name: "Wide", Burner: "Wide", Pot: "pot", Fuel: "bottle"}
	if len(v.Entries) != 2 || v.Entries[1] != want || v.Settings.JudgeBy != trial.LeastFuel || !v.Settings.NominalSet {
		t.Errorf("entries %+v, settings %+v", v.Entries, v.Settings)
	}
	if len(v.Shelf.Pots) != 1 || len(v.Shelf.Tools.Scales) != 1 || v.Site.Elevation.Text != "640 m" {
		t.Errorf("the trial does not know its gear or its place: %+v %+v", v.Shelf, v.Site)
	}
	plan := at("trial", "walls", "plan")
	if body := page(t, s, plan); !strings.Contains(body, "Keep this plan") {
		t.Errorf("no proposal is shown where no plan holds:\n%s", body)
	}
	page(t, s, plan+"?blocks=2&snuffed=1&cool_down=15+min&stations=1&seed=7&factor=wind:+still,+fan+low")
	sent(t, s, plan, url.Values{"blocks": {"2"}, "snuffed": {"1"}, "cool_down": {"15 min"}, "seed": {"7"}, "factor": {"wind: still, fan low"}})
	v, _ = s.view("walls")
	if n := len(v.Plan.Slots); n != 12 || v.Plan.Seed != 7 || v.Plan.Factor.Name != "wind" {
		t.Errorf("read a plan of %d burns, expected 12: %+v", n, v.Plan)
	}
	if body := page(t, s, at("trial", "walls")); !strings.Contains(body, "0 of 12 planned burns made") {
		t.Errorf("the trial does not say how far it is:\n%s", body)
	}
	if body := page(t, s, at("trial", "walls", "checklist")); strings.Count(body, `<td class="n">`) != 12 {
		t.Errorf("the checklist does not hold 12 burns:\n%s", body)
	}
	sent(t, s, "/undo", url.Values{"kind": {"trial"}, "subject": {"walls"}, "to": {"/"}})
	if v, _ = s.view("walls"); len(v.Plan.Slots) != 0 {
		t.Errorf("after undo %d burns are planned", len(v.Plan.Slots))
	}
}

// TestPlanIsTakenApart holds that the wish of a kept plan makes it again.
func TestPlanIsTakenApart(t *testing.T) {
	for _, wish := range []map[string]string{
		{"blocks": "3", "snuffed": "2", "cool_down": "10 min", "seed": "5"},
		{"blocks": "1", "snuffed": "0", "cool_down": "1 h 30 min", "seed": "1", "factor": "wind: still, fan low"},
	} {
		w, wrong := wishOf(wish)
		if len(wrong) > 0 {
			t.Fatal(wrong)
		}
		x := trial.Trial{Settings: trial.DefaultSettings(), Entries: []trial.Entry{{Name: "a"}, {Name: "b"}}}
		p := made(t, &x, w)
		if again, wrong := wishOf(wishWords(p)); len(wrong) > 0 || again.Blocks != w.Blocks || again.Snuffed != w.Snuffed || again.CoolDown != w.CoolDown || again.Seed != w.Seed || again.Factor.Name != w.Factor.Name {
			t.Errorf("%v became %+v, %v", wish, again, wrong)
		}
	}
}

func TestTrialIsRefusedInWordsAndNothingIsLost(t *testing.T) {
	s := emptySite(t)
	take(t, s, shelfSheet)
	sent(t, s, "/trials/new", asked())
	for name, c := range map[string]struct {
		change url.Values
		says   string
	}{
		"title twice":  {url.Values{}, "there is a trial of this title on the bench already"},
		"no title":     {url.Values{"title": {" "}}, "give the trial a title"},
		"long":         {url.Values{"title": {strings.Repeat("x", 141)}}, "read a title of 141 bytes, expected at most 140"},
		"no burner":    {url.Values{"title": {"b"}, "burner": nil}, "tick at least one burner"},
		"no unit":      {url.Values{"title": {"c"}, "reference.water": {"500"}}, "500"},
		"bad judge":    {url.Values{"title": {"d"}, "judge_by": {"luck"}}, "luck"},
		"bad pressure": {url.Values{"title": {"e"}, "site.station_pressure": {"high"}}, "high"},
	} {
		form := asked()
		for k, v := range c.change {
			form[k] = v
		}
		w := post(t, s, "/trials/new", form)
		body := w.Body.String()
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(body, c.says) || !strings.Contains(body, `class="why"`) {
			t.Errorf("%s: status %d, expected 422 with %q beside its field:\n%s", name, w.Code, c.says, body)
		}
		if !strings.Contains(body, "Does the narrow wall save fuel?") || !strings.Contains(body, `value="640 m"`) {
			t.Errorf("%s: what was typed is lost", name)
		}
	}
	if n := len(s.Bench.List()); n != 2 {
		t.Errorf("%d trials on the bench, expected 2", n)
	}
}

func TestNewTrialOnAnEmptyShelfTeaches(t *testing.T) {
	if body := page(t, emptySite(t), "/trials/new"); !strings.Contains(body, `href="/shelf"`) || strings.Contains(body, `name="title"`) {
		t.Errorf("expected the way to the shelf and no form:\n%s", body)
	}
}

// fieldsOf reads the fields of a page's form back, as a browser would send them.
func fieldsOf(body string) url.Values {
	form := url.Values{}
	main := body[strings.Index(body, "<main"):strings.Index(body, "</main>")]
	for _, f := range formControls(main) {
		form.Add(f[0], f[1])
	}
	return form
}

// TestFormsSentUnchangedChangeNothing opens each form and sends it as it is.
func TestFormsSentUnchangedChangeNothing(t *testing.T) {
	s := newSite(t)
	before, err := s.view(demoTitle)
	if err != nil {
		t.Fatal(err)
	}
	want, err := sheet.Write(before.Trial)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []string{at("trial", demoTitle, "edit"), at("trial", demoTitle, "entries"), at("trial", demoTitle, "burn", "6", "edit"), at("trial", demoTitle, "burn", "11", "edit")} {
		sent(t, s, p, fieldsOf(page(t, s, p)))
		v, err := s.view(demoTitle)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := sheet.Write(v.Trial); err != nil || string(got) != string(want) {
			t.Errorf("%s sent as it was changed the trial: %v\n%s", p, err, got)
		}
	}
}

func TestEntries(t *testing.T) {
	s := emptySite(t)
	take(t, s, shelfSheet)
	p := at("trial", "an older one", "entries")
	form := fieldsOf(page(t, s, p))
	form.Set("1.pot", "pot")
	form.Set("2.burner", "Narrow")
	form.Set("2.name", "Narrow, bare")
	sent(t, s, p, form)
	v, _ := s.view("an older one")
	if len(v.Entries) != 3 || v.Entries[1].Pot != "pot" || v.Entries[2].Name != "Narrow, bare" {
		t.Errorf("entries %+v", v.Entries)
	}
	form = fieldsOf(page(t, s, p))
	form.Set("2.name", "Wide")
	if w := post(t, s, p, form); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "two entries are named &#34;Wide&#34;: rename one") {
		t.Errorf("two entries of one name: %d %s", w.Code, w.Body)
	}
	form.Set("2.name", "third")
	form.Set("0.remove", "yes")
	form.Del("tool")
	sent(t, s, p, form)
	if v, _ = s.view("an older one"); len(v.Entries) != 2 || v.Entries[0].Name != "Wide" || len(v.Shelf.Tools.Scales) != 0 {
		t.Errorf("entries %+v, tools %+v", v.Entries, v.Shelf.Tools)
	}
	p = at("trial", demoTitle, "entries")
	s = newSite(t)
	form = fieldsOf(page(t, s, p))
	form.Set("0.remove", "yes")
	if w := post(t, s, p, form); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "it has burns, so it stays") {
		t.Errorf("an entry with burns was taken out: %d", w.Code)
	}
}

// TestStaleCorrectionStandsBesideTheOther has two people correct one trial from
// the same page.
func TestStaleCorrectionStandsBesideTheOther(t *testing.T) {
	s := newSite(t)
	p := at("trial", demoTitle, "burn", "6", "edit")
	one, two := fieldsOf(page(t, s, p)), fieldsOf(page(t, s, p))
	one.Set("peak", "95.0 °C")
	two.Set("peak", "96.0 °C")
	sent(t, s, p, one)
	sent(t, s, p, two)
	burn := at("trial", demoTitle, "burn", "6")
	body := page(t, s, burn)
	if !strings.Contains(body, "Two records disagree") || !strings.Contains(body, "95.0 °C") || !strings.Contains(body, "96.0 °C") {
		t.Fatalf("both records are not shown:\n%s", body)
	}
	if hub := page(t, s, at("trial", demoTitle)); !strings.Contains(hub, "Two records of burn 6 disagree") {
		t.Errorf("the trial does not say that records disagree")
	}
	if w := get(t, s, p); w.Code != http.StatusBadRequest {
		t.Errorf("a contradicted burn can be edited: %d", w.Code)
	}
	versions, err := s.Bench.History(t.Context(), "burn", demoTitle+"/6")
	if err != nil {
		t.Fatal(err)
	}
	sent(t, s, burn+"/settle", url.Values{"record": {versions[len(versions)-1].ID.String()}})
	if body := page(t, s, burn); strings.Contains(body, "Two records disagree") {
		t.Errorf("settled records still disagree")
	}
	if w := post(t, s, burn+"/settle", url.Values{"record": {strings.Repeat("0", 64)}}); w.Code != http.StatusNotFound {
		t.Errorf("an unknown record was settled: %d", w.Code)
	}
}

func TestDownloads(t *testing.T) {
	s := newSite(t)
	if got := get(t, s, at("trial", demoTitle, "sheet.toml")); !strings.Contains(got.Body.String(), `title = "`+demoTitle) {
		t.Errorf("no sheet: %s", got.Body)
	}
	if got := get(t, s, at("trial", demoTitle, "burns.csv")); !strings.Contains(got.Body.String(), "Burdock") || got.Header().Get("Content-Disposition") == "" {
		t.Errorf("no table: %s", got.Body)
	}
}

// made is a plan that must be possible.
func made(t *testing.T, x *trial.Trial, w plan.Wish) trial.Plan {
	t.Helper()
	p, _, err := plan.Make(x, w)
	if err != nil {
		t.Fatal(err)
	}
	return p.Plan
}

var (
	controls = regexp.MustCompile(`(?s)<input [^>]*>|<select .*?</select>|<textarea .*?</textarea>`)
	attrs    = regexp.MustCompile(`([a-z]+)="([^"]*)"`)
	options  = regexp.MustCompile(`<option value="([^"]*)" selected>`)
	between  = regexp.MustCompile(`(?s)<textarea [^>]*>(.*?)</textarea>`)
)

// formControls reads the names and values that the forms of a page would send.
func formControls(body string) (all [][2]string) {
	for _, tag := range controls.FindAllString(body, -1) {
		a := map[string]string{}
		head, _, _ := strings.Cut(tag, ">")
		for _, m := range attrs.FindAllStringSubmatch(head, -1) {
			a[m[1]] = htmlpkg.UnescapeString(m[2])
		}
		value := a["value"]
		switch {
		case strings.HasPrefix(tag, "<select"):
			value = ""
			if m := options.FindStringSubmatch(tag); m != nil {
				value = htmlpkg.UnescapeString(m[1])
			}
		case strings.HasPrefix(tag, "<textarea"):
			value = htmlpkg.UnescapeString(between.FindStringSubmatch(tag)[1])
		case (a["type"] == "checkbox" || a["type"] == "radio") && !slices.Contains(strings.Fields(head), "checked"):
			continue
		}
		all = append(all, [2]string{a["name"], value})
	}
	return all
}

// A title, an id or a name may be one that browsers take for a step to another place.
func TestNamesOfDotsHaveAddresses(t *testing.T) {
	s := emptySite(t)
	for _, name := range []string{".", "..", "~..", "~~."} {
		take(t, s, strings.NewReplacer("TITLE", name).Replace("fairburn = 1\ntitle = \"TITLE\"\n[[burner]]\nname = \"TITLE\"\n[[entry]]\nname = \"a\"\nburner = \"TITLE\"\n[[burn]]\nid = \"TITLE\"\nentry = \"a\"\nboil = \"7:00\"\n"))
	}
	for _, name := range []string{".", "..", "~..", "~~."} {
		for _, path := range []string{at("trial", name), at("trial", name, "edit"), at("trial", name, "burn", name), at("shelf", "burner", name)} {
			if u, err := url.Parse("http://x" + path); err != nil || u.JoinPath().EscapedPath() != path {
				t.Errorf("%s is not kept by a browser", path)
			}
			if body := page(t, s, path); !strings.Contains(body, name+"<") {
				t.Errorf("%s does not show %q", path, name)
			}
		}
	}
	if body := page(t, s, "/"); !strings.Contains(body, `href="/trial/~.."`) {
		t.Errorf("the first page leads nowhere:\n%s", body)
	}
}

// A burn that is only set up is not made, on any page.
func TestASetUpBurnIsNotMade(t *testing.T) {
	s := emptySite(t)
	s.Now = func() time.Time { return time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC) }
	take(t, s, shelfSheet)
	to := sent(t, s, "/trials/new", asked())
	sent(t, s, at("trial", "walls", "plan"), url.Values{"blocks": {"3"}, "snuffed": {"3"}})
	sent(t, s, at("trial", "walls", "setup"), url.Values{"station": {"1"}, "entry": {nextEntry(t, s)}, "burn": {"1"}, "go_on": {"yes"}})
	for _, path := range []string{to, at("trial", "walls", "plan"), at("trial", "walls", "bench")} {
		if body := page(t, s, path); !strings.Contains(body, "0 of 12 planned burns made, 1 set up") {
			t.Errorf("%s counts a burn that is not lit, or does not name it", path)
		}
	}
}

func nextEntry(t *testing.T, s *Site) string {
	v, err := s.view("walls")
	if err != nil {
		t.Fatal(err)
	}
	slot, _ := station.Of(v.Trial).Next()
	return slot.Entry
}

func TestABenchWhosePlanIsDoneSaysSo(t *testing.T) {
	s := emptySite(t)
	take(t, s, "fairburn = 1\ntitle = \"done\"\n[[burner]]\nname = \"a\"\n[[entry]]\nname = \"a\"\nburner = \"a\"\n[plan]\nslots = [{ order = 1, block = \"1\", entry = \"a\" }]\n[[burn]]\nid = \"1\"\nentry = \"a\"\norder = 1\nboil = \"7:00\"\nout = \"9:00\"\n")
	if body := page(t, s, at("trial", "done", "bench")); !strings.Contains(body, "The plan is done.") || !strings.Contains(body, "1 of 1 planned burns made") {
		t.Errorf("the bench says:\n%s", body)
	}
}
