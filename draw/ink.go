package draw

import (
	"fmt"
	"image/color"
)

// Ink names a colour by its job. What colour it is depends on the ground.
type Ink uint8

// The inks. Those of entries follow; ask EntryInk for them.
const (
	None   Ink = iota // draws nothing
	Ground            // the paper, for cutting signs free of what lies below
	Body              // text and data that carry the message
	Muted             // axis labels and notes; still text contrast
	Grid              // hairlines
	Veil              // bands behind data
	Accent            // flame blue: what to look at first or act on
	firstEntry
)

// Entries is how many entries have a colour and a shape of their own.
const Entries = 8

const inks = int(firstEntry) + Entries

// EntryInk is the colour of the entry with this index; it repeats after Entries.
func EntryInk(index int) Ink { return firstEntry + Ink(wrap(index)) }

// EntryShape is the marker shape of the entry with this index; it repeats after Entries.
func EntryShape(index int) Shape { return Shape(wrap(index)) }

func wrap(index int) int { return (index%Entries + Entries) % Entries }

// name is the ink's custom property in a style sheet, without the dashes.
func (k Ink) name() string {
	if k >= firstEntry {
		return fmt.Sprintf("entry-%d", k-firstEntry)
	}
	return [...]string{"", "ground", "body", "muted", "grid", "veil", "accent"}[k]
}

// Theme gives each ink a colour.
type Theme struct{ colours [inks]uint32 }

// Colour is the colour of an ink in the theme; that of None is invisible.
func (t Theme) Colour(k Ink) color.NRGBA {
	c := t.colours[k]
	if k == None {
		return color.NRGBA{}
	}
	return color.NRGBA{R: uint8(c >> 16), G: uint8(c >> 8), B: uint8(c), A: 255}
}

// The two grounds. The entry colours were found by a search of our own: eight
// hues kept away from the accent, light and dark variants of the same hue, as
// far apart as could be (OKLab distance, the first three most) in common vision
// and in simulated protanopia, deuteranopia and tritanopia, all at 3:1 or more
// against ground and veil. The tests compute contrast and distances anew.
// The shape beside each colour carries what colour cannot.
//
// Source of the approach: Okabe and Ito, 2008, "Color Universal Design"
// (lightness must differ where hue cannot); contrast: W3C, 2023, Web Content
// Accessibility Guidelines 2.2, criteria 1.4.3 and 1.4.11.
var (
	Paper = Theme{[inks]uint32{
		Ground: 0xf7f4ec, Body: 0x1f2328, Muted: 0x585c61, Grid: 0xd9d3c4, Veil: 0xe9e4d6, Accent: 0x1a56c4,
		firstEntry: 0x9e470d, 0x057d7d, 0x752e83, 0xa17b00, 0x752833, 0x688a63, 0x8f6ebc, 0x482e00,
	}}
	Night = Theme{[inks]uint32{
		Ground: 0x12161c, Body: 0xe9e6df, Muted: 0xa7abb0, Grid: 0x2d343e, Veil: 0x222a34, Accent: 0x85b2ff,
		firstEntry: 0xfc9157, 0x82d7d5, 0xc08ccb, 0xfed16a, 0xb26068, 0x8bbd83, 0x9c72d3, 0xaf8a55,
	}}
)
