package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	dom "golang.org/x/net/html"
)

func TestEmptyShelfTeaches(t *testing.T) {
	body := page(t, emptySite(t), "/shelf")
	for _, want := range []string{"The first burner", "A first trial needs a burner, a pot and the fuel", `href="/add/scale"`} {
		if !strings.Contains(body, want) {
			t.Errorf("an empty shelf does not say %q", want)
		}
	}
}

func TestThingsFromFormToPage(t *testing.T) {
	s := emptySite(t)
	for kind, form := range map[string]url.Values{
		"burner": {"name": {"Sedge"}, "family": {"side jets"}, "dry_mass": {"9.6 g"}, "jets.0.count": {"16"}, "jets.0.diameter": {"1.0 mm"}, "traits.0.what": {"simmers"}},
		"pot":    {"name": {"tall / pot"}, "mass": {"118 g"}, "material": {"aluminium"}},
		"fuel":   {"name": {"bottle 1"}, "strength": {"95 % vol"}},
		"scale":  {"name": {"pocket"}, "step": {"0.1 g"}},
	} {
		to := sent(t, s, "/add/"+kind, form)
		path, _, _ := strings.Cut(to, "?")
		if body := page(t, s, path); !strings.Contains(body, form.Get("name")) {
			t.Errorf("the page of the %s does not name it", kind)
		}
		if body := page(t, s, path+"/edit"); !strings.Contains(body, form.Get("name")) {
			t.Errorf("the form of the %s does not hold its name", kind)
		}
	}
	body := page(t, s, "/shelf/burner/Sedge")
	for _, want := range []string{"9.6 g", "1.0 mm", "simmers", "In none yet"} {
		if !strings.Contains(body, want) {
			t.Errorf("the burner's page does not say %q", want)
		}
	}
}

// What could not be taken stands in the form again with the reason beside it.
func TestThingsRefusedInWords(t *testing.T) {
	s := newSite(t)
	for _, row := range []struct {
		form url.Values
		want string
	}{
		{url.Values{"name": {""}, "notes": {"kept words"}}, "it needs a name of its own"},
		{url.Values{"name": {"Tansy"}, "notes": {"kept words"}}, "the shelf has one of this name already"},
		{url.Values{"name": {"Sedge"}, "dry_mass": {"9.6"}, "notes": {"kept words"}}, "9.6"},
		{url.Values{"name": {"Sedge"}, "dry_mass": {"one ounce"}, "notes": {"kept words"}}, "one ounce"},
		{url.Values{"name": {"Sedge"}, "parent": {"Tansy"}, "notes": {"kept words"}}, "say what was changed"},
	} {
		w := post(t, s, "/add/burner", row.form)
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), row.want) || !strings.Contains(w.Body.String(), "kept words") {
			t.Errorf("%v: %d, no %q or what was typed is lost", row.form, w.Code, row.want)
		}
	}
	for _, path := range []string{"/add/spoon", "/shelf/burn/1", "/shelf/burner/Nettle", "/add/burner?parent=Nettle", "/photo/00"} {
		if w := get(t, s, path); w.Code != http.StatusNotFound {
			t.Errorf("GET %s: %d, expected 404", path, w.Code)
		}
	}
}

// An altered burner is a child with its own name; what the parent could do is
// to be seen anew.
func TestAlteredBurnerIsAChild(t *testing.T) {
	s := newSite(t)
	form := page(t, s, "/add/burner?parent=Tansy")
	for _, want := range []string{`value="66 mm"`, "Altered from Tansy", `name="parent" value="Tansy"`, "changed"} {
		if !strings.Contains(form, want) {
			t.Errorf("the form of a child lacks %q", want)
		}
	}
	if strings.Contains(form, "dies when choked") {
		t.Error("the child inherits what was seen of its parent")
	}
	sent(t, s, "/add/burner", url.Values{"name": {"Tansy bent"}, "parent": {"Tansy"}, "changed": {"rim bent in"}, "family": {"side jets"}})
	if body := page(t, s, "/shelf/burner/Tansy"); !strings.Contains(body, "Made from it") || !strings.Contains(body, "rim bent in") {
		t.Error("the parent does not show its child")
	}
	shelf, _ := s.Bench.Shelf()
	for _, b := range shelf.Burners {
		if b.Name == "Tansy bent" && b.Marker != 5 {
			t.Errorf("the child has marker %d, expected 5, the first that no burner has", b.Marker)
		}
	}
}

