package card

import (
	"bytes"
	"fmt"
	"image"
	idraw "image/draw"
	"image/png"
	"strings"

	"fairburn/draw"
	"fairburn/quantity"
	"fairburn/report"
	"fairburn/report/words"
	"fairburn/trial"
	"fairburn/verdict"
)

// Measures of a lower third in pixels: a panel near the lower edge, inside nine
// tenths of the frame.
const (
	thirdWide, thirdHigh = 1920, 1080
	thirdLeft, thirdTop  = thirdWide / 20, thirdHigh / 20
	panelMost            = thirdWide - 2*thirdLeft
	panelHigh            = 200
	edge                 = 14.0 // of the panel, in the entry's colour
	pad                  = 34.0
)

// Thirds draws the lower thirds: one for each entry, in their order, then the
// verdict's.
func Thirds(v *verdict.Verdict, r *trial.Reduced, o report.Options) ([]Picture, error) {
	var all []Picture
	for i, e := range v.Entries {
		p, err := third(fmt.Sprintf("third-entry-%d", i+1), entryPanel(e, v, r, o.System))
		if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
	p, err := third("third-verdict", verdictPanel(v, r, o.System))
	if err != nil {
		return nil, err
	}
	return append(all, p), nil
}

// panel is the opaque part of a lower third.
type panel struct {
	board
	wide float64
	alt  string
}

// third sets a panel into a transparent frame. Its picture is drawn by draw on
// the ground of Night and has no transparent pixel itself.
func third(name string, p panel) (Picture, error) {
	var drawn, out bytes.Buffer
	scene := draw.Scene{Width: p.wide, Height: panelHigh, Title: name, Description: p.alt, Nodes: p.nodes}
	if err := draw.PNG(&drawn, scene, 1, draw.Night); err != nil {
		return Picture{}, fmt.Errorf("lower third %q: %w", p.alt, err)
	}
	img, err := png.Decode(&drawn)
	if err != nil {
		return Picture{}, fmt.Errorf("lower third %q: %w", p.alt, err)
	}
	frame := image.NewNRGBA(image.Rect(0, 0, thirdWide, thirdHigh))
	at := image.Pt(thirdLeft, thirdHigh-thirdTop-panelHigh)
	idraw.Draw(frame, img.Bounds().Add(at), img, image.Point{}, idraw.Src)
	if err := png.Encode(&out, frame); err != nil {
		return Picture{}, fmt.Errorf("lower third %q: %w", p.alt, err)
	}
	return Picture{name, p.alt, thirdWide, thirdHigh, out.Bytes()}, nil
}

// cell is a fact of an entry in a panel.
type cell struct{ head, text string }

// cellsOf are the conditions of one entry's burns.
func cellsOf(e trial.Entry, r *trial.Reduced, sys quantity.System) []cell {
	own := *r
	own.Results = nil
	for _, b := range r.Results {
		if b.Entry == e.Name {
			own.Results = append(own.Results, b)
		}
	}
	facts := report.Conditions(&own, sys)
	water := words.FactOf(facts, "water, mass")
	if water == "" {
		water = words.FactOf(facts, "water, volume")
	}
	return []cell{
		{"dose", words.Doses(&own, sys)}, {"water", water}, {"starts at", words.FactOf(facts, "water, at the start")},
		{"air", words.FactOf(facts, "air")}, {"wind", words.FactOf(facts, "wind")},
	}
}

// burnerOf names an entry's burner, if that has a name of its own, and its family.
func burnerOf(e trial.Entry, r *trial.Reduced) string {
	var parts []string
	if e.Burner != "" && e.Burner != e.Name {
		parts = append(parts, "burner "+e.Burner)
	}
	if b, ok := r.Burner(e); ok && b.Family != "" {
		parts = append(parts, string(b.Family))
	}
	return strings.Join(parts, ", ")
}

// entryPanel shows an entry's name, colour and shape, its burner, and in what it
// was burned.
func entryPanel(e verdict.Entry, v *verdict.Verdict, r *trial.Reduced, sys quantity.System) panel {
	entry, _ := r.Entry(e.Name)
	about := burnerOf(entry, r)
	p := panel{wide: panelMost, alt: e.Name}
	if about != "" {
		p.alt += ": " + about
	}
	ink := draw.EntryInk(e.Marker - 1)
	p.add(draw.Rect{Width: edge, Height: panelHigh, Style: draw.Style{Fill: ink}},
		draw.Mark{X: edge + pad + 24, Y: 56, Size: 44, Shape: draw.EntryShape(e.Marker - 1), Style: draw.Style{Fill: ink}})
	right := p.wide - pad
	if v.Invented {
		right -= p.invented(p.wide-pad, 24, 26) + pad
	}
	left := edge + pad + 66
	name := line{text: e.Name, size: 56, least: 36, bold: true}.at(left, 76, (right-left)*0.6, draw.Body)
	after := left + draw.TextWidth(name.Text, name.Size, true) + 24
	p.add(name, line{text: about, size: 36, least: 28}.at(after, 76, right-after, draw.Muted))
	p.cells(cellsOf(entry, r, sys))
	return p
}

// cells sets the facts side by side, in shares of the panel by their length.
func (p *panel) cells(cells []cell) {
	const between, size, least = 40.0, 38.0, 26.0
	left, room := edge+pad, p.wide-edge-2*pad-between*float64(len(cells)-1)
	widths, total := make([]float64, len(cells)), 0.0
	for i := range cells {
		if cells[i].text == "" {
			cells[i].text = "not recorded"
		}
		p.alt += ", " + cells[i].head + " " + cells[i].text
		widths[i] = max(90, draw.TextWidth(spell(cells[i].text), size, true))
		total += widths[i]
	}
	for i, c := range cells {
		share := widths[i] * min(1, room/total)
		p.add(line{text: c.head, size: 26, least: 26}.at(left, 126, share, draw.Muted),
			line{text: c.text, size: size, least: least, bold: true}.at(left, 168, share, draw.Body))
		left += share + between
	}
}

// lead is the headline in a line whose names are cut before its figure could be.
func lead(h words.Headline, room float64) string {
	const least = 36 // size at which the line must fit
	said := ": " + h.Number + " " + h.What
	if h.Against == "" {
		return cut(spell(h.Entry), room-draw.TextWidth(said, least, true), least, true) + said
	}
	said += " " + h.Against + " "
	share := (room - draw.TextWidth(said, least, true)) / 2
	return cut(spell(h.Entry), share, least, true) + said + cut(spell(h.Other), share, least, true)
}

// verdictPanel says the verdict with its interval and number of burns.
func verdictPanel(v *verdict.Verdict, r *trial.Reduced, sys quantity.System) panel {
	h := words.Of(v, r, sys)
	p := panel{wide: panelMost, alt: v.Sentence}
	ink, left, right := draw.Accent, edge+pad, float64(panelMost)-pad
	if v.Invented {
		right -= p.invented(p.wide-pad, 24, 26) + pad
		p.alt = report.InventedWords + " " + p.alt
	}
	if h.Number == "" {
		p.add(line{text: words.Capital(string(v.Class)), size: 56, least: 36, bold: true}.at(left, 76, right-left, draw.Body))
		p.paragraph(v.Sentence+" "+h.N+".", 32, draw.Muted, left, 124, panelMost-pad-left, 2)
	} else {
		ink = draw.EntryInk(h.Marker - 1)
		p.add(draw.Mark{X: left + 24, Y: 56, Size: 44, Shape: draw.EntryShape(h.Marker - 1), Style: draw.Style{Fill: ink}})
		p.add(line{text: lead(h, right-left-66), size: 56, least: 36, bold: true}.at(left+66, 76, right-left-66, draw.Body))
		p.add(line{text: h.Interval + "; " + h.N, size: 36, least: 28}.at(left, 128, panelMost-pad-left, draw.Body),
			line{text: h.Of, size: 28, least: 24}.at(left, 172, panelMost-pad-left, draw.Muted))
	}
	p.add(draw.Rect{Width: edge, Height: panelHigh, Style: draw.Style{Fill: ink}})
	return p
}
