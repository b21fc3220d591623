package photo

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
)

// quadrants is a JPEG: red and green above, blue and white below.
func quadrants(t testing.TB, w, h int) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := [2][2]color.RGBA{{{255, 0, 0, 255}, {0, 255, 0, 255}}, {{0, 0, 255, 255}, {255, 255, 255, 255}}}
			m.SetRGBA(x, y, c[2*y/h][2*x/w])
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// segment is a JPEG segment of a marker and a body.
func segment(mark byte, body string) []byte {
	s := binary.BigEndian.AppendUint16([]byte{0xFF, mark}, uint16(len(body)+2))
	return append(s, body...)
}

// withSegments puts segments behind the first marker of a JPEG.
func withSegments(plain []byte, segments ...[]byte) []byte {
	return slices.Concat(plain[:2], slices.Concat(segments...), plain[2:])
}

// exif is an Exif segment with a camera's name, an orientation and a place: latitude
// as three rationals in a GPS directory.
func exif(order string, orientation byte) []byte {
	var o binary.AppendByteOrder = binary.LittleEndian
	if order == "MM" {
		o = binary.BigEndian
	}
	entry := func(b []byte, tag, kind uint16, count, value uint32) []byte {
		b = o.AppendUint32(o.AppendUint16(o.AppendUint16(b, tag), kind), count)
		if kind == 3 {
			return o.AppendUint16(o.AppendUint16(b, uint16(value)), 0)
		}
		return o.AppendUint32(b, value)
	}
	b := o.AppendUint32(o.AppendUint16([]byte(order), 42), 8)
	b = o.AppendUint16(b, 3)        // at 8
	b = entry(b, 0x010F, 2, 12, 80) // Make
	b = entry(b, 0x0112, 3, 1, uint32(orientation))
	b = entry(b, 0x8825, 4, 1, 50) // GPS directory
	b = o.AppendUint32(b, 0)       // 46..50
	b = o.AppendUint16(b, 1)       // at 50
	b = entry(b, 0x0002, 5, 3, 92) // GPSLatitude
	b = append(o.AppendUint32(b, 0), make([]byte, 80-68)...)
	b = append(b, "SecretMaker\x00"...) // at 80
	for _, v := range []uint32{47, 1, 33, 1, 5151, 100} {
		b = o.AppendUint32(b, v)
	}
	return segment(0xE1, exifID+string(b))
}

// dirty is a JPEG with all a phone and an editor leave in it.
func dirty(plain []byte) []byte {
	d := withSegments(plain,
		exif("MM", 1),
		segment(0xE1, "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta>SecretPlace</x:xmpmeta>"),
		segment(0xE2, "ICC_PROFILE\x00\x01\x01SecretProfile"),
		segment(0xED, "Photoshop 3.0\x008BIMSecretCaption"),
		segment(0xFE, "SecretComment"),
	)
	d = append(d, "SecretTrailer"...)
	return append(d, plain...) // a second picture behind the end
}

func TestNothingButPixelsIsLeft(t *testing.T) {
	plain := quadrants(t, 200, 120)
	want, err := Clean(bytes.NewReader(plain))
	if err != nil {
		t.Fatal(err)
	}
	got, err := Clean(bytes.NewReader(dirty(plain)))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got.JPEG, want.JPEG) {
		t.Error("what came with the pixels changed the bytes that were kept")
	}
	for _, s := range []string{"Secret", "Exif", "xmp", "ICC", "Photoshop", "II*", "MM\x00*"} {
		if bytes.Contains(got.JPEG, []byte(s)) {
			t.Errorf("%q is left", s)
		}
	}
	bare(t, got.JPEG)
}

// bare fails unless a JPEG holds tables, one baseline frame and one scan, and ends
// with its end.
func bare(t *testing.T, data []byte) {
	t.Helper()
	at := 2
	for data[at+1] != markScan {
		if !slices.Contains([]byte{0xDB, 0xC0, 0xC4}, data[at+1]) {
			t.Errorf("segment %02X is left at byte %d", data[at+1], at)
		}
		at += 2 + int(binary.BigEndian.Uint16(data[at+2:]))
	}
	if n := bytes.Count(data[at:], []byte{0xFF, markScan}); n != 1 {
		t.Errorf("%d scans, wanted 1", n)
	}
	if end := bytes.Index(data[at:], []byte{0xFF, markEnd}); at+end+2 != len(data) {
		t.Errorf("%d bytes behind the end", len(data)-at-end-2)
	}
}