func TestParentsInACircleAreDrawnOnce(t *testing.T) {
	s := emptySite(t)
	take(t, s, "fairburn = 1\ntitle = \"x\"\n[[burner]]\nname = \"A\"\nparent = \"B\"\nchanged = \"x\"\n[[burner]]\nname = \"B\"\nparent = \"A\"\nchanged = \"x\"\n[[burner]]\nname = \"C\"\nparent = \"gone\"\nchanged = \"x\"\n[[burner]]\nname = \"D\"\nparent = \"A\"\nchanged = \"x\"\n")
	body := page(t, s, "/shelf")
	for _, name := range []string{"A", "B", "C", "D"} {
		if n := strings.Count(body, `href="/shelf/burner/`+name+`"`); n != 1 {
			t.Errorf("burner %s is drawn %d times", name, n)
		}
	}
}

func TestCorrectionAndTakingOff(t *testing.T) {
	s := newSite(t)
	pot := url.Values{"name": {"pot"}, "mass": {"121 g"}, "material": {"aluminium"}, "diameter": {"130 mm"}, "holds": {"0.9 L"}}
	sent(t, s, "/shelf/pot/pot/edit", pot)
	body := page(t, s, "/shelf/pot/pot")
	if !strings.Contains(body, "121 g") || !strings.Contains(body, "118 g") {
		t.Error("the page does not show what holds and what was")
	}
	pot.Set("name", "another")
	if w := post(t, s, "/shelf/pot/pot/edit", pot); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "a thing keeps its name") {
		t.Errorf("renaming: %d", w.Code)
	}
	sent(t, s, "/shelf/pot/pot/off", url.Values{})
	if strings.Contains(page(t, s, "/shelf"), `href="/shelf/pot/pot"`) {
		t.Error("the pot is still on the shelf")
	}
	sent(t, s, "/undo", url.Values{"kind": {"pot"}, "subject": {"pot"}, "to": {"/shelf"}})
	if !strings.Contains(page(t, s, "/shelf"), "121 g") {
		t.Error("undo does not bring the pot back")
	}
}

