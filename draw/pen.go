package draw

import (
	"strings"

	"golang.org/x/image/font/sfnt"
)

// pen is what a writer without elements of its own needs to do: ink an outline
// and set a text. PDF and PNG are pens.
type pen interface {
	outline(Outline, Style)
	text(Text)
}

// paint lowers every node to outlines and texts. Targets have no tips on paper.
func paint(nodes []Node, p pen) {
	for _, n := range nodes {
		switch n := n.(type) {
		case Path:
			p.outline(n.Outline, n.Style)
		case Line:
			p.outline(Polyline(Point{n.X1, n.Y1}, Point{n.X2, n.Y2}), n.Style)
		case Rect:
			p.outline(rounded(n.X, n.Y, n.Width, n.Height, n.Radius), n.Style)
		case Circle:
			p.outline(Disc.outline(n.X, n.Y, 2*n.Radius), n.Style)
		case Mark:
			p.outline(n.Shape.outline(n.X, n.Y, n.Size), n.Style)
		case Text:
			p.text(n)
		case Target:
			paint(n.Nodes, p)
		case Group:
			paint(n.Nodes, p)
		}
	}
}

func (s Style) width() float64 {
	if s.Width == 0 {
		return 1
	}
	return s.Width
}

// left is where the text begins, by the metrics of the embedded font.
func (t Text) left() float64 {
	width := TextWidth(t.Text, t.Size, t.Bold)
	return t.X - width*float64(t.Anchor)/2
}

// box stands for a character that the embedded font lacks.
const box = '\u25a1'

// boxed is the text as PDF and PNG set it.
func boxed(t Text) string {
	var buf sfnt.Buffer
	f := face(t.Bold)
	return strings.Map(func(r rune) rune {
		if g, err := f.GlyphIndex(&buf, r); err != nil || g == 0 {
			return box
		}
		return r
	}, shown(t.Text))
}
