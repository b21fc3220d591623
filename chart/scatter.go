package chart

import "fairburn/draw"

// Scatter shows two figures of each entry against each other: every pair of
// values as a point, the centre with its interval along both axes.
type Scatter struct {
	Frame
	X, Y   Axis
	Clouds []Cloud
	Better Corner // the corner that is best, NoCorner for none
	Hint   string // the words at that corner: "faster, less fuel"
	Legend Legend // Point and Open; centres explain themselves with Inner
}

// Corner is a corner of a Scatter.
type Corner uint8

// The corners.
const (
	NoCorner Corner = iota
	LowerLeft
	LowerRight
	UpperLeft
	UpperRight
)

// Cloud is one entry of a Scatter.
type Cloud struct {
	Name   string
	Entry  int
	Spots  []Spot
	Centre *Cross
}

// Spot is one pair of values with its tip. An open spot counts less and is hollow.
type Spot struct {
	X, Y float64
	Tip  string
	Open bool
}

// Cross is a centre with its interval along each axis.
type Cross struct {
	X, Y Interval
	Tip  string
}

// field is a plot with two axes.
type field struct {
	box
	x, y ruler
}

// Scene lays the chart out.
func (c Scatter) Scene() (draw.Scene, error) {
	xs, ys, err := c.values()
	if err != nil {
		return draw.Scene{}, err
	}
	s, err := c.begin()
	if err != nil {
		return draw.Scene{}, err
	}
	height := min(s.Width*0.92, 420)
	f := s.field(c.X, c.Y, xs, ys, height)
	p := &placer{plot: f.box}
	c.hint(s, f, p)
	for _, cl := range c.Clouds {
		cl.spots(s, f, p)
	}
	for _, cl := range c.Clouds {
		cl.centre(s, f, p)
	}
	for _, cl := range c.Clouds {
		cl.label(s, f, p)
	}
	c.key(s)
	return s.scene(), nil
}

// values are all numbers the axes must reach, each checked.
func (c Scatter) values() (xs, ys []float64, err error) {
	for _, cl := range c.Clouds {
		for i, sp := range cl.Spots {
			if !finite(sp.X) || !finite(sp.Y) {
				return nil, nil, c.fail(ErrNotFinite, "cloud %q, spot %d is %g, %g", cl.Name, i+1, sp.X, sp.Y)
			}
			xs, ys = append(xs, sp.X), append(ys, sp.Y)
		}
		if cl.Centre == nil {
			continue
		}
		for _, iv := range []*Interval{&cl.Centre.X, &cl.Centre.Y} {
			if err := iv.checked(); err != nil {
				return nil, nil, c.fail(err, "cloud %q", cl.Name)
			}
		}
		xs, ys = append(xs, cl.Centre.X.ends()...), append(ys, cl.Centre.Y.ends()...)
	}
	if len(xs) == 0 {
		return nil, nil, c.fail(ErrEmpty, "no spots and no centres")
	}
	return xs, ys, nil
}

// field draws a plot of the given height with grid and axes, and moves below it.
func (s *sketch) field(x, y Axis, xs, ys []float64, height float64) field {
	l := letters{size: s.small, ink: draw.Muted}
	if y.Label != "" {
		s.y += s.small + 2
		s.add(words(y.Label, 0, s.y, s.Width, l))
		s.y += 6
	}
	f := field{box: box{top: s.y + 4, right: s.Width, bottom: s.y + height}}
	f.y = y.upright(ys, f.top+10, f.bottom-10)
	for _, t := range f.y.ticks {
		f.left = max(f.left, room(t.text, l)+8)
	}
	f.x = x.along(xs, f.left+10, f.right-17, l)
	s.grid(f.x, zone{f.top, f.bottom})
	for _, t := range f.y.ticks {
		at := f.y.at(t.at)
		s.add(draw.Line{X1: f.left, Y1: at, X2: f.right, Y2: at, Style: draw.Style{Stroke: draw.Grid}},
			draw.Text{X: f.left - 8, Y: at + s.small*0.36, Text: t.text, Size: s.small, Anchor: draw.End, Ink: draw.Muted})
	}
	s.y = f.bottom
	s.foot(f.x, x.Label)
	return f
}

// hint writes where it is better, with an arrow into that corner.
func (c Scatter) hint(s *sketch, f field, p *placer) {
	if c.Better == NoCorner || c.Hint == "" {
		return
	}
	l := letters{size: s.small, bold: true, ink: draw.Accent}
	x, y, way := f.left+6, f.top+8, 1.0
	if c.Better == LowerLeft || c.Better == LowerRight {
		y = f.bottom - 8
	}
	if c.Better == LowerRight || c.Better == UpperRight {
		x, way, l.anchor = f.right-6, -1, draw.End
	}
	down := 1.0 // from the corner into the plot
	if y > f.top+8 {
		down = -1
	}
	tip, tail := draw.Point{X: x, Y: y}, draw.Point{X: x + 13*way, Y: y + 13*down}
	ink := draw.Style{Stroke: draw.Accent, Width: 2}
	wide := min(room(c.Hint, l), f.right-f.left-40)
	text := words(c.Hint, tail.X+6*way, tail.Y+s.small*0.36, wide, l)
	area := box{min(x, tail.X+way*(wide+10)), y - 6, max(x, tail.X+way*(wide+10)), tail.Y + 10}
	if down < 0 {
		area.top, area.bottom = tail.Y-10, y+6
	}
	p.solid = append(p.solid, area)
	s.add(draw.Line{X1: tail.X, Y1: tail.Y, X2: tip.X, Y2: tip.Y, Style: ink},
		draw.Path{Outline: draw.Polyline(draw.Point{X: x, Y: y + 7*down}, tip, draw.Point{X: x + 7*way, Y: y}), Style: ink}, text)
}

