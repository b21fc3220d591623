package draw

import (
	"image/color"
	"math"
	"strings"
	"testing"
)

// linear is the light of an 8-bit sRGB component.
// Source: IEC 61966-2-1:1999, sRGB transfer function.
func linear(c uint8) float64 {
	v := float64(c) / 255
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// contrast is the ratio of W3C, 2023, WCAG 2.2, "contrast ratio" and "relative luminance".
func contrast(a, b color.NRGBA) float64 {
	light := func(c color.NRGBA) float64 {
		return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
	}
	x, y := light(a), light(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

type vec [3]float64

// visions turn linear RGB into what people with common and with missing cone
// types see. Source: Machado, Oliveira and Fernandes, 2009, "A physiologically-
// based model for simulation of color vision deficiency", IEEE TVCG 15(6), table
// for severity 1.0; digits from memory, rows checked to sum to 1 in the test.
var visions = map[string][3]vec{
	"common":       {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// seen is the OKLab colour of c in a vision. Source of OKLab: Ottosson, 2020,
// "A perceptual color space for image processing", matrices from memory.
func seen(c color.NRGBA, vision [3]vec) vec {
	in := vec{linear(c.R), linear(c.G), linear(c.B)}
	var v vec
	for i, row := range vision {
		v[i] = max(0, min(1, row[0]*in[0]+row[1]*in[1]+row[2]*in[2]))
	}
	l := math.Cbrt(0.4122214708*v[0] + 0.5363325363*v[1] + 0.0514459929*v[2])
	m := math.Cbrt(0.2119034982*v[0] + 0.6806995451*v[1] + 0.1073969566*v[2])
	s := math.Cbrt(0.0883024619*v[0] + 0.2817188376*v[1] + 0.6299787005*v[2])
	return vec{
		0.2104542553*l + 0.7936177850*m - 0.0040720468*s,
		1.9779984951*l - 2.4285922050*m + 0.4505937099*s,
		0.0259040371*l + 0.7827717662*m - 0.8086757660*s,
	}
}

func distance(a, b vec) float64 {
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}

func TestVisionsKeepWhiteWhite(t *testing.T) {
	for name, m := range visions {
		for i, row := range m {
			if sum := row[0] + row[1] + row[2]; math.Abs(sum-1) > 2e-6 {
				t.Errorf("%s: row %d sums to %g, expected 1", name, i, sum)
			}
		}
	}
}

func TestContrast(t *testing.T) {
	for name, theme := range map[string]Theme{"paper": Paper, "night": Night} {
		for _, ground := range []Ink{Ground, Veil} {
			least := map[Ink]float64{Body: 7, Muted: 4.5, Accent: 4.5}
			for i := range Entries {
				least[EntryInk(i)] = 3
			}
			for ink, want := range least {
				if got := contrast(theme.Colour(ink), theme.Colour(ground)); got < want {
					t.Errorf("%s: contrast of %s on %s is %.2f, expected at least %g", name, ink.name(), ground.name(), got, want)
				}
			}
		}
	}
}

// Prints lay the paper colours on white.
func TestContrastOnWhite(t *testing.T) {
	white := color.NRGBA{R: 255, G: 255, B: 255, A: 255}
	for i := range Entries {
		if got := contrast(Paper.Colour(EntryInk(i)), white); got < 3 {
			t.Errorf("contrast of entry %d on white is %.2f, expected at least 3", i, got)
		}
	}
}

// Entry colours stay apart from each other, from the accent and from text, in
// every vision; 0.05 in OKLab is well over twice a difference that is just seen.
func TestEntryColoursStayApart(t *testing.T) {
	for themeName, theme := range map[string]Theme{"paper": Paper, "night": Night} {
		for name, vision := range visions {
			var all []vec
			for i := range Entries {
				all = append(all, seen(theme.Colour(EntryInk(i)), vision))
			}
			all = append(all, seen(theme.Colour(Accent), vision), seen(theme.Colour(Body), vision))
			for i := range Entries {
				for j := i + 1; j < len(all); j++ {
					want := 0.045
					if j < 3 {
						want = 0.09
					}
					if got := distance(all[i], all[j]); got < want {
						t.Errorf("%s, %s: inks %d and %d are %.3f apart, expected at least %g", themeName, name, i, j, got, want)
					}
				}
			}
		}
	}
}

func TestEntriesRepeat(t *testing.T) {
	seen := map[Ink]bool{}
	for i := range Entries {
		if seen[EntryInk(i)] || EntryInk(i) <= Accent {
			t.Errorf("entry %d shares ink %s", i, EntryInk(i).name())
		}
		seen[EntryInk(i)] = true
		for _, same := range []int{i + Entries, i - Entries, i - 3*Entries} {
			if EntryInk(same) != EntryInk(i) || EntryShape(same) != EntryShape(i) {
				t.Errorf("entry %d differs from entry %d", same, i)
			}
		}
	}
}

func TestStylesheetNamesEveryInk(t *testing.T) {
	sheet := Stylesheet()
	for k := Ground; int(k) < inks; k++ {
		if n := strings.Count(sheet, "--"+k.name()+": #"); n != 3 {
			t.Errorf("the style sheet sets --%s %d times, expected 3 (light, dark, dark by switch)", k.name(), n)
		}
		if !strings.Contains(sheet, ".f-"+k.name()+" {") || !strings.Contains(sheet, ".s-"+k.name()+" {") {
			t.Errorf("the style sheet lacks the classes of %s", k.name())
		}
	}
}
