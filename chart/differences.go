package chart

import "fairburn/draw"

// Differences shows intervals of differences between pairs against zero and the
// margin that counts as equal in practice.
type Differences struct {
	Frame
	Axis                  Axis
	MarginLow, MarginHigh float64 // what counts as equal in practice; both 0 for none
	MarginText            string  // "equal in practice"
	Left, Right           string  // what lies at each side of zero: "first is faster"
	Pairs                 []Pair
	Legend                Legend // Inner and Outer
}

// Pair is one difference, the first entry's figure less the second's.
type Pair struct {
	First, Second int       // entry indices
	Name          string    // "Tall can − Short can"
	Inner         *Interval // nil if nothing can be said
	Outer         *Interval
	Class         Class
	Verdict       string // in words: "Tall can is faster"
	Tip           string
}

// Class is what the interval of a pair says; it decides how the pair is drawn.
type Class uint8

// The classes: a filled diamond beside zero, a filled disc within the margin, a
// ring where nothing is settled, and a dashed interval where there is too little.
const (
	TooFew Class = iota
	Unsettled
	Differs
	Equal
)

// Scene lays the chart out.
func (d Differences) Scene() (draw.Scene, error) {
	values, err := d.values()
	if err != nil {
		return draw.Scene{}, err
	}
	s, err := d.begin()
	if err != nil {
		return draw.Scene{}, err
	}
	left, right := 0.0, s.Width
	if s.wide() {
		left, right = d.sides(s)
	}
	r := d.Axis.along(values, left+14, right-14, letters{size: s.small})
	d.heads(s, r, left, right)
	body := s.below()
	for i, p := range d.Pairs {
		p.draw(body, r, left, right, i > 0)
	}
	s.y = body.y
	for _, z := range body.zones {
		d.ground(s, r, z)
	}
	s.add(body.nodes...)
	s.foot(r, d.Axis.Label)
	d.key(s)
	return s.scene(), nil
}

// values are all numbers the axis must reach, zero among them, each checked.
func (d Differences) values() ([]float64, error) {
	if len(d.Pairs) == 0 {
		return nil, d.fail(ErrEmpty, "no pairs")
	}
	if !(d.MarginLow <= 0 && d.MarginHigh >= 0 && finite(d.MarginLow) && finite(d.MarginHigh)) {
		return nil, d.fail(ErrOrder, "margin from %g to %g does not hold zero", d.MarginLow, d.MarginHigh)
	}
	all := []float64{0, d.MarginLow, d.MarginHigh}
	for _, p := range d.Pairs {
		for _, iv := range []*Interval{p.Inner, p.Outer} {
			if err := iv.checked(); err != nil {
				return nil, d.fail(err, "pair %q", p.Name)
			}
			all = append(all, iv.ends()...)
		}
	}
	return all, nil
}

// sides are the edges of the plot between names and verdicts.
func (d Differences) sides(s *sketch) (left, right float64) {
	name, verdict := 0.0, 0.0
	for _, p := range d.Pairs {
		name = max(name, room(p.Name, letters{size: s.text, bold: true}))
		verdict = max(verdict, room(p.Verdict, letters{size: s.text}))
	}
	return min(name+pairRoom+8, s.Width*0.34) + 6, s.Width - min(verdict, s.Width*0.26) - 12
}

// pairRoom is the width of the two marks before a pair's name.
const pairRoom = 38

// heads says at the top what each side of zero means.
func (d Differences) heads(s *sketch, r ruler, left, right float64) {
	if d.Left == "" && d.Right == "" {
		return
	}
	s.y += s.small + 4
	zero := r.at(0)
	l := letters{size: s.small, ink: draw.Muted, anchor: draw.End}
	if !s.wide() || zero-left < 90 || right-zero < 90 {
		s.add(words(arrowed("← ", d.Left, ""), left, s.y, (right-left)/2-6, letters{size: s.small, ink: draw.Muted}),
			words(arrowed("", d.Right, " →"), right, s.y, (right-left)/2-6, l))
		s.y += 8
		return
	}
	s.add(words(arrowed("← ", d.Left, ""), zero-8, s.y, zero-8, l)) // no name stands in this row
	l.anchor = draw.Start
	s.add(words(arrowed("", d.Right, " →"), zero+8, s.y, s.Width-zero-8, l))
	s.y += 8
}

func arrowed(before, text, after string) string {
	if text == "" {
		return ""
	}
	return before + text + after
}

// ground draws margin, grid and zero in a zone.
func (d Differences) ground(s *sketch, r ruler, z zone) {
	if d.MarginHigh > d.MarginLow {
		x := r.at(d.MarginLow)
		s.add(draw.Rect{X: x, Y: z.top, Width: r.at(d.MarginHigh) - x, Height: z.bottom - z.top, Style: draw.Style{Fill: draw.Veil}})
	}
	s.grid(r, z)
	s.upright(r.at(0), z, draw.Style{Stroke: draw.Body, Width: 1.25})
}

