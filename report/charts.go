package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/chart"
	"fairburn/draw"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/trial"
	"fairburn/verdict"
)

// Chart is one chart of a verdict, laid out for a width.
type Chart struct {
	ID    string // unique among the charts of a verdict
	Title string
	Note  string // how to read it
	Scene draw.Scene
}

// drawing is what every struct of package chart is.
type drawing interface {
	Scene() (draw.Scene, error)
}

// Layout is where charts are to stand.
type Layout struct {
	Width float64 // px
	// Alone: each chart is a file of its own, with its title and a margin.
	Alone bool
}

// Charts draws a verdict: every entry's burns with intervals on both axes, the
// differences, speed against fuel, the course of every burn, and what makes the
// headline figure uncertain. A chart that has nothing to show is left out.
func Charts(v *verdict.Verdict, r *trial.Reduced, sys quantity.System, at Layout) ([]Chart, error) {
	c := charts{document: document{v, r, Units(sys)}, at: at}
	for _, a := range v.Axes {
		c.dots(a)
	}
	for _, a := range v.Axes {
		c.differences(a)
	}
	c.scatter()
	c.lanes()
	c.shares()
	return c.all, c.err
}

type charts struct {
	document
	at  Layout
	all []Chart
	err error
}

func (c *charts) frame(title, description string) chart.Frame {
	return chart.Frame{Width: c.at.Width, Title: title, Description: description, Headed: c.at.Alone}
}

// draw adds a chart to the others.
func (c *charts) draw(id, title, note string, d drawing) {
	scene, err := d.Scene()
	if err != nil {
		if c.err == nil {
			c.err = fmt.Errorf("drawing %q: %w", title, err)
		}
		return
	}
	c.all = append(c.all, Chart{id, title, note, scene})
}

// look is the index of an entry's colour and shape: markers count from 1.
func look(marker int) int { return marker - 1 }

// scale is the axis of a metric.
func (c *charts) scale(m reduce.Metric, name string) chart.Axis {
	a := chart.Axis{Label: name + ", " + c.u.Unit(m)}
	if m.Info().Kind == reduce.Time {
		a.Scale = chart.Clock
	}
	return a
}

// axisName is what an axis shows, short enough for a label.
func axisName(a verdict.Axis) string {
	name := "light to boil"
	if a.Metric.Info().Kind != reduce.Time {
		name = pick(a.Raw, "fuel to boil", "fuel to boil as ethanol")
	}
	return name + pick(a.Raw, " as measured", " at reference")
}

