// Package protocol tells a stranger how to repeat a trial: what to build or bring, how
// each burn is set up and marked, in which order, and what to check.
//
// It says what was done, as written; what was not written down it names. It computes
// no figure; the order and the checklist are those of package plan.
//
// Read protocol.go (the page), then again.go (the sheet of a repeat).
package protocol

import (
	"bytes"
	"cmp"
	"embed"
	"fmt"
	"html/template"
	"io"
	"reflect"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/plan"
	"fairburn/quantity"
	"fairburn/report"
	"fairburn/sheet"
	"fairburn/trial"
	"fairburn/verdict"
)

//go:embed page
var files embed.FS

var page = template.Must(template.New("protocol.html").Funcs(template.FuncMap{"marker": report.Marker, "bind": report.Bind}).ParseFS(files, "page/protocol.html"))

// thing is something to build or bring.
type thing struct {
	Kind, Name string
	Marker     int
	Facts      []sheet.Fact
}

// view is what the template shows.
type view struct {
	*verdict.Verdict
	Entries    report.Table
	Things     []thing
	Runs       []report.Fact // how each entry was run
	Conditions []report.Fact
	Marks      []report.Fact
	Plan       template.HTML
	Cautions   []string
	Options    report.Options
	Sprite     template.HTML
	Style      template.CSS
	Script     template.JS
	Policy     string
}

// Proposal is the plan of a repeat: as many blocks as were burned, those that were put
// out at the boil apart, with the doses and the rest between burns of the trial. The
// order is shuffled anew by the trial's seed.
func Proposal(r *trial.Reduced) (*plan.Proposal, error) {
	p, _, err := plan.Make(r.Trial, wish(r.Trial))
	return p, err
}

func wish(t *trial.Trial) plan.Wish {
	ran, snuffed := map[string]int{}, map[string]int{}
	for _, b := range t.Burns {
		if _, put := b.At(burn.Snuffed); put {
			snuffed[b.Entry]++
		} else {
			ran[b.Entry]++
		}
	}
	most := func(of map[string]int) int {
		n := 0
		for _, x := range of {
			n = max(n, x)
		}
		return n
	}
	return plan.Wish{Blocks: most(ran), Snuffed: most(snuffed), CoolDown: t.Plan.CoolDown, Factor: t.Plan.Factor, Seed: t.Plan.Seed}
}

// Page writes the protocol as one page that asks nothing of a network.
func Page(w io.Writer, v *verdict.Verdict, r *trial.Reduced, o report.Options) error {
	script, style := string(report.Script()), string(report.Style())
	p := view{Verdict: v, Entries: entries(r), Runs: runs(r, o.System), Conditions: report.Conditions(r, o.System), Marks: marks(r), Cautions: report.Cautions(),
		Options: o, Sprite: report.Sprite(), Style: template.CSS(style), Script: template.JS(script), Policy: report.Policy(style, script)}
	things, err := things(Again(r)) // without what was seen of a burner
	if err != nil {
		return fmt.Errorf("protocol of %q: %w", v.Title, err)
	}
	p.Things = things
	if proposal, err := Proposal(r); err == nil { // a trial whose entries have no names cannot be planned
		var b strings.Builder
		if err := report.PlanBody(&b, r.Trial, proposal, plan.Unfair(Again(r), proposal.Plan), o); err != nil {
			return err
		}
		p.Plan = template.HTML(b.String())
	}
	var b bytes.Buffer
	if err := page.Execute(&b, p); err != nil {
		return fmt.Errorf("protocol of %q: %w", v.Title, err)
	}
	_, err = b.WriteTo(w)
	return err
}

// HTML is a table for the page.
func (p view) HTML(t report.Table) template.HTML { return t.HTML() }

// entries says what is put together for each.
func entries(r *trial.Reduced) report.Table {
	t := report.Table{ID: "entries", Caption: "What was compared", Columns: []report.Column{
		{Head: "entry", Words: true}, {Head: "burner", Words: true}, {Head: "pot", Words: true}, {Head: "lid", Words: true}, {Head: "screen", Words: true}, {Head: "stand", Words: true}, {Head: "fuel", Words: true}}}
	none := func(s string) string { return cmp.Or(s, "none") }
	for _, e := range r.Entries {
		t.Rows = append(t.Rows, report.Row{Marker: r.Marker(e.Name), Cells: []string{e.Name, none(e.Burner), none(e.Pot), none(e.Lid), none(e.Screen), none(e.Stand), cmp.Or(e.Fuel, "not named")}})
	}
	return t
}

