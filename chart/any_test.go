package chart

import (
	"io"
	"math"
	"sort"
	"testing"

	"fairburn/draw"

	"pgregory.net/rapid"
)

var anyNumber = rapid.OneOf(rapid.Float64Range(-1e300, 1e300), rapid.Float64Range(0, 900), rapid.Float64Range(-1e-300, 1e-300), rapid.Just(0.0))

func anyInterval(t *rapid.T) *Interval {
	if rapid.Bool().Draw(t, "none") {
		return nil
	}
	v := []float64{anyNumber.Draw(t, "a"), anyNumber.Draw(t, "b"), anyNumber.Draw(t, "c")}
	sort.Float64s(v)
	if rapid.Bool().Draw(t, "endless") {
		v[2] = math.Inf(1)
	}
	return &Interval{v[0], v[1], v[2]}
}

// Whatever the finite numbers and the names, the charts can be drawn and written.
func TestAnyFiguresAreDrawn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := Frame{Width: rapid.Float64Range(300, 900).Draw(t, "width"), Title: rapid.String().Draw(t, "title"), Headed: rapid.Bool().Draw(t, "headed")}
		axis := Axis{Label: rapid.String().Draw(t, "label"), Scale: rapid.SampledFrom([]Scale{Plain, Clock, Percent, Whole}).Draw(t, "scale")}
		name := rapid.String().Draw(t, "name")
		entry := rapid.Int().Draw(t, "entry")
		row := Row{Name: name, Entry: entry, Value: name, Note: name, Inner: anyInterval(t), Outer: anyInterval(t)}
		cloud := Cloud{Name: name, Entry: entry}
		for range rapid.IntRange(1, 30).Draw(t, "n") {
			row.Points = append(row.Points, Point{Value: anyNumber.Draw(t, "value"), Tip: name})
			cloud.Spots = append(cloud.Spots, Spot{X: anyNumber.Draw(t, "x"), Y: anyNumber.Draw(t, "y")})
		}
		if row.Inner != nil && row.Outer != nil {
			cloud.Centre = &Cross{X: *row.Inner, Y: *row.Outer}
		}
		pair := Pair{First: entry, Name: name, Verdict: name, Inner: row.Inner, Outer: row.Outer, Class: Class(rapid.IntRange(0, 3).Draw(t, "class"))}
		for _, c := range []scener{Dots{Frame: f, Axis: axis, Rows: []Row{row, row}}, Scatter{Frame: f, X: axis, Y: axis, Clouds: []Cloud{cloud}},
			Differences{Frame: f, Axis: axis, Pairs: []Pair{pair}}, Curves{Frame: f, X: axis, Y: axis, Lines: []Curve{{Name: name, Line: cloud.Spots}}}} {
			s, err := c.Scene()
			if err == nil {
				err = draw.SVG(io.Discard, s, "p")
			}
			if err != nil {
				t.Fatalf("%T: %v", c, err)
			}
		}
	})
}

func BenchmarkDots(b *testing.B) {
	d := eight(720)
	for b.Loop() {
		s, err := d.Scene()
		if err == nil {
			err = draw.SVG(io.Discard, s, "p")
		}
		if err != nil {
			b.Fatal(err)
		}
	}
}
