package draw

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// SVG writes the scene as an svg element to stand in a page that carries
// Stylesheet. Colours come from the page's custom properties through classes;
// nothing is inline, so a strict content security policy lets it through.
//
// Every id begins with prefix, which must differ between the drawings of one
// page. Without targets the drawing is one image with title and description to a
// screen reader; with targets it is a group of images, each read by its tip and
// reached by the Tab key, since what lies inside an image cannot be reached.
func SVG(w io.Writer, s Scene, prefix string) error {
	return writeSVG(w, s, prefix, "")
}

// StandaloneSVG writes the scene as a file of its own that holds its style
// sheet, follows the reader's light or dark setting, and paints its ground.
func StandaloneSVG(w io.Writer, s Scene) error {
	width, height := s.Size()
	ground := Rect{X: -s.Margin, Y: -s.Margin, Width: width, Height: height, Style: Style{Fill: Ground}}
	s.Nodes = append([]Node{ground}, s.Nodes...)
	return writeSVG(w, s, "drawing", Stylesheet())
}

func writeSVG(w io.Writer, s Scene, prefix, style string) error {
	if err := s.check(); err != nil {
		return err
	}
	role := "img"
	s.Walk(func(n Node) {
		if _, is := n.(Target); is {
			role = "group"
		}
	})
	p := &svgPen{}
	width, height := s.Size()
	view := strings.Join([]string{number(-s.Margin), number(-s.Margin), number(width), number(height)}, " ")
	p.open("svg", "xmlns", "http://www.w3.org/2000/svg", "class", "drawing",
		"viewBox", view, "width", number(width), "height", number(height), "role", role, "aria-labelledby", prefix+"-title", "aria-describedby", prefix+"-desc")
	p.words("title", s.Title, "id", prefix+"-title")
	p.words("desc", s.Description, "id", prefix+"-desc")
	if style != "" {
		p.words("style", style)
	}
	p.nodes(s.Nodes)
	p.close("svg")
	_, err := io.WriteString(w, p.out.String())
	return err
}

// svgPen writes elements, one a line, indented by depth.
type svgPen struct {
	out   strings.Builder
	depth int
}

// tag writes the start of an element; pairs are attribute names and values, and
// a pair with an empty value is left out.
func (p *svgPen) tag(name, end string, pairs ...string) {
	p.out.WriteString(strings.Repeat(" ", p.depth) + "<" + name)
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			fmt.Fprintf(&p.out, ` %s="%s"`, pairs[i], escape(pairs[i+1]))
		}
	}
	p.out.WriteString(end)
}

func (p *svgPen) open(name string, pairs ...string) {
	p.tag(name, ">\n", pairs...)
	p.depth++
}

func (p *svgPen) close(name string) {
	p.depth--
	p.out.WriteString(strings.Repeat(" ", p.depth) + "</" + name + ">\n")
}

func (p *svgPen) words(name, text string, pairs ...string) {
	p.tag(name, ">", pairs...)
	p.out.WriteString(escape(shown(text)) + "</" + name + ">\n")
}

func (p *svgPen) nodes(nodes []Node) {
	for _, n := range nodes {
		p.node(n)
	}
}

func (p *svgPen) node(n Node) {
	switch n := n.(type) {
	case Path:
		p.shape("path", n.Style, "d", pathData(n.Outline))
	case Line:
		p.shape("line", n.Style, "x1", number(n.X1), "y1", number(n.Y1), "x2", number(n.X2), "y2", number(n.Y2))
	case Rect:
		p.shape("rect", n.Style, "x", number(n.X), "y", number(n.Y),
			"width", number(n.Width), "height", number(n.Height), "rx", unlessZero(n.Radius))
	case Circle:
		p.shape("circle", n.Style, "cx", number(n.X), "cy", number(n.Y), "r", number(n.Radius))
	case Mark:
		if n.Shape == Disc {
			p.node(Circle{n.X, n.Y, n.Size / 2, n.Style})
			return
		}
		p.shape("path", n.Style, "d", pathData(n.Shape.outline(n.X, n.Y, n.Size)))
	case Text:
		p.text(n)
	case Target:
		p.target(n)
	case Group:
		p.open("g", "role", n.Role, "aria-label", shown(n.Label))
		p.nodes(n.Nodes)
		p.close("g")
	}
}

func (p *svgPen) shape(name string, s Style, pairs ...string) {
	var classes []string
	if s.Fill != None {
		classes = append(classes, "f-"+s.Fill.name())
	}
	if s.Stroke != None {
		classes = append(classes, "s-"+s.Stroke.name())
	}
	pairs = append(pairs, "class", strings.Join(classes, " "))
	if s.Stroke != None && s.Width != 0 && s.Width != 1 {
		pairs = append(pairs, "stroke-width", number(s.Width))
	}
	pairs = append(pairs, "stroke-dasharray", unlessZero(s.Dash))
	if s.Fade != 0 {
		pairs = append(pairs, "opacity", number(1-s.Fade))
	}
	p.tag(name, "/>\n", pairs...)
}

func (p *svgPen) text(t Text) {
	class := "f-" + t.Ink.name()
	if t.Bold {
		class += " bold"
	}
	anchor := [...]string{"", "middle", "end"}[t.Anchor]
	p.words("text", t.Text, "x", number(t.X), "y", number(t.Y),
		"font-size", number(t.Size), "text-anchor", anchor, "class", class)
}

func (p *svgPen) target(t Target) {
	tip := shown(t.Tip)
	p.open("g", "class", "target", "tabindex", "0", "role", "img", "aria-label", tip, "data-tip", tip)
	p.words("title", tip)
	p.tag("rect", "/>\n", "class", "area", "x", number(t.X), "y", number(t.Y),
		"width", number(t.Width), "height", number(t.Height), "rx", "4")
	p.nodes(t.Nodes)
	p.close("g")
}

func pathData(o Outline) string {
	var b strings.Builder
	for i, s := range o {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteByte("MLCZ"[s.op])
		for j, p := range s.points() {
			if j > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(number(p.X) + " " + number(p.Y))
		}
	}
	return b.String()
}

func unlessZero(x float64) string {
	if x == 0 {
		return ""
	}
	return number(x)
}

// number writes x to a hundredth of a pixel without trailing zeros, and never "-0".
func number(x float64) string {
	x = math.Round(x*100) / 100
	return strconv.FormatFloat(x+0, 'f', -1, 64)
}

func escape(text string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(text)) // a strings.Builder never fails
	return b.String()
}
