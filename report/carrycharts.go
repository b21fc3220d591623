package report

import (
	"fmt"
	"strings"

	"fairburn/carry"
	"fairburn/chart"
	"fairburn/quantity"
)

// mostCurves is how many kits one drawing of curves holds.
const mostCurves = 6

// CarryCharts draws the answer to a trip: the chance of running dry against the
// fuel carried, what each kit weighs day by day, and how the days of the trip change
// the lightest kit. A chart that has nothing to show is left out.
func CarryCharts(answer Carry, sys quantity.System, at Layout) ([]Chart, error) {
	d := tripDrawer{carried: newCarried(answer, sys), charts: charts{at: at}}
	d.risk()
	d.byDay()
	d.sweep("sweep-start", carry.LeastStart)
	d.sweep("sweep-mean", carry.LeastMean)
	return d.charts.all, d.charts.err
}

type tripDrawer struct {
	carried
	charts charts
}

// shown are the kits that are drawn: the best of each stove and pot that heats, and
// no more than can be told apart.
func (d *tripDrawer) shown() []*carry.Carried {
	var all []*carry.Carried
	drawn := map[string]bool{}
	for i := range d.Answer.Kits {
		k := &d.Answer.Kits[i]
		if name := k.Kit.Name(); len(all) < mostCurves && k.Kit.Kind != carry.NoStove && !drawn[name] {
			drawn[name] = true
			all = append(all, k)
		}
	}
	return all
}

func (d *tripDrawer) number(m quantity.Mass) float64 {
	x, _ := quantity.In(m, d.sys)
	return x
}

func (d *tripDrawer) massUnit() string {
	_, unit := quantity.In(quantity.Mass(0), d.sys)
	return unit
}

// risk is drawn first: what a little more or less fuel would change.
func (d *tripDrawer) risk() {
	c := chart.Curves{X: chart.Axis{Label: "fuel carried at first, " + d.massUnit()}, Y: chart.Axis{Label: "chance of running dry", Scale: chart.Percent, Include: []float64{0, 1}},
		Legend: chart.Legend{Open: "points of the curve"}}
	var said []string
	for _, k := range d.shown() {
		if len(k.Risk) == 0 {
			continue // it needs no fuel
		}
		line := chart.Curve{Name: kitName(k), Entry: look(d.marker(k))}
		for i, r := range k.Risk {
			s := chart.Spot{X: d.number(r.Fuel), Y: r.Dry, Open: true, Tip: fmt.Sprintf("%s with %s: %s", kitName(k), d.mass(r.Fuel), chance(r.Dry))}
			line.Line = append(line.Line, s)
			if i%3 == 0 {
				line.Spots = append(line.Spots, s)
			}
		}
		carried := chart.Spot{X: d.number(k.Loads[0].Mass), Y: k.Dry.Share, Tip: fmt.Sprintf("%s carries %s: %s", kitName(k), d.mass(k.Loads[0].Mass), chance(k.Dry.Share))}
		line.Mark = &carried
		c.Lines = append(c.Lines, line)
		said = append(said, carried.Tip)
	}
	if len(c.Lines) == 0 {
		return
	}
	const title = "How likely it is to run dry"
	c.Frame = d.charts.frame(title, strings.Join(said, ". "))
	note := "The full mark on each curve is what is carried, as the reserve asks. Further right is more fuel; a steep curve says that a little more helps much."
	if len(d.Answer.Kits[0].Loads) > 1 {
		note += " The fuel is that of the first stretch; the stretches after a resupply go with it in proportion."
	}
	d.charts.draw("risk", title, note, c)
}

// byDay shows what each kit weighs each morning and after the last day.
func (d *tripDrawer) byDay() {
	c := chart.Curves{X: chart.Axis{Label: "morning of day", Scale: chart.Whole}, Y: chart.Axis{Label: "carried, " + d.massUnit(), Include: []float64{0}}, Legend: chart.Legend{Point: "a morning"}}
	var said []string
	for _, k := range d.shown() {
		line := chart.Curve{Name: kitName(k), Entry: look(d.marker(k)), Step: true}
		for i, m := range append(k.ByDay[:len(k.ByDay):len(k.ByDay)], k.End) {
			when := fmt.Sprintf("morning of day %d", i+1)
			if i == len(k.ByDay) {
				when = "after the last day"
			}
			line.Spots = append(line.Spots, chart.Spot{X: float64(i + 1), Y: d.number(m), Tip: fmt.Sprintf("%s, %s: %s", kitName(k), when, d.mass(m))})
		}
		line.Line = line.Spots
		c.Lines = append(c.Lines, line)
		said = append(said, fmt.Sprintf("%s from %s to %s", kitName(k), d.mass(k.Start), d.mass(k.End)))
	}
	if len(c.Lines) == 0 {
		return
	}
	const title = "What is carried, day by day"
	c.Frame = d.charts.frame(title, strings.Join(said, ". "))
	d.charts.draw("by-day", title, "With fuel used as expected. Spirit grows lighter every day; the metal of a cartridge stays to the end.", c)
}

// sweep shows how the days of the trip change the lightest kit.
func (d *tripDrawer) sweep(id string, by carry.Objective) {
	if d.Sweep == nil || len(d.Sweep.Days) < 2 {
		return
	}
	c := chart.Curves{X: chart.Axis{Label: "days of the trip", Scale: chart.Whole}, Y: chart.Axis{Label: string(by) + ", " + d.massUnit(), Include: []float64{0}}, Legend: chart.Legend{Point: "a length of the trip"}}
	for i, k := range d.Sweep.Kits {
		marker, ok := d.markers[k.Name()]
		if !ok || len(c.Lines) == mostCurves || k.Kind == carry.NoStove {
			continue
		}
		line := chart.Curve{Name: k.Name(), Entry: look(marker)}
		for _, day := range d.Sweep.Days {
			masses := pick(by == carry.LeastStart, day.Start, day.Mean)
			if i >= len(masses) || masses[i] < 0 {
				continue
			}
			line.Spots = append(line.Spots, chart.Spot{X: float64(day.Days), Y: d.number(masses[i]), Tip: fmt.Sprintf("%s for %s: %s", k.Name(), daysOf(day.Days), d.mass(masses[i]))})
		}
		if line.Line = line.Spots; len(line.Line) > 0 {
			c.Lines = append(c.Lines, line)
		}
	}
	if len(c.Lines) == 0 {
		return
	}
	title := "How days change the " + string(by)
	c.Frame = d.charts.frame(title, strings.Join(d.turns(), " "))
	d.charts.draw(id, title, "Each kit at its lightest for that many days, with bottles and cartridges in their real steps.", c)
}
