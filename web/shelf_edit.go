package web

import (
	"cmp"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fairburn/bench"
	"fairburn/draw"
	"fairburn/finding"
	"fairburn/sheet"
	"fairburn/trial"
)

// thingForm is the form of one thing.
type thingForm struct {
	Kind, Word string
	Name       string // as it is on the shelf, "" for a new one
	Parent     string // the burner that was altered
	Action     string
	Saw        string
	Main       []field
	Groups     []editGroup
	Other      []finding.Finding
	Uses       []string
	Burner     bool
	Units      string
}

// firstFields are asked for in the open; everything else waits in groups.
var firstFields = map[string][]string{
	"burner": {"name", "changed", "family", "shop_made", "dry_mass", "holds", "notes"},
}

// formOf lays out the form of a thing from what was typed.
func (s *Site) formOf(r *http.Request, kind string, values map[string]string, fs []finding.Finding, alone *trial.Trial) thingForm {
	sys := thingSystem(r, alone)
	v := thingForm{Kind: kind, Word: kindWord(kind), Burner: kind == "burner", Parent: values["parent"], Units: sys.String()}
	form := newForm(kind, values, fs, sys, func(f sheet.Field) bool {
		return f.Kind != sheet.Instrument && f.Name != "marker" && (f.Name != "changed" || values["parent"] != "")
	})
	v.Other = form.Other
	groups := map[string]string{}
	fields, _ := sheet.Fields(kind, values, sys)
	for _, f := range fields {
		groups[f.Name] = f.Group
	}
	first, listed := firstFields[kind]
	for _, f := range form.Fields {
		f.Head = ""
		group := groups[f.Name]
		if group == "" && (!listed || slices.Contains(first, f.Name)) {
			f.Must = f.Name == "name" || f.Name == "changed"
			v.Main = append(v.Main, f)
			continue
		}
		v.add(capital(cmp.Or(group, "sizes")), f)
	}
	return v
}

// add puts a field into its group, which is open where it holds something.
func (v *thingForm) add(head string, f field) {
	i := slices.IndexFunc(v.Groups, func(g editGroup) bool { return g.Head == head })
	if i < 0 {
		i = len(v.Groups)
		v.Groups = append(v.Groups, editGroup{Head: head})
	}
	g := &v.Groups[i]
	g.Fields = append(g.Fields, f)
	g.Open = g.Open || f.Value != "" || f.Wrong != ""
}

// newThing asks for a thing; of a burner that was altered, for what is different.
func (s *Site) newThing(w http.ResponseWriter, r *http.Request) error {
	kind := r.PathValue("kind")
	if !isGear(kind) {
		return bench.ErrUnknown
	}
	values, err := s.childOf(kind, r.URL.Query().Get("parent"))
	if err != nil {
		return err
	}
	v := s.formOf(r, kind, values, nil, nil)
	v.Action = at("add", kind)
	return s.show(w, r, "thing_edit.html", frame{Title: "New " + v.Word, Section: "shelf", Body: v})
}

// childOf starts a burner from its parent: like it but for its name and what
// was changed.
func (s *Site) childOf(kind, parent string) (map[string]string, error) {
	if kind != "burner" || parent == "" {
		return map[string]string{}, nil
	}
	alone, _, _ := s.Bench.Thing("burner", parent)
	if alone == nil {
		return nil, bench.ErrUnknown
	}
	values, err := sheet.FormOf("burner", alone)
	if err != nil {
		return nil, misuse{err}
	}
	for name := range values {
		if name == "name" || name == "changed" || name == "marker" || name == "notes" || strings.HasPrefix(name, "traits.") {
			delete(values, name) // what it can do is to be seen anew
		}
	}
	values["parent"] = parent
	return values, nil
}

