package report

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"regexp"

	"fairburn/draw"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/trial"
	"fairburn/verdict"
)

//go:embed page/report.html page/carry.html page/repeat.html page/report.css page/report.js
var pageFiles embed.FS

// pageTemplate escapes everything that comes from people; only drawings, the
// style sheet and the script are written as they are.
var pageTemplate = template.Must(template.New("report.html").Funcs(template.FuncMap{
	"column": func(t Table, i int) Column { return t.Columns[i] },
	"bind":   Bind,
	"shape":  shape,
	"wordy":  wordy,
}).ParseFS(pageFiles, "page/report.html", "page/carry.html", "page/repeat.html"))

var figureAndUnit = regexp.MustCompile(`([0-9]) (%|(?:°C|°F|g|mL|fl oz|oz|W)\b)`)

var numberOf = regexp.MustCompile(`\bn = ([0-9])`)

// Bind keeps a figure and its unit on one line, and n with its number, by spaces that
// do not break.
func Bind(text string) string {
	return numberOf.ReplaceAllString(figureAndUnit.ReplaceAllString(text, "$1\u00a0$2"), "n\u00a0=\u00a0$1")
}

// wordy tells a cell that reads as a sentence, which a card sets from the left.
func wordy(cell string) bool { return width(cell) > 60 }

// Widths of the drawings of a page in CSS pixels: for a phone of 360 pixels and
// for the column of a desk or a sheet of paper.
const (
	phoneWidth = 328
	deskWidth  = 880
)

// reportPage is what the template shows.
type reportPage struct {
	*verdict.Verdict
	Lang        string
	Policy      string // content security policy
	Style       template.CSS
	Script      template.JS
	Markers     []marker
	Warning     string
	Glance      []glance
	GlanceSay   string
	Pictures    []picture
	Figures     []Table
	Pairs       []Table
	Seen        []Table // traits, notes
	Built       Table
	Burns       []Table
	Sheets      []sheet
	Conditions  []Fact
	Method      []Fact
	Sources     []string
	Cautions    []string
	Said        []Said
	Units       string
	InventedSay string
	Options     Options
	Repeat      *repeatPage // nil where nobody repeated it
}

// marker is an entry's shape, drawn once and used by its number.
type marker struct {
	Number int
	Shape  template.HTML
}

// glance is an entry in short.
type glance struct {
	Name         string
	Marker       int
	Time, TimeIn string
	TimeOf       string // what the time is of
	Fuel, FuelIn string
	Facts        []Fact
}

// picture is a chart at both widths.
type picture struct {
	ID, Title, Note string
	Desk, Phone     template.HTML
}

// sheet is one burn in full.
type sheet struct {
	Name, Status string
	Marker       int
	Tables       []Table
}

// HTML writes the whole report as one page that asks nothing of a network: it
// reads without script, follows the reader's light or dark setting, fits a
// phone and prints on white.
func HTML(w io.Writer, v *verdict.Verdict, r *trial.Reduced, o Options) error {
	p, err := newPage(v, r, o)
	if err != nil {
		return err
	}
	p.look()
	return fill(w, "report.html", v.Title, p)
}

// fill writes one of the templates, whole or not at all.
func fill(w io.Writer, name, title string, p any) error {
	var page bytes.Buffer
	if err := pageTemplate.ExecuteTemplate(&page, name, p); err != nil {
		return fmt.Errorf("report of %q: %w", title, err)
	}
	_, err := page.WriteTo(w)
	return err
}

// newPage works out what the template shows.
func newPage(v *verdict.Verdict, r *trial.Reduced, o Options) (*reportPage, error) {
	p := &reportPage{Verdict: v, Lang: "en", Options: o, Sources: sources, Cautions: cautions, InventedSay: InventedWords, Units: Units(o.System).String()}
	if err := p.draw(v, r, o.System); err != nil {
		return nil, err
	}
	if o.Repeat != nil {
		var err error
		if p.Repeat, err = newRepeatPage(o.Repeat, v.Title, o.System); err != nil {
			return nil, err
		}
	}
	p.glances(document{v, r, Units(o.System)})
	p.Figures, p.Pairs = EntryTables(v, r, o.System), PairTables(v, r, o.System)
	p.Built, p.Burns = BuiltTable(v, r), BurnTables(r, o.System)
	for _, t := range []Table{TraitTable(v), NoteTable(r)} {
		if len(t.Rows) > 0 {
			p.Seen = append(p.Seen, t)
		}
	}
	for i := range r.Results {
		b := &r.Results[i]
		p.Sheets = append(p.Sheets, sheet{"Burn " + b.ID + " of " + b.Entry, StatusOf(b), r.Marker(b.Entry), BurnSheet(b, v.Level, o.System)})
	}
	p.Warning = warning(v.Findings)
	p.GlanceSay = document{v, r, Units(o.System)}.glanceWords()
	p.Conditions, p.Method, p.Said = Conditions(r, o.System), Method(v, r, o.System), Group(v.Findings)
	return p, nil
}

