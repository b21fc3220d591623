package draw

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

var update = flag.Bool("update", false, "rewrite the golden files")

var day = time.Date(2030, 1, 2, 3, 4, 5, 0, time.UTC)

const hostile = `</text><script>alert("x")</script> & 'q' ` + "\x00\x1b\n" + ` Łódź Ωμέγα Дуга 火 مرحبا`

// everything is a scene with every node, style and shape.
func everything() Scene {
	s := Scene{Width: 200, Height: 120, Margin: 4, Title: "Everything & more", Description: "One of each"}
	s.Nodes = append(s.Nodes,
		Rect{X: 10, Y: 10, Width: 80, Height: 30, Radius: 4, Style: Style{Fill: Veil, Stroke: Grid}},
		Line{X1: 0, Y1: -0.001, X2: 200, Y2: 60.005, Style: Style{Stroke: Body, Width: 1.5, Dash: 4}},
		Circle{X: 150, Y: 30, Radius: 12, Style: Style{Stroke: Accent, Width: 2}},
		Path{Polyline(Point{10, 100}, Point{40, 60}, Point{70, 100}), Style{Stroke: Muted, Width: 2}},
		Path{Polygon(Point{80, 100}, Point{110, 60}, Point{140, 100}), Style{Fill: Accent, Fade: 0.5}},
		Text{X: 100, Y: 20, Text: "Ø 6.5 mm, η ≥ 30 %", Size: 12, Anchor: Middle, Ink: Body},
		Text{X: 200, Y: 50, Text: "6:11", Size: 18, Bold: true, Anchor: End, Ink: Accent})
	for i := range Entries {
		x := 15 + 24*float64(i)
		s.Nodes = append(s.Nodes, Group{Role: "group", Label: fmt.Sprintf("entry %d", i), Nodes: []Node{
			Target{X: x - 8, Y: 102, Width: 16, Height: 16, Tip: fmt.Sprintf("burn %d", i), Nodes: []Node{
				Mark{X: x, Y: 110, Size: 10, Shape: EntryShape(i), Style: Style{Fill: EntryInk(i)}}}}}})
	}
	return s
}

func svgOf(t *testing.T, s Scene) string {
	t.Helper()
	var b bytes.Buffer
	if err := SVG(&b, s, "a1"); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestGoldenSVG(t *testing.T) {
	var alone bytes.Buffer
	if err := StandaloneSVG(&alone, everything()); err != nil {
		t.Fatal(err)
	}
	for name, got := range map[string]string{"everything.svg": svgOf(t, everything()), "standalone.svg": alone.String()} {
		path := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if got != string(want) {
			t.Errorf("%s differs from what is drawn now; look at it and run go test -update", path)
		}
	}
}

// element is a start tag of an SVG.
type element struct {
	name  string
	attrs map[string]string
}

func elements(t *testing.T, svg string) []element {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	var all []element
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return all
		}
		if err != nil {
			t.Fatalf("not well formed: %v\n%s", err, svg)
		}
		if start, is := tok.(xml.StartElement); is {
			e := element{start.Name.Local, map[string]string{}}
			for _, a := range start.Attr {
				e.attrs[a.Name.Local] = a.Value
			}
			all = append(all, e)
		}
	}
}

func TestNamesStayText(t *testing.T) {
	s := Scene{Width: 10, Height: 10, Title: hostile, Description: hostile, Nodes: []Node{
		Text{Text: hostile, Size: 12, Ink: Body},
		Target{Tip: hostile}, Group{Role: hostile, Label: hostile}}}
	known := map[string]bool{"svg": true, "title": true, "desc": true, "text": true, "g": true, "rect": true}
	for _, e := range elements(t, svgOf(t, s)) {
		if !known[e.name] {
			t.Errorf("a name became the element %s", e.name)
		}
		for a := range e.attrs {
			if strings.HasPrefix(a, "on") || a == "style" {
				t.Errorf("element %s has the attribute %s", e.name, a)
			}
		}
	}
}

func TestIdsBeginWithThePrefix(t *testing.T) {
	ids := map[string]bool{}
	all := elements(t, svgOf(t, everything()))
	for _, e := range all {
		if id, has := e.attrs["id"]; has {
			if !strings.HasPrefix(id, "a1-") || ids[id] {
				t.Errorf("id %q lacks the prefix a1- or stands twice", id)
			}
			ids[id] = true
		}
	}
	for _, a := range []string{"aria-labelledby", "aria-describedby"} {
		if !ids[all[0].attrs[a]] {
			t.Errorf("%s points at %q, which is no id", a, all[0].attrs[a])
		}
	}
}

