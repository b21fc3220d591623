package web

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"fairburn/bench"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/journal"
	"fairburn/quantity"
	"fairburn/sheet"
	"fairburn/trial"
)

// draft is a trial as a person asks for it, before it is kept.
type draft struct {
	Shelf  gear.Shelf
	values map[string]string // by the names of a sheet's form; those of the place begin with "site."
	ticked []string          // names of burners
	wrong  map[string]string // by field
}

// placeKeys are what a new trial asks about its place.
var placeKeys = []string{"site.name", "site.elevation", "site.station_pressure"}

// newTrial asks the question.
func (s *Site) newTrial(w http.ResponseWriter, r *http.Request) error {
	d := draft{values: map[string]string{"judge_by": string(trial.Fastest), "settings.units": chosenUnits(r)}}
	d.Shelf, _ = s.Bench.Shelf()
	if len(d.Shelf.Pots) == 1 {
		d.values["pot"] = d.Shelf.Pots[0].Name
	}
	if len(d.Shelf.Batches) == 1 {
		d.values["fuel"] = d.Shelf.Batches[0].Name
	}
	return s.showDraft(w, r, http.StatusOK, d)
}

func (s *Site) showDraft(w http.ResponseWriter, r *http.Request, status int, d draft) error {
	return s.showStatus(w, r, status, "trials_new.html", frame{Title: "New trial", Section: "trials", Body: d})
}

// addTrial keeps a new trial.
func (s *Site) addTrial(w http.ResponseWriter, r *http.Request) error {
	d, err := s.draftOf(r)
	if err != nil {
		return err
	}
	t := d.trial()
	if s.hasTrial(t.Title) {
		d.wrong["title"] = "there is a trial of this title on the bench already: choose another, or open that one from the first page"
	}
	if len(d.wrong) > 0 {
		return s.showDraft(w, r, http.StatusUnprocessableEntity, d)
	}
	_, subject, err := s.Bench.Put(r.Context(), bench.Edit{Kind: "trial", Thing: t, Saw: []journal.ID{}})
	if err != nil {
		return err
	}
	return back(w, r, at("trial", t.Title), done{Said: "the trial is on the bench", Kind: "trial", Subject: subject})
}

// hasTrial reports whether the bench knows the title, be it contradicted.
func (s *Site) hasTrial(title string) bool {
	_, _, err := s.Bench.Trial(title)
	return !errors.Is(err, bench.ErrUnknown)
}

func (s *Site) draftOf(r *http.Request) (draft, error) {
	values, err := posted(r)
	d := draft{values: values, ticked: r.PostForm["burner"], wrong: map[string]string{}}
	d.Shelf, _ = s.Bench.Shelf()
	return d, err
}

// trial makes the trial that is asked for; what is wrong stands in d.wrong.
func (d *draft) trial() *trial.Trial {
	var sys quantity.System
	_ = sys.UnmarshalText([]byte(d.values["settings.units"])) // what is wrong with it is said of the form below
	head := d.read("trial", "", sys, "title", "question", "judge_by", "settings.units", "reference.water")
	head.Site = d.read("site", "site.", sys, placeKeys...).Site
	for _, b := range d.Shelf.Burners {
		if slices.Contains(d.ticked, b.Name) {
			head.Entries = append(head.Entries, trial.Entry{Name: b.Name, Burner: b.Name, Pot: d.values["pot"], Lid: d.values["lid"],
				Screen: d.values["screen"], Stand: d.values["stand"], Fuel: d.values["fuel"]})
		}
	}
	if len(head.Entries) == 0 {
		d.wrong["burner"] = "tick at least one burner; two or more can be compared"
	}
	if why := titleTrouble(head.Title); why != "" && d.wrong["title"] == "" {
		d.wrong["title"] = why
	}
	head.Shelf.Tools = d.Shelf.Tools
	useGear(head, d.Shelf)
	return head
}

// read reads the fields of one kind of thing; their names in d begin with prefix.
func (d *draft) read(kind, prefix string, sys quantity.System, names ...string) *trial.Trial {
	values := map[string]string{}
	for _, name := range names {
		values[strings.TrimPrefix(name, prefix)] = d.values[name]
	}
	x, fs := sheet.ReadForm(kind, values, sys)
	for _, f := range fs {
		if f.Severity == finding.Fault {
			d.wrong[prefix+f.Where.Field] = whyNot(f)
		}
	}
	return x
}

// whyNot is what a form says beside a field.
func whyNot(f finding.Finding) string {
	if f.Remedy == "" {
		return f.Sentence
	}
	return f.Sentence + "; " + f.Remedy
}

// titleTrouble says why a title cannot be kept, "" where it can.
func titleTrouble(title string) string {
	switch {
	case title == "":
		return "give the trial a title, such as “narrow against wide wall”"
	case len(title) > bench.LongestTitle:
		return fmt.Sprintf("read a title of %d bytes, expected at most %d: the question has room for more", len(title), bench.LongestTitle)
	}
	return ""
}

// useGear puts on the trial's own shelf what its entries name, beside what is
// on it already.
func useGear(t *trial.Trial, shelf gear.Shelf) {
	for _, e := range t.Entries {
		useKin(t, shelf, e.Burner)
		use(&t.Shelf.Pots, shelf.Pots, e.Pot)
		use(&t.Shelf.Lids, shelf.Lids, e.Lid)
		use(&t.Shelf.Screens, shelf.Screens, e.Screen)
		use(&t.Shelf.Stands, shelf.Stands, e.Stand)
		use(&t.Shelf.Batches, shelf.Batches, e.Fuel)
	}
}

