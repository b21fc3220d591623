package web

import (
	"cmp"
	"net/http"
	"slices"
	"strings"

	"fairburn/bench"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/sheet"
	"fairburn/trial"
)

// shelfPages are the pages of the gear.
func (s *Site) shelfPages() map[string]handler {
	return map[string]handler{
		"GET /shelf":                     s.shelf,
		"GET /shelf/{kind}/{name}":       s.thing,
		"GET /shelf/{kind}/{name}/edit":  s.editThing,
		"POST /shelf/{kind}/{name}/edit": s.correctThing,
		"POST /shelf/{kind}/{name}/off":  s.takeOff,
		"GET /add/{kind}":                s.newThing,
		"POST /add/{kind}":               s.addThing,
		"POST /photo/{kind}/{subject}":   s.addPhoto,
		"GET /photo/{id}":                s.showPhoto,
	}
}

// shelfKind is a kind of thing as the shelf shows it.
type shelfKind struct {
	Kind, One, Many string
	For             string // what it is needed for
	Things          []shelfThing
}

// shelfThing is one thing in a list.
type shelfThing struct{ Name, Figure string }

// kinds are those of the shelf without burners, with what each is for.
func kindsOf(g gear.Shelf) []shelfKind {
	list := func(things ...shelfThing) []shelfThing { return things }
	all := []shelfKind{
		{"pot", "pot", "Pots", "it is heated with the water, so its mass counts", nil},
		{"fuel", "fuel", "Fuel", "its strength says how much heat a gram gives", nil},
		{"scale", "scale", "Scales", "a dose poured by volume is never what burned", nil},
		{"thermometer", "thermometer", "Thermometers", "a kelvin is more than a per cent of the way to the boil", nil},
		{"lid", "lid", "Lids", "", nil},
		{"screen", "wind screen", "Wind screens", "", nil},
		{"stand", "pot stand", "Pot stands", "", nil},
		{"measure", "measure", "Measures", "", nil},
		{"barometer", "barometer", "Barometers", "", nil},
	}
	things := map[string][]shelfThing{"pot": list(), "fuel": list()}
	for _, x := range g.Pots {
		things["pot"] = append(things["pot"], shelfThing{x.Name, facts(x.Mass.Text, x.Material, x.Holds.Text)})
	}
	for _, x := range g.Batches {
		things["fuel"] = append(things["fuel"], shelfThing{x.Name, facts(x.Product, x.Strength.Text)})
	}
	for _, x := range g.Tools.Scales {
		things["scale"] = append(things["scale"], shelfThing{x.Name, facts(string(x.For), x.Step.Text)})
	}
	for _, x := range g.Tools.Thermometers {
		things["thermometer"] = append(things["thermometer"], shelfThing{x.Name, facts(string(x.For), x.Limit.Text)})
	}
	for _, x := range g.Lids {
		things["lid"] = append(things["lid"], shelfThing{x.Name, facts(x.Mass.Text, x.Material)})
	}
	for _, x := range g.Screens {
		things["screen"] = append(things["screen"], shelfThing{x.Name, facts(x.Mass.Text)})
	}
	for _, x := range g.Stands {
		things["stand"] = append(things["stand"], shelfThing{x.Name, facts(x.Mass.Text, x.Height.Text)})
	}
	for _, x := range g.Tools.Measures {
		things["measure"] = append(things["measure"], shelfThing{x.Name, facts(string(x.For), x.Tolerance.Text)})
	}
	for _, x := range g.Tools.Barometers {
		things["barometer"] = append(things["barometer"], shelfThing{x.Name, facts(x.Limit.Text)})
	}
	for i := range all {
		all[i].Things = things[all[i].Kind]
	}
	return all
}

// facts joins what is known.
func facts(texts ...string) string {
	return strings.Join(slices.DeleteFunc(texts, func(s string) bool { return s == "" }), " · ")
}

// kin is a burner with those that were made from it.
type kin struct {
	gear.Burner
	Photo    *bench.Photo
	Made     string // "shop-made", or from what
	Children []*kin
}

// families draws burners as trees: each below the one that it was changed from.
// Whose parent is not here, or is among its own descendants, begins a tree.
func (s *Site) families(burners []gear.Burner) []*kin {
	byName, parent := map[string]*kin{}, map[string]string{}
	for _, b := range burners {
		k := &kin{Burner: b}
		if photos := s.Bench.Photos("burner", b.Name); len(photos) > 0 {
			k.Photo = &photos[0]
		}
		byName[b.Name], parent[b.Name] = k, b.Parent
	}
	var roots []*kin
	for _, b := range burners {
		k, above := byName[b.Name], byName[b.Parent]
		if above == nil || circular(parent, b.Name) {
			roots = append(roots, k)
			continue
		}
		above.Children = append(above.Children, k)
	}
	return roots
}