func (s *Site) addThing(w http.ResponseWriter, r *http.Request) error {
	kind := r.PathValue("kind")
	if !isGear(kind) {
		return bench.ErrUnknown
	}
	values, err := posted(r)
	if err != nil {
		return err
	}
	g, _ := s.Bench.Shelf()
	if kind == "burner" && values["marker"] == "" {
		values["marker"] = strconv.Itoa(freeMarker(g.Burners, draw.Entries))
	}
	alone, fs := sheet.ReadForm(kind, values, thingSystem(r, nil))
	name := strings.TrimSpace(values["name"])
	wrong := func(field, sentence string) {
		fs = append(fs, finding.Finding{Code: "form", Severity: finding.Fault, Where: finding.Place{Field: field}, Sentence: sentence})
	}
	switch there, _, _ := s.Bench.Thing(kind, name); {
	case name == "":
		wrong("name", "it needs a name of its own, by which you find it again")
	case name == "." || name == "..":
		wrong("name", "a name of dots cannot stand in an address")
	case there != nil:
		wrong("name", "the shelf has one of this name already; give this one another")
	}
	if values["parent"] != "" && strings.TrimSpace(values["changed"]) == "" {
		wrong("changed", "say what was changed, such as “rim bent inwards by 1 mm”")
	}
	if faulty(fs) {
		v := s.formOf(r, kind, values, fs, nil)
		v.Action = at("add", kind)
		return s.showStatus(w, r, http.StatusUnprocessableEntity, "thing_edit.html", frame{Title: "New " + v.Word, Section: "shelf", Body: v})
	}
	_, subject, err := s.Bench.Put(r.Context(), bench.Edit{Kind: kind, Thing: alone})
	if err != nil {
		return misuse{err}
	}
	return back(w, r, at("shelf", kind, name), done{Said: name + " is on the shelf", Kind: kind, Subject: subject})
}

func (s *Site) editThing(w http.ResponseWriter, r *http.Request) error {
	kind, name := r.PathValue("kind"), r.PathValue("name")
	alone, saw, _ := s.Bench.Thing(kind, name)
	if !isGear(kind) || alone == nil {
		return bench.ErrUnknown
	}
	values, err := sheet.FormOf(kind, alone)
	if err != nil {
		return misuse{err}
	}
	return s.showThingForm(w, r, http.StatusOK, s.correction(r, kind, name, values, nil, sawText(saw), alone))
}

func (s *Site) correction(r *http.Request, kind, name string, values map[string]string, fs []finding.Finding, saw string, alone *trial.Trial) thingForm {
	v := s.formOf(r, kind, values, fs, alone)
	v.Name, v.Action, v.Saw, v.Uses = name, at("shelf", kind, name, "edit"), saw, s.Bench.Uses(kind, name)
	return v
}

func (s *Site) showThingForm(w http.ResponseWriter, r *http.Request, status int, v thingForm) error {
	return s.showStatus(w, r, status, "thing_edit.html", frame{Title: "Correct " + v.Name, Section: "shelf", Body: v})
}

func (s *Site) correctThing(w http.ResponseWriter, r *http.Request) error {
	kind, name := r.PathValue("kind"), r.PathValue("name")
	was, _, _ := s.Bench.Thing(kind, name)
	if !isGear(kind) || was == nil {
		return bench.ErrUnknown
	}
	typed, err := posted(r)
	if err != nil {
		return err
	}
	values, err := sheet.FormOf(kind, was) // what the form does not show stays as it is
	if err != nil {
		return misuse{err}
	}
	shown := s.formOf(r, kind, values, nil, was)
	for _, f := range slices.Concat(append([][]field{shown.Main}, inGroups(shown.Groups)...)...) {
		values[f.Name] = typed[f.Name]
	}
	for key, value := range typed { // rows that were not there before
		if value != "" && key != "saw" {
			values[key] = value
		}
	}
	alone, fs := sheet.ReadForm(kind, values, was.Settings.System)
	if strings.TrimSpace(values["name"]) != name {
		fs = append(fs, finding.Finding{Code: "form", Severity: finding.Fault, Where: finding.Place{Field: "name"},
			Sentence: "a thing keeps its name: trials find it by that; something else is a new thing"})
	}
	if faulty(fs) {
		return s.showThingForm(w, r, http.StatusUnprocessableEntity, s.correction(r, kind, name, values, fs, typed["saw"], was))
	}
	if _, _, err := s.Bench.Put(r.Context(), bench.Edit{Kind: kind, Thing: alone, Saw: sawOf(r)}); err != nil {
		return misuse{err}
	}
	return back(w, r, at("shelf", kind, name), done{Said: name + " corrected", Kind: kind, Subject: name})
}

func inGroups(groups []editGroup) (all [][]field) {
	for _, g := range groups {
		all = append(all, g.Fields)
	}
	return all
}
