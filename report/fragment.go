package report

import (
	"fmt"
	"html/template"
	"io"
	"strings"
	"sync"

	"fairburn/draw"
	"fairburn/finding"
	"fairburn/plan"
	"fairburn/trial"
	"fairburn/verdict"
)

// Fragments stand in pages of others, which serve Style and Script beside them.

// Style is the style sheet that all documents of this package need.
func Style() []byte { return append([]byte(draw.Stylesheet()), pageFile("report.css")...) }

// Script switches the ground and shows tips; without it everything can be read.
func Script() []byte { return pageFile("report.js") }

func pageFile(name string) []byte {
	data, err := pageFiles.ReadFile("page/" + name)
	if err != nil {
		panic(err) // it is embedded
	}
	return data
}

// sprite and markers are drawn once: every page shows them.
var (
	sprite = sync.OnceValue(func() template.HTML {
		var all []marker
		for n := range draw.Entries {
			all = append(all, newMarker(n+1))
		}
		return inline("sprite", all)
	})
	markers = sync.OnceValue(func() (all [draw.Entries]template.HTML) {
		for n := range all {
			all[n] = inline("marker", n+1)
		}
		return all
	})
)

// Sprite holds the colour and shape of every marker, once for a page that shows
// them by Marker.
func Sprite() template.HTML { return sprite() }

// Marker shows the colour and shape of an entry or a burner; 0 is none. They
// repeat after draw.Entries.
func Marker(number int) template.HTML {
	if number < 1 {
		return ""
	}
	return markers()[shape(number)-1]
}

// shape is the marker that is drawn for a marker's number: they repeat.
func shape(number int) int { return look(number)%draw.Entries + 1 }

// inline fills a template that cannot fail.
func inline(name string, value any) template.HTML {
	var b strings.Builder
	if err := pageTemplate.ExecuteTemplate(&b, name, value); err != nil {
		panic(err)
	}
	return template.HTML(b.String())
}

func newMarker(number int) marker {
	ink := draw.EntryInk(look(number))
	scene := draw.Scene{Width: 16, Height: 16, Title: fmt.Sprintf("mark %d", number), Description: "its colour and shape on every page",
		Nodes: []draw.Node{draw.Mark{X: 8, Y: 8, Size: 12, Shape: draw.EntryShape(look(number)), Style: draw.Style{Fill: ink}}}}
	shape, err := svg(scene, fmt.Sprintf("shape-%d", number))
	if err != nil {
		panic(err) // the scene is fixed
	}
	return marker{number, shape}
}

// VerdictBody writes the report of a verdict as HTML below a page's heading, from
// the sentence to the cautions.
func VerdictBody(w io.Writer, v *verdict.Verdict, r *trial.Reduced, o Options) error {
	p, err := newPage(v, r, o)
	if err != nil {
		return err
	}
	return fill(w, "verdict", v.Title, p)
}

// burnPage is one burn in full.
type burnPage struct {
	InventedSay, Status, Void, Notes string
	Pictures                         []picture
	Beside                           Table
	Tables                           []Table
	Said                             []Said
}

// BurnBody writes everything known of one burn as HTML: what Burn writes, and
// its course. It is an error if the trial has no burn of that id.
func BurnBody(w io.Writer, r *trial.Reduced, id string, o Options) error {
	b, err := burnOf(r, id)
	if err != nil {
		return err
	}
	p := burnPage{Status: capital(StatusOf(b)), Void: b.Void, Notes: b.Notes,
		Beside: besideTable(b, float64(r.Settings.Level), o.System), Tables: BurnSheet(b, float64(r.Settings.Level), o.System), Said: Group(b.Result.Findings)}
	if r.Invented {
		p.InventedSay = InventedWords
	}
	if p.Pictures, err = course(r, b, o.System); err != nil {
		return err
	}
	return fill(w, "burn", r.Title, p)
}

// planPage is a proposal.
type planPage struct {
	InventedSay, Sentence string
	Answers, Order        Table
	Takes                 []string
	Steps                 []moment
	Said                  []Said
}

// moment is what is to be done at one.
type moment struct {
	When string
	Do   []plan.Step
}

// PlanBody writes what Plan writes as HTML, its checklist to be ticked on paper.
func PlanBody(w io.Writer, t *trial.Trial, p *plan.Proposal, found []finding.Finding, o Options) error {
	page := planPage{Steps: byMoment(p.Checklist), Sentence: p.Needed.Sentence(), Answers: answerTable(p), Order: byHand(orderTable(t, p), "id", "boil", "end", "notes"), Takes: session(p.Session, o.System), Said: Group(found)}
	if t.Invented {
		page.InventedSay = InventedWords
	}
	return fill(w, "plan", t.Title, page)
}

// Checklist writes what is to be done when as HTML, to be ticked on paper.
func Checklist(w io.Writer, steps []plan.Step) error {
	return fill(w, "checklist", "the checklist", byMoment(steps))
}

// byMoment groups the steps of a checklist.
func byMoment(steps []plan.Step) (all []moment) {
	for _, s := range steps {
		when := capital(string(s.When))
		if n := len(all); n == 0 || all[n-1].When != when {
			all = append(all, moment{When: when})
		}
		last := &all[len(all)-1]
		last.Do = append(last.Do, s)
	}
	return all
}

// Findings writes findings as HTML, those alike in one.
func Findings(w io.Writer, fs []finding.Finding) error {
	return fill(w, "said", "findings", Group(fs))
}

// HTML is the table for a page that holds Style, cards on a phone.
func (t Table) HTML() template.HTML { return inline("table", t) }
