package photo

import (
	"bytes"
	"image"
	"image/jpeg"
	"strings"
	"testing"
)

// TestOrientation holds the eight values to what the standard says of each: which
// visual side the stored first row and the stored first column belong to.
func TestOrientation(t *testing.T) {
	rows := []struct {
		value       byte
		row, column string
		source      string
	}{
		{1, "top", "left", "TIFF 6.0 (1992) page 36, Orientation, value 1; the same in CIPA DC-008-2019 (Exif 2.32) 4.6.4 A"},
		{2, "top", "right", "TIFF 6.0 page 36, value 2"},
		{3, "bottom", "right", "TIFF 6.0 page 36, value 3"},
		{4, "bottom", "left", "TIFF 6.0 page 36, value 4"},
		{5, "left", "top", "TIFF 6.0 page 36, value 5"},
		{6, "right", "top", "TIFF 6.0 page 36, value 6"},
		{7, "right", "bottom", "TIFF 6.0 page 36, value 7"},
		{8, "left", "bottom", "TIFF 6.0 page 36, value 8"},
	}
	opposite := map[string]string{"top": "bottom", "bottom": "top", "left": "right", "right": "left"}
	for _, row := range rows {
		for _, order := range []string{"II", "MM"} {
			p, err := Clean(bytes.NewReader(withSegments(quadrants(t, 96, 48), exif(order, row.value))))
			if err != nil {
				t.Fatal(err)
			}
			wide := row.row == "top" || row.row == "bottom"
			if wide != (p.Width == 96 && p.Height == 48) || !wide && (p.Width != 48 || p.Height != 96) {
				t.Errorf("%d %s: %d × %d pixels (%s)", row.value, order, p.Width, p.Height, row.source)
			}
			m, err := jpeg.Decode(bytes.NewReader(p.JPEG))
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range []struct{ stored, one, other string }{
				{"red", row.row, row.column},                       // first row, first column
				{"green", row.row, opposite[row.column]},           // first row, last column
				{"blue", opposite[row.row], row.column},            // last row, first column
				{"white", opposite[row.row], opposite[row.column]}, // last row, last column
			} {
				if got := seen(m, c.one+" "+c.other); got != c.stored {
					t.Errorf("%d %s: %s %s is %s, wanted %s (%s)", row.value, order, c.one, c.other, got, c.stored, row.source)
				}
			}
		}
	}
}

// seen names the colour near the corner that two sides make.
func seen(m image.Image, corner string) string {
	b := m.Bounds()
	x, y := b.Min.X+4, b.Min.Y+4
	if strings.Contains(corner, "right") {
		x = b.Max.X - 5
	}
	if strings.Contains(corner, "bottom") {
		y = b.Max.Y - 5
	}
	r, g, bl, _ := m.At(x, y).RGBA()
	high := func(v uint32) bool { return v > 0x8000 }
	switch [3]bool{high(r), high(g), high(bl)} {
	case [3]bool{true, false, false}:
		return "red"
	case [3]bool{false, true, false}:
		return "green"
	case [3]bool{false, false, true}:
		return "blue"
	case [3]bool{true, true, true}:
		return "white"
	}
	return "another colour"
}

// TestBrands holds the names of formats that are not taken to their registrations.
func TestBrands(t *testing.T) {
	const heic = "a HEIC photo: expected JPEG, PNG or WebP; the phone's camera settings can save JPEG"
	for _, row := range []struct{ brand, want, source string }{
		{"heic", heic, "ISO/IEC 23008-12:2022 B.4.1"},
		{"heix", heic, "ISO/IEC 23008-12:2022 B.4.1"},
		{"hevc", heic, "ISO/IEC 23008-12:2022 B.4.2"},
		{"mif1", heic, "ISO/IEC 23008-12:2022 10.2.1.1"},
		{"avif", "an AVIF picture: expected JPEG, PNG or WebP", "AV1 Image File Format v1.1.0 section 8.1"},
		{"isom", "a film: expected a photo (JPEG, PNG or WebP)", "ISO/IEC 14496-12 annex E"},
	} {
		_, err := Clean(strings.NewReader("\x00\x00\x00\x18ftyp" + row.brand + "\x00\x00\x00\x00mif1heic"))
		if err == nil || err.Error() != row.want {
			t.Errorf("%s: %v, wanted %s (%s)", row.brand, err, row.want, row.source)
		}
	}
}