// spots draws the single values.
func (cl Cloud) spots(s *sketch, f field, p *placer) {
	for _, sp := range cl.Spots {
		x, y := f.x.at(sp.X), f.y.at(sp.Y)
		m := point(x, y, 6.5, cl.Entry, sp.Open)
		p.soft = append(p.soft, around(x, y, 4, 4))
		s.add(tipped(sp.Tip, x, y, dotArea, m))
	}
}

// centre draws the centre with its intervals.
func (cl Cloud) centre(s *sketch, f field, p *placer) {
	if cl.Centre == nil {
		return
	}
	x, y := f.x.at(cl.Centre.X.Mid), f.y.at(cl.Centre.Y.Mid)
	line := draw.Style{Stroke: draw.EntryInk(cl.Entry), Width: 2.5}
	nodes := append(span(f.x, cl.Centre.X, y, line), rise(f.y, cl.Centre.Y, x, line)...)
	left, right := f.x.reach(cl.Centre.X)
	bottom, top := f.y.reach(cl.Centre.Y)
	p.soft = append(p.soft, box{left, y - 2, right, y + 2}, box{x - 2, top, x + 2, bottom})
	p.solid = append(p.solid, around(x, y, 8, 8))
	s.add(tipped(cl.Centre.Tip, x, y, dotArea, append(nodes, centre(x, y, cl.Centre.size(f), cl.Entry))...))
}

// size is that of the mark, smaller than both intervals.
func (c Cross) size(f field) float64 {
	left, right := f.x.reach(c.X)
	bottom, top := f.y.reach(c.Y)
	return max(6, min(right-left, bottom-top, 24)/2)
}

// reach is the pixels between which an interval is drawn, ends left out of the axis.
func (r ruler) reach(iv Interval) (from, to float64) {
	return r.at(r.clip(iv.Low)), r.at(r.clip(iv.High))
}

// clip brings an infinite limit to the end of the axis.
func (r ruler) clip(v float64) float64 {
	return max(r.ticks[0].at, min(v, r.ticks[len(r.ticks)-1].at))
}

// rise draws an upright interval at x.
func rise(r ruler, iv Interval, x float64, style draw.Style) []draw.Node {
	bottom, top := r.reach(iv)
	nodes := []draw.Node{draw.Line{X1: x, Y1: bottom, X2: x, Y2: top, Style: style}}
	arrow := func(y, way float64) draw.Node {
		return draw.Path{Outline: draw.Polyline(draw.Point{X: x - 4, Y: y - 4*way}, draw.Point{X: x, Y: y}, draw.Point{X: x + 4, Y: y - 4*way}),
			Style: draw.Style{Stroke: style.Stroke, Width: 1.5}}
	}
	if !finite(iv.Low) {
		nodes = append(nodes, arrow(bottom, 1))
	}
	if !finite(iv.High) {
		nodes = append(nodes, arrow(top, -1))
	}
	return nodes
}

// label writes the name beside the centre if there is room.
func (cl Cloud) label(s *sketch, f field, p *placer) {
	if cl.Centre == nil {
		return
	}
	l := letters{size: s.small, bold: true, ink: draw.Body, anchor: draw.Middle}
	text, _ := draw.Fit(cl.Name, (f.right-f.left)*0.42, l.size, l.bold)
	wide, high := room(text, l)+4, l.size*1.3
	x, y, placed := p.place(f.x.at(cl.Centre.X.Mid), f.y.at(cl.Centre.Y.Mid), wide, high)
	if !placed {
		return
	}
	bare := draw.TextWidth(text, l.size, l.bold) + 6
	s.add(draw.Rect{X: x - bare/2, Y: y - high/2, Width: bare, Height: high, Radius: 3, Style: draw.Style{Fill: draw.Ground, Fade: 0.2}},
		draw.Text{X: x, Y: y + l.size*0.36, Text: text, Size: l.size, Bold: true, Anchor: draw.Middle, Ink: l.ink})
}

// key names the entries, then explains the signs.
func (c Scatter) key(s *sketch) {
	var signs []func(x, y float64) sign
	for _, cl := range c.Clouds {
		signs = append(signs, entrySign(cl.Name, cl.Entry))
	}
	s.legend(signs...)
	entry := 0
	if len(c.Clouds) > 0 {
		entry = c.Clouds[0].Entry
	}
	c.Legend.draw(s, entry)
}

// entrySign is the legend of an entry.
func entrySign(name string, entry int) func(x, y float64) sign {
	return func(x, y float64) sign {
		return sign{14, []draw.Node{point(x+7, y, 11, entry, false)}, name}
	}
}
