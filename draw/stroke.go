package draw

import "math"

// flatten turns an outline into runs of points, curves cut into short chords.
func flatten(o Outline) [][]Point {
	const chords = 12 // a quarter circle of 6 px radius is off by 0.01 px
	var runs [][]Point
	var run []Point
	end := func() {
		if len(run) > 1 {
			runs = append(runs, run)
		}
		run = nil
	}
	for _, s := range o {
		switch s.op {
		case move:
			end()
			run = []Point{s.to}
		case straight:
			run = append(run, s.to)
		case curve:
			from := run[len(run)-1]
			for i := 1; i <= chords; i++ {
				run = append(run, bezier(from, s, float64(i)/chords))
			}
		case closing:
			if len(run) > 0 {
				run = append(run, run[0])
			}
			end()
		}
	}
	end()
	return runs
}

// bezier is the point at t of the cubic from a point along a step.
func bezier(from Point, s step, t float64) Point {
	u := 1 - t
	sum := func(a, b, c, d float64) float64 { return u*u*u*a + 3*u*u*t*b + 3*u*t*t*c + t*t*t*d }
	return Point{sum(from.X, s.ctl1.X, s.ctl2.X, s.to.X), sum(from.Y, s.ctl1.Y, s.ctl2.Y, s.to.Y)}
}

// stroke is the area covered by a pen of the given width along a run of points:
// a box for each piece and a disc at each inner corner, all turning the same
// way so that the nonzero rule joins them. Ends are cut square.
func stroke(run []Point, width, dash float64) Outline {
	var area Outline
	for _, piece := range dashes(run, dash) {
		closed := len(piece) > 2 && piece[0] == piece[len(piece)-1]
		for i := 1; i < len(piece); i++ {
			area = append(area, bar(piece[i-1], piece[i], width)...)
			if i > 1 || closed {
				area = append(area, Disc.outline(piece[i-1].X, piece[i-1].Y, width)...)
			}
		}
	}
	return area
}

// bar is the box of the given width about the line from a to b.
func bar(a, b Point, width float64) Outline {
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	if length == 0 {
		return nil
	}
	dx, dy := (b.X-a.X)/length*width/2, (b.Y-a.Y)/length*width/2
	return Polygon(Point{a.X + dy, a.Y - dx}, Point{b.X + dy, b.Y - dx}, Point{b.X - dy, b.Y + dx}, Point{a.X - dy, a.Y + dx})
}

// dashes cuts a run into pieces of the given length with gaps as long.
func dashes(run []Point, dash float64) [][]Point {
	if dash <= 0 {
		return [][]Point{run}
	}
	var pieces [][]Point
	piece, left := []Point{run[0]}, dash
	for i := 1; i < len(run); i++ {
		from := run[i-1]
		for rest := math.Hypot(run[i].X-from.X, run[i].Y-from.Y); rest > left; rest -= left {
			from = mix(from, run[i], left/rest)
			if piece != nil {
				pieces = append(pieces, append(piece, from))
				piece = nil
			} else {
				piece = []Point{from}
			}
			left = dash
		}
		left -= math.Hypot(run[i].X-from.X, run[i].Y-from.Y)
		if piece != nil {
			piece = append(piece, run[i])
		}
	}
	if len(piece) > 1 {
		pieces = append(pieces, piece)
	}
	return pieces
}
