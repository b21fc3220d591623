// Package photo makes a picture safe to keep: it is decoded, turned upright, made
// small and written anew, so that of the file that came in only its pixels are left.
// Place, time, camera, names, comments, thumbnails, colour profiles and whatever
// hung behind the end of the picture are gone, because they are never copied.
//
// It refuses what it cannot decode whole: damaged and cut-off files, formats it does
// not know, and pictures too large to decode beside a running clock. It judges no
// content: a face, a house number or a note seen in the picture stays in it.
//
// Colours of a wide-gamut picture are read as if they were sRGB and come out a
// little paler.
//
// Read Clean first, then exif.go (which way is up) and turn.go.
package photo

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	"image/png"
	"io"
	"math"
	"sync"

	"golang.org/x/image/webp"
)

// Limits of what is taken and what is kept. Common practice, no source.
const (
	MaxBytes  = 16 << 20   // bytes of the file that comes in
	MaxPixels = 50_000_000 // width times height of the picture that comes in
	MaxSide   = 1600       // pixels of the longer side of the picture kept
	Quality   = 82         // of the JPEG kept, 1 to 100
)

// maxScans bounds the passes over a progressive JPEG. Cameras and editors write
// about ten; thousands of empty ones in a small file would take minutes to decode.
// Chance pairs of bytes in a maker's note or a film behind the picture count too,
// one in 65 536 bytes, so the bound is generous.
const maxScans = 500

// Picture is a picture cleaned.
type Picture struct {
	JPEG          []byte // a baseline JPEG without any metadata
	Width, Height int    // in pixels, upright
}

// one lets one picture at a time be decoded: 50 megapixels take up to about a
// gigabyte for a moment, and a bench must not run out of memory while a clock runs.
var one sync.Mutex

// Clean reads a JPEG, PNG or WebP (not animated) and returns it as a small JPEG without metadata. The orientation a JPEG's Exif data tells is
// applied, what is transparent becomes white, and a picture with a longer side over
// MaxSide is scaled down to it; a smaller one keeps its size.
//
// Errors, in words for the person who sent it: nothing read, more than MaxBytes,
// more than MaxPixels, a format not known, a damaged or cut-off file, a reader's own.
func Clean(r io.Reader) (Picture, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return Picture{}, fmt.Errorf("reading the photo: %w", err)
	}
	if len(data) > MaxBytes {
		return Picture{}, fmt.Errorf("a photo of more than %d MB: expected at most that; send it smaller", MaxBytes>>20)
	}
	f, err := formatOf(data)
	if err != nil {
		return Picture{}, err
	}
	one.Lock()
	defer one.Unlock()
	raw, err := f.open(data)
	if err != nil {
		return Picture{}, err
	}
	up := upright
	if f.name == "JPEG" {
		up = orientationOf(data)
	}
	return encode(turn(shrink(raw), up))
}

// format is one kind of file that is taken.
type format struct {
	name   string
	config func(io.Reader) (image.Config, error)
	decode func(io.Reader) (image.Image, error)
}

// open decodes the file after its size in pixels was found bearable.
func (f format) open(data []byte) (image.Image, error) {
	c, err := f.config(bytes.NewReader(data))
	if err != nil {
		return nil, f.damaged(err)
	}
	if c.Width <= 0 || c.Height <= 0 {
		return nil, fmt.Errorf("a %s of %d × %d pixels: nothing to see", f.name, c.Width, c.Height)
	}
	if int64(c.Width)*int64(c.Height) > MaxPixels {
		return nil, fmt.Errorf("a %s of %d × %d pixels: expected at most %d million in all; send it smaller",
			f.name, c.Width, c.Height, MaxPixels/1_000_000)
	}
	if f.name == "JPEG" && bytes.Count(data, []byte{0xFF, markScan}) > maxScans {
		return nil, fmt.Errorf("a JPEG of more than %d scans: expected about ten; save it anew", maxScans)
	}
	m, err := f.decode(bytes.NewReader(data))
	if err != nil {
		return nil, f.damaged(err)
	}
	if m.Bounds().Empty() {
		return nil, fmt.Errorf("a %s whose first picture is empty: nothing to see", f.name)
	}
	return m, nil
}

func (f format) damaged(err error) error {
	if err == io.EOF {
		err = io.ErrUnexpectedEOF
	}
	return fmt.Errorf("the %s cannot be read whole: %w; send it again, or save it anew first", f.name, err)
}

