package paper

import (
	"fairburn/draw"
	"fairburn/report"
)

// Measures of a table, mm.
const (
	leastGap = 2.2 // between columns
	mostGap  = 7.0
	rowPad   = 0.7 // above and below the text of a row
	markRoom = 3.6 // of an entry's marker before its name
)

// grid is a table laid out: its face, the widths of its columns and the gap.
type grid struct {
	report.Table
	face   face
	widths []float64
	gap    float64
}

// faces of tables, the first in which a table fits is taken.
var tableFaces = []face{{8.5, false, 1.3}, {7.5, false, 1.3}, {6.5, false, 1.25}}

func bold(f face) face { return face{f.size, true, f.line} }

// lay chooses face and widths. Words are broken into lines first; where even
// the smallest face does not hold the figures, they are broken too.
func (l *leaf) lay(t report.Table) grid {
	var g grid
	for _, f := range tableFaces {
		g = grid{Table: t, face: f, gap: leastGap}
		natural, least := l.spans(g)
		if sum(least)+g.between() > l.room() {
			continue
		}
		g.widths = squeeze(natural, least, l.room()-g.between())
		if n := len(g.widths) - 1; n > 0 {
			g.gap = min(mostGap, g.gap+(l.room()-g.between()-sum(g.widths))/float64(n))
		}
		return g
	}
	natural, least := l.spans(g)
	g.widths = squeeze(natural, least, l.room()-g.between())
	share := (l.room() - g.between()) / sum(g.widths)
	for i := range g.widths {
		g.widths[i] *= share
	}
	return g
}

func (g grid) between() float64 { return g.gap * float64(len(g.Columns)-1) }

// spans are the widths that each column takes unbroken, and at least.
func (l *leaf) spans(g grid) (natural, least []float64) {
	natural, least = make([]float64, len(g.Columns)), make([]float64, len(g.Columns))
	for i, c := range g.Columns {
		head := l.spell(c.Head)
		natural[i], least[i] = bold(g.face).width(head), widest(head, bold(g.face))
		for _, r := range g.Rows {
			cell, f, more := l.spell(r.Cells[i]), g.face, 0.0
			if i == 0 {
				f, more = bold(f), g.mark(r)
			}
			natural[i] = max(natural[i], f.width(cell)+more)
			if c.Words {
				least[i] = max(least[i], widest(cell, f)+more)
			} else {
				least[i] = max(least[i], f.width(cell)+more)
			}
		}
		natural[i] += 0.01 // so that what fits exactly is not broken by a rounding
		least[i] += 0.01
	}
	return natural, least
}

// mark is the room that a row's marker takes.
func (g grid) mark(r report.Row) float64 {
	if r.Marker > 0 {
		return markRoom
	}
	return 0
}

// widest is the width of the widest word.
func widest(text string, f face) float64 {
	most, word := 0.0, ""
	for _, r := range text + " " {
		if r != ' ' {
			word += string(r)
			continue
		}
		most, word = max(most, f.width(word)), ""
	}
	return most
}

// squeeze takes from the widest column that can give until all fit the room.
func squeeze(natural, least []float64, room float64) []float64 {
	const step = 0.5
	for sum(natural) > room {
		give := -1
		for i := range natural {
			if natural[i]-step >= least[i] && (give < 0 || natural[i] > natural[give]) {
				give = i
			}
		}
		if give < 0 {
			return least
		}
		natural[give] -= step
	}
	return natural
}

func sum(xs []float64) float64 {
	total := 0.0
	for _, x := range xs {
		total += x
	}
	return total
}

// table sets a table below its caption, with its head on each page that it runs
// over, and its notes below. A table without rows is left out.
func (l *leaf) table(t report.Table) {
	if len(t.Rows) == 0 {
		return
	}
	g := l.lay(t)
	l.need(l.together(g))
	if t.Marker > 0 {
		l.marker(t.Marker, l.left(), l.y+head3.height()/2)
		l.indent += markRoom + 0.6
	}
	l.text(head3, draw.Body, t.Caption)
	if t.Marker > 0 {
		l.indent -= markRoom + 0.6
	}
	l.headRow(g)
	for _, r := range t.Rows {
		l.row(g, r)
	}
	l.gap(1)
	for _, n := range t.Notes {
		l.need(small.height())
		l.put(small, draw.Muted, l.left(), l.y, "•")
		l.indent += bullet
		l.text(small, draw.Muted, n)
		l.indent -= bullet
	}
	l.gap(5)
}

