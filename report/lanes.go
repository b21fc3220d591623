package report

import (
	"fmt"
	"slices"

	"fairburn/chart"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/trial"
)

// mostLanes is how many burns one drawing of their course holds before each
// entry gets a drawing of its own, so that one fits a sheet of paper.
const mostLanes = 24

// lanes shows the course of every burn with its marks as they were set.
func (c *charts) lanes() {
	var groups []chart.LaneGroup
	latest, count := 0.0, 0
	all := Courses(c.r)
	for _, e := range c.r.Entries {
		g := chart.LaneGroup{Name: e.Name, Entry: look(c.r.Marker(e.Name))}
		for _, o := range all {
			if o.Entry == e.Name {
				g.Lanes = append(g.Lanes, c.lane(o))
				latest = max(latest, o.End)
			}
		}
		if n := len(g.Lanes); n > 0 {
			g.Note = fmt.Sprintf("%d %s", n, pick(n == 1, "burn", "burns"))
			groups, count = append(groups, g), count+n
		}
	}
	size := pick(count > mostLanes, 1, max(1, len(groups)))
	for part := range slices.Chunk(groups, size) {
		id, title := "lanes", "The course of every burn"
		if size < len(groups) {
			id, title = fmt.Sprintf("lanes-%d", part[0].Entry+1), title+": "+part[0].Name
		}
		c.course(id, title, latest, part)
	}
}

func (c *charts) course(id, title string, latest float64, groups []chart.LaneGroup) {
	l := chart.Lanes{Axis: chart.Axis{Label: "from light, m:ss", Scale: chart.Clock, Include: []float64{0, latest}}, Groups: groups, Keys: laneKeys}
	l.Frame = c.frame(title, "One lane a burn, from light: bloom, pot on, boil, and how the flame ended. The times stand in the table of burns.")
	c.draw(id, title, "Times as they were marked, before any correction.", l)
}

// course draws the course of one burn; nothing where it has no end to draw to.
func course(r *trial.Reduced, b *trial.Burned, sys quantity.System) ([]picture, error) {
	return pictures(func(at Layout) ([]Chart, error) {
		c := charts{document: document{r: r, u: Units(sys)}, at: at}
		if o, ok := courseOf(r, b); ok {
			c.course("course", "The course of the burn", o.End, []chart.LaneGroup{{Name: b.Entry, Entry: look(r.Marker(b.Entry)), Lanes: []chart.Lane{c.lane(o)}}})
		}
		return c.all, c.err
	})
}

var laneKeys = []chart.Key{
	{Sign: chart.Light, Words: "lit, no pot"}, {Sign: chart.Full, Words: "pot on, heating"}, {Sign: chart.Half, Words: "after the boil"},
	{Sign: chart.Ring, Words: "bloom"}, {Sign: chart.Flag, Words: "boil"}, {Sign: chart.ByItself, Words: "flame out by itself"}, {Sign: chart.PutOut, Words: "put out"},
}

// Course is how one burn went, in seconds from light.
type Course struct {
	Burn, Entry string
	Marker      int
	Block       string
	Void        bool
	PotOn       float64
	Bloom, Boil float64 // 0: not marked
	End         float64 // of the flame; of the watch where Ending is none
	Ending      chart.End
}

// Courses are those of all burns that have an end to draw to, entry by entry.
func Courses(r *trial.Reduced) []Course {
	var all []Course
	for _, e := range r.Entries {
		for i := range r.Results {
			if b := &r.Results[i]; b.Entry == e.Name {
				if c, ok := courseOf(r, b); ok {
					all = append(all, c)
				}
			}
		}
	}
	return all
}

// courseOf is the course of one burn, and false when it has no end to draw to.
func courseOf(r *trial.Reduced, b *trial.Burned) (Course, bool) {
	at := func(m reduce.Metric) float64 {
		f, _ := b.Result.Figure(m)
		return f.Value
	}
	o := b.Result.Outcome
	c := Course{Burn: b.ID, Entry: b.Entry, Marker: r.Marker(b.Entry), Block: b.Block, Void: b.Void != ""}
	c.Bloom, c.Boil = at(reduce.BloomTime), at(reduce.BoilTime)
	c.End = max(o.End.Seconds(), o.Censor.Seconds(), c.Boil)
	switch {
	case o.Snuffed:
		c.Ending = chart.PutOut
	case o.End > 0:
		c.Ending, c.End = chart.ByItself, o.End.Seconds()
	}
	c.PotOn = min(o.PotOn.Seconds(), c.End)
	return c, c.End > 0
}

// Heated is until when the water was on its way to the boil.
func (c Course) Heated() float64 {
	if c.Boil > 0 {
		return c.Boil
	}
	return c.End
}

// lane draws a course.
func (c *charts) lane(o Course) chart.Lane {
	lane := chart.Lane{Name: "burn " + o.Burn, EndAt: o.End, End: o.Ending}
	if o.Void {
		lane.Name += ", void"
	}
	add := func(from, to float64, tone chart.Tone, tip string) {
		if to > from {
			lane.Segments = append(lane.Segments, chart.Segment{From: from, To: to, Tone: tone, Tip: fmt.Sprintf("burn %s: %s, %s to %s", o.Burn, tip, clock(from, 0), clock(to, 0))})
		}
	}
	add(0, o.PotOn, chart.Light, "lit, no pot")
	add(o.PotOn, o.Heated(), chart.Full, "pot on, heating")
	add(o.Heated(), o.End, chart.Half, "after the boil")
	if o.Bloom > 0 {
		lane.Moments = append(lane.Moments, chart.Moment{At: o.Bloom, Glyph: chart.Ring, Tip: "bloom at " + c.u.Value(reduce.BloomTime, o.Bloom)})
	}
	if o.Boil > 0 {
		text := c.u.Value(reduce.BoilTime, o.Boil)
		lane.Moments = append(lane.Moments, chart.Moment{At: o.Boil, Glyph: chart.Flag, Tip: "boil at " + text, Label: text})
	}
	switch o.Ending {
	case chart.PutOut:
		lane.EndTip = "put out at " + clock(o.End, 0)
	case chart.ByItself:
		lane.EndTip = "flame out at " + clock(o.End, 0)
	}
	return lane
}
