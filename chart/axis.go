package chart

import (
	"slices"

	"fairburn/draw"
)

// Axis describes one axis. Its range is that of the data widened to round
// ticks, never clipped.
type Axis struct {
	Label   string // what it shows, with unit: "fuel to boil, g"
	Scale   Scale
	Include []float64 // values that the axis must reach, such as 0
}

// ruler maps the values of an axis to a stretch of pixels.
type ruler struct {
	from, to float64 // pixels of the first and last tick; from > to for upright axes
	ticks    []tick
}

// along lays the axis over a horizontal stretch with as many ticks as have room.
func (a Axis) along(values []float64, from, to float64, l letters) ruler {
	most := max(2, int((to-from)/30))
	for ; most > 2; most-- {
		ticks := a.divide(values, most)
		if roomy(ticks, to-from, l) {
			break
		}
	}
	return ruler{from, to, a.divide(values, most)}
}

// upright lays the axis over a vertical stretch, low values at the bottom.
func (a Axis) upright(values []float64, top, bottom float64) ruler {
	return ruler{bottom, top, a.divide(values, max(2, int((bottom-top)/44)))}
}

func (a Axis) divide(values []float64, most int) []tick {
	values = slices.Concat(values, a.Include)
	if len(values) == 0 {
		return nil
	}
	return a.Scale.ticks(slices.Min(values), slices.Max(values), most)
}

// roomy says whether all labels stand clear of each other.
func roomy(ticks []tick, length float64, l letters) bool {
	for _, t := range ticks {
		if room(t.text, l)+16 > length/float64(len(ticks)-1) {
			return false
		}
	}
	return true
}

// at is the pixel of a value.
func (r ruler) at(v float64) float64 {
	if len(r.ticks) == 0 {
		return (r.from + r.to) / 2
	}
	lo, hi := r.ticks[0].at, r.ticks[len(r.ticks)-1].at
	return r.from + (v-lo)/(hi-lo)*(r.to-r.from)
}

// grid draws the lines of the ticks in a zone.
func (s *sketch) grid(r ruler, z zone) {
	for _, t := range r.ticks {
		s.upright(r.at(t.at), z, draw.Style{Stroke: draw.Grid})
	}
}

func (s *sketch) upright(x float64, z zone, style draw.Style) {
	s.add(draw.Line{X1: x, Y1: z.top, X2: x, Y2: z.bottom, Style: style})
}

// foot draws the labels of a horizontal axis below the current line, then what
// it shows.
func (s *sketch) foot(r ruler, label string) {
	l := letters{size: s.small, ink: draw.Muted, anchor: draw.Middle}
	s.y += s.small + 6
	for _, t := range r.ticks {
		half := room(t.text, l) / 2
		x := max(half, min(r.at(t.at), s.Width-half))
		s.add(draw.Text{X: x, Y: s.y, Text: t.text, Size: l.size, Ink: l.ink, Anchor: l.anchor})
	}
	if label == "" {
		return
	}
	l.anchor = draw.End
	s.y += s.small + 6
	s.add(words(label, r.to, s.y, r.to, l))
}

// span draws an interval at height y, with arrows where it leaves the chart.
func span(r ruler, iv Interval, y float64, style draw.Style) []draw.Node {
	var nodes []draw.Node
	const overhang = 6
	x1, x2 := r.from-overhang, r.to+overhang
	arrow := func(x, way float64) draw.Node {
		return draw.Path{Outline: draw.Polyline(draw.Point{X: x - 4*way, Y: y - 4}, draw.Point{X: x, Y: y}, draw.Point{X: x - 4*way, Y: y + 4}),
			Style: draw.Style{Stroke: style.Stroke, Width: max(1.5, style.Width/2)}}
	}
	if finite(iv.Low) {
		x1 = r.at(iv.Low)
	} else {
		nodes = append(nodes, arrow(x1, -1))
	}
	if finite(iv.High) {
		x2 = r.at(iv.High)
	} else {
		nodes = append(nodes, arrow(x2, 1))
	}
	return append([]draw.Node{draw.Line{X1: x1, Y1: y, X2: x2, Y2: y, Style: style}}, nodes...)
}

// estimate draws an outer and an inner interval with the centre as an entry's
// mark at height y.
func estimate(r ruler, inner, outer *Interval, y float64, entry int) []draw.Node {
	ink := draw.EntryInk(entry)
	var nodes []draw.Node
	if outer != nil {
		nodes = append(nodes, span(r, *outer, y, draw.Style{Stroke: ink, Width: 1.25})...)
		nodes = append(nodes, whiskers(r, *outer, y, ink)...)
	}
	if inner == nil {
		return nodes
	}
	nodes = append(nodes, span(r, *inner, y, draw.Style{Stroke: ink, Width: 4})...)
	from, to := r.reach(*inner)
	return append(nodes, centre(r.at(inner.Mid), y, max(6, min((to-from)/2, 12)), entry))
}

// whiskers are the small upright ends of an outer interval.
func whiskers(r ruler, iv Interval, y float64, ink draw.Ink) []draw.Node {
	var nodes []draw.Node
	for _, v := range []float64{iv.Low, iv.High} {
		if finite(v) {
			x := r.at(v)
			nodes = append(nodes, draw.Line{X1: x, Y1: y - 4, X2: x, Y2: y + 4, Style: draw.Style{Stroke: ink, Width: 1.25}})
		}
	}
	return nodes
}

// centre is an entry's mark, cut free of what lies below it if it is large. It
// must be smaller than the interval it sits on, or it would hide it.
func centre(x, y, size float64, entry int) draw.Node {
	m := draw.Mark{X: x, Y: y, Size: size, Shape: draw.EntryShape(entry), Style: draw.Style{Fill: draw.EntryInk(entry)}}
	if size >= 11 {
		m.Style.Stroke, m.Style.Width = draw.Ground, 1.25
	}
	return m
}

// point is the mark of a single value; open ones are hollow.
func point(x, y, size float64, entry int, open bool) draw.Mark {
	m := draw.Mark{X: x, Y: y, Size: size, Shape: draw.EntryShape(entry)}
	if open {
		m.Style = draw.Style{Fill: draw.Ground, Stroke: draw.EntryInk(entry), Width: size / 6.5}
		return m
	}
	m.Style = draw.Style{Fill: draw.EntryInk(entry)}
	return m
}

// tipped makes nodes a target about x, y if there is a tip to show.
func tipped(tip string, x, y, size float64, nodes ...draw.Node) draw.Node {
	if tip == "" {
		return draw.Group{Nodes: nodes}
	}
	return draw.Target{X: x - size/2, Y: y - size/2, Width: size, Height: size, Tip: tip, Nodes: nodes}
}
