// Package draw holds one drawing, a Scene of paths, texts and targets with a
// tip, and three writers of it: SVG for pages, PDF for print, PNG for cards.
//
// A scene names no colour. It names an Ink by its job (text, grid, entry 3), and
// the page's style sheet or the Theme handed to a writer decides what colour
// that is, so one scene serves paper and night ground. Lengths are CSS pixels
// with y downwards; the PDF writer is told how many millimetres one of them is.
//
// The package refuses numbers that are not finite, and knows nothing of what is
// drawn. Characters that the embedded font lacks are drawn as a box in PDF and
// PNG; Scene.Missing lists them beforehand. Text is not reordered for scripts
// written from right to left in PDF and PNG; browsers do that for SVG.
//
// Read scene.go, then ink.go and shape.go, then a writer: svg.go, pdf.go, png.go.
package draw

import (
	"errors"
	"fmt"
	"math"
)

// Scene is one drawing.
type Scene struct {
	Width, Height float64 // CSS pixels, both above zero
	Margin        float64 // ground added on all four sides
	Title         string  // what it shows, read aloud first and used as document title
	Description   string  // what a person who cannot see it should know
	Nodes         []Node  // drawn in order, later ones on top
}

// Node is a thing in a scene: Path, Line, Rect, Circle, Mark, Text, Target or Group.
type Node interface{ node() }

// Style says how an outline is inked. The zero Style draws nothing.
type Style struct {
	Fill   Ink
	Stroke Ink
	Width  float64 // of the stroke in CSS pixels; 0 means 1
	Dash   float64 // length of dashes and of the gaps between them; 0 is a solid line
	Fade   float64 // 0 opaque to 1 invisible, for fill and stroke alike
}

// Point is a place in a scene.
type Point struct{ X, Y float64 }

// Path is a free outline, made by Polyline or Polygon.
type Path struct {
	Outline Outline
	Style   Style
}

// Line is a straight stroke.
type Line struct {
	X1, Y1, X2, Y2 float64
	Style          Style
}

// Rect is a rectangle, with corners rounded by Radius.
type Rect struct {
	X, Y, Width, Height, Radius float64
	Style                       Style
}

// Circle is a circle about its centre.
type Circle struct {
	X, Y, Radius float64
	Style        Style
}

// Mark is one of the marker shapes, centred at X, Y; Size is the diameter of
// the circle it has the weight of.
type Mark struct {
	X, Y, Size float64
	Shape      Shape
	Style      Style
}

// Anchor says which end of a text stands at its X.
type Anchor uint8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of text on the baseline Y.
type Text struct {
	X, Y   float64
	Text   string
	Size   float64 // font size in CSS pixels
	Bold   bool
	Anchor Anchor
	Ink    Ink
}

// Target is a group of nodes that answers to pointer and keyboard with its tip.
// The rectangle is the area that answers; it is not drawn until focused.
type Target struct {
	X, Y, Width, Height float64
	Tip                 string
	Nodes               []Node
}

// Group gathers nodes that belong together, such as one row of a chart. Role and
// Label are the ARIA role and label; an empty Role is plain grouping.
type Group struct {
	Role, Label string
	Nodes       []Node
}

func (Path) node()   {}
func (Line) node()   {}
func (Rect) node()   {}
func (Circle) node() {}
func (Mark) node()   {}
func (Text) node()   {}
func (Target) node() {}
func (Group) node()  {}

// Size is the width and height of the scene with its margin.
func (s Scene) Size() (width, height float64) {
	return s.Width + 2*s.Margin, s.Height + 2*s.Margin
}

// Walk calls f for every node of the scene, a group before what it holds.
func (s Scene) Walk(f func(Node)) { walk(s.Nodes, f) }

func walk(nodes []Node, f func(Node)) {
	for _, n := range nodes {
		f(n)
		switch n := n.(type) {
		case Target:
			walk(n.Nodes, f)
		case Group:
			walk(n.Nodes, f)
		}
	}
}

var errEmpty = errors.New("a scene needs a width and a height above zero and no negative margin")

// check finds what no writer can draw: an empty scene or a number not finite.
func (s Scene) check() error {
	if !(s.Width > 0 && s.Height > 0) || !(s.Margin >= 0) || !finite(s.Width, s.Height, s.Margin) {
		return fmt.Errorf("drawing %q: %w, got %g by %g, margin %g", s.Title, errEmpty, s.Width, s.Height, s.Margin)
	}
	var bad Node
	s.Walk(func(n Node) {
		if bad == nil && !finite(numbers(n)...) {
			bad = n
		}
	})
	if bad != nil {
		return fmt.Errorf("drawing %q: a number is not finite in %T %+v", s.Title, bad, bad)
	}
	return nil
}

func numbers(n Node) []float64 {
	switch n := n.(type) {
	case Path:
		var all []float64
		for _, s := range n.Outline {
			for _, p := range s.points() {
				all = append(all, p.X, p.Y)
			}
		}
		return append(all, n.Style.Width, n.Style.Dash, n.Style.Fade)
	case Line:
		return []float64{n.X1, n.Y1, n.X2, n.Y2, n.Style.Width, n.Style.Dash, n.Style.Fade}
	case Rect:
		return []float64{n.X, n.Y, n.Width, n.Height, n.Radius, n.Style.Width, n.Style.Dash, n.Style.Fade}
	case Circle:
		return []float64{n.X, n.Y, n.Radius, n.Style.Width, n.Style.Dash, n.Style.Fade}
	case Mark:
		return []float64{n.X, n.Y, n.Size, n.Style.Width, n.Style.Dash, n.Style.Fade}
	case Text:
		return []float64{n.X, n.Y, n.Size}
	case Target:
		return []float64{n.X, n.Y, n.Width, n.Height}
	}
	return nil
}

func finite(xs ...float64) bool {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