// circular reports whether a burner is its own forebear.
func circular(parent map[string]string, name string) bool {
	at := parent[name]
	for range parent {
		if at == name {
			return true
		}
		at = parent[at]
	}
	return false
}

func (s *Site) shelf(w http.ResponseWriter, r *http.Request) error {
	g, found := s.Bench.Shelf()
	return s.show(w, r, "shelf.html", frame{Title: "Shelf", Section: "shelf", Live: "*", Body: struct {
		Families []*kin
		Kinds    []shelfKind
		Empty    bool
		Found    []finding.Finding
	}{s.families(g.Burners), kindsOf(g), len(g.Burners)+len(g.Pots)+len(g.Batches) == 0, found}})
}

// thingView is one thing on its page.
type thingView struct {
	Kind, Name string
	Marker     int
	Facts      []shelfThing
	Album      album
	Above      string // the burner it was changed from, where that is on the shelf
	Family     []*kin // of a burner: what was made from it
	Uses       []string
	History    []bench.Version
	Found      []finding.Finding
	Burner     bool
	Own        bool
}

func (s *Site) thing(w http.ResponseWriter, r *http.Request) error {
	kind, name := r.PathValue("kind"), r.PathValue("name")
	alone, _, found := s.Bench.Thing(kind, name)
	if !isGear(kind) || alone == nil && len(found) == 0 {
		return bench.ErrUnknown
	}
	history, err := s.Bench.History(r.Context(), kind, name)
	if err != nil {
		return err
	}
	slices.Reverse(history)
	v := thingView{Kind: kind, Name: name, Found: found, History: history, Uses: s.Bench.Uses(kind, name), Burner: kind == "burner", Own: alone != nil}
	if v.Album, err = s.album(r, kind, name); err != nil {
		return err
	}
	if alone != nil {
		if v.Facts, err = factsOf(kind, alone); err != nil {
			return err
		}
	}
	if v.Burner && alone != nil {
		s.kinship(&v, alone.Shelf.Burners[0])
	}
	return s.show(w, r, "thing.html", frame{Title: name, Section: "shelf", Live: "*", Body: v})
}

// kinship finds the burners around one.
func (s *Site) kinship(v *thingView, b gear.Burner) {
	g, _ := s.Bench.Shelf()
	v.Marker = b.Marker
	if _, here := gear.Find(g.Burners, b.Parent); here {
		v.Above = b.Parent
	}
	var find func([]*kin)
	find = func(list []*kin) {
		for _, k := range list {
			if k.Name == b.Name {
				v.Family = k.Children
			}
			find(k.Children)
		}
	}
	find(s.families(g.Burners))
}

// factsOf lists what is known of a thing, in the keys of the sheet.
func factsOf(kind string, alone *trial.Trial) ([]shelfThing, error) {
	values, err := sheet.FormOf(kind, alone)
	if err != nil {
		return nil, misuse{err}
	}
	fields, _ := sheet.Fields(kind, values, alone.Settings.System)
	var all []shelfThing
	for _, f := range fields {
		if values[f.Name] == "" || f.Name == "name" || f.Name == "marker" {
			continue
		}
		all = append(all, shelfThing{strings.TrimPrefix(f.Group+", "+f.Label, ", "), strings.ReplaceAll(values[f.Name], "_", " ")})
	}
	return all, nil
}

var gearNames = []string{"burner", "pot", "lid", "screen", "stand", "fuel", "scale", "thermometer", "barometer", "measure"}

func isGear(kind string) bool { return slices.Contains(gearNames, kind) }

// takeOff takes a thing off the shelf; undo brings it back.
func (s *Site) takeOff(w http.ResponseWriter, r *http.Request) error {
	kind, name := r.PathValue("kind"), r.PathValue("name")
	if !isGear(kind) {
		return bench.ErrUnknown
	}
	if err := s.Bench.Withdraw(r.Context(), kind, name); err != nil {
		return err
	}
	return back(w, r, "/shelf", done{Said: name + " is off the shelf", Kind: kind, Subject: name})
}

// freeMarker is the first colour and shape that no burner has, else the one
// that the fewest have.
func freeMarker(burners []gear.Burner, most int) int {
	count := make([]int, most+1)
	for _, b := range burners {
		if b.Marker >= 1 && b.Marker <= most {
			count[b.Marker]++
		}
	}
	best := 1
	for m := 1; m <= most; m++ {
		if count[m] < count[best] {
			best = m
		}
	}
	return best
}

// units are those a thing is written in: what was chosen, else its own.
func thingSystem(r *http.Request, alone *trial.Trial) quantity.System {
	if alone != nil {
		return alone.Settings.System
	}
	return system(r, quantity.Metric)
}

// kindWord is what a kind is called in a sentence.
func kindWord(kind string) string {
	return cmp.Or(map[string]string{"screen": "wind screen", "stand": "pot stand"}[kind], kind)
}