// useKin puts a burner on the trial's shelf, and those it was changed from, so
// that the trial says what each was made of.
func useKin(t *trial.Trial, shelf gear.Shelf, name string) {
	for range shelf.Burners { // as often as a family can be deep, be it a circle
		use(&t.Shelf.Burners, shelf.Burners, name)
		b, _ := gear.Find(shelf.Burners, name)
		if name = b.Parent; name == "" {
			return
		}
	}
}

func use[T gear.Named](own *[]T, shelf []T, name string) {
	if _, has := gear.Find(*own, name); has {
		return
	}
	if x, ok := gear.Find(shelf, name); ok {
		*own = append(slices.Clip(*own), x) // the list may be the bench's own, which others read
	}
}

// Question are the first fields of the form.
func (d draft) Question() []field {
	return d.fill([]field{
		{Name: "title", Label: "Title", As: "text", Example: "narrow against wide wall", Must: true},
		{Name: "question", Label: "The question, in your words", As: "long"},
	})
}

// Judges are the ways to decide, the chosen one ticked.
func (d draft) Judges() []choice {
	var cs []choice
	for _, by := range trial.JudgeBys() {
		cs = append(cs, choice{string(by), judged[by], d.values["judge_by"] == string(by)})
	}
	return cs
}

// Burners are what can be compared.
func (d draft) Burners() []choice {
	var cs []choice
	for _, b := range d.Shelf.Burners {
		cs = append(cs, choice{b.Name, b.Name, slices.Contains(d.ticked, b.Name)})
	}
	return cs
}

// Rest is what all entries share.
func (d draft) Rest() []field {
	fs := append(gearFields(d.Shelf, func(kind string) string { return d.values[kind] })[1:],
		field{Name: "reference.water", Label: "Water for each burn", As: "text", Example: d.example("trial", "reference.water"), Help: "the same for every burn; figures are brought to this mass"})
	return d.fill(fs)
}

// Place asks where it is burned, and in what units people write there.
func (d draft) Place() []field {
	units := field{Name: "settings.units", Label: "Units", As: "choice", Help: "how a bare cup or fl oz is read"}
	for _, sys := range []quantity.System{quantity.Metric, quantity.US, quantity.Imperial} {
		units.Choices = append(units.Choices, choice{sys.String(), sys.String(), d.values[units.Name] == sys.String()})
	}
	return d.fill([]field{
		{Name: "site.name", Label: "Where", As: "text", Example: "open shed, lee side"},
		{Name: "site.elevation", Label: "Height above the sea, from a map", As: "text", Example: d.example("site", "elevation")},
		{Name: "site.station_pressure", Label: "What a barometer reads there", As: "text", Example: d.example("site", "station_pressure"),
			Help: "it decides at which temperature water boils, and can be read anew for each burn; a forecast's pressure at sea level is another thing"},
		units,
	})
}

// Wrong is what is wrong with a field that the template of fields does not show.
func (d draft) Wrong(name string) string { return d.wrong[name] }

// example is that of a field in the units of the draft.
func (d draft) example(kind, name string) string {
	var sys quantity.System
	_ = sys.UnmarshalText([]byte(d.values["settings.units"])) // what is wrong with it is said elsewhere
	fields, _ := sheet.Fields(kind, nil, sys)
	i := slices.IndexFunc(fields, func(f sheet.Field) bool { return f.Name == name })
	return fields[i].Example
}

func (d draft) fill(fs []field) []field {
	for i := range fs {
		fs[i].Value, fs[i].Wrong = d.values[fs[i].Name], d.wrong[fs[i].Name]
	}
	return fs
}

// gearFields choose an entry's gear from the shelf, the burner first; chosen
// tells what is chosen of a kind, and stays to be chosen where the shelf lacks it.
func gearFields(shelf gear.Shelf, chosen func(kind string) string) []field {
	return []field{
		gearField("burner", "Burner", shelf.Burners, func(x gear.Burner) string { return x.Name }, chosen),
		gearField("pot", "Pot", shelf.Pots, func(x gear.Pot) string { return x.Name }, chosen),
		gearField("lid", "Lid", shelf.Lids, func(x gear.Lid) string { return x.Name }, chosen),
		gearField("screen", "Wind screen", shelf.Screens, func(x gear.Screen) string { return x.Name }, chosen),
		gearField("stand", "Pot stand", shelf.Stands, func(x gear.Stand) string { return x.Name }, chosen),
		gearField("fuel", "Fuel", shelf.Batches, func(x gear.FuelBatch) string { return x.Name }, chosen),
	}
}

func gearField[T any](kind, label string, list []T, name func(T) string, chosen func(string) string) field {
	f, is, listed := field{Name: kind, Label: label, As: "choice"}, chosen(kind), false
	for _, x := range list {
		listed = listed || name(x) == is
		f.Choices = append(f.Choices, choice{name(x), name(x), name(x) == is})
	}
	if is != "" && !listed {
		f.Choices = append(f.Choices, choice{is, is + " (not on the shelf)", true})
	}
	return f
}