// draw lays one pair out below those before it.
func (p Pair) draw(s *sketch, r ruler, left, right float64, ruled bool) {
	if ruled {
		s.add(draw.Line{X1: 0, Y1: s.y, X2: s.Width, Y2: s.y, Style: draw.Style{Stroke: draw.Grid}})
	}
	outside := s.nodes
	s.nodes = nil
	name := letters{size: s.text, bold: true, ink: draw.Body}
	verdict := letters{size: s.text, ink: draw.Muted, anchor: draw.End}
	if p.Class == Differs || p.Class == Equal {
		verdict.ink = draw.Body
	}
	y := s.y + 22
	if s.wide() {
		s.add(block(p.Name, pairRoom, y, left-pairRoom-4, name)...)
		s.add(block(p.Verdict, s.Width, y, s.Width-right-4, verdict)...)
		p.marks(s, y)
		s.zones = append(s.zones, zone{s.y, s.y + 44})
		s.y += 44
	} else {
		s.add(words(p.Name, pairRoom, y, s.Width-pairRoom, name))
		verdict.anchor = draw.Start
		s.add(words(p.Verdict, pairRoom, y+18, s.Width-pairRoom, verdict))
		p.marks(s, y-5)
		y += 38
		s.y = y + 14
		s.zones = append(s.zones, zone{y - 13, y + 14})
	}
	p.interval(s, r, y)
	s.nodes = append(outside, draw.Group{Role: "group", Label: p.Name + ": " + p.Verdict, Nodes: s.nodes})
}

func (p Pair) marks(s *sketch, y float64) {
	s.add(point(7, y, 10, p.First, false), point(25, y, 10, p.Second, false))
}

// interval draws the pair's intervals and the sign of its class.
func (p Pair) interval(s *sketch, r ruler, y float64) {
	if p.Inner == nil {
		return
	}
	ink, _ := p.Class.look()
	thin := draw.Style{Stroke: ink, Width: 1.25}
	thick := draw.Style{Stroke: ink, Width: 3.5}
	if p.Class == TooFew {
		thin.Dash, thick = 3, draw.Style{Stroke: ink, Width: 1.5, Dash: 4}
	}
	var nodes []draw.Node
	if p.Outer != nil {
		nodes = append(nodes, span(r, *p.Outer, y, thin)...)
		nodes = append(nodes, whiskers(r, *p.Outer, y, ink)...)
	}
	nodes = append(nodes, span(r, *p.Inner, y, thick)...)
	x := r.at(p.Inner.Mid)
	from, to := r.reach(*p.Inner)
	nodes = append(nodes, p.Class.mark(x, y, max(7, min((to-from)/2, 12))))
	if p.Tip == "" {
		s.add(nodes...)
		return
	}
	from, to = min(from, x-12), max(to, x+12)
	s.add(draw.Target{X: from, Y: y - 12, Width: to - from, Height: 24, Tip: p.Tip, Nodes: nodes})
}

// look is the ink of a class and whether its mark is filled.
func (c Class) look() (ink draw.Ink, filled bool) {
	switch c {
	case Differs:
		return draw.Accent, true
	case Equal:
		return draw.Body, true
	}
	return draw.Muted, false
}

// mark is the sign of a class, smaller than the interval it sits on.
func (c Class) mark(x, y, size float64) draw.Node {
	ink, filled := c.look()
	m := draw.Mark{X: x, Y: y, Size: size, Style: draw.Style{Fill: ink, Stroke: draw.Ground, Width: 1.5}}
	if c == Differs {
		m.Shape = draw.Diamond
	}
	if !filled {
		m.Size, m.Style = size-2, draw.Style{Fill: draw.Ground, Stroke: ink, Width: 1.75}
	}
	return m
}

// key explains margin and intervals.
func (d Differences) key(s *sketch) {
	bar := func(text string, width float64, ends bool) func(x, y float64) sign {
		return func(x, y float64) sign {
			r := ruler{x, x + 30, []tick{{at: 0}, {at: 1}}}
			iv := Interval{0, 0.5, 1}
			nodes := span(r, iv, y, draw.Style{Stroke: draw.Muted, Width: width})
			if ends {
				nodes = append(nodes, whiskers(r, iv, y, draw.Muted)...)
			}
			return sign{30, nodes, text}
		}
	}
	margin := func(x, y float64) sign {
		box := draw.Rect{X: x, Y: y - 7, Width: 22, Height: 14, Style: draw.Style{Fill: draw.Veil, Stroke: draw.Grid}}
		if d.MarginHigh == d.MarginLow {
			return sign{}
		}
		return sign{22, []draw.Node{box}, d.MarginText}
	}
	s.legend(margin, bar(d.Legend.Inner, 3.5, false), bar(d.Legend.Outer, 1.25, true))
}
