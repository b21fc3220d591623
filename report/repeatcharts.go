package report

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/chart"
	"fairburn/quantity"
	"fairburn/repeat"
	"fairburn/verdict"
)

// RepeatCharts draws a comparison of testers: every burn by entry and tester on
// both axes, and the differences of the axis that judges, tester by tester and
// over testers. A chart that has nothing to show is left out.
func RepeatCharts(c *repeat.Comparison, sys quantity.System, at Layout) ([]Chart, error) {
	d := testerDrawer{testimony{c, Units(sys)}, charts{document: document{v: &verdict.Verdict{Level: c.Level, Margin: c.Margin}, u: Units(sys)}, at: at}}
	for _, a := range c.Axes {
		d.dots(a)
	}
	if len(c.Axes) > 0 {
		d.differences(c.Axes[0])
	}
	return d.charts.all, d.charts.err
}

type testerDrawer struct {
	testimony
	charts charts
}

func (d *testerDrawer) dots(a repeat.Axis) {
	name := pick(a.Metric.Info().LowerIsBetter > 0, axisName(verdict.Axis{Metric: a.Metric}), a.Name)
	c := chart.Dots{Axis: d.charts.scale(a.Metric, name), Absent: "did not boil",
		Legend: chart.Legend{Point: "one burn", Inner: "mean of a tester, " + d.level() + " interval"}}
	var said []string
	for _, e := range a.Entries {
		for _, m := range e.Means {
			group := verdict.Group{Entry: e.Entry + ", " + m.Tester, Marker: e.Marker, Points: m.Points, N: m.N, NoBoil: m.NoBoil, Center: m.Center, Lo: m.Lo, Hi: m.Hi}
			row := d.charts.row(verdict.Axis{Metric: a.Metric}, group)
			row.Value = absent
			if m.N > 0 {
				row.Value = d.u.Within(a.Metric, m.Center, m.Lo, m.Hi)
			}
			row.Tip = fmt.Sprintf("%s: mean %s, %s interval %s", group.Entry, row.Value, d.level(), d.u.Interval(a.Metric, m.Lo, m.Hi))
			if slices.ContainsFunc(m.Points, open) {
				c.Legend.Open = openWords(a.Metric)
			}
			if len(row.Points)+len(row.Absent) > 0 {
				c.Rows = append(c.Rows, row)
				said = append(said, row.Name+" "+row.Value+" ("+row.Note+")")
			}
		}
	}
	if len(c.Rows) == 0 {
		return
	}
	title := capital(a.Name) + ", tester by tester"
	c.Frame = d.charts.frame(title, strings.Join(said, ", "))
	d.charts.draw("testers-"+a.Key, title, "Every burn is a point; the thick line holds one tester's mean. The colour is the entry's. An interval holds what the tester's own instruments leave open.", c)
}

// mostDrawn is the ratio of the ends of an interval from which it is not drawn: it
// would press all others together.
const mostDrawn = 1.8

func (d *testerDrawer) differences(a repeat.Axis) {
	better := pick(a.Metric.Info().Key == "t_ref_s", "is faster", "uses less")
	c := chart.Differences{
		Axis:      chart.Axis{Label: "change of " + axisName(verdict.Axis{Metric: a.Metric}), Scale: chart.Percent},
		MarginLow: 1/(1+d.c.Margin) - 1, MarginHigh: d.c.Margin,
		MarginText: fmt.Sprintf("equal in practice (%.0f %%)", d.c.Margin*100),
		Left:       "first " + better, Right: "second " + better,
		Legend: chart.Legend{Inner: d.level() + " interval, for all pairs at once"},
	}
	var said []string
	shown := false
	for _, p := range a.Pairs {
		row := func(who, what string, class chart.Class, lo, mid, hi float64) {
			pair := chart.Pair{First: look(d.marker(p.A)), Second: look(d.marker(p.B)), Name: p.A + " against " + p.B + ", " + who, Class: class, Verdict: what, Tip: p.Sentence}
			if lo > 0 && lo <= mid && mid <= hi && hi/lo < mostDrawn {
				pair.Inner, shown = &chart.Interval{Low: lo - 1, Mid: mid - 1, High: hi - 1}, true
			}
			c.Pairs = append(c.Pairs, pair)
		}
		for _, s := range p.Sides {
			row(s.Tester, string(s.Class), pairClasses[s.Class], s.Lo, s.Ratio, s.Hi)
		}
		if p.Ratio > 0 {
			row("over testers", overWords(p), overClass(p), p.Lo, p.Ratio, p.Hi)
		}
		said = append(said, p.Sentence)
	}
	if !shown {
		return
	}
	title := "Compared over testers: " + a.Name
	c.Frame = d.charts.frame(title, strings.Join(said, ". "))
	d.charts.draw("over-"+a.Key, title, "For each pair first every tester alone, then the mean over testers, for which each tester counts as one. Few testers leave it wide; where it is wider than the chart can hold it is not drawn.", c)
}

func (d *testerDrawer) marker(entry string) int {
	for _, e := range d.c.Entries {
		if e.Name == entry {
			return e.Marker
		}
	}
	return 1
}

// overWords says what the mean alone shows.
func overWords(p repeat.Pair) string {
	if p.Hi/p.Lo >= mostDrawn {
		return "mean too wide to draw"
	}
	return string(p.Class)
}

// overClass is how the mean is drawn.
func overClass(p repeat.Pair) chart.Class {
	switch {
	case p.Lo > 1 || p.Hi < 1:
		return chart.Differs
	case p.Class == repeat.Across || p.Class == repeat.ForEvery && p.Better == "":
		return chart.Equal
	}
	return chart.Unsettled
}