// look puts style sheet and script into the page and allows exactly these two.
func (p *reportPage) look() {
	p.Style, p.Script = template.CSS(Style()), template.JS(Script())
	p.Policy = Policy(string(p.Style), string(p.Script))
}

// Policy is the content security policy of a page that stands alone: exactly this
// style sheet and this script, and nothing of a network.
func Policy(style, script string) string {
	return fmt.Sprintf("default-src 'none'; style-src '%s'; script-src '%s'; base-uri 'none'; form-action 'none'", hash(style), hash(script))
}

// hash names a text in a content security policy.
// Source: W3C, Content Security Policy Level 3, hash-source.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// draw lays the charts out for desk and phone, and the entries' markers.
func (p *reportPage) draw(v *verdict.Verdict, r *trial.Reduced, sys quantity.System) (err error) {
	p.Pictures, err = pictures(func(at Layout) ([]Chart, error) { return Charts(v, r, sys, at) })
	drawn := map[int]bool{}
	for _, e := range v.Entries {
		if n := shape(e.Marker); !drawn[n] {
			p.Markers, drawn[n] = append(p.Markers, newMarker(n)), true
		}
	}
	return err
}

// pictures draws charts at both widths.
func pictures(charts func(Layout) ([]Chart, error)) ([]picture, error) {
	desk, err := charts(Layout{Width: deskWidth})
	if err != nil {
		return nil, err
	}
	phone, err := charts(Layout{Width: phoneWidth})
	if err != nil {
		return nil, err
	}
	var all []picture
	for i, c := range desk {
		picture := picture{ID: c.ID, Title: c.Title, Note: c.Note}
		if picture.Desk, err = svg(c.Scene, "desk-"+c.ID); err != nil {
			return nil, err
		}
		if picture.Phone, err = svg(phone[i].Scene, "phone-"+c.ID); err != nil {
			return nil, err
		}
		all = append(all, picture)
	}
	return all, nil
}

func svg(s draw.Scene, prefix string) (template.HTML, error) {
	var b bytes.Buffer
	err := draw.SVG(&b, s, prefix)
	return template.HTML(b.String()), err
}

// glanceWords say what the large figures are and the small ones under them.
func (d document) glanceWords() string {
	at := "Brought to one job: " + referenceWords(d.r, d.u) + "."
	if a, ok := d.axis(reduce.Time); ok && a.Raw {
		at = "As timed, at no common reference."
	}
	return at + " Under each figure its " + d.level() + " interval. The system is what is carried, without fuel and bottle."
}

// glances state every entry in a few large figures.
func (p *reportPage) glances(d document) {
	for _, e := range d.v.Entries {
		t, mt := d.group(reduce.Time, e.Name)
		own, _ := mean(e, d.own())
		g := glance{Name: e.Name, Marker: e.Marker, Time: d.center(t, mt), TimeIn: d.u.Interval(mt, t.Lo, t.Hi),
			TimeOf: pick(t.NoBoil > 0, "light to boil, if it boils", "light to boil"),
			Fuel:   d.within(e, d.own()), FuelIn: d.u.Interval(d.own(), own.Lo, own.Hi)}
		g.Facts = append(g.Facts, Fact{"boiled", d.boiled(e.Name)})
		if e.SystemMass > 0 {
			g.Facts = append(g.Facts, Fact{"system", pick(len(e.Unweighed) > 0, "≥ ", "") + d.u.Mass(quantity.Mass(e.SystemMass))})
		}
		if e.LeastDose.Known {
			g.Facts = append(g.Facts, Fact{"least dose", d.leastDose(e.LeastDose)})
		}
		p.Glance = append(p.Glance, g)
	}
}
