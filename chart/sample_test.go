package chart

import (
	"fmt"
	"math"
	"math/rand/v2"

	"fairburn/draw"
)

// The samples are invented; no burner was burned for them.

type scener interface{ Scene() (draw.Scene, error) }

const hostile = `<script>alert("x")</script> & "Łódź" 'Ωμέγα' Дуга 火 مرحبا`

func frame(width float64, title string) Frame {
	return Frame{Width: width, Title: title, Description: "Invented figures, to look at the drawing."}
}

// samples are charts at a width, by name of the golden file.
func samples(width float64) map[string]scener {
	return map[string]scener{
		"dots": sampleDots(width), "dots-bare": bareDots(width), "scatter": sampleScatter(width),
		"lanes": sampleLanes(width), "shares": sampleShares(width), "curves": sampleCurves(width),
		"differences": sampleDifferences(width), "crowd": crowd(width), "eight": eight(width),
	}
}

func mss(v float64) string { return clock(v, 1) }

func points(seed uint64, n int, mid, spread float64) []Point {
	r := rand.New(rand.NewPCG(seed, 7))
	all := make([]Point, n)
	for i := range all {
		v := mid + spread*r.NormFloat64()
		all[i] = Point{Value: v, Tip: fmt.Sprintf("burn %d: %s from light to boil", i+1, mss(v)), Open: i == 2}
	}
	return all
}

func sampleDots(width float64) Dots {
	f := frame(width, "Time from light to boil")
	f.Headed = true
	return Dots{Frame: f, Axis: Axis{Label: "light to boil, m:ss", Scale: Clock},
		Absent: "did not boil", Reference: &Reference{At: 480, Label: "limit 8:00"},
		Legend: Legend{Point: "one burn", Open: "boiled after the flame was out", Inner: "mean, 95 % interval", Outer: "interval for all comparisons at once"},
		Rows: []Row{
			{Name: "Tall can, 16 jets", Entry: 0, Points: points(1, 6, 372, 14), Inner: &Interval{355, 371, 388}, Outer: &Interval{345, 371, 399}, Value: "6:11", Note: "n = 6", Tip: "mean 6:11, 95 % interval 5:55 to 6:28"},
			{Name: "Short can with a wick of carbon felt", Entry: 1, Points: points(2, 5, 452, 30), Absent: []string{"burn 4: flame out at 7:10, water at 91 °C", "burn 6: flame out at 7:02, water at 88 °C"}, Inner: &Interval{401, 447, 495}, Outer: &Interval{380, 447, math.Inf(1)}, Value: "7:27", Note: "n = 7, 2 did not boil", Tip: "mean 7:27"},
			{Name: "Bottle, open pool", Entry: 2, Points: points(3, 12, 431, 9), Inner: &Interval{425, 431, 437}, Outer: &Interval{420, 431, 442}, Value: "7:11", Note: "n = 12", Tip: "mean 7:11"},
			{Name: hostile, Entry: 3, Absent: []string{"burn 1", "burn 2", "burn 3", "burn 4", "burn 5", "burn 6", "burn 7"}, Value: "—", Note: "n = 7, none boiled"},
		}}
}

func bareDots(width float64) Dots {
	return Dots{Frame: frame(width, "Fuel to boil"), Axis: Axis{Label: "fuel to boil, g"},
		Rows: []Row{
			{Name: "Tall can", Entry: 4, Points: []Point{{Value: 14.2}, {Value: 14.9}, {Value: 14.2}}, Inner: &Interval{13.4, 14.4, 15.5}, Value: "14.4 g", Note: "n = 3"},
			{Name: "Short can", Entry: 5, Points: []Point{{Value: 17.1}}, Value: "17.1 g", Note: "n = 1, no interval"},
		}}
}

func sampleScatter(width float64) Scatter {
	cloud := func(name string, entry, n int, x, y, sx, sy float64) Cloud {
		r := rand.New(rand.NewPCG(uint64(entry)+11, 7))
		c := Cloud{Name: name, Entry: entry, Centre: &Cross{Interval{x - 2*sx/2, x, x + 2*sx/2}, Interval{y - sy, y, y + sy}, name + ": mean " + mss(x)}}
		for i := range n {
			sp := Spot{X: x + sx*r.NormFloat64(), Y: y + sy*r.NormFloat64(), Open: i == 1}
			sp.Tip = fmt.Sprintf("%s, burn %d: %s, %.1f g", name, i+1, mss(sp.X), sp.Y)
			c.Spots = append(c.Spots, sp)
		}
		return c
	}
	return Scatter{Frame: frame(width, "Speed and fuel"), X: Axis{Label: "light to boil, m:ss", Scale: Clock}, Y: Axis{Label: "fuel to boil, g"},
		Better: LowerLeft, Hint: "faster, less fuel",
		Legend: Legend{Point: "one burn", Open: "boiled after the flame was out", Inner: "mean, 95 % interval both ways"},
		Clouds: []Cloud{cloud("Tall can, 16 jets", 0, 6, 371, 14.4, 14, .5), cloud("Short can with a wick of carbon felt", 1, 5, 447, 12.9, 26, .6),
			cloud("Bottle, open pool", 2, 8, 431, 16.6, 9, .4), cloud("Bottle, lid", 3, 5, 425, 16.1, 10, .4), cloud("Tin", 4, 5, 440, 16.2, 10, .4)}}
}

