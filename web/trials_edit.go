package web

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fairburn/bench"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/journal"
	"fairburn/quantity"
	"fairburn/sheet"
	"fairburn/trial"
)

// head returns what is said of a trial as a whole, its gear by name, to be
// changed, and the records that say it.
func (s *Site) head(title string) (*trial.Trial, []journal.ID, error) {
	x, saw, _ := s.Bench.Thing("trial", title)
	switch {
	case x == nil && len(saw) > 1:
		return nil, nil, refuse("two records disagree on this trial: settle that in the journal first")
	case x == nil:
		return nil, nil, fmt.Errorf("trial %.80q is %w", title, bench.ErrUnknown)
	}
	head := *x
	return &head, saw, nil
}

// putHead keeps a trial as a whole and goes back to its page.
func (s *Site) putHead(w http.ResponseWriter, r *http.Request, head *trial.Trial, said string) error {
	_, subject, err := s.Bench.Put(r.Context(), bench.Edit{Kind: "trial", Thing: head, Saw: sawOf(r)})
	if err != nil {
		return err
	}
	return back(w, r, at("trial", head.Title), done{Said: said, Kind: "trial", Subject: subject})
}

// headForm is the form of a trial as a whole and of its place.
type headForm struct {
	Title    string
	Saw      string
	Units    string
	First    []field // what is asked and what decides it
	Place    []field
	Settings []field
	Other    []finding.Finding
}

const ofPlace = "site." // begins the names of the fields of the place

func (s *Site) editTrial(w http.ResponseWriter, r *http.Request) error {
	head, saw, err := s.head(r.PathValue("title"))
	if err != nil {
		return err
	}
	values, err := sheet.FormOf("trial", head)
	if err != nil {
		return err
	}
	place, err := sheet.FormOf("site", head)
	if err != nil {
		return err
	}
	for name, text := range place {
		values[ofPlace+name] = text
	}
	return s.showHead(w, r, http.StatusOK, newHeadForm(head.In(system(r, head.Settings.System)), sawText(saw), values, nil))
}

// newHeadForm lays the form out; the findings' fields are named as in values.
func newHeadForm(head *trial.Trial, saw string, values map[string]string, fs []finding.Finding) headForm {
	sys := head.Units()
	f := headForm{Title: head.Title, Saw: saw, Units: sys.String()}
	whole := newForm(enquiry{Kind: "trial", Values: values, Found: fs, Units: sys, Show: func(x sheet.Field) bool { return x.Name != "title" && x.Kind != sheet.Instrument }})
	for _, x := range whole.Fields {
		if strings.Contains(x.Name, ".") {
			f.Settings = append(f.Settings, x)
		} else {
			f.First = append(f.First, x)
		}
	}
	own, found := under(ofPlace, values, fs)
	place := newForm(enquiry{Kind: "site", Values: own, Found: found, Units: sys})
	for _, x := range place.Fields {
		x.Name = ofPlace + x.Name
		f.Place = append(f.Place, x)
	}
	for _, x := range whole.Other {
		if !strings.HasPrefix(x.Where.Field, ofPlace) {
			f.Other = append(f.Other, x)
		}
	}
	f.Other = append(f.Other, place.Other...)
	return f
}

// under picks the values and findings whose names begin with prefix, and takes
// it off.
func under(prefix string, values map[string]string, fs []finding.Finding) (map[string]string, []finding.Finding) {
	own := map[string]string{}
	for name, text := range values {
		if rest, ok := strings.CutPrefix(name, prefix); ok {
			own[rest] = text
		}
	}
	var found []finding.Finding
	for _, f := range fs {
		if rest, ok := strings.CutPrefix(f.Where.Field, prefix); ok {
			f.Where.Field = rest
			found = append(found, f)
		}
	}
	return own, found
}

func (s *Site) showHead(w http.ResponseWriter, r *http.Request, status int, f headForm) error {
	return s.showStatus(w, r, status, "trial_edit.html", frame{Title: "Correct " + f.Title, Section: "trials", Units: f.Units, Body: f})
}

