package draw

import (
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Room is the width to leave for a text that must not touch its neighbour: that
// of TextWidth and what a browser's stand-in for Liberation Sans may be wider.
// Most stand-ins are metric twins (factor 1); the widest common one, DejaVu Sans,
// was measured on words and figures at up to 1.18 times, bold 1.25 times.
func Room(text string, size float64, bold bool) float64 {
	slack := 1.18
	if bold {
		slack = 1.25
	}
	return slack * TextWidth(text, size, bold)
}

// fonts parses the two embedded faces once. They are part of the program, so a
// failure is a programmer's mistake.
var fonts = sync.OnceValue(func() [2]*sfnt.Font {
	var parsed [2]*sfnt.Font
	for i, data := range [][]byte{liberationsansregular.TTF, liberationsansbold.TTF} {
		f, err := sfnt.Parse(data)
		if err != nil {
			panic("draw: the embedded font cannot be read: " + err.Error())
		}
		parsed[i] = f
	}
	return parsed
})

func face(bold bool) *sfnt.Font {
	if bold {
		return fonts()[1]
	}
	return fonts()[0]
}

// TextWidth is the width of one line of text in CSS pixels by the metrics of
// Liberation Sans, without kerning. A character the font lacks counts as an em.
func TextWidth(text string, size float64, bold bool) float64 {
	f := face(bold)
	units := fixed.Int26_6(f.UnitsPerEm())
	var buf sfnt.Buffer
	total := 0.0
	for _, r := range shown(text) {
		g, err := f.GlyphIndex(&buf, r)
		if err != nil || g == 0 {
			total += float64(units)
			continue
		}
		if a, err := f.GlyphAdvance(&buf, g, units, 0); err == nil {
			total += float64(a)
		}
	}
	return total * size / float64(units)
}

// Fit cuts text with an ellipsis so that its Room fits width, and says whether
// it had to. It cuts between characters, never inside a joined one.
func Fit(text string, width, size float64, bold bool) (fitted string, cut bool) {
	if Room(text, size, bold) <= width {
		return text, false
	}
	runes := []rune(text)
	for n := len(runes) - 1; n > 0; n-- {
		if unicode.Is(unicode.Mn, runes[n]) || runes[n] == joiner || runes[n-1] == joiner {
			continue
		}
		short := strings.TrimRightFunc(string(runes[:n]), unicode.IsSpace) + "…"
		if Room(short, size, bold) <= width {
			return short, true
		}
	}
	return "…", true
}

const joiner = '\u200d'

// Missing lists, once each, the characters of the scene's texts that the
// embedded font lacks; PDF and PNG draw a box in their place.
func (s Scene) Missing() []rune {
	var buf sfnt.Buffer
	var missing []rune
	seen := map[rune]bool{}
	s.Walk(func(n Node) {
		t, is := n.(Text)
		if !is {
			return
		}
		for _, r := range shown(t.Text) {
			if g, err := face(t.Bold).GlyphIndex(&buf, r); (err != nil || g == 0) && !seen[r] {
				seen[r] = true
				missing = append(missing, r)
			}
		}
	})
	return missing
}

// shown is the text as it is set: control characters, which no line of text can
// show, become spaces.
func shown(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "\ufffd"))
}
