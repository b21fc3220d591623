package web

import (
	"cmp"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fairburn/bench"
	"fairburn/draw"
	"fairburn/finding"
	"fairburn/journal"
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
	Markers    []markerChoice // of a burner
}

// fields are all that the form asks, in its order.
func (v thingForm) fields() []field {
	all := slices.Clone(v.Main)
	for _, g := range v.Groups {
		all = append(all, g.Fields...)
	}
	return all
}

// Wrong lists the fields whose values could not be taken.
func (v thingForm) Wrong() []field {
	return slices.DeleteFunc(v.fields(), func(f field) bool { return f.Wrong == "" })
}

// markerChoice is a colour and shape that a burner may have.
type markerChoice struct {
	N      int
	Shape  string
	Has    string // the burners that have it
	Chosen bool
}

var shapeNames = map[draw.Shape]string{
	draw.Disc: "disc", draw.Square: "square", draw.Peak: "peak", draw.Diamond: "diamond",
	draw.Dip: "dip", draw.Plus: "plus", draw.Cross: "cross", draw.Hourglass: "hourglass",
}

// markers lists the colours and shapes with who has them. Of a new burner the
// first free one is chosen.
func (s *Site) markers(values map[string]string, alone *trial.Trial) []markerChoice {
	g, _ := s.Bench.Shelf()
	chosen := values["marker"]
	if chosen == "" && alone == nil {
		chosen = strconv.Itoa(freeMarker(g.Burners, draw.Entries))
	}
	var all []markerChoice
	for n := 1; n <= draw.Entries; n++ {
		m := markerChoice{N: n, Shape: shapeNames[draw.EntryShape(n-1)], Chosen: chosen == strconv.Itoa(n)}
		for _, b := range g.Burners {
			if b.Marker == n && (alone == nil || b.Name != alone.Shelf.Burners[0].Name) {
				m.Has = facts(m.Has, b.Name)
			}
		}
		all = append(all, m)
	}
	return all
}

// firstFields are asked for in the open; everything else waits in groups.
var firstFields = map[string][]string{
	"burner": {"name", "changed", "family", "shop_made", "dry_mass", "holds", "notes"},
}

// formOf lays out the form of a thing from what was typed.
func (s *Site) formOf(r *http.Request, kind string, values map[string]string, fs []finding.Finding, alone *trial.Trial) thingForm {
	sys := system(r, thingSystem(r, alone)) // of the examples; what is typed is read in the thing's own
	v := thingForm{Kind: kind, Word: kindWord(kind), Burner: kind == "burner", Parent: values["parent"]}
	child := alone == nil && v.Parent != "" // its parent goes with the form unasked
	form := newForm(enquiry{Kind: kind, Values: values, Found: fs, Units: sys, Show: func(f sheet.Field) bool {
		return f.Kind != sheet.Instrument && f.Name != "marker" && (f.Name != "changed" || v.Parent != "") && (f.Name != "parent" || !child)
	}})
	if v.Burner {
		v.Markers = s.markers(values, alone)
	}
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
	for i, g := range v.Groups {
		switch {
		case child: // what was copied is looked into where it differs
			v.Groups[i].Open = slices.ContainsFunc(g.Fields, func(f field) bool { return f.Wrong != "" })
		case g.Head == "Jet ring 1":
			v.Groups[i].Open = true
		}
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
	fs = append(fs, s.unfit(kind, values)...)
	if !faulty(fs) {
		_, subject, err := s.Bench.Put(r.Context(), bench.Edit{Kind: kind, Thing: alone})
		if err == nil {
			name := strings.TrimSpace(values["name"])
			return back(w, r, at("shelf", kind, name), done{Said: name + " is on the shelf", Kind: kind, Subject: subject})
		}
		if errors.Is(err, journal.ErrFull) {
			return err
		}
		fs = append(fs, amiss("", err.Error()))
	}
	v := s.formOf(r, kind, values, fs, nil)
	v.Action = at("add", kind)
	return s.showStatus(w, r, http.StatusUnprocessableEntity, "thing_edit.html", frame{Title: "New " + v.Word, Section: "shelf", Body: v})
}

// amiss is what is wrong with a field of a form, or with all of it.
func amiss(field, sentence string) finding.Finding {
	return finding.Finding{Code: "form", Severity: finding.Fault, Where: finding.Place{Field: field}, Sentence: sentence}
}

// unfit says why what was typed makes no new thing.
func (s *Site) unfit(kind string, values map[string]string) []finding.Finding {
	var fs []finding.Finding
	name := strings.TrimSpace(values["name"])
	switch there, _, _ := s.Bench.Thing(kind, name); {
	case name == "":
		fs = append(fs, amiss("name", "it needs a name of its own, by which you find it again"))
	case there != nil:
		fs = append(fs, amiss("name", "the shelf has one of this name already; give this one another"))
	}
	if values["parent"] != "" && strings.TrimSpace(values["changed"]) == "" {
		fs = append(fs, amiss("changed", "say what was changed, such as “rim bent inwards by 1 mm”"))
	}
	return fs
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
	for _, f := range shown.fields() {
		values[f.Name] = typed[f.Name]
	}
	for key, value := range typed { // rows that were not there before
		if value != "" && key != "saw" {
			values[key] = value
		}
	}
	alone, fs := sheet.ReadForm(kind, values, was.Settings.System)
	if strings.TrimSpace(values["name"]) != name {
		fs = append(fs, amiss("name", "a thing keeps its name: trials find it by that; something else is a new thing"))
	}
	if !faulty(fs) {
		_, _, err := s.Bench.Put(r.Context(), bench.Edit{Kind: kind, Thing: alone, Saw: sawOf(r)})
		if err == nil {
			return back(w, r, at("shelf", kind, name), done{Said: name + " corrected", Kind: kind, Subject: name})
		}
		if errors.Is(err, journal.ErrFull) {
			return err
		}
		fs = append(fs, amiss("", err.Error()))
	}
	return s.showThingForm(w, r, http.StatusUnprocessableEntity, s.correction(r, kind, name, values, fs, typed["saw"], was))
}
