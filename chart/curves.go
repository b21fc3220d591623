package chart

import (
	"math"
	"slices"

	"fairburn/draw"
)

// Curves shows lines with bands and points.
type Curves struct {
	Frame
	X, Y      Axis
	Lines     []Curve
	Reference *Reference // across, at a value of Y
	Legend    Legend     // Point and Open
}

// Curve is one line with its band and points, each from left to right.
type Curve struct {
	Name  string
	Entry int
	Step  bool // across, then up or down, as a survival curve goes
	Line  []Spot
	Band  []Bounds
	Spots []Spot
	Mark  *Spot // where its mark stands; nil: at the end of the line
}

// Bounds is the band of a curve at X.
type Bounds struct{ X, Low, High float64 }

// Scene lays the chart out.
func (c Curves) Scene() (draw.Scene, error) {
	xs, ys, err := c.values()
	if err != nil {
		return draw.Scene{}, err
	}
	s, err := c.begin()
	if err != nil {
		return draw.Scene{}, err
	}
	f := s.field(c.X, c.Y, xs, ys, min(s.Width*0.75, 360))
	for _, l := range c.Lines {
		l.band(s, f)
	}
	c.reference(s, f)
	for _, l := range c.Lines {
		l.draw(s, f)
	}
	var signs []func(x, y float64) sign
	for _, l := range c.Lines {
		signs = append(signs, l.sign)
	}
	s.legend(signs...)
	c.Legend.draw(s, c.Lines[0].Entry)
	return s.scene(), nil
}

// values are all numbers the axes must reach, each checked.
func (c Curves) values() (xs, ys []float64, err error) {
	for _, l := range c.Lines {
		spots := slices.Concat(l.Line, l.Spots)
		if l.Mark != nil {
			spots = append(spots, *l.Mark)
		}
		for i, sp := range spots {
			if !finite(sp.X) || !finite(sp.Y) {
				return nil, nil, c.fail(ErrNotFinite, "curve %q, point %d is %g, %g", l.Name, i+1, sp.X, sp.Y)
			}
			xs, ys = append(xs, sp.X), append(ys, sp.Y)
		}
		for i, b := range l.Band {
			if !finite(b.X) || !finite(b.Low) || !finite(b.High) {
				return nil, nil, c.fail(ErrNotFinite, "curve %q, band %d is %g to %g at %g", l.Name, i+1, b.Low, b.High, b.X)
			}
			if b.Low > b.High {
				return nil, nil, c.fail(ErrOrder, "curve %q, band %d is %g to %g", l.Name, i+1, b.Low, b.High)
			}
			xs, ys = append(xs, b.X), append(ys, b.Low, b.High)
		}
	}
	if len(xs) == 0 {
		return nil, nil, c.fail(ErrEmpty, "no curves")
	}
	if c.Reference != nil {
		if !finite(c.Reference.At) {
			return nil, nil, c.fail(ErrNotFinite, "reference %q is %g", c.Reference.Label, c.Reference.At)
		}
		ys = append(ys, c.Reference.At)
	}
	return xs, ys, nil
}

func (c Curves) reference(s *sketch, f field) {
	if c.Reference == nil {
		return
	}
	y := f.y.at(c.Reference.At)
	l := letters{size: s.small, ink: draw.Muted}
	wide := min(room(c.Reference.Label, l), f.right-f.left)
	best, at := -1, box{}
	for _, left := range []float64{f.right - wide - 2, f.left + 4} {
		for _, middle := range []float64{y - s.small*0.8, y + s.small*0.9} {
			b := box{left, middle - s.small*0.7, left + wide, middle + s.small*0.7}
			if crossings := c.crossings(f, b); b.inside(f.box) && (best < 0 || crossings < best) {
				best, at = crossings, b
			}
		}
	}
	s.add(draw.Line{X1: f.left, Y1: y, X2: f.right, Y2: y, Style: draw.Style{Stroke: draw.Body, Width: 1.25, Dash: 4}})
	if best >= 0 {
		s.add(words(c.Reference.Label, at.left, at.bottom-s.small*0.34, wide+1, l))
	}
}

// crossings counts places, a few pixels apart, at which lines pass through a box.
func (c Curves) crossings(f field, b box) int {
	n := 0
	for _, l := range c.Lines {
		line := l.course(l.Line, f)
		for i := 1; i < len(line); i++ {
			p, q := line[i-1], line[i]
			pieces := 1 + int(math.Hypot(q.X-p.X, q.Y-p.Y)/3)
			for k := range pieces + 1 {
				t := float64(k) / float64(pieces)
				if around(p.X+t*(q.X-p.X), p.Y+t*(q.Y-p.Y), 1, 1).overlap(b) > 0 {
					n++
				}
			}
		}
	}
	return n
}

// band draws the band as one area, up one side and back the other.
func (l Curve) band(s *sketch, f field) {
	if len(l.Band) < 2 {
		return
	}
	low := make([]Spot, len(l.Band))
	high := make([]Spot, len(l.Band))
	for i, b := range l.Band {
		low[i], high[i] = Spot{X: b.X, Y: b.Low}, Spot{X: b.X, Y: b.High}
	}
	edge := l.course(high, f)
	back := l.course(low, f)
	slices.Reverse(back)
	edge = append(edge, back...)
	s.add(draw.Path{Outline: draw.Polygon(edge...), Style: draw.Style{Fill: draw.EntryInk(l.Entry), Fade: 0.82}})
}

// course is the places a line passes, with the corners of steps.
func (l Curve) course(spots []Spot, f field) []draw.Point {
	var all []draw.Point
	for i, sp := range spots {
		p := draw.Point{X: f.x.at(sp.X), Y: f.y.at(sp.Y)}
		if l.Step && i > 0 {
			all = append(all, draw.Point{X: p.X, Y: all[len(all)-1].Y})
		}
		all = append(all, p)
	}
	return all
}

// draw draws the line, its points, and the entry's mark.
func (l Curve) draw(s *sketch, f field) {
	line := l.course(l.Line, f)
	if len(line) > 1 {
		s.add(draw.Path{Outline: draw.Polyline(line...), Style: draw.Style{Stroke: draw.EntryInk(l.Entry), Width: 2}})
	}
	for _, sp := range l.Spots {
		x, y := f.x.at(sp.X), f.y.at(sp.Y)
		s.add(tipped(sp.Tip, x, y, dotArea, point(x, y, 8, l.Entry, sp.Open)))
	}
	switch {
	case l.Mark != nil:
		x, y := f.x.at(l.Mark.X), f.y.at(l.Mark.Y)
		s.add(tipped(l.Mark.Tip, x, y, dotArea, centre(x, y, 12, l.Entry)))
	case len(line) > 0:
		end := line[len(line)-1]
		s.add(centre(end.X, end.Y, 12, l.Entry))
	}
}

func (l Curve) sign(x, y float64) sign {
	ink := draw.EntryInk(l.Entry)
	return sign{26, []draw.Node{draw.Line{X1: x, Y1: y, X2: x + 19, Y2: y, Style: draw.Style{Stroke: ink, Width: 2}}, centre(x+19, y, 12, l.Entry)}, l.Name}
}