func TestOrientationIsReadFromTheFirstWholeExif(t *testing.T) {
	plain := quadrants(t, 96, 48)
	good := exif("II", 6)
	bent := func(at int, v ...byte) []byte {
		s := slices.Clone(good)
		copy(s[at:], v)
		return s
	}
	const tiff = 10 // of the segment: marker, length, "Exif", two zeros
	for _, row := range []struct {
		name string
		file []byte
		want orientation
	}{
		{"none", plain, 1},
		{"whole", withSegments(plain, good), 6},
		{"after another APP1", withSegments(plain, segment(0xE1, "http://ns.adobe.com/xap/1.0/\x00"), good), 6},
		{"after fill bytes", withSegments(plain, []byte{0xFF, 0xFF}, good), 6},
		{"first of two", withSegments(plain, good, exif("MM", 3)), 6},
		{"value 0", withSegments(plain, exif("II", 0)), 1},
		{"value 9", withSegments(plain, exif("II", 9)), 1},
		{"other byte order mark", withSegments(plain, bent(tiff, 'X', 'X')), 1},
		{"not 42", withSegments(plain, bent(tiff+2, 43)), 1},
		{"directory behind the end", withSegments(plain, bent(tiff+4, 0xFF, 0xFF, 0xFF, 0xFF)), 1},
		{"directory at the last byte", withSegments(plain, bent(tiff+4, byte(len(good)-tiff-1))), 1},
		{"LONG instead of SHORT", withSegments(plain, bent(tiff+8+2+12+2, 4)), 1},
		{"two values", withSegments(plain, bent(tiff+8+2+12+4, 2)), 1},
		{"65535 entries, tag among them", withSegments(plain, bent(tiff+8, 0xFF, 0xFF)), 6},
		{"empty block", withSegments(plain, segment(0xE1, exifID)), 1},
		{"length 0", withSegments(plain, []byte{0xFF, 0xE1, 0, 0}), 1},
		{"cut off", withSegments(plain, good)[:40], 1},
		{"only a start", plain[:2], 1},
		{"behind the pixels", append(slices.Clone(plain), good...), 1},
		{"no marker", []byte{0xFF, 0xD8, 0, 0, 0, 0}, 1},
	} {
		if got := orientationOf(row.file); got != row.want {
			t.Errorf("%s: %d, wanted %d", row.name, got, row.want)
		}
	}
}

func TestSizes(t *testing.T) {
	for _, row := range []struct{ w, h, wantW, wantH int }{
		{1, 1, 1, 1},
		{1599, 10, 1599, 10},
		{1600, 10, 1600, 10},
		{1601, 10, 1600, 10},
		{10, 1601, 10, 1600},
		{3200, 2400, 1600, 1200},
		{2400, 3200, 1200, 1600},
		{6000, 1, 1600, 1},
	} {
		var b bytes.Buffer
		if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, row.w, row.h))); err != nil {
			t.Fatal(err)
		}
		p, err := Clean(&b)
		if err != nil || p.Width != row.wantW || p.Height != row.wantH {
			t.Errorf("%d × %d: %d × %d, %v; wanted %d × %d", row.w, row.h, p.Width, p.Height, err, row.wantW, row.wantH)
			continue
		}
		c, err := jpeg.DecodeConfig(bytes.NewReader(p.JPEG))
		if err != nil || c.Width != p.Width || c.Height != p.Height {
			t.Errorf("%d × %d: the JPEG says %d × %d, %v", row.w, row.h, c.Width, c.Height, err)
		}
	}
}

