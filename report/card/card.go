// Package card draws the pictures that are set into a film or stand before it:
// a card with the one figure of a verdict, and lower thirds on transparency, one
// for each entry and one for the verdict.
//
// It computes no metric: figures come from words.Headline and the report's
// conditions. It names no winner where the verdict names none, keeps all text
// inside nine tenths of the frame, and never sets a character that its font
// lacks.
//
// Read card.go (the card), third.go (lower thirds), fit.go (text that fits).
package card

import (
	"bytes"
	"fmt"

	"fairburn/draw"
	"fairburn/report"
	"fairburn/report/words"
	"fairburn/trial"
	"fairburn/verdict"
)

// Picture is a PNG file.
type Picture struct {
	Name          string // for a file, without its ending
	Alt           string // what it says, for those who cannot see it
	Width, Height int
	PNG           []byte
}

// Measures of the card in pixels. Players draw over the outer twentieth on each
// side: text keeps inside nine tenths (common practice, no source).
const (
	cardWide, cardHigh = 1280, 720
	cardLeft, cardTop  = cardWide / 20, cardHigh / 20
	cardRoom           = cardWide - 2*cardLeft
)

// Card draws the verdict's one figure with its interval, number of burns and
// basis; where there is none, what the verdict is instead.
func Card(v *verdict.Verdict, r *trial.Reduced, o report.Options) (Picture, error) {
	h := words.Of(v, r, o.System)
	b := board{}
	b.top(v)
	if h.Number == "" {
		b.open(v)
	} else {
		b.number(h)
	}
	b.foot(h)
	alt := v.Sentence
	if v.Invented {
		alt = report.InventedWords + " " + alt
	}
	scene := draw.Scene{Width: cardWide, Height: cardHigh, Title: v.Title, Description: alt, Nodes: b.nodes}
	var png bytes.Buffer
	if err := draw.PNG(&png, scene, 1, draw.Night); err != nil {
		return Picture{}, fmt.Errorf("card of %q: %w", v.Title, err)
	}
	return Picture{"card", alt, cardWide, cardHigh, png.Bytes()}, nil
}

// board is a drawing being filled.
type board struct{ nodes []draw.Node }

func (b *board) add(n ...draw.Node) { b.nodes = append(b.nodes, n...) }

// top names the trial, and says that it is invented.
func (b *board) top(v *verdict.Verdict) {
	room := float64(cardRoom)
	if v.Invented {
		room -= b.invented(cardWide-cardLeft, cardTop, 30) + 30
	}
	b.add(line{text: v.Title, size: 34, least: 28}.at(cardLeft, cardTop+36, room, draw.Muted))
}

// invented draws the mark of invented data with its upper right corner at right,
// top and returns its width.
func (b *board) invented(right, top, size float64) float64 {
	const mark = "INVENTED DATA"
	pad := size / 3
	wide := draw.TextWidth(mark, size, true) + 2*pad
	b.add(draw.Rect{X: right - wide + 1.5, Y: top + 1.5, Width: wide - 3, Height: 1.6*size - 3, Radius: 6, Style: draw.Style{Stroke: draw.Accent, Width: 3}},
		draw.Text{X: right - wide + pad, Y: top + 1.16*size, Text: mark, Size: size, Bold: true, Ink: draw.Accent})
	return wide
}

// number sets the figure: whose it is, the figure, what it is, its interval.
func (b *board) number(h words.Headline) {
	b.add(draw.Mark{X: 1010, Y: 330, Size: 290, Shape: draw.EntryShape(h.Marker - 1), Style: draw.Style{Fill: draw.EntryInk(h.Marker - 1), Fade: 0.8}})
	b.add(draw.Mark{X: cardLeft + 38, Y: 150, Size: 60, Shape: draw.EntryShape(h.Marker - 1), Style: draw.Style{Fill: draw.EntryInk(h.Marker - 1)}})
	b.add(line{text: h.Entry, size: 80, least: 44, bold: true}.at(cardLeft+92, 178, cardRoom-92, draw.Body))
	b.add(line{text: h.Number, size: 270, least: 90, bold: true}.at(cardLeft, 410, cardRoom, draw.EntryInk(h.Marker-1)))
	what := h.What
	if h.Against != "" {
		what += " " + h.Against + " " + h.Other
	}
	b.add(line{text: what, size: 66, least: 44, bold: true}.at(cardLeft, 500, cardRoom, draw.Body))
	b.paragraph(h.Interval, 40, draw.Body, cardLeft, 566, cardRoom, 1)
}

// open says a verdict without a winner.
func (b *board) open(v *verdict.Verdict) {
	b.add(line{text: words.Capital(string(v.Class)), size: 150, least: 80, bold: true}.at(cardLeft, 250, cardRoom, draw.Body))
	text := v.Sentence
	if len(v.Next) > 0 {
		text += " Next: " + v.Next[0] + "."
	}
	b.paragraph(text, 44, draw.Body, cardLeft, 335, cardRoom, 5)
}

// foot says how many burns there are and what the figure counts.
func (b *board) foot(h words.Headline) {
	text := h.N
	if h.Of != "" {
		text += " · " + h.Of
	}
	b.paragraph(text, 29, draw.Muted, cardLeft, 632, cardRoom, 2)
}
