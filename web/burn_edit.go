package web

import (
	"cmp"
	"net/http"
	"slices"
	"strings"

	"fairburn/bench"
	"fairburn/burn"
	"fairburn/finding"
	"fairburn/journal"
	"fairburn/sheet"
	"fairburn/station"
	"fairburn/trial"
)

// burnGroup is a part of a burn's form: the fields whose names begin so.
type burnGroup struct {
	Head   string
	begins []string
	always bool // open without content
}

// burnGroups part the form of a burn. A name is in the first group that has it.
var burnGroups = []burnGroup{
	{"Which burn", []string{"id", "entry", "block", "order", "station", "tester", "date", "levels."}, true},
	{"Marks, in time from light", []string{"light", "bloom", "pot_on", "not_boiling", "boil", "boil_by", "pot_off", "out", "snuffed"}, true},
	{"Fuel", []string{"dose", "dose_mass", "fuel_temperature", "weighed", "poured", "at_pot_on", "at_boil", "left", "to_boil_by"}, true},
	{"Water", []string{"water", "water_mass", "start", "water_end", "peak", "peak_at", "boiling"}, true},
	{"Burner and place, where they differ from the trial's", []string{"burner_temperature", "place", "station_pressure", "altimeter_setting", "elevation", "air", "humidity", "wind", "wind_seen"}, false},
	{"Faults and failures", []string{"faults.", "failures"}, false},
	{"Low-power phase", []string{"simmer_"}, false},
	{"Left out, and notes", []string{"void", "notes"}, false},
}

func (g burnGroup) has(name string) bool {
	return slices.ContainsFunc(g.begins, func(b string) bool {
		return name == b || (strings.HasSuffix(b, ".") || strings.HasSuffix(b, "_")) && strings.HasPrefix(name, b)
	})
}

// editBody is what a form of a burn shows.
type editBody struct {
	Title, ID string
	New       bool
	Units     string
	Action    string
	Saw       string
	Groups    []editGroup
	Other     []finding.Finding
}

type editGroup struct {
	Head   string
	Open   bool
	Fields []field
}

// newEdit lays out the form of a burn with what was typed and found.
func newEdit(x one, values map[string]string, fs []finding.Finding, isNew bool) editBody {
	b := editBody{Title: x.Title, ID: x.Burn.ID, New: isNew, Units: x.Units().String(), Action: at("trial", x.Title, "burn", x.Burn.ID, "edit")}
	if isNew {
		b.Action = at("trial", x.Title, "burns", "new")
	}
	if f := x.Plan.Factor; f.Name != "" && values["levels."+f.Name] == "" {
		values["levels."+f.Name] = ""
	}
	whole := newForm(enquiry{Kind: "burn", Values: values, Found: fs, Units: x.Units()})
	b.Other = whole.Other
	for _, g := range burnGroups {
		group := editGroup{Head: g.Head, Open: isNew && g.always}
		for _, f := range whole.Fields {
			if !g.has(f.Name) || f.Name == "id" && !isNew {
				continue
			}
			group.Fields = append(group.Fields, x.chosen(f))
			group.Open = group.Open || f.Value != "" || f.Wrong != ""
		}
		b.Groups = append(b.Groups, group)
	}
	return b
}

// chosen lets the entry and the level of the factor be chosen from the trial's.
func (x one) chosen(f field) field {
	var from []string
	switch {
	case f.Name == "entry":
		f.Must = true
		for _, e := range x.Entries {
			from = append(from, e.Name)
		}
	case f.Name == "levels."+x.Plan.Factor.Name:
		from = x.Plan.Factor.Levels
	default:
		return f
	}
	if f.Value != "" && !slices.Contains(from, f.Value) {
		from = append(slices.Clip(from), f.Value)
	}
	f.As, f.Choices, f.Help = "choice", nil, "" // the list says what it holds
	for _, name := range from {
		f.Choices = append(f.Choices, choice{name, name, name == f.Value})
	}
	return f
}

// typed is a burn as a form shows it.
func (x one) typed(r burn.Record) (map[string]string, error) {
	values, err := sheet.FormOf("burn", x.alone(r))
	if err != nil {
		return nil, refuse("burn %s can be corrected in a sheet only: %w", r.ID, err)
	}
	return values, nil
}