func TestTargetsAreReachedByKey(t *testing.T) {
	n := 0
	all := elements(t, svgOf(t, everything()))
	for i, e := range all {
		if tip, has := e.attrs["data-tip"]; has {
			n++
			if e.attrs["tabindex"] != "0" || e.attrs["aria-label"] != tip || all[i+1].name != "title" {
				t.Errorf("target %q: %v then %s, expected tabindex 0, its tip as label and a title", tip, e.attrs, all[i+1].name)
			}
		}
	}
	if n != Entries {
		t.Errorf("%d targets, expected %d", n, Entries)
	}
	if role := all[0].attrs["role"]; role != "group" {
		t.Errorf("role %q with targets, expected group", role)
	}
	if role := elements(t, svgOf(t, Scene{Width: 1, Height: 1}))[0].attrs["role"]; role != "img" {
		t.Errorf("role %q without targets, expected img", role)
	}
}

func TestNumber(t *testing.T) {
	for x, want := range map[float64]string{0: "0", math.Copysign(0, -1): "0", -0.001: "0", -0.005: "-0.01", 0.004: "0", 1.0051: "1.01",
		12: "12", 2.5: "2.5", -3.14159: "-3.14", 1e7: "10000000"} {
		if got := number(x); got != want {
			t.Errorf("number(%g) is %q, expected %q", x, got, want)
		}
	}
	if regexp.MustCompile(`[" ,]-0[" ,]`).MatchString(svgOf(t, everything())) {
		t.Error(`the drawing holds "-0"`)
	}
}

func TestRefusals(t *testing.T) {
	for name, row := range map[string]struct {
		s    Scene
		want string
	}{
		"no size":    {Scene{Title: "A", Width: 10}, `drawing "A": a scene needs a width and a height above zero and no negative margin, got 10 by 0, margin 0`},
		"margin":     {Scene{Title: "A", Width: 10, Height: 1, Margin: -2}, `drawing "A": a scene needs a width and a height above zero and no negative margin, got 10 by 1, margin -2`},
		"not finite": {Scene{Title: "A", Width: 1, Height: 1, Nodes: []Node{Group{Nodes: []Node{Text{X: math.NaN(), Text: "t"}}}}}, `drawing "A": a number is not finite in draw.Text {X:NaN Y:0 Text:t Size:0 Bold:false Anchor:0 Ink:0}`},
	} {
		for writer, err := range map[string]error{
			"svg": SVG(io.Discard, row.s, "p"), "standalone": StandaloneSVG(io.Discard, row.s),
			"pdf": PDF(io.Discard, row.s, 1, day), "png": PNG(io.Discard, row.s, 1, Paper)} {
			if err == nil || err.Error() != row.want {
				t.Errorf("%s, %s: %v, expected %s", name, writer, err, row.want)
			}
		}
	}
	want := `drawing "A": a picture of 0 by 0 pixels at scale 0, expected 1 to 16777216 pixels in all`
	if err := PNG(io.Discard, Scene{Title: "A", Width: 1, Height: 1}, 0, Paper); err == nil || err.Error() != want {
		t.Errorf("scale 0: %v, expected %s", err, want)
	}
	if PNG(io.Discard, Scene{Width: 1, Height: 1}, 4096, Paper) != nil || PNG(io.Discard, Scene{Width: 1, Height: 1}, 4097, Paper) == nil {
		t.Error("the limit of 16 megapixels is not where it should be")
	}
}