func (s *Site) saveTrial(w http.ResponseWriter, r *http.Request) error {
	head, _, err := s.head(r.PathValue("title"))
	if err != nil {
		return err
	}
	values, err := posted(r)
	if err != nil {
		return err
	}
	sys := head.Settings.System
	_ = sys.UnmarshalText([]byte(values["settings.units"])) // what is wrong with it is said of the form below
	whole := map[string]string{"title": head.Title}
	for name, text := range values {
		if name != "saw" && name != "title" && !strings.HasPrefix(name, ofPlace) {
			whole[name] = text
		}
	}
	x, fs := sheet.ReadForm("trial", whole, sys)
	own, _ := under(ofPlace, values, nil)
	place, found := sheet.ReadForm("site", own, sys)
	for _, f := range found {
		f.Where.Field = ofPlace + f.Where.Field
		fs = append(fs, f)
	}
	if faulty(fs) {
		return s.showHead(w, r, http.StatusUnprocessableEntity, newHeadForm(head.In(system(r, sys)), values["saw"], values, fs))
	}
	x.Title, x.Site, x.Entries, x.Plan, x.Shelf = head.Title, place.Site, head.Entries, head.Plan, head.Shelf
	return s.putHead(w, r, x, "trial corrected")
}

// entriesForm is the form of what a trial compares.
type entriesForm struct {
	Title string
	Saw   string
	Rows  []entryRow
	Tools []choice
}

// entryRow is one entry. One with burns keeps its name, by which they know it.
type entryRow struct {
	Number int
	Name   string
	Marker int
	Burns  int
	Fields []field
	Wrong  string
}

func (s *Site) editEntries(w http.ResponseWriter, r *http.Request) error {
	head, saw, err := s.head(r.PathValue("title"))
	if err != nil {
		return err
	}
	return s.showEntries(w, r, http.StatusOK, head, sawText(saw), nil)
}

// showEntries shows the entries of head with a row for one more.
func (s *Site) showEntries(w http.ResponseWriter, r *http.Request, status int, head *trial.Trial, saw string, wrong map[int]string) error {
	v, err := s.view(head.Title)
	if err != nil {
		return err
	}
	shelf, _ := s.Bench.Shelf()
	f := entriesForm{Title: head.Title, Saw: saw}
	for i, e := range append(slices.Clone(head.Entries), trial.Entry{}) {
		row := entryRow{Number: i, Name: e.Name, Burns: burnsOf(v.Trial, e.Name), Wrong: wrong[i]}
		if _, ok := v.Trial.Entry(e.Name); ok {
			row.Marker = v.Marker(e.Name)
		}
		name := field{Name: "name", Label: "Name of the entry", As: "text", Value: e.Name, Example: "that of its burner"}
		parts := map[string]string{"burner": e.Burner, "pot": e.Pot, "lid": e.Lid, "screen": e.Screen, "stand": e.Stand, "fuel": e.Fuel}
		row.Fields = append([]field{name}, gearFields(shelf, func(kind string) string { return parts[kind] })...)
		if row.Burns > 0 {
			row.Fields = row.Fields[1:]
		}
		row.Fields = append(row.Fields, field{Name: "notes", Label: "Notes", As: "long", Value: e.Notes})
		for k := range row.Fields {
			row.Fields[k].Name = strconv.Itoa(i) + "." + row.Fields[k].Name
		}
		f.Rows = append(f.Rows, row)
	}
	for _, t := range toolbox(shelf.Tools) {
		f.Tools = append(f.Tools, choice{t, t, slices.Contains(toolbox(head.Shelf.Tools), t)})
	}
	return s.showStatus(w, r, status, "trial_entries.html", frame{Title: "Entries of " + head.Title, Section: "trials", Body: f})
}

func burnsOf(t *trial.Trial, entry string) (n int) {
	for _, b := range t.Burns {
		if entry != "" && b.Entry == entry {
			n++
		}
	}
	return n
}