// untouched is what a browser sends of the forms of a page that go to an address,
// when nothing in them is touched.
func untouched(t *testing.T, body, action string) url.Values {
	t.Helper()
	root, err := dom.Parse(strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	form := url.Values{}
	for n := range root.Descendants() {
		if n.Data != "form" || attribute(n, "action") != action {
			continue
		}
		for in := range n.Descendants() {
			kind := attribute(in, "type")
			off := (kind == "checkbox" || kind == "radio") && !has(in, "checked")
			if has(in, "name") && !off {
				form.Add(attribute(in, "name"), typedIn(in))
			}
		}
	}
	if len(form) == 0 {
		t.Fatalf("no form goes to %s", action)
	}
	return form
}

// typedIn is what a control of a form holds.
func typedIn(in *dom.Node) string {
	switch in.Data {
	case "textarea":
		if in.FirstChild != nil {
			return in.FirstChild.Data
		}
		return ""
	case "select":
		for o := range in.Descendants() {
			if has(o, "selected") {
				return attribute(o, "value")
			}
		}
		return ""
	}
	return attribute(in, "value")
}

func has(n *dom.Node, key string) bool {
	return slices.ContainsFunc(n.Attr, func(a dom.Attribute) bool { return a.Key == key })
}

func attribute(n *dom.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// What a browser sends of the form of a child holds its parent once.
func TestChildAsABrowserSendsIt(t *testing.T) {
	s := newSite(t)
	form := untouched(t, page(t, s, "/add/burner?parent=Tansy"), "/add/burner")
	if got := form["parent"]; !slices.Equal(got, []string{"Tansy"}) {
		t.Fatalf("the form sends the parents %q, expected Tansy alone", got)
	}
	form.Set("name", "Tansy bent")
	form.Set("changed", "rim bent in")
	sent(t, s, "/add/burner", form)
	g, _ := s.Bench.Shelf()
	for _, b := range g.Burners {
		if b.Name == "Tansy bent" && (b.Parent != "Tansy" || b.Can.Text != "66 mm" || b.Jets[0].Count != 16 || b.Marker != 5) {
			t.Errorf("the child is %+v", b)
		}
	}
	form.Set("name", "Tansy bent more")
	form.Set("changed", "")
	again := untouched(t, post(t, s, "/add/burner", form).Body.String(), "/add/burner")
	if again.Get("parent") != "Tansy" || again.Get("name") != "Tansy bent more" || again.Get("can") != "66 mm" {
		t.Errorf("refused, the form holds %v", again)
	}
}

// A correction that touches nothing changes nothing.
func TestUntouchedFormsChangeNothing(t *testing.T) {
	s := newSite(t)
	for kind, name := range map[string]string{"burner": "Tansy", "pot": "pot", "fuel": "bottle from September", "scale": "pocket scale"} {
		path := at("shelf", kind, name)
		_, before, _ := s.Bench.Thing(kind, name)
		sent(t, s, path+"/edit", untouched(t, page(t, s, path+"/edit"), path+"/edit"))
		if _, after, _ := s.Bench.Thing(kind, name); !slices.Equal(before, after) {
			t.Errorf("%s %s has a new record", kind, name)
		}
	}
}

func TestMarkerOfABurnerIsChosen(t *testing.T) {
	s := newSite(t)
	form := untouched(t, page(t, s, "/add/burner"), "/add/burner")
	if form.Get("marker") != "5" {
		t.Errorf("marker %q is offered, expected 5, the first that no burner has", form.Get("marker"))
	}
	form.Set("name", "Sedge")
	form.Set("marker", "7")
	sent(t, s, "/add/burner", form)
	if again := untouched(t, page(t, s, "/shelf/burner/Sedge/edit"), "/shelf/burner/Sedge/edit"); again.Get("marker") != "7" {
		t.Errorf("marker %q was kept, expected 7", again.Get("marker"))
	}
	form = untouched(t, page(t, s, "/add/burner"), "/add/burner")
	form.Set("name", "Rush")
	form.Set("marker", "red")
	if w := post(t, s, "/add/burner", form); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("marker red: %d", w.Code)
	}
}

func TestShelfSaysWhoBurnedWhereAndWhatIsAmiss(t *testing.T) {
	s := newSite(t)
	take(t, s, "fairburn = 1\ntitle = \"x\"\n[[burner]]\nname = \"A\"\nparent = \"B\"\nchanged = \"x\"\n[[burner]]\nname = \"B\"\nparent = \"A\"\nchanged = \"x\"\n[[burner]]\nname = \"C\"\nparent = \"gone\"\nchanged = \"x\"\n")
	body := page(t, s, "/shelf")
	for want, times := range map[string]int{"gone is not on the shelf": 1, "it descends from itself": 2, "in " + demoTitle: 5} {
		if n := strings.Count(body, want); n != times {
			t.Errorf("the shelf says %q %d times, expected %d", want, n, times)
		}
	}
	for name, want := range map[string]string{
		"A": "it descends from itself", "C": "gone is not on the shelf", "Tansy": at("trial", demoTitle, "burn", "3"),
	} {
		if !strings.Contains(page(t, s, at("shelf", "burner", name)), want) {
			t.Errorf("the page of %s does not say %q", name, want)
		}
	}
}

// Names may hold anything that can stand in an address.
func TestThingsOfAnyName(t *testing.T) {
	for _, name := range append(meanTitles, "a/b//c", "new", "\u200fموقد", strings.Repeat("छ", 50), strings.Repeat("x", 150)) {
		s := emptySite(t)
		form := untouched(t, page(t, s, "/add/burner"), "/add/burner")
		form.Set("name", name)
		path, _, _ := strings.Cut(sent(t, s, "/add/burner", form), "?")
		sendPhoto(t, s, photoPath("burner", name), jpegWith(t, "x"))
		if n := len(s.Bench.Photos("burner", name)); n != 1 {
			t.Errorf("%q has %d photos", name, n)
		}
		edit := untouched(t, page(t, s, path+"/edit"), path+"/edit")
		edit.Set("dry_mass", "9.7 g")
		sent(t, s, path+"/edit", edit)
		child := untouched(t, page(t, s, "/add/burner?parent="+url.QueryEscape(name)), "/add/burner")
		child.Set("name", "child")
		child.Set("changed", "x")
		sent(t, s, "/add/burner", child)
		for _, at := range []string{"/shelf", path, "/shelf/burner/child"} {
			body := page(t, s, at)
			if strings.Contains(body, "<script>alert") || strings.Contains(body, "ZgotmplZ") {
				t.Errorf("%q is markup on %s", name, at)
			}
		}
		sent(t, s, path+"/off", url.Values{})
		if !strings.Contains(page(t, s, "/shelf/burner/child"), "is not on the shelf") {
			t.Errorf("%q: its child does not miss it", name)
		}
	}
}

// A name too long for a record comes back in the form.
func TestNameTooLong(t *testing.T) {
	s := emptySite(t)
	for _, name := range []string{strings.Repeat("x", 151), "two\nlines", "\xff"} {
		w := post(t, s, "/add/pot", url.Values{"name": {name}, "notes": {"kept words"}, "mass": {"118 g"}})
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "118 g") {
			t.Errorf("%q: %d %s", name, w.Code, w.Body)
		}
	}
}

