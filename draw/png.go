package draw

import (
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// mostPixels bounds a picture to what a screen or card can use, 16 megapixels.
const mostPixels = 16 << 20

// PNG writes the scene as a picture on the ground of the theme, scale image
// pixels to one CSS pixel.
func PNG(w io.Writer, s Scene, scale float64, theme Theme) error {
	if err := s.check(); err != nil {
		return err
	}
	width, height := s.Size()
	wide, high := math.Round(width*scale), math.Round(height*scale)
	if !(wide >= 1 && high >= 1 && wide*high <= mostPixels) {
		return fmt.Errorf("drawing %q: a picture of %g by %g pixels at scale %g, expected 1 to %d pixels in all",
			s.Title, wide, high, scale, mostPixels)
	}
	img := image.NewRGBA(image.Rect(0, 0, int(wide), int(high)))
	draw.Draw(img, img.Bounds(), image.NewUniform(theme.Colour(Ground)), image.Point{}, draw.Src)
	paint(s.Nodes, pngPen{img: img, scale: scale, theme: theme, margin: s.Margin})
	return png.Encode(w, img)
}

// pngPen inks outlines and texts on an image.
type pngPen struct {
	img   *image.RGBA
	scale float64
	theme Theme

	margin float64
}

func (p pngPen) outline(o Outline, s Style) {
	if s.Fill != None {
		p.ink(o, s.Fill, s.Fade)
	}
	if s.Stroke != None {
		for _, line := range flatten(o) {
			p.ink(stroke(line, s.width(), s.Dash), s.Stroke, s.Fade)
		}
	}
}

// ink fills an outline given in CSS pixels, by the nonzero rule.
func (p pngPen) ink(o Outline, k Ink, fade float64) {
	area := p.bounds(o).Intersect(p.img.Bounds())
	if area.Empty() {
		return
	}
	at := func(q Point) (x, y float32) {
		return float32((q.X+p.margin)*p.scale - float64(area.Min.X)), float32((q.Y+p.margin)*p.scale - float64(area.Min.Y))
	}
	r := vector.NewRasterizer(area.Dx(), area.Dy())
	for _, s := range o {
		x, y := at(s.to)
		switch s.op {
		case move:
			r.MoveTo(x, y)
		case straight:
			r.LineTo(x, y)
		case curve:
			ax, ay := at(s.ctl1)
			bx, by := at(s.ctl2)
			r.CubeTo(ax, ay, bx, by, x, y)
		case closing:
			r.ClosePath()
		}
	}
	c := p.theme.Colour(k)
	c.A = uint8(math.Round(255 * (1 - fade)))
	r.Draw(p.img, area, image.NewUniform(c), image.Point{})
}

// bounds is the rectangle of image pixels that holds the outline.
func (p pngPen) bounds(o Outline) image.Rectangle {
	low, high := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, s := range o {
		for _, q := range s.points() {
			low = Point{min(low.X, q.X), min(low.Y, q.Y)}
			high = Point{max(high.X, q.X), max(high.Y, q.Y)}
		}
	}
	if low.X > high.X {
		return image.Rectangle{}
	}
	limit := func(x float64) int { return int(max(-1, min((x+p.margin)*p.scale, mostPixels))) }
	return image.Rect(limit(low.X)-1, limit(low.Y)-1, limit(high.X)+2, limit(high.Y)+2)
}

// text sets glyph by glyph as outlines, at the same places at every scale.
func (p pngPen) text(t Text) {
	if t.Ink == None {
		return
	}
	var buf sfnt.Buffer
	f := face(t.Bold)
	units := float64(f.UnitsPerEm())
	em := t.Size / units
	x := t.left()
	for _, r := range boxed(t) {
		g, err := f.GlyphIndex(&buf, r)
		if err != nil {
			continue
		}
		segments, err := f.LoadGlyph(&buf, g, fixed.Int26_6(f.UnitsPerEm()), nil)
		if err == nil {
			p.ink(letter(segments, Point{x, t.Y}, em), t.Ink, 0)
		}
		if a, err := f.GlyphAdvance(&buf, g, fixed.Int26_6(f.UnitsPerEm()), 0); err == nil {
			x += float64(a) * em
		}
	}
}

// letter places the outline of a glyph, in font units, with its origin at o.
func letter(segments sfnt.Segments, o Point, em float64) Outline {
	at := func(q fixed.Point26_6) Point { return Point{o.X + float64(q.X)*em, o.Y + float64(q.Y)*em} }
	var out Outline
	var pen Point
	for _, s := range segments {
		to := at(s.Args[0])
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if len(out) > 0 {
				out = append(out, step{op: closing})
			}
			out = append(out, step{op: move, to: to})
		case sfnt.SegmentOpLineTo:
			out = append(out, step{op: straight, to: to})
		case sfnt.SegmentOpQuadTo:
			bend := to
			to = at(s.Args[1])
			out = append(out, step{op: curve, to: to, ctl1: mix(pen, bend, 2./3), ctl2: mix(to, bend, 2./3)})
		case sfnt.SegmentOpCubeTo:
			to = at(s.Args[2])
			out = append(out, step{op: curve, to: to, ctl1: at(s.Args[0]), ctl2: at(s.Args[1])})
		}
		pen = to
	}
	return append(out, step{op: closing})
}

// mix is the point that lies the share of the way from a to b.
func mix(a, b Point, share float64) Point {
	return Point{a.X + share*(b.X-a.X), a.Y + share*(b.Y-a.Y)}
}
