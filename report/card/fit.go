package card

import (
	"regexp"
	"strings"

	"fairburn/draw"
	"fairburn/report/words"
)

// line is one line of text that shrinks to its least size to fit, and is then
// cut with an ellipsis.
type line struct {
	text        string
	size, least float64
	bold        bool
}

// at sets the line from x on the baseline y in so much room.
func (l line) at(x, y, room float64, ink draw.Ink) draw.Text {
	text := spell(l.text)
	if wide := draw.TextWidth(text, l.size, l.bold); wide > room {
		l.size = max(l.least, 0.999*l.size*room/wide) // a rounding must not cut what just fits
	}
	return draw.Text{X: x, Y: y, Text: cut(text, room, l.size, l.bold), Size: l.size, Bold: l.bold, Ink: ink}
}

// cut is a text cut with an ellipsis to a width. Pictures carry their own font,
// so the room for a stand-in that draw.Fit leaves is not needed.
func cut(text string, width, size float64, bold bool) string {
	if draw.TextWidth(text, size, bold) <= width {
		return text
	}
	slack := draw.Room("n", size, bold) / draw.TextWidth("n", size, bold)
	short, _ := draw.Fit(text, width*slack, size, bold)
	return short
}

// spell is a text as the font can set it.
func spell(text string) string {
	set, _ := words.Spell(text)
	return strings.Join(strings.Fields(set), " ")
}

var unit = regexp.MustCompile(`^(%|°C|°F|g|mL|oz|fl|hPa)([,;.)]|$)`)

// paragraph sets a text in at most so many lines from the baseline y down, the
// last one cut with an ellipsis.
func (b *board) paragraph(text string, size float64, ink draw.Ink, x, y, room float64, most int) {
	var lines []string
	rest := strings.Fields(spell(text))
	for len(rest) > 0 && len(lines) < most {
		n := 1
		for n < len(rest) && draw.TextWidth(strings.Join(rest[:n+1], " "), size, false) <= room {
			n++
		}
		if n > 1 && n < len(rest) && unit.MatchString(rest[n]) {
			n-- // a figure and its unit stay together
		}
		if len(lines) == most-1 {
			n = len(rest)
		}
		lines, rest = append(lines, strings.Join(rest[:n], " ")), rest[n:]
	}
	for i, l := range lines {
		b.add(draw.Text{X: x, Y: y + 1.3*size*float64(i), Text: cut(l, room, size, false), Size: size, Ink: ink})
	}
}