// parts are the kinds of thing that an entry names.
var parts = []struct {
	kind  string
	named func(trial.Entry) string
	alone func(gear.Shelf, string) gear.Shelf // the things of that name
}{
	{"burner", func(e trial.Entry) string { return e.Burner }, func(s gear.Shelf, name string) gear.Shelf {
		return gear.Shelf{Burners: only(s.Burners, func(x gear.Burner) bool { return x.Name == name })}
	}},
	{"pot", func(e trial.Entry) string { return e.Pot }, func(s gear.Shelf, name string) gear.Shelf {
		return gear.Shelf{Pots: only(s.Pots, func(x gear.Pot) bool { return x.Name == name })}
	}},
	{"lid", func(e trial.Entry) string { return e.Lid }, func(s gear.Shelf, name string) gear.Shelf {
		return gear.Shelf{Lids: only(s.Lids, func(x gear.Lid) bool { return x.Name == name })}
	}},
	{"screen", func(e trial.Entry) string { return e.Screen }, func(s gear.Shelf, name string) gear.Shelf {
		return gear.Shelf{Screens: only(s.Screens, func(x gear.Screen) bool { return x.Name == name })}
	}},
	{"stand", func(e trial.Entry) string { return e.Stand }, func(s gear.Shelf, name string) gear.Shelf {
		return gear.Shelf{Stands: only(s.Stands, func(x gear.Stand) bool { return x.Name == name })}
	}},
	{"fuel", func(e trial.Entry) string { return e.Fuel }, func(s gear.Shelf, name string) gear.Shelf {
		return gear.Shelf{Batches: only(s.Batches, func(x gear.FuelBatch) bool { return x.Name == name })}
	}},
}

// only is the first of a list that is meant, alone.
func only[T any](list []T, meant func(T) bool) []T {
	if i := slices.IndexFunc(list, meant); i >= 0 {
		return list[i : i+1]
	}
	return nil
}

// things lists what entries name, each once and as it was written down; what is not
// on the shelf has no facts.
func things(t *trial.Trial) ([]thing, error) {
	var all []thing
	for _, part := range parts {
		for _, e := range t.Entries {
			x := thing{Kind: part.kind, Name: part.named(e)}
			if x.Name == "" || slices.ContainsFunc(all, func(o thing) bool { return o.Kind == x.Kind && o.Name == x.Name }) {
				continue
			}
			if x.Kind == "burner" {
				x.Marker = t.Marker(e.Name)
			}
			if shelf := part.alone(t.Shelf, x.Name); !reflect.ValueOf(shelf).IsZero() {
				var err error
				if x.Facts, err = sheet.Facts(x.Kind, &trial.Trial{Settings: t.Settings, Shelf: shelf}); err != nil {
					return nil, err
				}
			}
			all = append(all, x)
		}
	}
	return all, nil
}

// runs says for each entry what was poured and how its burns ended.
func runs(r *trial.Reduced, sys quantity.System) []report.Fact {
	var all []report.Fact
	for _, e := range r.Entries {
		doses := dosesOf(r, e.Name, sys)
		out, put := 0, 0
		for _, b := range r.Of(e.Name) {
			if _, ok := b.At(burn.Snuffed); ok {
				put++
			} else {
				out++
			}
		}
		if len(doses) == 0 {
			continue
		}
		all = append(all, report.Fact{Name: e.Name, Text: fmt.Sprintf("%s; %d to flame-out, %d put out", strings.Join(doses, ", "), out, put)})
	}
	return all
}

func dose(f burn.Fuel, sys quantity.System) string {
	switch {
	case f.DoseVolume.Given:
		return quantity.Format(f.DoseVolume.Value, sys) + " poured"
	case f.DoseMass.Given:
		return quantity.Format(f.DoseMass.Value, sys) + " poured"
	}
	return "dose not named"
}

// meanings say when each mark is set.
var meanings = []struct {
	mark burn.Mark
	text string
}{
	{burn.Light, "the flame takes: every time counts from here"},
	{burn.Bloom, "the jets take over from the open pool; families without jets have none"},
	{burn.PotOn, "the pot stands over the flame"},
	{burn.Boil, "by the rule named under conditions, and always by the same one"},
	{burn.PotOff, "the pot leaves the flame, where it does"},
	{burn.Out, "the flame ends by itself: held to with the snuffer, since a flame that is not seen may still burn"},
	{burn.Snuffed, "you put the flame out"},
}

// marks lists those that were set in the trial, with what each means.
func marks(r *trial.Reduced) []report.Fact {
	var all []report.Fact
	for _, m := range meanings {
		if slices.ContainsFunc(r.Burns, func(b burn.Record) bool { return m.mark == burn.Light || b.Marks[m.mark].Given }) {
			all = append(all, report.Fact{Name: m.mark.Label(), Text: m.text})
		}
	}
	return all
}
