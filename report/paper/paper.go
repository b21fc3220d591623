// Package paper writes the report of a verdict as a PDF to print: the sentence
// first, charts as drawings, the report's own tables with repeated heads,
// conditions, method, findings and cautions.
//
// It computes no metric: every figure comes from report, which has it from a
// verdict.Verdict and a trial.Reduced. It names no person unless told to, reads
// no clock, and never sets a character that its font lacks: see words.Spell. A
// PDF of this package is not tagged for screen readers; the page of the same
// report is.
//
// Read paper.go (what stands in which order), leaf.go (pages and their feet),
// text.go (paragraphs and lists), table.go, figure.go (charts and markers).
package paper

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"fairburn/draw"
	"fairburn/report"
	"fairburn/report/words"
	"fairburn/trial"
	"fairburn/verdict"
)

// Size is a size of paper.
type Size string

// The sizes.
const (
	A4     Size = "A4"
	Letter Size = "Letter" // US letter, 8 1/2 by 11 in
)

// Options are what the file needs beside its figures.
type Options struct {
	report.Options
	Size   Size      // A4 when empty
	Date   time.Time // of the file; the beginning of 1970 when zero
	Author string    // stands in the file's information; "" for nobody
}

// Write writes the report. The same verdict, trial and options give the same bytes.
func Write(w io.Writer, v *verdict.Verdict, r *trial.Reduced, o Options) error {
	l, err := newLeaf(v, o)
	if err != nil {
		return err
	}
	p := printed{leaf: l, v: v, r: r, o: o}
	charts, err := report.Charts(v, r, o.System, report.Layout{Width: chartWidth})
	if err != nil {
		return fmt.Errorf("printing %q: %w", v.Title, err)
	}
	first := min(1, len(charts))
	p.verdict()
	p.pictures(charts[:first])
	p.figures()
	p.pictures(charts[first:])
	p.things()
	p.burns()
	p.facts()
	p.findings()
	p.file()
	l.feet(v.Title, v.Invented)
	if err := l.doc.Output(w); err != nil {
		return fmt.Errorf("printing %q: %w", v.Title, err)
	}
	return nil
}

// printed is a report on its way to paper.
type printed struct {
	*leaf
	v *verdict.Verdict
	r *trial.Reduced
	o Options
}

// newLeaf opens the document with its information and its first page.
func newLeaf(v *verdict.Verdict, o Options) (*leaf, error) {
	size := o.Size
	if size == "" {
		size = A4
	}
	if size != A4 && size != Letter {
		return nil, fmt.Errorf("printing %q: paper %q, expected %s or %s", v.Title, size, A4, Letter)
	}
	date := o.Date
	if date.IsZero() {
		date = time.Unix(0, 0).UTC()
	}
	doc := fpdf.New("P", "mm", string(size), "")
	doc.SetCreationDate(date)
	doc.SetModificationDate(date)
	doc.SetCatalogSort(true)
	doc.SetLang("en")
	doc.SetTitle(oneLine(v.Title), true)
	doc.SetSubject(oneLine(v.Sentence), true)
	doc.SetCreator(strings.TrimSpace("fairburn "+o.Version), true)
	if o.Author != "" {
		doc.SetAuthor(oneLine(o.Author), true)
	}
	doc.SetMargins(margin, margin, margin)
	doc.SetAutoPageBreak(false, 0)
	l := &leaf{doc: doc, family: draw.AddFonts(doc)}
	l.wide, l.high = doc.GetPageSize()
	l.turn()
	return l, nil
}

// oneLine is a text for the file's information, which is not set in a font.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

func (p printed) verdict() {
	kicker := "Trial of burners"
	if p.v.Invented {
		kicker += " · invented data"
	}
	p.text(small, draw.Muted, kicker)
	p.gap(1)
	p.text(title, draw.Body, p.v.Title)
	if p.v.Question != "" {
		p.gap(1)
		p.text(lead, draw.Muted, p.v.Question)
	}
	p.gap(5)
	p.bookmark("Verdict")
	p.barred(func() {
		p.text(label, draw.Accent, "Verdict: "+string(p.v.Class))
		p.gap(1)
		p.text(sentence, draw.Body, p.v.Sentence)
		if p.v.Invented {
			p.gap(1.5)
			p.text(label, draw.Body, report.InventedWords)
		}
		if open := words.Open(p.v); len(open) > 0 {
			p.gap(1.5)
			p.text(body, draw.Body, fmt.Sprintf("Read first: what could change this answer stands under findings (%d).", len(open)))
		}
	})
	p.gap(4)
	p.table(p.glance())
	p.head3("Not tested")
	p.twoColumns(p.v.NotTested)
	p.items("Beside the verdict", p.v.Because)
	p.items("What would settle the rest", p.v.Next)
}

