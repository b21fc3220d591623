// Package chart turns figures into drawings: Dots, Scatter, Lanes, Shares,
// Curves and Differences, each a struct of data and options with a method Scene.
//
// Every chart shows its single points and draws its intervals; there is no bar
// of means here. It knows nothing of what is measured: words, formats and tips
// come from the caller, and names stay text whatever they hold. Charts are laid
// out for the width asked for, from 300 px (a phone has 360) up; the height
// follows from what must be shown. A name too long for its place is cut with an
// ellipsis and carries a tip with all of it.
//
// A chart refuses to be drawn (an error that names place and value) when a
// number is not finite where it must be, or when there is nothing to show.
//
// Read frame.go and axis.go, then one chart, such as dots.go.
package chart

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"fairburn/draw"
)

// Frame is what every chart has.
type Frame struct {
	Width       float64 // CSS pixels, from 300 to 2000
	Title       string  // read aloud, and drawn above the chart if Headed
	Description string  // what a person who cannot see the chart should know
	Headed      bool    // draw the title and a margin: for cards and pictures that stand alone
}

// Reference is a line to compare with, at a value of the axis it belongs to.
type Reference struct {
	At    float64
	Label string
}

// Interval is an estimate between limits, Low <= Mid <= High. A limit that is
// infinite is drawn as an arrow that leaves the chart.
type Interval struct{ Low, Mid, High float64 }

// Legend says in the caller's words what the signs of a chart stand for; signs
// without words are not explained.
type Legend struct {
	Point string // "one burn"
	Open  string // hollow point: "boiled after the flame was out"
	Inner string // "mean and its 95 % interval"
	Outer string // "interval for all comparisons at once"
}

// Errors of charts that cannot be drawn; the message names place and value.
var (
	ErrEmpty     = errors.New("there is nothing to show")
	ErrNotFinite = errors.New("expected a finite number")
	ErrOrder     = errors.New("expected low <= mid <= high")
	ErrShare     = errors.New("expected a share from 0 to 1")
	ErrWidth     = errors.New("expected a width of 300 to 2000 px")
)

const (
	narrowest    = 300
	widest       = 2000
	headedMargin = 16
	wideFrom     = 480 // from here names and figures stand beside the plot, not above it
)

// sketch is a chart being laid out from the top down.
type sketch struct {
	Frame
	y     float64 // where the next thing goes
	nodes []draw.Node
	zones []zone  // where grid and references may be drawn
	small float64 // font sizes: axis and notes, names, figures
	text  float64
	large float64
}

// zone is a stretch from top to bottom.
type zone struct{ top, bottom float64 }

func (f Frame) begin() (*sketch, error) {
	if !(f.Width >= narrowest && f.Width <= widest) {
		return nil, fmt.Errorf("chart %q: width %g px: %w", f.Title, f.Width, ErrWidth)
	}
	s := &sketch{Frame: f, y: 4, small: 12, text: 13, large: 16}
	if s.wide() {
		s.small, s.text, s.large = 13, 14, 18
	}
	if f.Headed {
		s.Width -= 2 * headedMargin
		s.heading()
	}
	return s, nil
}

func (s *sketch) wide() bool { return s.Width >= wideFrom }

func (s *sketch) add(nodes ...draw.Node) { s.nodes = append(s.nodes, nodes...) }

func (s *sketch) scene() draw.Scene {
	scene := draw.Scene{Width: s.Width, Height: math.Ceil(s.y + 4),
		Title: s.Title, Description: s.Description, Nodes: s.nodes}
	if s.Headed {
		scene.Margin = headedMargin
	}
	return scene
}

// below is a sketch that goes on where s stands; its nodes go on top of what is
// drawn in s meanwhile.
func (s *sketch) below() *sketch {
	b := *s
	b.nodes, b.zones = nil, nil
	return &b
}

// fail puts the chart's title before what is wrong.
func (f Frame) fail(err error, place string, args ...any) error {
	return fmt.Errorf("chart %q: "+place+": %w", append(append([]any{f.Title}, args...), err)...)
}

// letters is how a text is set.
type letters struct {
	size   float64
	bold   bool
	ink    draw.Ink
	anchor draw.Anchor
}

