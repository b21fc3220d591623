// Package replay makes one page on which all burns of a trial run again side by
// side, from light or from the moment the pot went on.
//
// The page stands alone: it asks nothing of a network. Without script it shows the
// course of every burn with its times. It draws only what was marked and computes no
// figure; a trial has no record of the water's temperature between start and boil, so
// none is shown.
//
// Read replay.go, then page/replay.js.
package replay

import (
	"bytes"
	"cmp"
	"embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"

	"fairburn/chart"
	"fairburn/report"
	"fairburn/trial"
	"fairburn/verdict"
)

//go:embed page
var files embed.FS

var page = template.Must(template.New("replay.html").Funcs(template.FuncMap{"marker": report.Marker, "clock": clock, "bind": report.Bind}).ParseFS(files, "page/replay.html"))

func text(name string) string {
	b, err := files.ReadFile("page/" + name)
	if err != nil {
		panic(err) // it is embedded
	}
	return string(b)
}

// run is one burn on the page.
type run struct {
	report.Course
	Middle bool
}

// view is what the template shows.
type view struct {
	*verdict.Verdict
	Runs    []run
	Entries []string
	Blocks  []string
	Last    float64 // end of the last burn, s from light
	Options report.Options
	Sprite  template.HTML
	Style   template.CSS
	Script  template.JS
	Policy  string
}

// Page writes the page. A trial without a burn that has an end to draw to gets one
// that says so.
func Page(w io.Writer, v *verdict.Verdict, r *trial.Reduced, o report.Options) error {
	script := string(report.Script()) + text("replay.js")
	style := string(report.Style()) + text("replay.css")
	p := view{Verdict: v, Options: o, Sprite: report.Sprite(), Style: template.CSS(style), Script: template.JS(script), Policy: report.Policy(style, script)}
	for _, c := range report.Courses(r) {
		p.Runs = append(p.Runs, run{Course: c})
		p.Last = max(p.Last, c.End)
		if !slices.Contains(p.Entries, c.Entry) {
			p.Entries = append(p.Entries, c.Entry)
		}
		if c.Block != "" && !slices.Contains(p.Blocks, c.Block) {
			p.Blocks = append(p.Blocks, c.Block)
		}
	}
	slices.SortFunc(p.Blocks, trial.CompareIDs)
	for _, e := range p.Entries {
		p.middle(e)
	}
	var b bytes.Buffer
	if err := page.Execute(&b, p); err != nil {
		return fmt.Errorf("replay of %q: %w", v.Title, err)
	}
	_, err := b.WriteTo(w)
	return err
}

// middle marks the burn of an entry that stands in the middle of those that count,
// by time to boil, burns that did not boil last: with an even number the quicker of
// the two.
func (p *view) middle(entry string) {
	var own []*run
	for i := range p.Runs {
		if x := &p.Runs[i]; x.Entry == entry && !x.Void {
			own = append(own, x)
		}
	}
	if len(own) == 0 {
		return
	}
	never := func(x *run) float64 {
		if x.Boil > 0 {
			return x.Boil
		}
		return math.Inf(1)
	}
	slices.SortStableFunc(own, func(a, b *run) int { return cmp.Compare(never(a), never(b)) })
	own[(len(own)-1)/2].Middle = true
}

// Said is how the burn went, in words.
func (x run) Said() string {
	said := "did not boil"
	if x.Boil > 0 {
		said = "boil at " + clock(x.Boil)
	}
	switch x.Ending {
	case chart.ByItself:
		return said + ", flame out at " + clock(x.End)
	case chart.PutOut:
		return said + ", put out at " + clock(x.End)
	}
	return said + ", watched until " + clock(x.End)
}

// Ended is the word for the script.
func (x run) Ended() string {
	switch x.Ending {
	case chart.ByItself:
		return "flame out"
	case chart.PutOut:
		return "put out"
	}
	return "no longer watched"
}

// clock writes seconds as m:ss, in whole seconds as marks are read.
func clock(s float64) string {
	n := int(math.Round(s))
	return fmt.Sprintf("%d:%02d", n/60, n%60)
}

// Width is a time on a track of 1000 parts.
func (p view) Width(from, to float64) string {
	return fmt.Sprintf("%.2f", (to-from)/p.Last*1000)
}
