package chart

import (
	"cmp"
	"slices"

	"fairburn/draw"
)

// Dots shows one row per entry: every value as a point, stacked where values
// lie close, and below them the centre with its intervals.
type Dots struct {
	Frame
	Axis      Axis
	Rows      []Row
	Absent    string // head of the lane at the right for what has no value: "did not boil"
	Reference *Reference
	Legend    Legend
}

// Row is one entry of a Dots chart.
type Row struct {
	Name   string
	Entry  int // index of its colour and shape
	Points []Point
	Absent []string  // tips of the hollow marks in the lane at the right, one each
	Inner  *Interval // centre and interval, drawn strong
	Outer  *Interval // a wider interval, drawn light: simultaneous or prediction
	Tip    string    // of the intervals
	Value  string    // figure at the right: "5:42"
	Note   string    // below the figure: "n = 5, 2 did not boil"
}

// Point is one value with its tip. An open point counts less and is hollow.
type Point struct {
	Value float64
	Tip   string
	Open  bool
}

const (
	dotSize = 9.0
	dotArea = 20.0 // that answers to the pointer
)

// dotColumns are the places across a Dots chart.
type dotColumns struct {
	plot, lane, figure float64 // left edges
	plotEnd, laneEnd   float64
	inset              float64 // of the first and last tick from the plot's edges
	noted              bool    // narrow: notes stand on a line of their own
	ruler              ruler
}

// Scene lays the chart out.
func (d Dots) Scene() (draw.Scene, error) {
	values, err := d.values()
	if err != nil {
		return draw.Scene{}, err
	}
	s, err := d.begin()
	if err != nil {
		return draw.Scene{}, err
	}
	c := d.columns(s)
	c.ruler = d.Axis.along(values, c.plot+c.inset, c.plotEnd-c.inset, letters{size: s.small})
	d.heads(s, c)
	body := s.below()
	for i, row := range d.Rows {
		row.draw(body, c, i > 0)
	}
	s.y = body.y
	for _, z := range body.zones {
		d.ground(s, c, z)
	}
	s.add(body.nodes...)
	s.foot(c.ruler, d.Axis.Label)
	d.Legend.draw(s, d.Rows[0].Entry)
	return s.scene(), nil
}

// values are all numbers the axis must reach, each checked.
func (d Dots) values() ([]float64, error) {
	if len(d.Rows) == 0 {
		return nil, d.fail(ErrEmpty, "no rows")
	}
	var all []float64
	for _, row := range d.Rows {
		for i, p := range row.Points {
			if !finite(p.Value) {
				return nil, d.fail(ErrNotFinite, "row %q, point %d is %g", row.Name, i+1, p.Value)
			}
			all = append(all, p.Value)
		}
		for _, iv := range []*Interval{row.Inner, row.Outer} {
			if err := iv.checked(); err != nil {
				return nil, d.fail(err, "row %q", row.Name)
			}
			all = append(all, iv.ends()...)
		}
	}
	if d.Reference != nil {
		if !finite(d.Reference.At) {
			return nil, d.fail(ErrNotFinite, "reference %q is %g", d.Reference.Label, d.Reference.At)
		}
		all = append(all, d.Reference.At)
	}
	return all, nil
}

// columns shares the width out: names and figures beside the plot if there is
// room, else above it.
func (d Dots) columns(s *sketch) dotColumns {
	name, figure, lane := 0.0, 0.0, 0.0
	for _, row := range d.Rows {
		name = max(name, room(row.Name, letters{size: s.text, bold: true}))
		figure = max(figure, room(row.Value, letters{size: s.large, bold: true}), room(row.Note, letters{size: s.small}))
		if len(row.Absent) > 0 {
			lane = max(56, min(room(d.Absent, letters{size: s.small})+8, 100))
		}
	}
	c := dotColumns{plotEnd: s.Width, laneEnd: s.Width, figure: s.Width, inset: 18}
	for _, row := range d.Rows {
		c.noted = c.noted || row.headRoom(s) > s.Width
	}
	if s.wide() {
		c.inset = 10
		c.plot = min(name+markRoom, s.Width*0.28) + 14
		c.figure = s.Width - min(figure, s.Width*0.24)
		c.plotEnd = c.figure - 16
	}
	c.laneEnd = c.plotEnd
	c.plotEnd -= lane
	c.lane = c.plotEnd
	return c
}

