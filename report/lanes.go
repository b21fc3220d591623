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
	for _, e := range c.r.Entries {
		g := chart.LaneGroup{Name: e.Name, Entry: look(c.r.Marker(e.Name))}
		for i := range c.r.Results {
			b := &c.r.Results[i]
			if lane, ok := c.lane(b); ok && b.Entry == e.Name {
				g.Lanes = append(g.Lanes, lane)
				latest = max(latest, lane.EndAt)
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
		if lane, ok := c.lane(b); ok {
			c.course("course", "The course of the burn", lane.EndAt, []chart.LaneGroup{{Name: b.Entry, Entry: look(r.Marker(b.Entry)), Lanes: []chart.Lane{lane}}})
		}
		return c.all, c.err
	})
}

var laneKeys = []chart.Key{
	{Sign: chart.Light, Words: "lit, no pot"}, {Sign: chart.Full, Words: "pot on, heating"}, {Sign: chart.Half, Words: "after the boil"},
	{Sign: chart.Ring, Words: "bloom"}, {Sign: chart.Flag, Words: "boil"}, {Sign: chart.ByItself, Words: "flame out by itself"}, {Sign: chart.PutOut, Words: "put out"},
}

// lane is one burn, and false when it has no end to draw to.
func (c *charts) lane(b *trial.Burned) (chart.Lane, bool) {
	o := b.Result.Outcome
	at := func(m reduce.Metric) (float64, string, bool) {
		f, ok := b.Result.Figure(m)
		return f.Value, c.u.Value(m, f.Value), ok
	}
	boil, boilText, boiled := at(reduce.BoilTime)
	end := max(o.End.Seconds(), o.Censor.Seconds())
	heated := end
	if boiled {
		heated, end = boil, max(end, boil)
	}
	if !(end > 0) {
		return chart.Lane{}, false
	}
	lane := chart.Lane{Name: "burn " + b.ID, EndAt: end}
	if b.Void != "" {
		lane.Name += ", void"
	}
	pot := min(o.PotOn.Seconds(), end)
	add := func(from, to float64, tone chart.Tone, tip string) {
		if to > from {
			lane.Segments = append(lane.Segments, chart.Segment{From: from, To: to, Tone: tone, Tip: fmt.Sprintf("burn %s: %s, %s to %s", b.ID, tip, clock(from, 0), clock(to, 0))})
		}
	}
	add(0, pot, chart.Light, "lit, no pot")
	add(pot, heated, chart.Full, "pot on, heating")
	add(heated, end, chart.Half, "after the boil")
	if bloom, text, ok := at(reduce.BloomTime); ok {
		lane.Moments = append(lane.Moments, chart.Moment{At: bloom, Glyph: chart.Ring, Tip: "bloom at " + text})
	}
	if boiled {
		lane.Moments = append(lane.Moments, chart.Moment{At: boil, Glyph: chart.Flag, Tip: "boil at " + boilText, Label: boilText})
	}
	switch {
	case o.Snuffed:
		lane.End, lane.EndTip = chart.PutOut, "put out at "+clock(o.End.Seconds(), 0)
	case o.End > 0:
		lane.End, lane.EndTip, lane.EndAt = chart.ByItself, "flame out at "+clock(o.End.Seconds(), 0), o.End.Seconds()
	}
	return lane, true
}
