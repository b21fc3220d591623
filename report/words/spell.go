package words

import (
	"fmt"
	"strings"
	"unicode"

	"fairburn/draw"
)

// standIns are used for signs that the embedded font lacks.
var standIns = map[rune]string{'⌀': "Ø", '∅': "Ø", '\u2011': "-", '\u00ad': ""}

// SpelledNote says what Spell did, for the foot of a document.
const SpelledNote = "Characters that the font of this file lacks, and letters written from right to left, are given by their code points in Unicode, such as U+706B."

// Spell writes a text so that the embedded font can set every character of it.
// What the font lacks, and what is written from right to left (which print and
// pictures do not reorder), is given by code point: "U+706B". Signs that show
// nothing by themselves are left out. spelled reports whether a code point was
// needed.
func Spell(text string) (set string, spelled bool) {
	var b strings.Builder
	codes := false // the last character written was a code point
	for _, r := range strings.ToValidUTF8(text, "\ufffd") {
		if in, ok := standIns[r]; ok {
			b.WriteString(in)
			continue
		}
		switch {
		case unicode.IsControl(r) || unicode.IsSpace(r) && r != '\u00a0':
			b.WriteByte(' ')
		case unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Variation_Selector, r):
			continue
		case lacks(r) || leftward(r):
			if b.Len() > 0 && (codes || !strings.HasSuffix(b.String(), " ")) {
				b.WriteByte(' ')
			}
			fmt.Fprintf(&b, "U+%04X", r)
			codes, spelled = true, true
			continue
		default:
			if codes && (unicode.IsLetter(r) || unicode.IsNumber(r)) {
				b.WriteByte(' ')
			}
			b.WriteRune(r)
		}
		codes = false
	}
	return b.String(), spelled
}

// lacks reports whether either face of the embedded font has no such character.
func lacks(r rune) bool {
	if r < 0x7f { // asked a thousand times for each other one
		return false
	}
	for _, bold := range []bool{false, true} {
		scene := draw.Scene{Nodes: []draw.Node{draw.Text{Text: string(r), Bold: bold}}}
		if len(scene.Missing()) > 0 {
			return true
		}
	}
	return false
}

// leftward reports whether a letter is written from right to left.
func leftward(r rune) bool {
	return unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko)
}