func TestFailingWriter(t *testing.T) {
	broken := errors.New("disk full")
	for name, err := range map[string]error{"svg": SVG(failing{broken}, everything(), "p"),
		"pdf": PDF(failing{broken}, everything(), 1, day), "png": PNG(failing{broken}, everything(), 1, Night)} {
		if !errors.Is(err, broken) {
			t.Errorf("%s: %v, expected %v", name, err, broken)
		}
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func TestPDFIsReproducibleAndSmall(t *testing.T) {
	var a, b bytes.Buffer
	if err := errors.Join(PDF(&a, everything(), 0.25, day), PDF(&b, everything(), 0.25, day)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two prints of one scene differ")
	}
	if a.Len() > 40_000 {
		t.Errorf("%d bytes, expected at most 40000: is the whole font embedded?", a.Len())
	}
	// 208 x 128 px with margin at 0.25 mm are 52 x 32 mm, that is 147.40 x 90.71 pt
	if !bytes.Contains(a.Bytes(), []byte("/MediaBox [0 0 147.40 90.71]")) {
		t.Errorf("page is not 52 x 32 mm: %s", regexp.MustCompile(`/MediaBox[^\]]*\]`).Find(a.Bytes()))
	}
}

func TestOnPageKeepsPlaceAndScale(t *testing.T) {
	doc := fpdf.New("P", "mm", "A4", "")
	doc.SetCompression(false)
	doc.SetCreationDate(day)
	family := AddFonts(doc)
	doc.AddPage()
	doc.SetLineWidth(0.7)
	s := Scene{Width: 120, Height: 10, Nodes: []Node{Line{X1: 10, Y1: 5, X2: 110, Y2: 5, Style: Style{Stroke: Body}}, Text{Text: "100 mm", Size: 4, Ink: Body}}}
	if err := OnPage(doc, s, Place{X: 20, Y: 30, Scale: 1}); err != nil {
		t.Fatal(err)
	}
	if doc.GetLineWidth() != 0.7 {
		t.Errorf("line width is %g afterwards, expected 0.7", doc.GetLineWidth())
	}
	doc.SetFont(family, "B", 10)
	doc.Text(20, 50, "after")
	var b bytes.Buffer
	if err := doc.Output(&b); err != nil {
		t.Fatal(err)
	}
	// x 30 and 130 mm are 85.04 and 368.50 pt; y 35 mm from the top is 742.68 pt from the bottom of A4
	for _, want := range []string{"85.04 742.68 m", "368.50 742.68 l"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

func TestPNG(t *testing.T) {
	for _, scale := range []float64{1, 2, 2.5} {
		var b bytes.Buffer
		if err := PNG(&b, everything(), scale, Night); err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(&b)
		if err != nil {
			t.Fatal(err)
		}
		if got := img.Bounds().Size(); got.X != int(math.Round(208*scale)) || got.Y != int(math.Round(128*scale)) {
			t.Errorf("%v pixels at scale %g, expected 208 x 128 times scale", got, scale)
		}
		for place, ink := range map[Point]Ink{{-3, -3}: Ground, {15, 110}: EntryInk(0), {39, 110}: EntryInk(1), {20, 30}: Veil} {
			x, y := int((place.X+4)*scale), int((place.Y+4)*scale)
			want := Night.Colour(ink)
			r, g, bl, _ := img.At(x, y).RGBA()
			if uint8(r>>8) != want.R || uint8(g>>8) != want.G || uint8(bl>>8) != want.B {
				t.Errorf("scale %g: pixel %v is %v, expected %s", scale, place, img.At(x, y), ink.name())
			}
		}
	}
}

// A stroke inks the area its width says, dashed half of it, whatever its way.
func TestStrokeArea(t *testing.T) {
	for _, row := range []struct {
		name  string
		style Style
		to    Point
		want  float64
	}{
		{"across", Style{Stroke: Body, Width: 4}, Point{110, 50}, 400},
		{"back", Style{Stroke: Body, Width: 4}, Point{10, 150}, 400},
		{"slanted", Style{Stroke: Body, Width: 3}, Point{70, 130}, 300},
		{"dashed", Style{Stroke: Body, Width: 4, Dash: 5}, Point{110, 50}, 200},
		{"faded", Style{Stroke: Body, Width: 4, Fade: 0.5}, Point{110, 50}, 200},
	} {
		var b bytes.Buffer
		s := Scene{Width: 200, Height: 200, Nodes: []Node{Line{X1: 10, Y1: 50, X2: row.to.X, Y2: row.to.Y, Style: row.style}}}
		if err := PNG(&b, s, 4, Paper); err != nil {
			t.Fatal(err)
		}
		if got := inked(t, &b) / 16; math.Abs(got-row.want) > row.want/200 {
			t.Errorf("%s: %.1f square pixels, expected %g", row.name, got, row.want)
		}
	}
}

// inked is the area covered with Body on the paper ground.
func inked(t *testing.T, r io.Reader) float64 {
	img, err := png.Decode(r)
	if err != nil {
		t.Fatal(err)
	}
	ground, body := float64(Paper.Colour(Ground).G), float64(Paper.Colour(Body).G)
	area := 0.0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			_, g, _, _ := img.At(x, y).RGBA()
			area += (ground - float64(g>>8)) / (ground - body)
		}
	}
	return area
}

// Every shape weighs about what the disc weighs.
func TestShapesWeighTheSame(t *testing.T) {
	for i := range Entries {
		var b bytes.Buffer
		s := Scene{Width: 60, Height: 60, Nodes: []Node{Mark{X: 30, Y: 30, Size: 40, Shape: EntryShape(i), Style: Style{Fill: Body}}}}
		if err := PNG(&b, s, 1, Paper); err != nil {
			t.Fatal(err)
		}
		disc := math.Pi * 20 * 20
		if got := inked(t, &b); got < 0.6*disc || got > 1.15*disc {
			t.Errorf("shape %d covers %.0f square pixels, the disc %.0f", i, got, disc)
		}
	}
}

func BenchmarkPNG(b *testing.B) {
	for b.Loop() {
		if err := PNG(io.Discard, everything(), 2, Paper); err != nil {
			b.Fatal(err)
		}
	}
}