// glance is the first of the report's columns side by side: what most readers
// look for.
func (p printed) glance() report.Table {
	g := report.Table{ID: "glance", Caption: "At a glance"}
	wanted := map[string][]string{
		"time":  {"entry", "boiled", "at reference", "mean", "interval"},
		"fuel":  {"own fuel", "interval"},
		"carry": {"system"},
	}
	named := map[string]string{"at reference": "light to boil, at reference", "mean": "light to boil", "own fuel": "fuel to boil"}
	for _, t := range report.EntryTables(p.v, p.r, p.o.System) {
		for i, c := range t.Columns {
			if !slices.ContainsFunc(wanted[t.ID], func(head string) bool { return strings.HasSuffix(c.Head, head) }) {
				continue
			}
			if name := named[c.Head]; name != "" {
				c.Head = name
			}
			g.Columns = append(g.Columns, c)
			for n, r := range t.Rows {
				if n == len(g.Rows) {
					g.Rows = append(g.Rows, report.Row{Marker: r.Marker})
				}
				g.Rows[n].Cells = append(g.Rows[n].Cells, r.Cells[i])
			}
		}
	}
	if len(g.Columns) < 2 || g.Columns[0].Head != "entry" { // nothing is known of time
		return report.Table{}
	}
	g.Notes = []string{p.reference() + "; the system is what is carried, without fuel and bottle; n and the raw figures stand in the tables below"}
	return g
}

// reference says what the figures at a glance were brought to.
func (p printed) reference() string {
	if slices.ContainsFunc(p.v.Axes, func(a verdict.Axis) bool { return a.Raw }) {
		return "as measured where the correction was not to be had"
	}
	return "time and fuel are of one job: " + words.FactOf(report.Conditions(p.r, p.o.System), "reference")
}

func (p printed) pictures(charts []report.Chart) {
	p.gap(4)
	for i, c := range charts {
		if i == 0 {
			p.bookmark(c.Title)
		}
		p.chart(c)
	}
}

func (p printed) figures() {
	p.head2("Figures by entry")
	for _, t := range report.EntryTables(p.v, p.r, p.o.System) {
		p.table(t)
	}
	p.head2("Pair by pair")
	pairs := report.PairTables(p.v, p.r, p.o.System)
	if len(pairs) == 0 {
		p.text(body, draw.Body, "There is nothing to compare.")
	}
	for _, t := range pairs {
		p.table(t)
	}
}

func (p printed) things() {
	p.head2("The entries")
	for _, t := range []report.Table{report.BuiltTable(p.v, p.r), report.TraitTable(p.v), report.NoteTable(p.r)} {
		p.table(t)
	}
}

func (p printed) burns() {
	p.head2("Every burn")
	p.text(body, draw.Body, "Raw beside what it would have been at reference. “est.” marks fuel of a burn that did not boil, “≤” a figure known only as a limit, “outside” a burn too far from the reference to be compared there.")
	p.gap(2)
	for _, t := range report.BurnTables(p.r, p.o.System) {
		p.table(t)
	}
}

func (p printed) facts() {
	p.head2("Conditions")
	p.factList(report.Conditions(p.r, p.o.System))
	p.head2("How it was worked out")
	p.factList(report.Method(p.v, p.r, p.o.System))
}

func (p printed) findings() {
	p.head2("Findings")
	said := report.Group(p.v.Findings)
	if len(said) == 0 {
		p.text(body, draw.Body, "Nothing was found that limits the figures.")
	}
	for _, s := range said {
		p.item(s.String())
	}
	p.head2("Cautions")
	for _, c := range report.Cautions() {
		p.item(c)
	}
}

// file says what the file is, and how to see that it was printed at full size.
func (p printed) file() {
	made := "fairburn"
	if p.o.Version != "" {
		made += " " + p.o.Version
	}
	if p.o.Made != "" {
		made = p.o.Made + ", " + made
	}
	p.head2("About this file")
	p.text(body, draw.Body, fmt.Sprintf("%s; %s; judged by %s; seed %d: the same burns give the same file. The figures are of the entries and burns listed here and of nothing else. Each burn in full, with what makes its figures uncertain, and the sources of the methods stand in the page of this report.", made, report.Units(p.o.System), p.v.JudgeBy, p.v.Seed))
	if p.spelled {
		p.gap(1)
		p.text(body, draw.Body, words.SpelledNote+" In pictures a question mark stands for each.")
	}
	p.gap(3)
	p.bar("100 mm (3.94 in) if this was printed at full size")
}