// words sets a text in the width it may have; if it must be cut, all of it is in
// the tip.
func words(text string, x, y, width float64, l letters) draw.Node {
	fitted, cut := draw.Fit(text, width, l.size, l.bold)
	t := draw.Text{X: x, Y: y, Text: fitted, Size: l.size, Bold: l.bold, Anchor: l.anchor, Ink: l.ink}
	if !cut {
		return t
	}
	wide := draw.TextWidth(fitted, l.size, l.bold)
	left := x - wide*float64(l.anchor)/2
	return draw.Target{X: left - 2, Y: y - l.size, Width: wide + 4, Height: l.size * 1.35, Tip: text, Nodes: []draw.Node{t}}
}

// room is the width a text needs, whatever font a browser puts in.
func room(text string, l letters) float64 {
	return draw.Room(text, l.size, l.bold)
}

// block sets a text in one line, or in two if it needs them, about the height y.
func block(text string, x, y, width float64, l letters) []draw.Node {
	lines := wrap(text, width, l)
	if len(lines) < 2 {
		return []draw.Node{words(text, x, y+l.size*0.36, width, l)}
	}
	rest := strings.Join(lines[1:], " ")
	first := words(lines[0], x, y-l.size*0.24, width, l)
	second := words(rest, x, y+l.size*0.96, width, l)
	if len(lines) == 2 && room(lines[0], l) <= width && room(rest, l) <= width {
		return []draw.Node{first, second}
	}
	return []draw.Node{draw.Target{X: x - 2, Y: y - l.size*1.2, Width: width, Height: l.size * 2.5, Tip: text,
		Nodes: []draw.Node{bare(first), bare(second)}}}
}

// bare is the text without a target of its own.
func bare(n draw.Node) draw.Node {
	if t, is := n.(draw.Target); is {
		return t.Nodes[0]
	}
	return n
}

func (s *sketch) heading() {
	l := letters{size: s.large, bold: true, ink: draw.Body}
	for _, line := range wrap(s.Title, s.Width, l) {
		s.y += s.large * 1.25
		s.add(words(line, 0, s.y-s.large*0.25, s.Width, l))
	}
	s.y += 8
}

// wrap breaks a text between words into lines that fit the width.
func wrap(text string, width float64, l letters) []string {
	var lines []string
	line := ""
	for _, w := range strings.Fields(text) {
		longer := strings.TrimSpace(line + " " + w)
		if line != "" && room(longer, l) > width {
			lines = append(lines, line)
			longer = w
		}
		line = longer
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// sign is one item of a legend: a drawing in a box of the given width whose
// middle left is the origin, and its words.
type sign struct {
	width float64
	nodes []draw.Node
	words string
}

// legend sets the signs with their words one after the other, in as many rows
// as they need.
func (s *sketch) legend(signs ...func(x, y float64) sign) {
	l := letters{size: s.small, ink: draw.Muted}
	const between, row = 12, 20
	x, any := 0.0, false
	for _, make := range signs {
		it := make(0, 0)
		if it.words == "" {
			continue
		}
		need := it.width + 6 + room(it.words, l)
		if !any {
			s.y += 6
		}
		if !any || (x > 0 && x+need > s.Width) {
			x = 0
			s.y += row
		}
		any = true
		it = make(x, s.y-s.small*0.36)
		s.add(it.nodes...)
		s.add(words(it.words, x+it.width+6, s.y, s.Width-x-it.width-6, l))
		x += need + between
	}
	if any {
		s.y += 6
	}
}

// checked finds an interval that cannot be drawn.
func (iv *Interval) checked() error {
	switch {
	case iv == nil:
		return nil
	case math.IsNaN(iv.Low) || math.IsNaN(iv.High) || !finite(iv.Mid):
		return fmt.Errorf("interval %g, %g, %g: %w", iv.Low, iv.Mid, iv.High, ErrNotFinite)
	case !(iv.Low <= iv.Mid && iv.Mid <= iv.High):
		return fmt.Errorf("interval %g, %g, %g: %w", iv.Low, iv.Mid, iv.High, ErrOrder)
	}
	return nil
}

// ends are the finite numbers of an interval.
func (iv *Interval) ends() []float64 {
	if iv == nil {
		return nil
	}
	var all []float64
	for _, x := range []float64{iv.Low, iv.Mid, iv.High} {
		if finite(x) {
			all = append(all, x)
		}
	}
	return all
}

// finite says whether an axis can show x; beyond 1e300 a range would overflow.
func finite(x float64) bool { return math.Abs(x) <= 1e300 }