func (s *Site) editBurn(w http.ResponseWriter, r *http.Request) error {
	x, err := s.held(r)
	if err != nil {
		return err
	}
	values, err := x.typed(x.Burn)
	if err != nil {
		return err
	}
	_, saw, _ := s.Bench.Thing("burn", x.subject())
	return s.showEdit(w, r, http.StatusOK, newEdit(x, values, nil, false), sawText(saw))
}

func (s *Site) showEdit(w http.ResponseWriter, r *http.Request, status int, b editBody, saw string) error {
	b.Saw = saw
	title := "Correct burn " + b.ID
	if b.New {
		title = "A burn from a notebook"
	}
	return s.showStatus(w, r, status, "burn_edit.html", frame{Title: title + " of " + b.Title, Section: "trials", Units: b.Units, Body: b})
}

// read reads a posted burn over what its form does not show: which instrument
// took a reading.
func (x one) read(posted, was map[string]string) (burn.Record, []finding.Finding) {
	delete(posted, "saw")
	for name, text := range was {
		if reading, is := strings.CutSuffix(name, ".with"); is && posted[reading] != "" && posted[name] == "" {
			posted[name] = text
		}
	}
	t, fs := sheet.ReadForm("burn", posted, x.Settings.System)
	if len(t.Burns) != 1 {
		return burn.Record{}, fs
	}
	rec := t.Burns[0]
	rec.Where = finding.Place{}
	return rec, fs
}

// retyped is what a form says of a burn that stands, and what that said.
func (x one) retyped(r *http.Request) (values, was map[string]string, err error) {
	if values, err = posted(r); err != nil {
		return nil, nil, err
	}
	was, err = x.typed(x.Burn)
	return values, was, err
}

func (s *Site) saveBurn(w http.ResponseWriter, r *http.Request) error {
	x, err := s.held(r)
	if err != nil {
		return err
	}
	values, was, err := x.retyped(r)
	if err != nil {
		return err
	}
	saw := values["saw"]
	values["id"] = x.Burn.ID
	rec, fs := x.read(values, was)
	if faulty(fs) {
		return s.showEdit(w, r, http.StatusUnprocessableEntity, newEdit(x, values, fs, false), saw)
	}
	return s.put(w, r, x, change{rec, sawOf(r), at("trial", x.Title, "burn", rec.ID), "burn " + rec.ID + " corrected"})
}

// newBurn asks for a burn that stands in a notebook.
func (s *Site) newBurn(w http.ResponseWriter, r *http.Request) error {
	v, err := s.shown(r)
	if err != nil {
		return err
	}
	slot, _ := station.Of(v.Trial).Next()
	rec := station.Start(v.Trial, slot, station.Turn{ID: s.nextID(v.Trial)})
	x := one{view: v, Burn: rec}
	values, err := x.typed(rec)
	if err != nil {
		return err
	}
	return s.showEdit(w, r, http.StatusOK, newEdit(x, values, nil, true), "")
}

func (s *Site) addBurn(w http.ResponseWriter, r *http.Request) error {
	v, err := s.shown(r)
	if err != nil {
		return err
	}
	values, err := posted(r)
	if err != nil {
		return err
	}
	x := one{view: v}
	rec, fs := x.read(values, nil)
	if why := s.idTrouble(v.Trial, rec.ID); why != "" {
		fs = append(fs, finding.Finding{Code: "id", Severity: finding.Fault, Where: finding.Place{Field: "id"}, Sentence: why})
	}
	if rec.Entry == "" {
		fs = append(fs, finding.Finding{Code: "entry", Severity: finding.Fault, Where: finding.Place{Field: "entry"}, Sentence: "choose the entry that burned"})
	}
	if faulty(fs) {
		return s.showEdit(w, r, http.StatusUnprocessableEntity, newEdit(x, values, fs, true), "")
	}
	return s.put(w, r, x, change{rec, []journal.ID{}, at("trial", v.Title, "burn", rec.ID), "burn " + rec.ID + " written down"})
}