func TestTransparentBecomesWhite(t *testing.T) {
	for _, size := range []int{20, 1700} {
		m := image.NewNRGBA(image.Rect(0, 0, size, 20))
		for i := range size * 20 {
			m.Pix[4*i], m.Pix[4*i+3] = 255, 128*byte(i%size*2/size) // red: left unseen, right by half
		}
		var b bytes.Buffer
		if err := png.Encode(&b, m); err != nil {
			t.Fatal(err)
		}
		p, err := Clean(&b)
		if err != nil {
			t.Fatal(err)
		}
		got, _ := jpeg.Decode(bytes.NewReader(p.JPEG))
		near(t, got.At(3, 9), color.RGBA{255, 255, 255, 255})
		near(t, got.At(p.Width-4, 9), color.RGBA{255, 127, 127, 255})
	}
}

func near(t *testing.T, got color.Color, want color.RGBA) {
	t.Helper()
	r, g, b, _ := got.RGBA()
	for i, d := range [3]int{int(r>>8) - int(want.R), int(g>>8) - int(want.G), int(b>>8) - int(want.B)} {
		if d < -8 || d > 8 {
			t.Errorf("channel %d is off by %d: %v, wanted %v", i, d, got, want)
		}
	}
}

// webP is one opaque pixel, lossy (VP8).
func webP(t testing.TB) []byte {
	t.Helper()
	data, err := base64.StdEncoding.DecodeString("UklGRiIAAABXRUJQVlA4IBYAAAAwAQCdASoBAAEADsD+JaQAA3AAAAAA")
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestFormats(t *testing.T) {
	p, err := Clean(bytes.NewReader(webP(t)))
	if err != nil || p.Width != 1 || p.Height != 1 {
		t.Errorf("WebP: %d × %d, %v", p.Width, p.Height, err)
	}
}

// header is a PNG that ends after its header.
func header(w, h uint32) []byte {
	ihdr := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32([]byte("IHDR"), w), h)
	ihdr = append(ihdr, 8, 2, 0, 0, 0)
	b := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d"), ihdr...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(ihdr))
}

func TestRefusals(t *testing.T) {
	plain := quadrants(t, 96, 48)
	for _, row := range []struct {
		name string
		file io.Reader
		want string
	}{
		{"empty", strings.NewReader(""), "an empty file: expected a photo (JPEG, PNG or WebP)"},
		{"text", strings.NewReader("hello, bench"), `a file that begins with "hello, b": expected a photo (JPEG, PNG or WebP)`},
		{"one byte", strings.NewReader("\xFF"), `a file that begins with "\xff": expected a photo (JPEG, PNG or WebP)`},
		{"cut off", bytes.NewReader(plain[:len(plain)-40]), "the JPEG cannot be read whole: invalid JPEG format: short Huffman data; send it again, or save it anew first"},
		{"cut off in its head", bytes.NewReader(plain[:30]), "the JPEG cannot be read whole: unexpected EOF; send it again, or save it anew first"},
		{"no pixels in a PNG", bytes.NewReader(header(10000, 5000)), "the PNG cannot be read whole: unexpected EOF; send it again, or save it anew first"},
		{"one row too large", bytes.NewReader(header(10000, 5001)), "a PNG of 10000 × 5001 pixels: expected at most 50 million in all; send it smaller"},
		{"a vast claim", bytes.NewReader(header(1<<31-1, 1)), "a PNG of 2147483647 × 1 pixels: expected at most 50 million in all; send it smaller"},
		{"no width", bytes.NewReader(header(0, 5)), "the PNG cannot be read whole: png: invalid format: non-positive dimension; send it again, or save it anew first"},
		{"a GIF", strings.NewReader("GIF89a!"), `a file that begins with "GIF89a!": expected a photo (JPEG, PNG or WebP)`},
		{"scans without end", bytes.NewReader(slices.Concat(plain, bytes.Repeat([]byte{0xFF, markScan}, maxScans))), "a JPEG of more than 500 scans: expected about ten; save it anew"},
		{"a byte too many", io.LimitReader(zeros{}, MaxBytes+1), "a photo of more than 16 MB: expected at most that; send it smaller"},
		{"as many as may be", io.LimitReader(zeros{}, MaxBytes), `a file that begins with "\x00\x00\x00\x00\x00\x00\x00\x00": expected a photo (JPEG, PNG or WebP)`},
		{"a line that broke", iotest.ErrReader(errors.New("the line broke")), "reading the photo: the line broke"},
	} {
		_, err := Clean(row.file)
		if err == nil || row.want != "" && err.Error() != row.want {
			t.Errorf("%s: %v, wanted %s", row.name, err, row.want)
		}
	}
}

