package card

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fairburn/draw"
	"fairburn/quantity"
	"fairburn/report"
	"fairburn/report/reporttest"
	"fairburn/report/words"
	"fairburn/trial"
	"fairburn/verdict"
)

var trials = map[string]func() (*verdict.Verdict, *trial.Reduced){"demo": reporttest.Sample, "few burns": reporttest.Few, "strange names": reporttest.Troubled}

func decoded(t *testing.T, p Picture) image.Image {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(p.PNG))
	if err != nil {
		t.Fatalf("%s: %v", p.Name, err)
	}
	if size := img.Bounds().Size(); size != image.Pt(p.Width, p.Height) {
		t.Errorf("%s is %v, said to be %d by %d", p.Name, size, p.Width, p.Height)
	}
	return img
}

// outside calls f for every pixel in the outer twentieth of each side.
func outside(img image.Image, f func(color.Color) bool) (at image.Point, ok bool) {
	b := img.Bounds()
	inner := image.Rect(b.Dx()/20, b.Dy()/20, b.Dx()-b.Dx()/20, b.Dy()-b.Dy()/20)
	for y := range b.Dy() {
		for x := range b.Dx() {
			if !image.Pt(x, y).In(inner) && !f(img.At(x, y)) {
				return image.Pt(x, y), false
			}
		}
	}
	return image.Point{}, true
}

// Whatever the names are, the card has its size, is light enough to upload, and
// nothing is drawn outside nine tenths of the frame.
func TestCard(t *testing.T) {
	ground := draw.Night.Colour(draw.Ground)
	for name, of := range trials {
		v, r := of()
		for _, sys := range []quantity.System{quantity.Metric, quantity.US} {
			p, err := Card(v, r, report.Options{System: sys})
			if err != nil {
				t.Fatal(err)
			}
			img := decoded(t, p)
			if p.Width != 1280 || p.Height != 720 || len(p.PNG) > 2_000_000 {
				t.Errorf("%s: %d by %d in %d bytes", name, p.Width, p.Height, len(p.PNG))
			}
			if at, ok := outside(img, func(c color.Color) bool { return color.NRGBAModel.Convert(c) == ground }); !ok {
				t.Errorf("%s: something is drawn at %v, outside nine tenths", name, at)
			}
			if !strings.HasPrefix(p.Alt, report.InventedWords) {
				t.Errorf("%s: %q does not say that the data are invented", name, p.Alt)
			}
		}
	}
}

// texts are what a board sets.
func texts(nodes []draw.Node) []draw.Text {
	var all []draw.Text
	(draw.Scene{Nodes: nodes}).Walk(func(n draw.Node) {
		if text, is := n.(draw.Text); is {
			all = append(all, text)
		}
	})
	return all
}

func said(nodes []draw.Node) string {
	var all []string
	for _, text := range texts(nodes) {
		all = append(all, text.Text)
	}
	return strings.Join(all, "\n")
}

// The demo's card says the verdict's figure, and the only large text is it.
func TestCardSaysOneFigure(t *testing.T) {
	v, r := reporttest.Sample()
	var b board
	b.top(v)
	b.number(words.Of(v, r, quantity.Metric))
	b.foot(words.Of(v, r, quantity.Metric))
	text := said(b.nodes)
	for _, part := range []string{"INVENTED DATA", "Sorrel", "9 %", "less fuel than Burdock", "95 % interval 6 to 12 %, allowing for all 6 comparisons", "n = 4 and 4 ", "net", "rolling boil"} {
		if !strings.Contains(text, part) {
			t.Errorf("the card lacks %q:\n%s", part, text)
		}
	}
	large := 0
	for _, x := range texts(b.nodes) {
		if x.Size < 28 {
			t.Errorf("%q is %g px high", x.Text, x.Size)
		}
		if x.Size > 100 {
			large++
		}
	}
	if large != 1 {
		t.Errorf("%d large texts, expected the one figure", large)
	}
}

// A verdict without a winner gets a card that names none.
func TestHonestCard(t *testing.T) {
	v, r := reporttest.Few()
	h := words.Of(v, r, quantity.Metric)
	if h.Number != "" {
		t.Fatalf("too few burns have the figure %q", h.Number)
	}
	var b board
	b.open(v)
	b.foot(h)
	text := said(b.nodes)
	if !strings.HasPrefix(text, "Too few burns\n") || !strings.Contains(text, "n = 2, 2, 2 and 2") {
		t.Errorf("the card says\n%s", text)
	}
	for _, e := range v.Entries {
		if strings.Contains(text, e.Name) {
			t.Errorf("the card names %s", e.Name)
		}
	}
}

// Names that are too long never push the figure out.
func TestFigureStaysBesideLongNames(t *testing.T) {
	long := strings.Repeat("Very long name ", 20)
	for _, h := range []words.Headline{
		{Entry: long, Number: "9 %", What: "less fuel", Against: "than", Other: long}, {Entry: "Ash", Number: "9 %", What: "less fuel", Against: "than", Other: long},
		{Entry: long, Number: "9 of 9", What: "burns boiled"}, {Entry: strings.Repeat("茶", 90), Number: "93 of 100", What: "pairings won", Against: "against", Other: "Elm"},
	} {
		const room = 1300.0
		text := lead(h, room)
		if wide := draw.TextWidth(text, 36, true); wide > room || !strings.Contains(text, ": "+h.Number+" "+h.What) {
			t.Errorf("%q is %g px wide in %g", text, wide, room)
		}
	}
}