// idTrouble says why a new burn cannot have an id, "" where it can.
func (s *Site) idTrouble(t *trial.Trial, id string) string {
	_, live, _ := s.Bench.Thing("burn", bench.BurnSubject(t.Title, id))
	switch {
	case id == "":
		return "expected a number or a name, such as " + s.nextID(t)
	case len(id) > bench.LongestTitle:
		return "expected a short number or name"
	case len(live) > 0:
		return "there is a burn " + id + " already; the next free number is " + s.nextID(t)
	}
	return ""
}

// afterBody is the short form after a burn.
type afterBody struct {
	Title, ID string
	Entry     string
	Marker    int
	Saw       string
	Fields    []field
	MayBeDry  bool
	Dry       bool
	Other     []finding.Finding
}

// dry is what stands in place of the mass left where the burner was seen dry.
const dry = "nothing seen"

func (s *Site) afterBurn(w http.ResponseWriter, r *http.Request) error {
	x, err := s.ended(r)
	if err != nil {
		return err
	}
	_, saw, _ := s.Bench.Thing("burn", x.subject())
	return s.showAfter(w, r, x, typed{saw: sawText(saw)})
}

// ended finds the burn of a request, whose flame must have ended.
func (s *Site) ended(r *http.Request) (one, error) {
	x, err := s.held(r)
	if err != nil {
		return x, err
	}
	moments := s.Bench.Moments(x.Title, x.Burn.ID)
	if len(moments) > 0 && newBurning(x.Trial, x.Burn, moments).Stage != station.Ended {
		return x, refuse("burn %s has not ended: only the snuffer test or putting it out ends a burn, and nothing is weighed before", x.Burn.ID)
	}
	return x, nil
}

// typed is what a person typed into a form, what is wrong with it, and the records
// that they had before them.
type typed struct {
	values map[string]string
	found  []finding.Finding
	saw    string
}

// status is that of a page which shows the form again.
func (t typed) status() int {
	if faulty(t.found) {
		return http.StatusUnprocessableEntity
	}
	return http.StatusOK
}

func (s *Site) showAfter(w http.ResponseWriter, r *http.Request, x one, t typed) error {
	values := t.values
	b := afterBody{Title: x.Title, ID: x.Burn.ID, Entry: x.Burn.Entry, Marker: x.Marker(x.Burn.Entry), Saw: t.saw, Dry: values["left"] == dry}
	var last map[string]string
	if before, ok := station.Last(x.Trial, x.Burn); ok {
		last, _ = x.typed(before) // no more than a hint
	}
	asks := station.After(x.Trial, x.Burn)
	whole := newForm(enquiry{Kind: "burn", Values: values, Found: t.found, Units: x.Units(), Show: func(f sheet.Field) bool {
		return slices.ContainsFunc(asks, func(a station.Ask) bool { return a.Key == f.Name })
	}})
	b.Other = whole.Other
	for _, a := range asks {
		i := slices.IndexFunc(whole.Fields, func(f field) bool { return f.Name == a.Key })
		if i < 0 {
			continue
		}
		f := whole.Fields[i]
		f.Head, f.Label, f.Help, f.Must = "", capital(a.Words), a.Why, a.Need == station.Must
		f.Example = cmp.Or(lastTime(last[a.Key]), a.Example)
		if a.Key == "left" {
			b.MayBeDry = true
			f.Label = "Mass at the end, weighed at once"
		}
		if f.Value == dry {
			f.Value = ""
		}
		b.Fields = append(b.Fields, f)
	}
	return s.showStatus(w, r, t.status(), "burn_after.html", frame{Title: "After burn " + b.ID, Section: "trials", Units: x.Units().String(), Body: b})
}

func (s *Site) saveAfter(w http.ResponseWriter, r *http.Request) error {
	x, err := s.ended(r)
	if err != nil {
		return err
	}
	values, was, err := x.retyped(r)
	if err != nil {
		return err
	}
	saw := values["saw"]
	if values["dry"] != "" && values["left"] == "" {
		values["left"] = dry
	}
	delete(values, "dry")
	for name, text := range was {
		if _, asked := values[name]; !asked {
			values[name] = text
		}
	}
	rec, fs := x.read(values, was)
	if faulty(fs) {
		return s.showAfter(w, r, x, typed{values, fs, saw})
	}
	return s.put(w, r, x, change{rec, sawOf(r), at("trial", x.Title, "bench"), "burn " + rec.ID + " completed"})
}