// markRoom is the width of an entry's mark before its name.
const markRoom = 20

// heads writes what stands above the plot: the reference and the lane.
func (d Dots) heads(s *sketch, c dotColumns) {
	if d.Reference == nil && c.lane == c.laneEnd {
		return
	}
	s.y += s.small + 2
	l := letters{size: s.small, ink: draw.Muted, anchor: draw.Middle}
	if c.laneEnd > c.lane {
		s.add(words(d.Absent, (c.lane+c.laneEnd)/2, s.y, c.laneEnd-c.lane, l))
	}
	if d.Reference != nil {
		half := room(d.Reference.Label, l) / 2
		x := max(c.plot+half, min(c.ruler.at(d.Reference.At), c.plotEnd-half-4))
		s.add(words(d.Reference.Label, x, s.y, c.plotEnd-c.plot, l))
	}
	s.y += 6
}

// ground draws what lies below the rows in a zone.
func (d Dots) ground(s *sketch, c dotColumns, z zone) {
	if c.laneEnd > c.lane {
		s.add(draw.Rect{X: c.lane + 4, Y: z.top, Width: c.laneEnd - c.lane - 4, Height: z.bottom - z.top, Style: draw.Style{Fill: draw.Veil}})
	}
	s.grid(c.ruler, z)
	if d.Reference != nil {
		s.upright(c.ruler.at(d.Reference.At), z, draw.Style{Stroke: draw.Body, Width: 1.25, Dash: 4})
	}
}

// draw lays one row out below the rows before it.
func (row Row) draw(s *sketch, c dotColumns, ruled bool) {
	if ruled {
		s.add(draw.Line{X1: 0, Y1: s.y, X2: s.Width, Y2: s.y, Style: draw.Style{Stroke: draw.Grid}})
	}
	outside := s.nodes
	s.nodes = nil
	if !s.wide() {
		row.head(s, c)
	}
	marks, rise := row.stack(c.ruler)
	height := 40 + rise
	if s.wide() {
		height = max(50, height)
	}
	s.zones = append(s.zones, zone{s.y, s.y + height})
	base := s.y + height - 28 // where the stacks stand
	for i, m := range marks {
		m.Y = base - m.Y
		s.add(tipped(row.Points[i].Tip, m.X, m.Y, dotArea, m))
	}
	row.estimate(s, c, base+14)
	row.absent(s, c, s.y+height/2)
	if s.wide() {
		row.beside(s, c, s.y+height/2)
	}
	s.y += height
	s.nodes = append(outside, draw.Group{Role: "group", Label: row.Name + " " + row.Value + " " + row.Note, Nodes: s.nodes})
}

// headRoom is the width of name, note and figure in one line.
func (row Row) headRoom(s *sketch) float64 {
	return markRoom + room(row.Name, letters{size: s.text, bold: true}) + 12 +
		room(row.Note, letters{size: s.small}) + 12 + room(row.Value, letters{size: s.large, bold: true})
}

// head writes name, figure and note above the plot.
func (row Row) head(s *sketch, c dotColumns) {
	s.y += 22
	figure := room(row.Value, letters{size: s.large, bold: true})
	s.add(point(7, s.y-5, 11, row.Entry, false),
		words(row.Name, markRoom, s.y, s.Width-figure-markRoom-12, letters{size: s.text, bold: true, ink: draw.Body}),
		words(row.Value, s.Width, s.y, s.Width/2, letters{size: s.large, bold: true, ink: draw.Body, anchor: draw.End}))
	note := letters{size: s.small, ink: draw.Muted}
	if c.noted {
		s.y += 17
		s.add(words(row.Note, markRoom, s.y, s.Width-markRoom, note))
	} else {
		note.anchor = draw.End
		s.add(words(row.Note, s.Width-figure-8, s.y, s.Width, note))
	}
	s.y += 6
}