// formatOf tells the format by the first bytes; a file's name is not asked.
// Source of the marks: ISO/IEC 10918-1 B.1.1 (JPEG), W3C PNG section 5.2,
// RFC 9649 section 2.4 (WebP).
func formatOf(data []byte) (format, error) {
	starts := func(s string) bool { return bytes.HasPrefix(data, []byte(s)) }
	switch {
	case len(data) == 0:
		return format{}, fmt.Errorf("an empty file: expected a photo (JPEG, PNG or WebP)")
	case starts("\xFF\xD8\xFF"):
		return format{"JPEG", jpeg.DecodeConfig, jpeg.Decode}, nil
	case starts("\x89PNG\r\n\x1a\n"):
		return format{"PNG", png.DecodeConfig, png.Decode}, nil
	case starts("RIFF") && len(data) >= 12 && string(data[8:12]) == "WEBP":
		return format{"WebP", webp.DecodeConfig, webp.Decode}, nil
	}
	return format{}, unknown(data)
}

// unknown says what a file is that is not taken, as far as its first bytes tell.
// Source of the brands: ISO/IEC 23008-12 (HEIF) annex B, AV1 Image File Format
// section 8; of "ftyp": ISO/IEC 14496-12 section 4.3.
func unknown(data []byte) error {
	if len(data) >= 12 && string(data[4:8]) == "ftyp" {
		switch string(data[8:12]) {
		case "heic", "heix", "heim", "heis", "hevc", "hevx", "hevm", "hevs", "mif1", "msf1":
			return fmt.Errorf("a HEIC photo: expected JPEG, PNG or WebP; the phone's camera settings can save JPEG")
		case "avif", "avis":
			return fmt.Errorf("an AVIF picture: expected JPEG, PNG or WebP")
		}
		return fmt.Errorf("a film: expected a photo (JPEG, PNG or WebP)")
	}
	return fmt.Errorf("a file that begins with %q: expected a photo (JPEG, PNG or WebP)", data[:min(len(data), 8)])
}

// shrink paints a picture on white, scaled down if its longer side asks for it.
func shrink(src image.Image) *image.RGBA {
	b := src.Bounds()
	w, h := b.Dx(), b.Dy()
	if long := max(w, h); long > MaxSide {
		w = max(1, (w*MaxSide+long/2)/long)
		h = max(1, (h*MaxSide+long/2)/long)
	}
	if w == b.Dx() && h == b.Dy() {
		return onWhite(src, b)
	}
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	down, across := float64(b.Dy())/float64(h), float64(b.Dx())/float64(w)
	for y := range h {
		top, bottom := float64(y)*down, float64(y+1)*down
		first, last := int(top), min(b.Dy(), int(math.Ceil(bottom)))
		band := onWhite(src, image.Rect(b.Min.X, b.Min.Y+first, b.Max.X, b.Min.Y+last))
		for x := range w {
			average(dst.Pix[dst.PixOffset(x, y):], band, area{float64(x) * across, top - float64(first), float64(x+1) * across, bottom - float64(first)})
		}
	}
	return dst
}

// onWhite copies a part of a picture onto white paper.
func onWhite(src image.Image, part image.Rectangle) *image.RGBA {
	dst := image.NewRGBA(image.Rect(0, 0, part.Dx(), part.Dy()))
	draw.Draw(dst, dst.Bounds(), image.White, image.Point{}, draw.Src)
	draw.Draw(dst, dst.Bounds(), src, part.Min, draw.Over)
	return dst
}

// area is a rectangle that may begin and end within pixels.
type area struct{ left, top, right, bottom float64 }

// average is the mean colour of an area, each pixel counted by how much of it
// lies inside.
func average(to []uint8, of *image.RGBA, a area) {
	var sum [3]float64
	whole := 0.0
	for y := int(a.top); y < of.Rect.Dy() && float64(y) < a.bottom; y++ {
		high := min(float64(y+1), a.bottom) - max(float64(y), a.top)
		for x := int(a.left); x < of.Rect.Dx() && float64(x) < a.right; x++ {
			part := high * (min(float64(x+1), a.right) - max(float64(x), a.left))
			for i, v := range of.Pix[of.PixOffset(x, y):][:3] {
				sum[i] += part * float64(v)
			}
			whole += part
		}
	}
	for i := range sum {
		to[i] = uint8(sum[i]/whole + 0.5)
	}
	to[3] = 255
}

func encode(m *image.RGBA) (Picture, error) {
	var out bytes.Buffer
	if err := jpeg.Encode(&out, m, &jpeg.Options{Quality: Quality}); err != nil {
		return Picture{}, fmt.Errorf("writing the photo: %w", err)
	}
	return Picture{JPEG: out.Bytes(), Width: m.Bounds().Dx(), Height: m.Bounds().Dy()}, nil
}
