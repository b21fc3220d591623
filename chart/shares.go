package chart

import (
	"cmp"
	"slices"
	"sort"

	"fairburn/draw"
)

// Shares shows the parts of a whole as bars, the largest first.
type Shares struct {
	Frame
	Parts []Share
}

// Share is one part. Value is its fraction of the whole, 0 to 1.
type Share struct {
	Name  string
	Value float64
	Text  string // at the right: "38 %, 0.21 g"
	Tip   string
}

// Scene lays the chart out. The full track of a bar is the whole.
func (c Shares) Scene() (draw.Scene, error) {
	if len(c.Parts) == 0 {
		return draw.Scene{}, c.fail(ErrEmpty, "no parts")
	}
	for _, p := range c.Parts {
		if !(p.Value >= 0 && p.Value <= 1+1e-9) {
			return draw.Scene{}, c.fail(ErrShare, "part %q is %g of the whole", p.Name, p.Value)
		}
	}
	s, err := c.begin()
	if err != nil {
		return draw.Scene{}, err
	}
	parts := slices.Clone(c.Parts)
	sort.SliceStable(parts, func(i, j int) bool { return cmp.Less(parts[j].Value, parts[i].Value) })
	name, text := 0.0, 0.0
	for _, p := range parts {
		name = max(name, room(p.Name, letters{size: s.text}))
		text = max(text, room(p.Text, letters{size: s.text, bold: true}))
	}
	name, text = min(name, s.Width*0.38), min(text, s.Width*0.3)
	for i, p := range parts {
		ink := draw.Muted
		if i == 0 {
			ink = draw.Accent
		}
		p.draw(s, name, text, ink)
	}
	return s.scene(), nil
}

// draw lays one part out: name, bar and text in a row, or the bar below them.
func (p Share) draw(s *sketch, name, text float64, ink draw.Ink) {
	const thick = 10
	left, right, drop := name+14, s.Width-text-12, -9.0
	s.y += 22
	nameRoom := name + 4
	if !s.wide() {
		left, right, drop = 0, s.Width, 7
		nameRoom = s.Width - room(p.Text, letters{size: s.text, bold: true}) - 12
	}
	s.add(words(p.Name, 0, s.y, nameRoom, letters{size: s.text, ink: draw.Body}),
		words(p.Text, s.Width, s.y, text+4, letters{size: s.text, bold: true, ink: draw.Body, anchor: draw.End}))
	y := s.y + drop
	bar := []draw.Node{
		draw.Rect{X: left, Y: y, Width: right - left, Height: thick, Radius: 3, Style: draw.Style{Fill: draw.Veil}},
		draw.Rect{X: left, Y: y, Width: max(1.5, (right-left)*min(1, p.Value)), Height: thick, Radius: 3, Style: draw.Style{Fill: ink}},
	}
	if p.Tip == "" {
		s.add(bar...)
	} else {
		s.add(draw.Target{X: left, Y: y - 6, Width: right - left, Height: thick + 12, Tip: p.Tip, Nodes: bar})
	}
	s.y += 6
	if !s.wide() {
		s.y += 16
	}
}