// Lower thirds are transparent but for their panel, one for each entry and one
// for the verdict.
func TestThirds(t *testing.T) {
	for name, of := range trials {
		v, r := of()
		pictures, err := Thirds(v, r, report.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(pictures) != len(v.Entries)+1 {
			t.Fatalf("%s: %d lower thirds of %d entries", name, len(pictures), len(v.Entries))
		}
		for _, p := range pictures {
			img := decoded(t, p)
			if p.Width != 1920 || p.Height != 1080 || len(p.PNG) > 2_000_000 {
				t.Errorf("%s: %d by %d in %d bytes", name, p.Width, p.Height, len(p.PNG))
			}
			if at, ok := outside(img, clear); !ok {
				t.Errorf("%s, %s: not transparent at %v, outside nine tenths", name, p.Name, at)
			}
			for _, corner := range []image.Point{{0, 0}, {1919, 0}, {0, 1079}, {1919, 1079}, {960, 540}} {
				if !clear(img.At(corner.X, corner.Y)) {
					t.Errorf("%s, %s: %v is not fully transparent", name, p.Name, corner)
				}
			}
			if _, _, _, a := img.At(thirdLeft+5, thirdHigh-thirdTop-5).RGBA(); a != 0xffff {
				t.Errorf("%s, %s: the panel is not opaque", name, p.Name)
			}
			if strings.Contains(p.Name, "/") || p.Alt == "" {
				t.Errorf("%q, %q", p.Name, p.Alt)
			}
		}
	}
}

func clear(c color.Color) bool {
	_, _, _, a := c.RGBA()
	return a == 0
}

func TestEntryPanel(t *testing.T) {
	v, r := reporttest.Sample()
	p := entryPanel(v.Entries[2], v, r, quantity.Metric)
	text := said(p.nodes)
	for _, part := range []string{"Sorrel", "capillary rim", "dose\n20.0 mL", "water\n499.0 to 500.0 g", "starts at\n11.5 to 18.2 °C", "air\n7.0 to 16.0 °C", "wind\nstill", "INVENTED DATA"} {
		if !strings.Contains(text, part) {
			t.Errorf("the panel lacks %q:\n%s", part, text)
		}
	}
	marks := 0
	for _, n := range p.nodes {
		if m, is := n.(draw.Mark); is {
			marks++
			if m.Shape != draw.EntryShape(v.Entries[2].Marker-1) || m.Style.Fill != draw.EntryInk(v.Entries[2].Marker-1) {
				t.Errorf("the mark is %v in %v", m.Shape, m.Style.Fill)
			}
		}
	}
	if marks != 1 {
		t.Errorf("%d marks", marks)
	}
	bare := *r
	bare.Results = nil
	if text := said(entryPanel(v.Entries[2], v, &bare, quantity.Metric).nodes); strings.Count(text, "not recorded")+strings.Count(text, "not written down") < 4 {
		t.Errorf("without burns the panel says\n%s", text)
	}
}

func TestSameBytes(t *testing.T) {
	v, r := reporttest.Sample()
	for range 2 {
		a, err := Card(v, r, report.Options{})
		if err != nil {
			t.Fatal(err)
		}
		b, err := Card(v, r, report.Options{})
		if err != nil || !bytes.Equal(a.PNG, b.PNG) {
			t.Errorf("the same card gave other bytes (%v)", err)
		}
	}
	a, err := third("x", verdictPanel(v, r, quantity.Metric))
	if err != nil {
		t.Fatal(err)
	}
	if b, err := third("x", verdictPanel(v, r, quantity.Metric)); err != nil || !bytes.Equal(a.PNG, b.PNG) {
		t.Errorf("the same lower third gave other bytes (%v)", err)
	}
}

// Whatever the text, it keeps to its room and its lines, and the font can set it.
func TestTextFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		room := rapid.Float64Range(100, 1200).Draw(t, "room")
		set := line{text: text, size: 80, least: 30, bold: rapid.Bool().Draw(t, "bold")}.at(0, 0, room, draw.Body)
		if wide := draw.TextWidth(set.Text, set.Size, set.Bold); wide > room+1e-6 || set.Size < 30 || set.Size > 80 {
			t.Fatalf("%q is set as %q, %g px wide at %g px, in %g px", text, set.Text, wide, set.Size, room)
		}
		var b board
		b.paragraph(strings.Repeat(text+" ", 6), 30, draw.Body, 0, 0, room, 3)
		if len(b.nodes) > 3 {
			t.Fatalf("%d lines, expected at most 3", len(b.nodes))
		}
		for _, x := range texts(append(b.nodes, set)) {
			if wide := draw.TextWidth(x.Text, x.Size, x.Bold); wide > room+1e-6 {
				t.Fatalf("%q is %g px wide in %g px", x.Text, wide, room)
			}
		}
		if missing := (draw.Scene{Nodes: append(b.nodes, set)}).Missing(); len(missing) > 0 {
			t.Fatalf("the font lacks %q", string(missing))
		}
	})
}
