// Package publish puts together what is published of a trial: report, pictures, words,
// data, the sheet, and how to repeat it, as one pack from one set of figures.
//
// It computes no figure and writes no file. Names of people and places, and with them
// notes, stand in the pack only if the tester says so: what is published is made of a
// trial from which they were taken out, so that no file can say more than another.
//
// Read publish.go, then files.go (what is made) and received.go (a pack from somebody
// else).
package publish

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"fairburn/draw"
	"fairburn/finding"
	"fairburn/pack"
	"fairburn/quantity"
	"fairburn/report"
	"fairburn/report/dataset"
	"fairburn/report/paper"
	"fairburn/sheet"
	"fairburn/trial"
	"fairburn/verdict"
)

// Wish is what a tester wants published.
type Wish struct {
	Names, Places bool // may stand in it; notes only with both
	License       dataset.License
	Contributors  []string // named only with Names
	System        quantity.System
	Paper         paper.Size // A4 where it is empty
	Made          time.Time
	Version       string            // of the program
	Read          []finding.Finding // in reading the trial; see told for what is published of it
	Photos        []pack.File       // published as they are
	Film          []pack.File       // what was made of a film
	Chapters      string            // of the film, for the description
	Earlier       *pack.Pack        // the edition that this one takes the place of
	Changed       []string          // since then, in words
}

// Progress is told how many files of how many are made. It may be nil.
type Progress func(done, total int)

// Make makes the pack. The same trial and wish give the same bytes. The trial is
// reduced and judged anew, from its own seed.
func Make(ctx context.Context, t *trial.Trial, w Wish, done Progress) (*pack.Pack, error) {
	own := dataset.Hidden(t, dataset.Options{Names: w.Names, Places: w.Places}).In(w.System)
	for i := range own.Burns { // a copy
		own.Burns[i].Where = unplaced(own.Burns[i].Where)
	}
	p := publication{Wish: w, r: own.Reduce()}
	read, err := w.told(own)
	if err != nil {
		return nil, err
	}
	p.r.Findings = slices.Concat(read, p.r.Findings)
	for i := range p.r.Findings {
		p.r.Findings[i].Where = unplaced(p.r.Findings[i].Where)
	}
	p.v = verdict.Judge(p.r)
	p.options = report.Options{System: w.System, Version: w.Version, Made: w.Made.Format("2 January 2006")}
	makers := p.makers()
	var files []pack.File
	for i, m := range makers {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		made, err := m()
		if err != nil {
			return nil, fmt.Errorf("publishing %q: %w", t.Title, err)
		}
		files = append(files, made...)
		if done != nil {
			done(i+1, len(makers))
		}
	}
	files = append(files, slices.Concat(w.Film, w.Photos)...)
	files = append(files, p.readme(files))
	return pack.New(pack.About{Tool: strings.TrimSpace("fairburn " + w.Version), Title: t.Title, Invented: t.Invented, Made: w.Made,
		From: []pack.Source{{Kind: "sheet", Name: SheetName}}, Earlier: w.Earlier, Changed: w.Changed}, files)
}

// told are the findings of reading as they may be published. They quote what they are
// about, so where names or places are left
// out they are made anew, of the sheet as it is published; of the rest, such as records
// that contradict each other, only the codes are told.
func (w Wish) told(own *trial.Trial) ([]finding.Finding, error) {
	if w.Names && w.Places {
		return slices.Clone(w.Read), nil
	}
	text, err := sheet.Write(own)
	if err != nil {
		return nil, fmt.Errorf("publishing %q: %w", own.Title, err)
	}
	_, told, err := sheet.Read(SheetName, text)
	if err != nil {
		return nil, fmt.Errorf("publishing %q: %w", own.Title, err)
	}
	left := map[string]finding.Severity{}
	for _, f := range w.Read {
		if !slices.ContainsFunc(told, func(x finding.Finding) bool { return x.Code == f.Code }) {
			left[f.Code] = max(left[f.Code], f.Severity)
		}
	}
	for _, code := range slices.Sorted(maps.Keys(left)) {
		told = append(told, finding.Finding{Code: code, Severity: left[code],
			Sentence: "this was found in reading the trial, and is told no further since it could name people or places: " + strings.ReplaceAll(code, "_", " ")})
	}
	return told, nil
}

// unplaced takes the file and line of the tester's own sheet out of a place: nobody
// else has that sheet, and they may tell where it lies.
func unplaced(p finding.Place) finding.Place {
	return finding.Place{Subject: p.Subject, Field: p.Field}
}

// publication is what the files are made of.
type publication struct {
	Wish
	r       *trial.Reduced
	v       *verdict.Verdict
	options report.Options
}

// one makes a single file.
func one(path, says string, write func(io.Writer) error) func() ([]pack.File, error) {
	return func() ([]pack.File, error) {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			return nil, err
		}
		return []pack.File{{Path: path, Data: b.Bytes(), Says: says}}, nil
	}
}

// chartWidth is the width of charts in CSS pixels, chartScale how many pixels of a
// picture each is.
const (
	chartWidth = 880
	chartScale = 2
)

// charts draws each twice, for pages and for editors.
func (p *publication) charts() ([]pack.File, error) {
	charts, err := report.Charts(p.v, p.r, p.System, report.Layout{Width: chartWidth, Alone: true})
	if err != nil {
		return nil, err
	}
	var files []pack.File
	for _, c := range charts {
		for _, as := range []struct {
			ending string
			write  func(io.Writer) error
		}{
			{".svg", func(w io.Writer) error { return draw.StandaloneSVG(w, c.Scene) }},
			{".png", func(w io.Writer) error { return draw.PNG(w, c.Scene, chartScale, draw.Paper) }},
		} {
			made, err := one("charts/"+c.ID+as.ending, "chart: "+c.Title, as.write)()
			if err != nil {
				return nil, err
			}
			files = append(files, made...)
		}
	}
	return files, nil
}
