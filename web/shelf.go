package web

import (
	"cmp"
	"context"
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
	Kind, One, Many string // One with its article
	For             string // what it is needed for
	Things          []shelfThing
}

// shelfThing is one thing in a list.
type shelfThing struct{ Name, Figure string }

// kindsOf are the kinds of the shelf without burners, with what each is for.
func kindsOf(g gear.Shelf) []shelfKind {
	all := []shelfKind{
		{"pot", "a pot", "Pots", "it is heated with the water, so its mass counts", nil},
		{"fuel", "a bottle of fuel", "Fuel", "its strength says how much heat a gram gives", nil},
		{"scale", "a scale", "Scales", "a dose poured by volume is never what burned", nil},
		{"thermometer", "a thermometer", "Thermometers", "a kelvin is more than a per cent of the way to the boil", nil},
		{"lid", "a lid", "Lids", "", nil},
		{"screen", "a wind screen", "Wind screens", "", nil},
		{"stand", "a pot stand", "Pot stands", "", nil},
		{"measure", "a measure", "Measures", "", nil},
		{"barometer", "a barometer", "Barometers", "", nil},
	}
	things := map[string][]shelfThing{}
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
	Uses     []string // titles of the trials that it is in
	Amiss    string   // what is wrong with its parent
	Children []*kin
}

// Change says what was changed, and against what.
func (k *kin) Change() string {
	switch {
	case k.Parent == "" && k.Changed == "":
		return ""
	case k.Parent == "":
		return "changed: " + k.Changed
	case k.Changed == "":
		return "changed from " + k.Parent
	}
	return "changed from " + k.Parent + ": " + k.Changed
}

// families draws burners as trees: each below the one that it was changed from.
// Whose parent is not here, or is among its own descendants, begins a tree.
func (s *Site) families(burners []gear.Burner) []*kin {
	byName, parent := map[string]*kin{}, map[string]string{}
	for _, b := range burners {
		k := &kin{Burner: b, Uses: s.Bench.Uses("burner", b.Name)}
		if photos := s.Bench.Photos("burner", b.Name); len(photos) > 0 {
			k.Photo = &photos[0]
		}
		byName[b.Name], parent[b.Name] = k, b.Parent
	}
	var roots []*kin
	for _, b := range burners {
		k, above := byName[b.Name], byName[b.Parent]
		switch {
		case b.Parent == "":
			roots = append(roots, k)
		case above == nil:
			k.Amiss = b.Parent + " is not on the shelf"
			roots = append(roots, k)
		case circular(parent, b.Name):
			k.Amiss = "it descends from itself: correct which was built first"
			roots = append(roots, k)
		default:
			above.Children = append(above.Children, k)
		}
	}
	return roots
}

// circular reports whether a burner is its own forebear.
func circular(parent map[string]string, name string) bool {
	at := parent[name]
	for range parent {
		if at == name || at == "" {
			break
		}
		at = parent[at]
	}
	return at == name
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
	Facts      []sheet.Fact
	Album      album
	Above      string // the burner it was changed from, where that is on the shelf
	Amiss      string // what is wrong with its parent
	Family     []*kin // of a burner: what was made from it, and from that
	Uses       []usage
	History    []bench.Version
	Found      []finding.Finding
	Burner     bool
	Own        bool // it holds: it is neither off the shelf nor disputed
	Rival      bool // records disagree on it
}

func (s *Site) thing(w http.ResponseWriter, r *http.Request) error {
	kind, name := r.PathValue("kind"), r.PathValue("name")
	if !isGear(kind) {
		return bench.ErrUnknown
	}
	v, err := s.things.page(s.Bench.Version(""), [2]string{kind, name}, func() (thingView, error) { return s.viewThing(r.Context(), kind, name) })
	if err != nil {
		return err
	}
	return s.show(w, r, "thing.html", frame{Title: name, Section: "shelf", Live: "*", Body: v})
}

func (s *Site) viewThing(ctx context.Context, kind, name string) (thingView, error) {
	alone, stands, found := s.Bench.Thing(kind, name)
	history, err := s.Bench.History(ctx, kind, name) // what is off the shelf has one too
	if err != nil {
		return thingView{}, err
	}
	slices.Reverse(history)
	v := thingView{Kind: kind, Name: name, Found: found, History: history, Uses: s.uses(kind, name), Burner: kind == "burner", Own: alone != nil, Rival: len(stands) > 1}
	if v.Album, err = s.album(ctx, kind, name, at("shelf", kind, name)); err != nil || alone == nil {
		return v, err
	}
	if v.Burner {
		s.kinship(&v, alone.Shelf.Burners[0])
	}
	if v.Facts, err = sheet.Facts(kind, alone); err != nil {
		return v, misuse{err}
	}
	return v, nil
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
				v.Family, v.Amiss = k.Children, k.Amiss
			}
			find(k.Children)
		}
	}
	find(s.families(g.Burners))
}

// usage is a trial that a thing is in, with its burns there.
type usage struct {
	Title string
	Burns []string
}

// namedBurns is in how many trials the burns of a thing are looked for; with more
// each trial's page lists them.
const namedBurns = 12

func (s *Site) uses(kind, name string) []usage {
	var all []usage
	titles := s.Bench.Uses(kind, name)
	for _, title := range titles {
		u := usage{Title: title}
		if len(titles) <= namedBurns {
			if v, err := s.view(title); err == nil { // else its own page says why
				u.Burns = burnsWith(v.Trial, kind, name)
			}
		}
		all = append(all, u)
	}
	return all
}

// burnsWith lists the burns of the entries that name a thing.
func burnsWith(t *trial.Trial, kind, name string) []string {
	var ids []string
	for _, e := range t.Entries {
		has := map[string]string{"burner": e.Burner, "pot": e.Pot, "lid": e.Lid, "screen": e.Screen, "stand": e.Stand, "fuel": e.Fuel}
		for _, b := range t.Burns {
			if has[kind] == name && b.Entry == e.Name {
				ids = append(ids, b.ID)
			}
		}
	}
	return ids
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

// thingSystem are the units in which a thing is read: its own, of a new one those that were chosen.
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
