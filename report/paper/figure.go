package paper

import (
	"strings"

	"fairburn/draw"
	"fairburn/report"
	"fairburn/report/words"
)

// chartWidth is the width in CSS pixels for which charts are laid out: on A4
// their text is then 7 to 9 points high.
const chartWidth = 800

// leastScale is how much smaller a chart may be drawn to fit what is left of a
// page.
const leastScale = 0.85

// chart sets a chart with its title above and how to read it below, all on one
// page.
func (l *leaf) chart(c report.Chart) {
	wide, high := c.Scene.Size()
	note := float64(len(l.lines(c.Note, l.room(), small))) * small.height()
	around := head3.height() + note + 3
	scale := min(l.room()/wide, (l.whole()-around)/high)
	if fits := (l.free() - around) / high; fits < scale && fits >= leastScale*scale {
		scale = fits
	}
	l.need(around + high*scale)
	l.text(head3, draw.Body, c.Title)
	l.gap(1)
	l.draw(l.settable(c.Scene), draw.Place{X: l.left(), Y: l.y, Scale: scale})
	l.y += high*scale + 1
	l.text(small, draw.Muted, c.Note)
	l.gap(6)
}

// draw draws a scene; its failure is the document's, which Output returns.
func (l *leaf) draw(s draw.Scene, at draw.Place) {
	if err := draw.OnPage(l.doc, s, at); err != nil {
		l.doc.SetError(err)
	}
}

// settable is the scene with a question mark for each character that the font
// lacks: a code point would not fit where a chart has left room for a sign.
func (l *leaf) settable(s draw.Scene) draw.Scene {
	s.Nodes = l.nodes(s.Nodes)
	return s
}

func (l *leaf) nodes(nodes []draw.Node) []draw.Node {
	out := make([]draw.Node, len(nodes))
	for i, n := range nodes {
		switch n := n.(type) {
		case draw.Text:
			n.Text = l.question(n.Text)
			out[i] = n
		case draw.Group:
			n.Nodes = l.nodes(n.Nodes)
			out[i] = n
		case draw.Target:
			n.Nodes = l.nodes(n.Nodes)
			out[i] = n
		default:
			out[i] = n
		}
	}
	return out
}

func (l *leaf) question(text string) string {
	var set strings.Builder
	for _, r := range text {
		sign, spelled := words.Spell(string(r))
		if spelled {
			sign, l.spelled = "?", true
		}
		set.WriteString(sign)
	}
	return set.String()
}

// marker draws an entry's colour and shape with its left end at x.
func (l *leaf) marker(number int, x, y float64) {
	const size = 2.5
	scene := draw.Scene{Width: size, Height: size, Title: "mark", Nodes: []draw.Node{draw.Mark{
		X: size / 2, Y: size / 2, Size: size, Shape: draw.EntryShape(number - 1), Style: draw.Style{Fill: draw.EntryInk(number - 1)}}}}
	l.draw(scene, draw.Place{X: x, Y: y - size/2, Scale: 1})
}
