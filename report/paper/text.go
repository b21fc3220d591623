package paper

import (
	"fairburn/draw"
	"fairburn/report"
)

// text sets a paragraph, over as many pages as it takes.
func (l *leaf) text(f face, k draw.Ink, text string) {
	for _, line := range l.lines(text, l.room(), f) {
		l.need(f.height())
		l.put(f, k, l.left(), l.y, line)
		l.y += f.height()
	}
}

// barred sets what write writes with a bar of the accent to its left; what is
// longer than the page is left without.
func (l *leaf) barred(write func()) {
	page, top := l.doc.PageNo(), l.y
	l.indent += 5
	write()
	l.indent -= 5
	if l.doc.PageNo() == page {
		l.fill(draw.Accent, margin, top, 1.4, l.y-top)
	}
}

// headRoom is what must be free below a heading.
const headRoom = 24.0

func (l *leaf) head2(text string) {
	l.gap(7)
	l.need(head2.height() + headRoom)
	l.bookmark(text)
	if l.y > margin {
		l.rule(draw.Grid, margin, l.y, l.wide-2*margin, 0.4)
		l.y += 3
	}
	l.text(head2, draw.Body, text)
	l.gap(1.5)
}

func (l *leaf) head3(text string) {
	l.need(head3.height() + 2*body.height())
	l.text(head3, draw.Body, text)
	l.gap(0.5)
}

// bullet is how far a list is indented.
const bullet = 3.5

// item sets one item of a list; its first two lines are not parted.
func (l *leaf) item(text string) {
	l.need(2 * body.height())
	l.put(body, draw.Muted, l.left(), l.y, "•")
	l.indent += bullet
	l.text(body, draw.Body, text)
	l.indent -= bullet
	l.gap(0.6)
}

func (l *leaf) items(heading string, texts []string) {
	if len(texts) == 0 {
		return
	}
	l.gap(3)
	l.head3(heading)
	for _, t := range texts {
		l.item(t)
	}
}

// twoColumns sets a list in two columns where half a page holds it, else in one.
func (l *leaf) twoColumns(texts []string) {
	const between = 8
	width, n := (l.room()-between)/2, (len(texts)+1)/2
	height := max(l.column(texts[:n], 0, width, false), l.column(texts[n:], 0, width, false))
	if height > l.whole()/2 {
		for _, t := range texts {
			l.item(t)
		}
		return
	}
	l.need(height)
	l.column(texts[:n], l.left(), width, true)
	l.column(texts[n:], l.left()+width+between, width, true)
	l.y += height
}

// column sets a list from x down without turning the page, or only measures it,
// and returns its height.
func (l *leaf) column(texts []string, x, width float64, set bool) (height float64) {
	for _, t := range texts {
		lines := l.lines(t, width-bullet, body)
		for n, line := range lines {
			y := l.y + height + float64(n)*body.height()
			if set && n == 0 {
				l.put(body, draw.Muted, x, y, "•")
			}
			if set {
				l.put(body, draw.Body, x+bullet, y, line)
			}
		}
		height += float64(len(lines))*body.height() + 0.6
	}
	return height
}

// factName is how wide the names of facts stand.
const factName = 34.0

// factList sets names beside texts, each fact below a hairline.
func (l *leaf) factList(facts []report.Fact) {
	for _, f := range facts {
		names := l.lines(f.Name, factName-3, body)
		text := l.lines(f.Text, l.room()-factName, body)
		height := float64(max(len(names), len(text))) * body.height()
		l.need(min(height+2, l.whole()))
		l.rule(draw.Grid, l.left(), l.y, l.room(), 0.2)
		l.y++
		for n := range max(len(names), len(text)) {
			l.need(body.height())
			if n < len(names) {
				l.put(body, draw.Muted, l.left(), l.y, names[n])
			}
			if n < len(text) {
				l.put(body, draw.Body, l.left()+factName, l.y, text[n])
			}
			l.y += body.height()
		}
		l.y++
	}
}

// bar draws a bar of 100 mm with its name below.
func (l *leaf) bar(name string) {
	l.need(4 + small.height())
	l.fill(draw.Body, l.left(), l.y, 100, 1.2)
	l.y += 2
	l.text(small, draw.Muted, name)
}
