package chart

import (
	"math"

	"fairburn/draw"
)

// box is an area that something on a plot takes up.
type box struct{ left, top, right, bottom float64 }

func around(x, y, halfWidth, halfHeight float64) box {
	return box{x - halfWidth, y - halfHeight, x + halfWidth, y + halfHeight}
}

// overlap is the area two boxes share.
func (b box) overlap(o box) float64 {
	w := min(b.right, o.right) - max(b.left, o.left)
	h := min(b.bottom, o.bottom) - max(b.top, o.top)
	return max(0, w) * max(0, h)
}

func (b box) inside(o box) bool {
	return b.left >= o.left && b.right <= o.right && b.top >= o.top && b.bottom <= o.bottom
}

// placer finds places for labels beside the things they name. A label must lie
// within the plot and clear of the labels and centres before it (solid); it
// lies on single points and lines (soft) only if it has to.
type placer struct {
	plot  box
	solid []box
	soft  []box
}

// covering is the cost of hiding a square pixel of data; to hide one point is
// worse than to stand in the farthest seat.
const covering = 4

// seats are the directions in which a label is tried, best first.
var seats = []draw.Point{{X: 1, Y: -1}, {X: 1, Y: 1}, {X: -1, Y: -1}, {X: -1, Y: 1}, {X: 0, Y: -1}, {X: 0, Y: 1}, {X: 1}, {X: -1}}

// place finds the middle of a label of the given size for the thing at x, y, and
// keeps it free from later ones. It fails if every place is taken.
func (p *placer) place(x, y, width, height float64) (cx, cy float64, placed bool) {
	best := math.Inf(1)
	var at box
	for ring, reach := range []float64{9, 16, 26} {
		for i, seat := range seats {
			b := around(x+seat.X*(reach+width/2), y+seat.Y*(reach*0.7+height/2), width/2, height/2)
			if !b.inside(p.plot) || p.blocked(b) {
				continue
			}
			cost := float64(ring)*60 + float64(i)*4
			for _, s := range p.soft {
				cost += covering * b.overlap(s)
			}
			if cost < best {
				best, at = cost, b
			}
		}
	}
	if math.IsInf(best, 1) {
		return 0, 0, false
	}
	p.solid = append(p.solid, at)
	return (at.left + at.right) / 2, (at.top + at.bottom) / 2, true
}

func (p *placer) blocked(b box) bool {
	for _, s := range p.solid {
		if b.overlap(s) > 0 {
			return true
		}
	}
	return false
}