// What two others say differently of a thing waits for a word; a photo of it does not.
func TestThingOnWhichOthersDisagree(t *testing.T) {
	s := emptySite(t)
	for seed, mass := range []string{"118 g", "121 g"} {
		o := newOther(t, uint64(5+seed), "Rowan", "")
		o.takes(t, "fairburn = 1\ntitle = \"x\"\n[[pot]]\nname = \"theirs\"\nmass = \""+mass+"\"\n")
		if _, err := s.Bench.Merge(t.Context(), strings.NewReader(o.records(t)), "test"); err != nil {
			t.Fatal(err)
		}
	}
	if body := page(t, s, "/shelf/pot/theirs"); !strings.Contains(body, "Its records disagree") || !strings.Contains(body, "118 g") || strings.Contains(body, "off the shelf") {
		t.Errorf("the page does not say that its records disagree: %s", body)
	}
	if w := sendPhoto(t, s, photoPath("pot", "theirs"), jpegWith(t, "x")); w.Code != http.StatusSeeOther {
		t.Errorf("a photo of it: %d %s", w.Code, w.Body)
	}
	if w := get(t, s, "/shelf/pot/theirs/edit"); w.Code != http.StatusNotFound {
		t.Errorf("correcting it: %d, expected 404", w.Code)
	}
}

// Off the shelf a thing keeps its page and its photos, and may come again.
func TestThingOffTheShelf(t *testing.T) {
	s := newSite(t)
	sent(t, s, "/shelf/lid/lid/off", url.Values{})
	if body := page(t, s, "/shelf/lid/lid"); !strings.Contains(body, "It is off the shelf") || !strings.Contains(body, "22 g") {
		t.Error("its page does not say so, or what it was is gone")
	}
	back := untouched(t, page(t, s, "/shelf/lid/lid"), "/undo")
	sent(t, s, "/undo", back)
	if body := page(t, s, "/shelf/lid/lid"); strings.Contains(body, "It is off the shelf") {
		t.Error("it was not put back")
	}
	sent(t, s, "/shelf/lid/lid/off", url.Values{})
	sent(t, s, "/add/lid", url.Values{"name": {"lid"}, "mass": {"23 g"}})
	if body := page(t, s, "/shelf"); !strings.Contains(body, "23 g") {
		t.Error("it did not come again")
	}
}
