package draw

import "math"

// step is one piece of an outline: a move, a line, a cubic curve or the closing
// of the piece begun by the last move. Control points are used by curves only.
type step struct {
	op         op
	to         Point
	ctl1, ctl2 Point
}

type op uint8

const (
	move op = iota
	straight
	curve
	closing
)

func (s step) points() []Point {
	switch s.op {
	case curve:
		return []Point{s.ctl1, s.ctl2, s.to}
	case closing:
		return nil
	}
	return []Point{s.to}
}

// Outline is the course of a Path, made by Polyline or Polygon.
type Outline []step

// Polyline joins points by straight lines and leaves the end open.
func Polyline(points ...Point) Outline {
	o := make(Outline, len(points), len(points)+1)
	for i, p := range points {
		o[i] = step{op: straight, to: p}
	}
	if len(o) > 0 {
		o[0].op = move
	}
	return o
}

// Polygon joins points by straight lines and closes.
func Polygon(points ...Point) Outline {
	return append(Polyline(points...), step{op: closing})
}

// arc is the distance of control points from the ends of a quarter of a unit
// circle drawn as one cubic: 4(sqrt 2 - 1)/3, off by at most 0.03 % of the radius.
var arc = 4 * (math.Sqrt2 - 1) / 3

// rounded is the outline of a rectangle whose corners have the radius r.
func rounded(x, y, w, h, r float64) Outline {
	r = min(r, w/2, h/2)
	if r <= 0 {
		return Polygon(Point{x, y}, Point{x + w, y}, Point{x + w, y + h}, Point{x, y + h})
	}
	k := r * (1 - arc)
	to := func(px, py float64) step { return step{op: straight, to: Point{px, py}} }
	bend := func(ax, ay, bx, by, px, py float64) step {
		return step{op: curve, ctl1: Point{ax, ay}, ctl2: Point{bx, by}, to: Point{px, py}}
	}
	return Outline{
		{op: move, to: Point{x + r, y}},
		to(x+w-r, y), bend(x+w-k, y, x+w, y+k, x+w, y+r),
		to(x+w, y+h-r), bend(x+w, y+h-k, x+w-k, y+h, x+w-r, y+h),
		to(x+r, y+h), bend(x+k, y+h, x, y+h-k, x, y+h-r),
		to(x, y+r), bend(x, y+k, x+k, y, x+r, y),
		{op: closing},
	}
}

// Shape is a marker shape. An entry keeps one shape, beside its colour, through
// every page and print, so that colour is never the only thing to tell it by.
type Shape uint8

// The shapes, in the order in which entries get them.
const (
	Disc Shape = iota
	Square
	Peak
	Diamond
	Dip
	Plus
	Cross
	Hourglass
)

// shapes holds the corners of each shape for a disc of diameter 2; their size is
// chosen so that every shape looks as heavy as the disc.
var shapes = [8][]Point{
	Square:    {{-0.88, -0.88}, {0.88, -0.88}, {0.88, 0.88}, {-0.88, 0.88}},
	Peak:      {{0, -1.17}, {1.15, 0.85}, {-1.15, 0.85}},
	Diamond:   {{0, -1.22}, {1.22, 0}, {0, 1.22}, {-1.22, 0}},
	Dip:       {{0, 1.17}, {1.15, -0.85}, {-1.15, -0.85}},
	Plus:      plus(0),
	Cross:     plus(math.Pi / 4),
	Hourglass: {{-1, -1.05}, {1, -1.05}, {0.18, 0}, {1, 1.05}, {-1, 1.05}, {-0.18, 0}},
}

// plus is an upright cross with arms 0.76 wide, turned by angle.
func plus(angle float64) []Point {
	const long, half = 1.2, 0.38
	corners := [...]Point{
		{-half, -long}, {half, -long}, {half, -half}, {long, -half}, {long, half}, {half, half},
		{half, long}, {-half, long}, {-half, half}, {-long, half}, {-long, -half}, {-half, -half},
	}
	sin, cos := math.Sincos(angle)
	turned := make([]Point, len(corners))
	for i, p := range corners {
		turned[i] = Point{p.X*cos - p.Y*sin, p.X*sin + p.Y*cos}
	}
	return turned
}

// outline places the shape at x, y with the weight of a disc of diameter size.
func (s Shape) outline(x, y, size float64) Outline {
	r := size / 2
	if int(s) >= len(shapes) || s == Disc {
		return rounded(x-r, y-r, size, size, r)
	}
	corners := make([]Point, len(shapes[s]))
	for i, p := range shapes[s] {
		corners[i] = Point{x + r*p.X, y + r*p.Y}
	}
	return Polygon(corners...)
}