// zeros never ends.
type zeros struct{}

func (zeros) Read(p []byte) (int, error) {
	clear(p)
	return len(p), nil
}

// TestEveryCutIsRefused cuts a whole JPEG at every byte before its end marker.
func TestEveryCutIsRefused(t *testing.T) {
	plain := withSegments(quadrants(t, 24, 16), exif("II", 6))
	for n := range len(plain) - 2 {
		if _, err := Clean(bytes.NewReader(plain[:n])); err == nil {
			t.Fatalf("the first %d of %d bytes passed for a whole picture", n, len(plain))
		}
	}
}

func FuzzClean(f *testing.F) {
	plain := quadrants(f, 24, 16)
	f.Add(dirty(plain))
	f.Add(withSegments(plain, exif("II", 6)))
	f.Add(webP(f))
	f.Add(header(3, 3))
	f.Add([]byte("\x00\x00\x00\x18ftypheic"))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Clean(bytes.NewReader(data))
		if err != nil {
			return
		}
		c, err := jpeg.DecodeConfig(bytes.NewReader(p.JPEG))
		if err != nil || c.Width != p.Width || c.Height != p.Height || max(p.Width, p.Height) > MaxSide {
			t.Errorf("%+v, %v; said to be %d × %d", c, err, p.Width, p.Height)
		}
		bare(t, p.JPEG)
	})
}

// BenchmarkClean is one photo of 12 megapixels, lying on its side.
func BenchmarkClean(b *testing.B) {
	m := image.NewYCbCr(image.Rect(0, 0, 4000, 3000), image.YCbCrSubsampleRatio420)
	random := rand.New(rand.NewPCG(1, 2))
	for i := range m.Y {
		m.Y[i] = byte(i%4000/16) + byte(random.UintN(8))
	}
	var file bytes.Buffer
	if err := jpeg.Encode(&file, m, &jpeg.Options{Quality: 90}); err != nil {
		b.Fatal(err)
	}
	data := withSegments(file.Bytes(), exif("II", 6))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Clean(bytes.NewReader(data)); err != nil {
			b.Fatal(err)
		}
	}
}

// A picture scaled down keeps its means: each new pixel is that part of the old
// picture which it covers, be it parts of pixels.
func TestScalingKeepsMeans(t *testing.T) {
	of := image.NewRGBA(image.Rect(0, 0, 3, 1))
	for x, v := range []uint8{0, 90, 240} {
		of.SetRGBA(x, 0, color.RGBA{v, v, v, 255})
	}
	for _, c := range []struct {
		a    area
		want uint8
	}{
		{area{0, 0, 1.5, 1}, 30},  // (0 + 90/2) / 1.5
		{area{1.5, 0, 3, 1}, 190}, // (90/2 + 240) / 1.5
		{area{0, 0, 3, 1}, 110},
		{area{0.25, 0.5, 0.75, 1}, 0},
	} {
		var got [4]uint8
		average(got[:], of, c.a)
		if got != [4]uint8{c.want, c.want, c.want, 255} {
			t.Errorf("mean of %v is %v, expected %d", c.a, got, c.want)
		}
	}
	wide := image.NewGray(image.Rect(0, 0, 2*MaxSide, 4))
	for i := range wide.Pix {
		wide.Pix[i] = uint8(i % 2 * 200) // columns of 0 and 200
	}
	small := shrink(wide)
	if small.Rect.Dx() != MaxSide || small.Rect.Dy() != 2 || small.RGBAAt(700, 1) != (color.RGBA{100, 100, 100, 255}) {
		t.Errorf("%v, in its middle %v; expected %d × 2 and 100", small.Rect, small.RGBAAt(700, 1), MaxSide)
	}
}
