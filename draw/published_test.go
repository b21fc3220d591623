package draw

import (
	"image/color"
	"math"
	"testing"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// Contrast ratios that W3C documents state.
func TestPublishedContrast(t *testing.T) {
	grey := func(v uint8) color.NRGBA { return color.NRGBA{R: v, G: v, B: v, A: 255} }
	for _, row := range []struct {
		a, b           color.NRGBA
		want, tolerant float64
		source         string
	}{
		{grey(0), grey(255), 21, 1e-9, "WCAG 2.2, contrast ratio: ratios range from 1 to 21"},
		{grey(255), grey(255), 1, 1e-9, "WCAG 2.2, contrast ratio: ratios range from 1 to 21"},
		{grey(0x76), grey(255), 4.54, 0.005, "from memory: #767676 is the lightest grey that passes 4.5:1 on white"},
		{grey(0x77), grey(255), 4.48, 0.005, "from memory: #777777 on white fails 4.5:1"},
	} {
		if got := contrast(row.a, row.b); math.Abs(got-row.want) > row.tolerant {
			t.Errorf("contrast of %v and %v is %.3f, expected %g (%s)", row.a, row.b, got, row.want, row.source)
		}
	}
}

// Liberation Sans was made to the widths of Arial, which has those of Helvetica.
// The widths here are those of the PDF library's own core font Helvetica (Adobe,
// 1997, Core 14 AFM), whole thousandths of an em a character.
func TestPublishedWidths(t *testing.T) {
	doc := fpdf.New("P", "pt", "A4", "")
	doc.SetCreationDate(time.Unix(0, 0))
	for _, style := range []string{"", "B"} {
		doc.SetFont("Helvetica", style, 1000)
		for _, text := range []string{"0123456789", "6:11", "Tall can, 16 jets", "WAVE", "n = 7, 2 did not boil", "(%) [x] {y} <z>"} {
			want := doc.GetStringWidth(text)
			got := TextWidth(text, 1000, style == "B")
			if math.Abs(got-want) > 0.5*float64(len(text)) {
				t.Errorf("width of %q in style %q is %.1f thousandths, expected %.1f", text, style, got, want)
			}
		}
	}
}
