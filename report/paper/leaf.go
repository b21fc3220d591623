package paper

import (
	"fmt"
	"regexp"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"fairburn/draw"
	"fairburn/report/words"
)

// Measures of a page, mm.
const (
	margin = 16.0 // on all sides; the foot stands in the lower one
	footAt = 10.0 // baseline of the foot above the lower edge
	point  = 25.4 / 72
)

// face is a way of setting text: size in points, and height of a line as a
// multiple of it.
type face struct {
	size float64
	bold bool
	line float64
}

// The faces.
var (
	title    = face{19, true, 1.2}
	lead     = face{11.5, false, 1.35}
	sentence = face{15, true, 1.28}
	head2    = face{13.5, true, 1.25}
	head3    = face{10.5, true, 1.3}
	label    = face{9.5, true, 1.35}
	body     = face{9.5, false, 1.4}
	small    = face{8, false, 1.35}
)

func (f face) height() float64 { return f.size * point * f.line }

// width is that of a text in millimetres.
func (f face) width(text string) float64 { return draw.TextWidth(text, f.size*point, f.bold) }

// leaf is the page being written, and where: y is the upper end of what is still
// free. Text is indented from the left margin by indent.
type leaf struct {
	doc        *fpdf.Fpdf
	family     string
	wide, high float64
	y, indent  float64
	spelled    bool // a character was written by its code point
}

func (l *leaf) left() float64  { return margin + l.indent }
func (l *leaf) room() float64  { return l.wide - margin - l.left() }
func (l *leaf) free() float64  { return l.high - margin - l.y }
func (l *leaf) whole() float64 { return l.high - 2*margin }

// turn begins a new page.
func (l *leaf) turn() {
	l.doc.AddPage()
	l.y = margin
}

// need turns the page unless so much is free on it. What no page can hold begins
// where it is.
func (l *leaf) need(height float64) {
	if height > l.free() && height <= l.whole() && l.y > margin {
		l.turn()
	}
}

// gap leaves room, but not at the top of a page.
func (l *leaf) gap(height float64) {
	if l.y > margin {
		l.y += height
	}
}

// spell is a text as the font can set it.
func (l *leaf) spell(text string) string {
	set, spelled := words.Spell(text)
	l.spelled = l.spelled || spelled
	return set
}

// put sets one line with its baseline for a line whose upper end is y.
func (l *leaf) put(f face, k draw.Ink, x, y float64, text string) {
	style := ""
	if f.bold {
		style = "B"
	}
	c := draw.Paper.Colour(k)
	l.doc.SetFont(l.family, style, f.size)
	l.doc.SetTextColor(int(c.R), int(c.G), int(c.B))
	l.doc.Text(x, y+(f.height()+0.7*f.size*point)/2, text)
}

// rule draws a line across from x to x+width.
func (l *leaf) rule(k draw.Ink, x, y, width, weight float64) {
	c := draw.Paper.Colour(k)
	l.doc.SetDrawColor(int(c.R), int(c.G), int(c.B))
	l.doc.SetLineWidth(weight)
	l.doc.Line(x, y, x+width, y)
}

func (l *leaf) fill(k draw.Ink, x, y, width, height float64) {
	c := draw.Paper.Colour(k)
	l.doc.SetFillColor(int(c.R), int(c.G), int(c.B))
	l.doc.Rect(x, y, width, height, "F")
}

func (l *leaf) bookmark(name string) { l.doc.Bookmark(name, 0, l.y) }

// feet writes the foot of every page once their number is known.
func (l *leaf) feet(heading string, invented bool) {
	pages := l.doc.PageCount()
	name := l.spell(heading)
	for n := 1; n <= pages; n++ {
		l.doc.SetPage(n)
		l.doc.SetFont(l.family, "B", small.size+1) // another than put sets, so that the page gets it
		y := l.high - footAt - small.height()
		count := fmt.Sprintf("page %d of %d", n, pages)
		at := l.wide - margin - small.width(count)
		l.put(small, draw.Muted, at, y, count)
		room := at - margin - 6
		mark := ""
		if invented {
			mark = "INVENTED DATA"
			room -= face{small.size, true, 1}.width(mark) + 6
		}
		short := fit(name, room, small)
		l.put(small, draw.Muted, margin, y, short)
		if mark != "" {
			l.put(face{small.size, true, small.line}, draw.Body, margin+small.width(short)+4, y, mark)
		}
	}
}

// fit cuts a text with an ellipsis to a width.
func fit(text string, width float64, f face) string {
	if f.width(text) <= width {
		return text
	}
	runes := []rune(text)
	for n := len(runes) - 1; n > 0; n-- {
		if short := strings.TrimRight(string(runes[:n]), " ") + "…"; f.width(short) <= width {
			return short
		}
	}
	return "…"
}

var figureAndUnit = regexp.MustCompile(`([0-9]) (%|(?:°C|°F|g|mL|fl oz|oz|W|hPa|inHg|mm)\b)`)

// lines breaks a text at spaces to a width, but not between a figure and its
// unit; a word that is too long is broken where it must.
func (l *leaf) lines(text string, width float64, f face) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(figureAndUnit.ReplaceAllString(l.spell(text), "$1\x00$2")) {
		word = strings.ReplaceAll(word, "\x00", " ")
		for _, part := range pieces(word, width, f) {
			switch {
			case line == "":
				line = part
			case f.width(line+" "+part) <= width:
				line += " " + part
			default:
				out, line = append(out, line), part
			}
		}
	}
	return append(out, line)
}

// pieces is the word, in as many pieces as each fits the width.
func pieces(word string, width float64, f face) []string {
	if f.width(word) <= width {
		return []string{word}
	}
	var out []string
	piece := ""
	for _, r := range word {
		if piece != "" && f.width(piece+string(r)) > width {
			out, piece = append(out, piece), ""
		}
		piece += string(r)
	}
	return append(out, piece)
}