// together is what of a table must stand on one page: all of it up to half a
// page, else its head and first rows.
func (l *leaf) together(g grid) float64 {
	height := head3.height() + l.tall(g.heads(), g, bold(g.face)) + 1
	all := height
	for _, r := range g.Rows {
		_, most := l.broken(r.Cells, g, g.face, g.mark(r))
		all += float64(most)*g.face.height() + 2*rowPad
	}
	for _, n := range g.Notes {
		all += float64(len(l.lines(n, l.room()-bullet, small))) * small.height()
	}
	if all <= l.whole()/2 {
		return all
	}
	return height + 3*g.face.height() + 8
}

func (g grid) heads() []string {
	heads := make([]string, len(g.Columns))
	for i, c := range g.Columns {
		heads[i] = c.Head
	}
	return heads
}

// broken are the lines of each cell, how many the most broken has.
func (l *leaf) broken(cells []string, g grid, f face, mark float64) (parts [][]string, most int) {
	parts = make([][]string, len(cells))
	for i, c := range cells {
		width, face := g.widths[i], f
		if i == 0 {
			width, face = width-mark, bold(f)
		}
		parts[i] = l.lines(c, width, face)
		most = max(most, len(parts[i]))
	}
	return parts, most
}

func (l *leaf) tall(cells []string, g grid, f face) float64 {
	_, most := l.broken(cells, g, f, 0)
	return float64(most)*f.height() + 2*rowPad
}

// line sets one line of each cell: words from the left, figures to the right.
func (l *leaf) line(g grid, parts [][]string, n int, set func(column int) (face, draw.Ink, float64)) {
	x := l.left()
	for i, lines := range parts {
		f, ink, mark := set(i)
		if n < len(lines) {
			at := x + mark
			if !g.Columns[i].Words {
				at = x + g.widths[i] - f.width(lines[n])
			}
			l.put(f, ink, at, l.y, lines[n])
		}
		x += g.widths[i] + g.gap
	}
	l.y += g.face.height()
}

func (g grid) across() float64 { return sum(g.widths) + g.between() }

// headRow sets the heads, which stand on the line below them.
func (l *leaf) headRow(g grid) {
	f := bold(g.face)
	parts, most := l.broken(g.heads(), g, f, 0)
	for i := range parts { // down to the rule
		for len(parts[i]) < most {
			parts[i] = append([]string{""}, parts[i]...)
		}
	}
	l.y += rowPad
	for n := range most {
		l.line(g, parts, n, func(int) (face, draw.Ink, float64) { return f, draw.Muted, 0 })
	}
	l.y += rowPad
	l.rule(draw.Muted, l.left(), l.y, g.across(), 0.35)
}

// row sets a row, whole on one page if a page can hold it.
func (l *leaf) row(g grid, r report.Row) {
	parts, most := l.broken(r.Cells, g, g.face, g.mark(r))
	head := l.tall(g.heads(), g, bold(g.face))
	height := float64(most)*g.face.height() + 2*rowPad
	if height > l.free() && height+head <= l.whole() {
		l.turn()
		l.headRow(g)
	}
	l.y += rowPad
	if r.Marker > 0 {
		l.marker(r.Marker, l.left(), l.y+g.face.height()/2)
	}
	for n := range most {
		if g.face.height() > l.free() {
			l.turn()
			l.headRow(g)
			l.y += rowPad
		}
		l.line(g, parts, n, func(i int) (face, draw.Ink, float64) {
			if i == 0 {
				return bold(g.face), draw.Body, g.mark(r)
			}
			return g.face, draw.Body, 0
		})
	}
	l.y += rowPad
	l.rule(draw.Grid, l.left(), l.y, g.across(), 0.2)
}