func sampleLanes(width float64) Lanes {
	lane := func(i int, bloom, pot, boil, out float64, end End) Lane {
		l := Lane{Name: fmt.Sprintf("burn %d", i), End: end, EndAt: out, EndTip: "ends at " + mss(out)}
		l.Segments = []Segment{{0, bloom, Light, "priming"}, {bloom, pot, Half, "bloom to pot on"}, {pot, min(boil, out), Full, "heating"}, {min(boil, out), out, Half, "after the boil"}}
		l.Moments = []Moment{{At: bloom, Glyph: Ring, Tip: "bloom at " + mss(bloom)}, {At: pot, Glyph: Tick, Tip: "pot on at " + mss(pot)}}
		if boil < out {
			l.Moments = append(l.Moments, Moment{At: boil, Glyph: Flag, Tip: "boil at " + mss(boil), Label: mss(boil)})
		}
		return l
	}
	return Lanes{Frame: frame(width, "Course of the burns"), Axis: Axis{Label: "from light, m:ss", Scale: Clock, Include: []float64{0}},
		Groups: []LaneGroup{
			{Name: "Tall can, 16 jets", Entry: 0, Note: "3 burns", Lanes: []Lane{lane(1, 22, 30, 371, 512, ByItself), lane(4, 25, 33, 362, 498, ByItself), lane(5, 21, 29, 380, 381, PutOut)}},
			{Name: "Short can with a wick of carbon felt", Entry: 1, Note: "2 burns, 1 did not boil", Lanes: []Lane{lane(2, 8, 12, 455, 460, PutOut), lane(3, 9, 14, 999, 431, ByItself)}},
		},
		Keys: []Key{{Light, "priming"}, {Full, "pot on, heating"}, {Half, "no water to heat"}, {Ring, "bloom"}, {Flag, "boil"}, {ByItself, "flame out by itself"}, {PutOut, "put out"}}}
}

func sampleShares(width float64) Shares {
	return Shares{Frame: frame(width, "What the uncertainty comes from"), Parts: []Share{
		{"scale, fuel before", .21, "21 %", "0.05 g"}, {"scatter between burns", .52, "52 %", "0.21 g"}, {"mark of the boil by eye and by ear", .18, "18 %", ""},
		{"thermometer, start", .07, "7 %", ""}, {"air pressure", .02, "2 %", ""}, {"volume of water", 0, "under 1 %", ""}}}
}

func sampleCurves(width float64) Curves {
	var line []Spot
	var band []Bounds
	var second []Spot
	for i := range 11 {
		t := float64(i) * 60
		y := 1 - math.Pow(float64(i)/10, 2)
		line, second = append(line, Spot{X: t, Y: y}), append(second, Spot{X: t, Y: math.Exp(-t / 400)})
		band = append(band, Bounds{t, max(0, y-.12), min(1, y+.1)})
	}
	return Curves{Frame: frame(width, "Share of burns not yet boiling"), X: Axis{Label: "from light, m:ss", Scale: Clock}, Y: Axis{Label: "share of burns not yet boiling", Scale: Percent, Include: []float64{0, 1}},
		Reference: &Reference{0.1, "9 in 10 boil"},
		Lines: []Curve{{Name: "Tall can, 16 jets", Entry: 0, Step: true, Line: line, Band: band, Spots: []Spot{{X: 240, Y: .84, Tip: "burn 3", Open: true}}},
			{Name: "Short can", Entry: 1, Line: second}}}
}

func sampleDifferences(width float64) Differences {
	return Differences{Frame: frame(width, "Differences of time to boil"), Axis: Axis{Label: "difference of time to boil", Scale: Percent},
		MarginLow: -.05, MarginHigh: .05, MarginText: "equal in practice (5 %)", Left: "first is faster", Right: "second is faster",
		Legend: Legend{Inner: "95 % interval of this pair", Outer: "of all pairs at once"},
		Pairs: []Pair{
			{0, 1, "Tall can − Short can with a wick", &Interval{-.25, -.18, -.11}, &Interval{-.29, -.18, -.07}, Differs, "Tall can is faster", "−18 %, −29 % to −7 %"},
			{0, 2, "Tall can − Bottle", &Interval{-.02, .005, .03}, &Interval{-.035, .005, .045}, Equal, "equal in practice", "0.5 %"},
			{1, 2, "Short can with a wick − Bottle", &Interval{-.06, .04, .15}, &Interval{-.1, .04, .2}, Unsettled, "not settled", "4 %"},
			{2, 3, "Bottle − Tin", &Interval{-.2, .1, math.Inf(1)}, nil, TooFew, "too few burns", ""},
			{1, 3, "Short can − " + hostile, nil, nil, TooFew, "too few burns", ""},
		}}
}

// crowd is a row with many equal values and one far away.
func crowd(width float64) Dots {
	var many []Point
	for i := range 60 {
		many = append(many, Point{Value: float64(100 + i%3), Tip: fmt.Sprint("burn ", i+1)})
	}
	return Dots{Frame: frame(width, "Crowd"), Axis: Axis{Label: "P_mean, W", Include: []float64{0}},
		Rows: []Row{{Name: "Many", Entry: 6, Points: append(many, Point{Value: 240}), Inner: &Interval{95, 101, 130}, Value: "101 W", Note: "n = 61"}}}
}

// eight shows all colours and shapes.
func eight(width float64) Dots {
	d := Dots{Frame: frame(width, "Eight"), Axis: Axis{Label: "fuel to boil, g"}, Legend: Legend{Point: "one burn", Inner: "mean, 95 % interval"}}
	for i := range draw.Entries {
		ps := points(uint64(i)+30, 5, 15+float64(i), .4)
		for j := range ps {
			ps[j].Tip = fmt.Sprintf("burn %d: %.1f g", j+1, ps[j].Value)
		}
		mid := 15 + float64(i)
		d.Rows = append(d.Rows, Row{Name: "Burner " + string(rune('A'+i)), Entry: i, Points: ps, Inner: &Interval{mid - .5, mid, mid + .5}, Value: fmt.Sprintf("%.1f g", mid), Note: "n = 5"})
	}
	return d
}