func (c *charts) dots(a verdict.Axis) {
	d := chart.Dots{Axis: c.scale(a.Metric, axisName(a)), Absent: "did not boil",
		Legend: chart.Legend{Point: "one burn", Inner: "mean, " + c.level() + " interval", Outer: "where the next burn falls"}}
	var said []string
	for _, g := range a.Groups {
		row := c.row(a, g)
		for _, p := range g.Points {
			if open(p) {
				d.Legend.Open = openWords(a.Metric)
			}
		}
		if len(row.Points)+len(row.Absent) > 0 {
			d.Rows = append(d.Rows, row)
			said = append(said, row.Name+" "+row.Value+" ("+row.Note+")")
		}
	}
	if len(d.Rows) == 0 {
		return
	}
	title := capital(a.Name)
	d.Frame = c.frame(title, strings.Join(said, ", "))
	note := "Every burn is a point. The thick line holds the mean, the thin one the next burn."
	if a.Metric == reduce.RefFuel {
		note += " As ethanol: pure ethanol with the same heat, so that fuels can be compared; the fuel itself stands at a glance and in the table."
	}
	c.draw("dots-"+a.Key, title, note, d)
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// open reports whether a point counts less: estimated, or boiled late.
func open(p verdict.Point) bool { return p.Estimated || p.Status == reduce.BoiledPostFlame }

// openWords says what an open point of a metric is.
func openWords(m reduce.Metric) string {
	return pick(m.Info().Kind == reduce.Time, "boiled after flame-out", "estimated, did not boil")
}

func (c *charts) row(a verdict.Axis, g verdict.Group) chart.Row {
	m := a.Metric
	row := chart.Row{Name: g.Entry, Entry: look(g.Marker), Value: c.center(g, m), Note: fmt.Sprintf("n = %d", g.N)}
	if g.NoBoil > 0 {
		row.Note += fmt.Sprintf(", %d did not boil", g.NoBoil)
	}
	for _, p := range g.Points {
		if math.IsInf(p.Value, 0) {
			row.Absent = append(row.Absent, "burn "+p.Burn+": did not boil")
			continue
		}
		row.Points = append(row.Points, chart.Point{Value: c.u.Number(m, p.Value), Tip: c.tip(m, p), Open: open(p)})
	}
	row.Inner = c.interval(m, g.Lo, g.Center, g.Hi)
	row.Outer = c.interval(m, g.NextLo, g.Center, g.NextHi)
	if row.Inner != nil {
		row.Tip = fmt.Sprintf("mean %s, %s interval %s; next burn %s", row.Value, c.level(), c.u.Interval(m, g.Lo, g.Hi), c.u.Interval(m, g.NextLo, g.NextHi))
	}
	return row
}

func (c *charts) tip(m reduce.Metric, p verdict.Point) string {
	tip := fmt.Sprintf("burn %s: %s", p.Burn, c.u.Value(m, p.Value))
	if p.Estimated {
		tip += ", estimated"
	}
	if p.Suspect {
		tip += ", stands out"
	}
	return tip + ", " + statuses[p.Status]
}

// interval is an interval in the unit that is shown, nil where there is none.
func (c *charts) interval(m reduce.Metric, low, mid, high float64) *chart.Interval {
	if !(low > 0 && low <= mid && mid <= high) || math.IsInf(high, 0) || low == high {
		return nil
	}
	return &chart.Interval{Low: c.u.Number(m, low), Mid: c.u.Number(m, mid), High: c.u.Number(m, high)}
}

var pairClasses = map[verdict.Class]chart.Class{
	verdict.WorthHaving: chart.Differs, verdict.Different: chart.Differs, verdict.EqualInPractice: chart.Equal,
	verdict.NotSettled: chart.Unsettled, verdict.TooFew: chart.TooFew,
}

func (c *charts) differences(a verdict.Axis) {
	better := pick(a.Metric.Info().Kind == reduce.Time, "is faster", "uses less")
	d := chart.Differences{
		Axis:      chart.Axis{Label: "change of " + axisName(a), Scale: chart.Percent},
		MarginLow: 1/(1+c.v.Margin) - 1, MarginHigh: c.v.Margin,
		MarginText: fmt.Sprintf("equal in practice (%.0f %%)", c.v.Margin*100),
		Left:       "first " + better, Right: "second " + better,
		Legend: chart.Legend{Inner: c.level() + " interval, for all pairs at once"},
	}
	var said []string
	for _, p := range a.Pairs {
		pair := chart.Pair{First: look(c.r.Marker(p.A)), Second: look(c.r.Marker(p.B)), Name: p.A + " against " + p.B,
			Class: pairClasses[p.Class], Verdict: string(p.Class), Tip: p.Sentence}
		if p.Lo > 0 && p.Lo <= p.Ratio && p.Ratio <= p.Hi && !math.IsInf(p.Hi, 0) {
			pair.Inner = &chart.Interval{Low: p.Lo - 1, Mid: p.Ratio - 1, High: p.Hi - 1}
		}
		d.Pairs = append(d.Pairs, pair)
		said = append(said, p.Sentence)
	}
	if !slices.ContainsFunc(d.Pairs, func(p chart.Pair) bool { return p.Inner != nil }) {
		return
	}
	title := "Compared: " + a.Name
	d.Frame = c.frame(title, strings.Join(said, ". "))
	note := "Left of the upright line the first of the pair does better. An interval that crosses the line shows no difference yet."
	for _, p := range a.Pairs {
		if p.Ranked {
			note += " Where a burn did not boil the class comes from ranks, and the interval counts that burn as the cap."
			break
		}
	}
	c.draw("pairs-"+a.Key, title, note, d)
}

func (c *charts) scatter() {
	times, okT := c.axis(reduce.Time)
	fuels, okF := c.axis(reduce.Mass)
	if !okT || !okF {
		return
	}
	s := chart.Scatter{X: c.scale(times.Metric, axisName(times)), Y: c.scale(fuels.Metric, axisName(fuels)),
		Better: chart.LowerLeft, Hint: "faster, less fuel", Legend: chart.Legend{Point: "one burn", Inner: "mean, " + c.level() + " interval both ways"}}
	for i, g := range times.Groups {
		if cloud := c.cloud(times.Metric, fuels.Metric, g, fuels.Groups[i]); len(cloud.Spots) > 0 {
			s.Clouds = append(s.Clouds, cloud)
		}
	}
	if len(s.Clouds) == 0 {
		return
	}
	s.Frame = c.frame("Speed and fuel", "Time to boil across, fuel to boil upwards, one point a burn. The figures stand in the tables of time and fuel.")
	c.draw("scatter", "Speed and fuel", "Small points are burns that have both figures, crosses the means.", s)
}

func (c *charts) cloud(mt, mf reduce.Metric, t, f verdict.Group) chart.Cloud {
	cloud := chart.Cloud{Name: t.Entry, Entry: look(t.Marker)}
	for _, p := range t.Points {
		for _, q := range f.Points {
			if p.Burn != q.Burn || math.IsInf(p.Value, 0) {
				continue
			}
			cloud.Spots = append(cloud.Spots, chart.Spot{X: c.u.Number(mt, p.Value), Y: c.u.Number(mf, q.Value), Open: open(p),
				Tip: fmt.Sprintf("%s, burn %s: %s, %s", t.Entry, p.Burn, c.u.Value(mt, p.Value), c.u.Value(mf, q.Value))})
		}
	}
	x, y := c.interval(mt, t.Lo, t.Center, t.Hi), c.interval(mf, f.Lo, f.Center, f.Hi)
	if x != nil && y != nil {
		cloud.Centre = &chart.Cross{X: *x, Y: *y, Tip: fmt.Sprintf("%s: mean %s, %s", t.Entry, c.center(t, mt), c.center(f, mf))}
	}
	return cloud
}

// shares shows what makes the headline figure uncertain in one burn: the first
// that has it, of the entry that comes first.
func (c *charts) shares() {
	b, m, ok := c.typical()
	if !ok {
		return
	}
	budget, _ := b.Result.Budget(m)
	s := chart.Shares{}
	rest := 0.0
	for _, cause := range budget.Causes() {
		if cause.Share < 0.01 {
			rest += max(0, cause.Share)
			continue
		}
		s.Parts = append(s.Parts, chart.Share{Name: cause.Name, Value: min(1, cause.Share), Text: fmt.Sprintf("%.0f %%", cause.Share*100),
			Tip: fmt.Sprintf("%s: %s, %.0f %% of the variance", cause.Name, c.u.half(m, budget.Value, cause.Contribution), cause.Share*100)})
	}
	if len(s.Parts) == 0 {
		return
	}
	if rest >= 0.01 {
		s.Parts = append(s.Parts, chart.Share{Name: "all others", Value: min(1, rest), Text: fmt.Sprintf("%.0f %%", rest*100)})
	}
	figure := c.u.Of(&b.Result, m, c.v.Level)
	title := "What makes a single figure uncertain"
	s.Frame = c.frame(title, fmt.Sprintf("%s of burn %s, %s: %s is the largest cause", m.Info().Name, b.ID, figure, s.Parts[0].Name))
	c.draw("shares", title, fmt.Sprintf("%s of burn %s of %s: %s at %s. Shares are of the variance, the square of the uncertainty. Scatter between burns comes on top and stands in the intervals above.",
		capital(m.Info().Name), b.ID, b.Entry, figure, c.level()), s)
}

// typical is the burn whose budget is shown: the first that boiled and counts,
// of the entry that may be best on the axis that judges. A fuel that was weighed
// goes before one that was prorated.
func (d document) typical() (*trial.Burned, reduce.Metric, bool) {
	for _, a := range d.v.Axes {
		for _, prorated := range []bool{false, true} {
			for _, name := range append(slices.Clone(a.CouldBeBest), entryNames(d.v)...) {
				if b, ok := d.firstWith(a.Metric, name, prorated); ok {
					return b, a.Metric, true
				}
			}
		}
	}
	return nil, 0, false
}

func (d document) firstWith(m reduce.Metric, entry string, prorated bool) (*trial.Burned, bool) {
	for i := range d.r.Results {
		b := &d.r.Results[i]
		f, ok := b.Result.Figure(m)
		leans := m.Info().Kind == reduce.Mass && b.Result.FuelBy == burn.Prorated
		if ok && b.Entry == entry && b.Void == "" && f.U > 0 && !f.Estimated && f.Bound == reduce.Exact && leans == prorated {
			return b, true
		}
	}
	return nil, false
}

func entryNames(v *verdict.Verdict) []string {
	var names []string
	for _, e := range v.Entries {
		names = append(names, e.Name)
	}
	return names
}
