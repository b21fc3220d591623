package chart

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"fairburn/draw"
)

// Texts never run into each other or past the edge at any width, not even in a
// wider font than they were measured in, and none is smaller than 12 px.
func TestTextsStandClear(t *testing.T) {
	for _, width := range []float64{300, 320, 360, 412, 479, 480, 600, 720, 1100} {
		for name, c := range samples(width) {
			s, err := c.Scene()
			if err != nil {
				t.Fatal(err)
			}
			if total, _ := s.Size(); total != width {
				t.Errorf("%s is %g wide, expected %g", name, total, width)
			}
			clear(t, fmt.Sprintf("%s at %g", name, width), s)
		}
	}
}

func clear(t *testing.T, where string, s draw.Scene) {
	var boxes []box
	var texts []draw.Text
	s.Walk(func(n draw.Node) {
		x, is := n.(draw.Text)
		if !is || x.Text == "" {
			return
		}
		if x.Size < 12 {
			t.Errorf("%s: %q has size %g, expected at least 12", where, x.Text, x.Size)
		}
		wide := draw.Room(x.Text, x.Size, x.Bold)
		left := x.X - wide*float64(x.Anchor)/2
		b := box{left, x.Y - 0.72*x.Size, left + wide, x.Y + 0.1*x.Size}
		if b.left < -0.5 || b.right > s.Width+0.5 || b.top < -0.5 || b.bottom > s.Height {
			t.Errorf("%s: %q leaves the drawing: %v in %g by %g", where, x.Text, b, s.Width, s.Height)
		}
		for i, o := range boxes {
			if b.overlap(o) > 0.5 {
				t.Errorf("%s: %q lies on %q", where, x.Text, texts[i].Text)
			}
		}
		boxes, texts = append(boxes, b), append(texts, x)
	})
}

func TestEveryTextHasGlyphs(t *testing.T) {
	for name, c := range samples(720) {
		s, err := c.Scene()
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range s.Missing() {
			if !strings.ContainsRune(hostile, r) {
				t.Errorf("%s: the font lacks %q", name, r)
			}
		}
	}
}

// A name that is cut keeps all of itself in a tip.
func TestCutNamesHaveATip(t *testing.T) {
	for _, width := range []float64{360, 720} {
		s, err := sampleDots(width).Scene()
		if err != nil {
			t.Fatal(err)
		}
		found := false
		s.Walk(func(n draw.Node) {
			if target, is := n.(draw.Target); is && target.Tip == hostile {
				found = true
			}
		})
		if !found {
			t.Errorf("at %g px the long name has no tip", width)
		}
	}
}

// marks are the marks of an entry's points in a dots chart, by their targets.
func marks(t *testing.T, d Dots) map[string]draw.Mark {
	t.Helper()
	s, err := d.Scene()
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]draw.Mark{}
	s.Walk(func(n draw.Node) {
		if target, is := n.(draw.Target); is {
			if m, is := target.Nodes[0].(draw.Mark); is {
				all[target.Tip] = m
			}
		}
	})
	return all
}

// Every point is drawn, at a place in proportion to its value.
func TestPointsStandAtTheirValues(t *testing.T) {
	d := Dots{Frame: frame(360, "T"), Rows: []Row{{Name: "A", Points: []Point{{10, "a", false}, {20, "b", true}, {15, "c", false}, {15, "d", false}}, Absent: []string{"e", "f"}}}}
	got := marks(t, d)
	if len(got) != 6 {
		t.Fatalf("%d marks, expected 6", len(got))
	}
	if math.Abs((got["a"].X+got["b"].X)/2-got["c"].X) > 1e-9 || got["c"].X != got["d"].X {
		t.Errorf("a, b, c, d stand at %g, %g, %g, %g", got["a"].X, got["b"].X, got["c"].X, got["d"].X)
	}
	if math.Abs(got["c"].Y-got["d"].Y) < dotSize {
		t.Errorf("equal values lie on each other at %g and %g", got["c"].Y, got["d"].Y)
	}
	if got["b"].Style.Fill != draw.Ground || got["a"].Style.Fill != draw.EntryInk(0) {
		t.Error("open points are hollow, others filled: not so")
	}
	for _, tip := range []string{"e", "f"} {
		if got[tip].X <= got["b"].X {
			t.Errorf("mark %q without a value stands at %g, not beyond the axis", tip, got[tip].X)
		}
	}
}