// beside writes name, figure and note at both sides of the plot.
func (row Row) beside(s *sketch, c dotColumns, y float64) {
	s.add(point(7, y, 11, row.Entry, false),
		draw.Group{Nodes: block(row.Name, markRoom, y, c.plot-markRoom-8, letters{size: s.text, bold: true, ink: draw.Body})})
	if row.Note == "" {
		y += 9
	}
	right := letters{size: s.large, bold: true, ink: draw.Body, anchor: draw.End}
	s.add(words(row.Value, s.Width, y-2, s.Width-c.figure+8, right))
	s.add(words(row.Note, s.Width, y+s.small+3, s.Width-c.figure+8, letters{size: s.small, ink: draw.Muted, anchor: draw.End}))
}

func (row Row) estimate(s *sketch, c dotColumns, y float64) {
	nodes := estimate(c.ruler, row.Inner, row.Outer, y, row.Entry)
	if len(nodes) == 0 {
		return
	}
	x := c.ruler.from
	if row.Inner != nil {
		x = c.ruler.at(row.Inner.Mid)
	}
	s.add(tipped(row.Tip, x, y, dotArea, nodes...))
}

// absent draws the marks of what has no value in the lane, in rows.
func (row Row) absent(s *sketch, c dotColumns, y float64) {
	left, right := c.lane+14, c.laneEnd-8
	across := max(1, int((right-left)/14)+1)
	rows := (len(row.Absent) + across - 1) / across
	for i, tip := range row.Absent {
		in := min(across, len(row.Absent)-i/across*across)
		x := (c.lane+4+c.laneEnd)/2 + (float64(i%across)-float64(in-1)/2)*14
		yy := y + (float64(i/across)-float64(rows-1)/2)*14
		s.add(tipped(tip, x, yy, dotArea, point(x, yy, dotSize, row.Entry, true)))
	}
}

// dotSizes are the sizes of points tried until the stacks are low enough.
var dotSizes = []float64{9, 7, 5, 3.5}

// highestStack is the height that stacks may have.
const highestStack = 76.0

// stack places each point above its value, as low as it can stand clear of
// those placed before, from the lowest value up; a crowd gets smaller points,
// and in the end closer ones. Y is the height above the base, rise the highest.
func (row Row) stack(r ruler) (marks []draw.Mark, rise float64) {
	var level []int
	var step float64
	for _, size := range dotSizes {
		marks, level = row.level(r, size)
		step = size + 0.5
		rise = 0
		for _, n := range level {
			rise = max(rise, float64(n)*step)
		}
		if rise <= highestStack {
			break
		}
	}
	if rise > highestStack {
		step *= highestStack / rise
		rise = highestStack
	}
	for i := range marks {
		marks[i].Y = float64(level[i]) * step
	}
	return marks, rise
}

// level finds the level of each point of the given size in its stack.
func (row Row) level(r ruler, size float64) (marks []draw.Mark, level []int) {
	order := make([]int, len(row.Points))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(row.Points[a].Value, row.Points[b].Value) })
	marks, level = make([]draw.Mark, len(order)), make([]int, len(order))
	var ends []float64 // of each level: where its last point stands
	for _, i := range order {
		x := r.at(row.Points[i].Value)
		n := 0
		for n < len(ends) && x-ends[n] < size+0.5 {
			n++
		}
		if n == len(ends) {
			ends = append(ends, 0)
		}
		ends[n], level[i] = x, n
		marks[i] = point(x, 0, size, row.Entry, row.Points[i].Open)
	}
	return marks, level
}

// draw explains the signs of a chart of points and intervals.
func (g Legend) draw(s *sketch, entry int) {
	dot := func(open bool, words string) func(x, y float64) sign {
		return func(x, y float64) sign {
			return sign{14, []draw.Node{point(x+7, y, dotSize, entry, open)}, words}
		}
	}
	bar := func(inner bool, words string) func(x, y float64) sign {
		return func(x, y float64) sign {
			r := ruler{x + 1, x + 33, []tick{{at: 0}, {at: 1}}}
			whole := &Interval{0, 0.5, 1}
			if inner {
				return sign{34, estimate(r, whole, nil, y, entry), words}
			}
			return sign{34, estimate(r, nil, whole, y, entry), words}
		}
	}
	s.legend(dot(false, g.Point), dot(true, g.Open), bar(true, g.Inner), bar(false, g.Outer))
}
