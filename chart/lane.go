package chart

import (
	"fmt"

	"fairburn/draw"
)

const laneHeight = 34.0

// times are all times of a lane, each checked.
func (l Lane) times() ([]float64, error) {
	var all []float64
	for _, g := range l.Segments {
		if g.From > g.To {
			return nil, fmt.Errorf("segment from %g to %g: %w", g.From, g.To, ErrOrder)
		}
		all = append(all, g.From, g.To)
	}
	for _, m := range l.Moments {
		all = append(all, m.At)
	}
	if l.End != Open {
		all = append(all, l.EndAt)
	}
	for _, t := range all {
		if !finite(t) {
			return nil, fmt.Errorf("time %g: %w", t, ErrNotFinite)
		}
	}
	return all, nil
}

// groupHead writes the entry above its lanes.
func (s *sketch) groupHead(g LaneGroup) {
	s.y += 26
	name, note := letters{size: s.text, bold: true, ink: draw.Body}, letters{size: s.small, ink: draw.Muted}
	s.add(point(7, s.y-5, 11, g.Entry, false), words(g.Name, markRoom, s.y, s.Width-markRoom, name))
	x := s.Width
	note.anchor = draw.End
	if markRoom+room(g.Name, name)+12+room(g.Note, note) > s.Width {
		x, note.anchor = markRoom, draw.Start
		s.y += 17
	}
	if g.Note != "" {
		s.add(words(g.Note, x, s.y, s.Width-markRoom, note))
	}
	s.y += 2
}

// draw lays one lane out below those before it.
func (l Lane) draw(s *sketch, r ruler, entry int, nameRoom float64) {
	y := s.y + laneHeight - 11
	outside := s.nodes
	s.nodes = nil
	s.add(words(l.Name, 0, y+s.small*0.36, nameRoom+6, letters{size: s.small, ink: draw.Muted}))
	for _, g := range l.Segments {
		g.draw(s, r, y, entry)
	}
	taken := r.from - 40
	for _, m := range l.Moments {
		taken = m.draw(s, r, y, taken)
	}
	l.end(s, r, y)
	s.y += laneHeight
	s.nodes = append(outside, draw.Group{Role: "group", Label: l.Name, Nodes: s.nodes})
}

func (g Segment) draw(s *sketch, r ruler, y float64, entry int) {
	x1, x2 := r.at(g.From), r.at(g.To)
	bar := g.Tone.bar(x1, x2, y, draw.EntryInk(entry))
	if g.Tip == "" {
		s.add(bar)
		return
	}
	s.add(draw.Target{X: x1, Y: y - 9, Width: x2 - x1, Height: 18, Tip: g.Tip, Nodes: []draw.Node{bar}})
}

// bar is a stretch in a tone: a line, a hollow bar or a thick one.
func (t Tone) bar(x1, x2, y float64, ink draw.Ink) draw.Node {
	high := [...]float64{2, 7, 12}[min(t, Full)]
	style := draw.Style{Fill: ink}
	if t == Half {
		style = draw.Style{Fill: draw.Ground, Stroke: ink, Width: 1.5}
	}
	return draw.Rect{X: x1, Y: y - high/2, Width: x2 - x1, Height: high, Style: style}
}

// end draws how the run ended, beside a moment that would lie under it.
func (l Lane) end(s *sketch, r ruler, y float64) {
	if l.End == Open {
		return
	}
	x := r.at(l.EndAt)
	for _, m := range l.Moments {
		if at := r.at(m.At); m.At <= l.EndAt && x-at < 12 {
			x = at + 12
		}
	}
	s.add(tipped(l.EndTip, x, y, dotArea, l.End.mark(x, y)))
}

func (e End) mark(x, y float64) draw.Node {
	if e == PutOut {
		return draw.Mark{X: x, Y: y, Size: 11, Shape: draw.Cross, Style: draw.Style{Fill: draw.Body, Stroke: draw.Ground, Width: 1.5}}
	}
	return draw.Rect{X: x - 1.5, Y: y - 8, Width: 3, Height: 16, Style: draw.Style{Fill: draw.Body}}
}

// draw draws a moment and, if its label is clear of what is taken on its left,
// the label; it returns what is taken then.
func (m Moment) draw(s *sketch, r ruler, y, taken float64) float64 {
	x := r.at(m.At)
	s.add(tipped(m.Tip, x, y, dotArea, m.Glyph.mark(x, y)))
	l := letters{size: s.small, bold: true, ink: draw.Body}
	half := room(m.Label, l) / 2
	at := min(x, s.Width-half)
	if m.Label == "" || at-half < taken {
		return taken
	}
	s.add(draw.Text{X: at, Y: y - 10, Text: m.Label, Size: l.size, Bold: true, Ink: l.ink, Anchor: draw.Middle})
	return at + half + 4
}

func (g Glyph) mark(x, y float64) draw.Node {
	filled := draw.Style{Fill: draw.Body, Stroke: draw.Ground, Width: 1.5}
	switch g {
	case Dot:
		return draw.Mark{X: x, Y: y, Size: 11, Style: filled}
	case Ring:
		return draw.Mark{X: x, Y: y, Size: 9, Style: draw.Style{Fill: draw.Ground, Stroke: draw.Body, Width: 2}}
	case Flag:
		return draw.Mark{X: x, Y: y, Size: 12, Shape: draw.Diamond, Style: filled}
	}
	return draw.Line{X1: x, Y1: y - 9, X2: x, Y2: y + 9, Style: draw.Style{Stroke: draw.Body, Width: 2}}
}

// key explains the signs.
func (c Lanes) key(s *sketch) {
	var signs []func(x, y float64) sign
	for _, k := range c.Keys {
		signs = append(signs, k.sign)
	}
	s.legend(signs...)
}

func (k Key) sign(x, y float64) sign {
	switch g := k.Sign.(type) {
	case Tone:
		return sign{24, []draw.Node{g.bar(x, x+24, y, draw.Muted)}, k.Words}
	case Glyph:
		return sign{14, []draw.Node{g.mark(x+7, y)}, k.Words}
	case End:
		if g != Open {
			return sign{14, []draw.Node{g.mark(x+7, y)}, k.Words}
		}
	}
	return sign{words: k.Words}
}