func (s *Site) saveEntries(w http.ResponseWriter, r *http.Request) error {
	head, _, err := s.head(r.PathValue("title"))
	if err != nil {
		return err
	}
	values, err := posted(r)
	if err != nil {
		return err
	}
	v, err := s.view(head.Title)
	if err != nil {
		return err
	}
	var wrong map[int]string
	head.Entries, wrong = entriesOf(values, head.Entries, v.Trial)
	shelf, _ := s.Bench.Shelf()
	useGear(head, shelf)
	useTools(&head.Shelf.Tools, shelf.Tools, r.PostForm["tool"])
	if len(wrong) > 0 {
		return s.showEntries(w, r, http.StatusUnprocessableEntity, head, values["saw"], wrong)
	}
	return s.putHead(w, r, head, "entries corrected")
}

// entriesOf reads the rows of the form; was are the entries that it showed, and
// why says by row what could not be taken.
func entriesOf(values map[string]string, was []trial.Entry, t *trial.Trial) (entries []trial.Entry, wrong map[int]string) {
	wrong = map[int]string{}
	for i := range len(was) + 1 {
		own, _ := under(strconv.Itoa(i)+".", values, nil)
		gone := own["remove"] != ""
		delete(own, "remove")
		burned := i < len(was) && burnsOf(t, was[i].Name) > 0
		if burned {
			own["name"] = was[i].Name
		}
		e, why := entryOf(own)
		switch {
		case gone && burned:
			why = "it has burns, so it stays; burns that should not count are left out one by one"
		case gone, why == "" && e == trial.Entry{}:
			continue
		case why == "" && slices.ContainsFunc(entries, func(x trial.Entry) bool { return x.Name == e.Name }):
			why = fmt.Sprintf("two entries are named %q: rename one", e.Name)
		}
		if why != "" {
			wrong[len(entries)] = why
		}
		entries = append(entries, e)
	}
	return entries, wrong
}

// entryOf reads one row; an entry without a name takes its burner's.
func entryOf(values map[string]string) (trial.Entry, string) {
	if strings.TrimSpace(values["name"]) == "" {
		values["name"] = values["burner"]
	}
	x, fs := sheet.ReadForm("entry", values, quantity.Metric)
	e := trial.Entry{}
	if len(x.Entries) == 1 {
		e = x.Entries[0]
	}
	for _, f := range fs {
		if f.Severity == finding.Fault {
			return e, whyNot(f)
		}
	}
	if e != (trial.Entry{}) && e.Name == "" {
		return e, "choose its burner, or give it a name"
	}
	return e, ""
}

// toolbox names the instruments, each with what it is.
func toolbox(t gear.Tools) []string {
	var all []string
	for _, x := range t.Scales {
		all = append(all, "scale "+x.Name)
	}
	for _, x := range t.Thermometers {
		all = append(all, "thermometer "+x.Name)
	}
	for _, x := range t.Barometers {
		all = append(all, "barometer "+x.Name)
	}
	for _, x := range t.Measures {
		all = append(all, "measure "+x.Name)
	}
	return all
}

// useTools keeps the ticked instruments, those used before first: a reading that
// names none goes by the first. One that is not on the shelf could not be ticked.
func useTools(own *gear.Tools, shelf gear.Tools, ticked []string) {
	useTicked(&own.Scales, shelf.Scales, func(x gear.Scale) bool { return slices.Contains(ticked, "scale "+x.Name) }, func(x gear.Scale) string { return x.Name })
	useTicked(&own.Thermometers, shelf.Thermometers, func(x gear.Thermometer) bool { return slices.Contains(ticked, "thermometer "+x.Name) }, func(x gear.Thermometer) string { return x.Name })
	useTicked(&own.Barometers, shelf.Barometers, func(x gear.Barometer) bool { return slices.Contains(ticked, "barometer "+x.Name) }, func(x gear.Barometer) string { return x.Name })
	useTicked(&own.Measures, shelf.Measures, func(x gear.Measure) bool { return slices.Contains(ticked, "measure "+x.Name) }, func(x gear.Measure) string { return x.Name })
}

func useTicked[T gear.Named](own *[]T, shelf []T, ticked func(T) bool, name func(T) string) {
	*own = slices.DeleteFunc(slices.Clone(*own), func(x T) bool {
		_, listed := gear.Find(shelf, name(x))
		return listed && !ticked(x)
	})
	for _, x := range shelf {
		if ticked(x) {
			use(own, shelf, name(x))
		}
	}
}