func TestStacksDoNotTouch(t *testing.T) {
	for _, m := range []map[string]draw.Mark{marks(t, sampleDots(360)), marks(t, eight(300)), marks(t, sampleDots(720))} {
		for a, p := range m {
			for b, q := range m {
				if a < b && p.Shape == q.Shape && math.Hypot(p.X-q.X, p.Y-q.Y) < min(p.Size, q.Size)-0.5 && p.Size > 5 {
					t.Errorf("%q and %q lie on each other", a, b)
				}
			}
		}
	}
}

// The order of the points given changes nothing but the order of the tips.
func TestOrderOfEqualRowsIsKept(t *testing.T) {
	s := sampleShares(360)
	first, err := s.Scene()
	if err != nil {
		t.Fatal(err)
	}
	for i, j := 0, len(s.Parts)-1; i < j; i, j = i+1, j-1 {
		s.Parts[i], s.Parts[j] = s.Parts[j], s.Parts[i]
	}
	second, err := s.Scene()
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(first) != fmt.Sprint(second) {
		t.Error("shares drawn in another order look different")
	}
}

func TestIntervalsAreAlwaysDrawn(t *testing.T) {
	inf := math.Inf(1)
	for name, row := range map[string]struct {
		iv     Interval
		arrows int
	}{
		"closed": {Interval{12, 15, 18}, 0}, "up": {Interval{12, 15, inf}, 1},
		"down": {Interval{-inf, 15, 18}, 1}, "both": {Interval{-inf, 15, inf}, 2}} {
		d := Dots{Frame: frame(360, "T"), Rows: []Row{{Points: []Point{{Value: 10}, {Value: 20}}, Inner: &row.iv}}}
		s, err := d.Scene()
		if err != nil {
			t.Fatal(err)
		}
		lines, arrows := 0, 0
		s.Walk(func(n draw.Node) {
			switch n := n.(type) {
			case draw.Line:
				if n.Style.Stroke == draw.EntryInk(0) && n.X2 > n.X1 {
					lines++
				}
			case draw.Path:
				arrows++
			}
		})
		if lines != 1 || arrows != row.arrows {
			t.Errorf("%s: %d lines and %d arrows, expected 1 and %d", name, lines, arrows, row.arrows)
		}
	}
}

func TestLabelsKeepClear(t *testing.T) {
	p := &placer{plot: box{0, 0, 300, 300}}
	placed := 0
	for range 40 {
		if _, _, ok := p.place(150, 150, 60, 16); ok {
			placed++
		}
	}
	if placed < 4 || placed == 40 {
		t.Errorf("%d of 40 labels placed at one point, expected some and not all", placed)
	}
	for i, a := range p.solid {
		if !a.inside(p.plot) {
			t.Errorf("label %d leaves the plot", i)
		}
		for _, b := range p.solid[:i] {
			if a.overlap(b) > 0 {
				t.Errorf("labels %v and %v overlap", a, b)
			}
		}
	}
}

func TestNothingBoiled(t *testing.T) {
	d := Dots{Frame: frame(360, "T"), Absent: "did not boil", Rows: []Row{{Name: "A", Absent: []string{"burn 1"}, Value: "—"}}}
	s, err := d.Scene()
	if err != nil {
		t.Fatal(err)
	}
	clear(t, "nothing boiled", s)
}

// A curve's mark stands where it is put, and counts for the axes.
func TestACurvesMarkStandsAtItsValue(t *testing.T) {
	c := Curves{Frame: Frame{Width: 600, Title: "t"}, Lines: []Curve{{Name: "a", Line: []Spot{{X: 0, Y: 0}, {X: 1, Y: 1}}, Mark: &Spot{X: 4, Y: 2, Tip: "here"}}}}
	s, err := c.Scene()
	if err != nil {
		t.Fatal(err)
	}
	var targets []draw.Target
	for _, n := range s.Nodes {
		if x, ok := n.(draw.Target); ok && x.Tip == "here" {
			targets = append(targets, x)
		}
	}
	if len(targets) != 1 || targets[0].X < 300 || targets[0].X > 600 {
		t.Errorf("got %+v", targets)
	}
	c.Lines[0].Mark.Y = math.NaN()
	if _, err := c.Scene(); !errors.Is(err, ErrNotFinite) {
		t.Errorf("got %v", err)
	}
}
