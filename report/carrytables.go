package report

import (
	"fmt"
	"math"
	"strings"

	"fairburn/carry"
)

// kits compares the best kit of each stove and pot by what it weighs and how likely
// it runs dry.
func (c carried) kits() Table {
	t := Table{ID: "kits", Caption: "Every stove and pot at its best", Columns: columns("*kit", "runs dry", "fuel at first", "first morning", "mean carried", "at the end"),
		Notes: []string{"Mean carried: over the mornings of the trip. At the end: after the last day, with fuel used as expected."}}
	for i := range c.Answer.Kits {
		k := &c.Answer.Kits[i]
		row := []string{kitName(k), absent, absent, c.mass(k.Start), c.mass(k.Mean), c.mass(k.End)}
		if len(k.Loads) > 0 {
			row[1], row[2] = chance(k.Dry.Share), c.fuel(k.Loads[0].Mass, k.Loads[0].Volume)
		}
		t.add(c.marker(k), row...)
	}
	return t
}

// grounds says what each kit costs in time and money, what its fuel rests on, and
// which limit it breaks.
func (c carried) grounds() Table {
	t := Table{ID: "grounds", Caption: "Time, money, and what the fuel rests on", Columns: columns("*kit", "waiting a day", "cost", "*fuel rests on", "*breaks")}
	planned := false
	for i := range c.Answer.Kits {
		k := &c.Answer.Kits[i]
		row := []string{kitName(k), absent, absent, groundWords(k.Need), k.Breaks}
		if len(k.Loads) > 0 {
			row[1] = fmt.Sprintf("%.0f min", math.Round(k.Wait.Minutes()))
		}
		if k.CostKnown {
			row[2] = strings.TrimSpace(fmt.Sprintf("%.2f %s", float64(k.Cost), c.Answer.Currency))
		}
		planned = planned || k.Need.By == carry.Published || k.Need.By == carry.OwnFigure
		t.add(c.marker(k), row...)
	}
	if planned {
		t.Notes = append(t.Notes, "A planning figure is no measurement of that stove: burn it on the bench, and the range narrows.")
	}
	t.prune()
	return t
}

// mornings are the days that a table of days shows.
const mornings = 5

// days is what each kit weighs on the mornings.
func (c carried) days() Table {
	shown := daysShown(c.Answer.Days)
	t := Table{ID: "days", Caption: "Carried each morning, and after the last day", Columns: columns("*kit"), Wide: true}
	for _, d := range shown {
		t.Columns = append(t.Columns, Column{Head: fmt.Sprintf("day %d", d+1)})
	}
	t.Columns = append(t.Columns, Column{Head: "end"})
	for i := range c.Answer.Kits {
		k := &c.Answer.Kits[i]
		row := []string{kitName(k)}
		for _, d := range shown {
			row = append(row, c.mass(k.ByDay[d]))
		}
		t.add(c.marker(k), append(row, c.mass(k.End))...)
	}
	return t
}

// daysShown are days spread evenly, the first and the last among them.
func daysShown(n int) []int {
	var days []int
	for i := range min(n, mornings) {
		d := i
		if n > mornings {
			d = i * (n - 1) / (mornings - 1)
		}
		days = append(days, d)
	}
	return days
}

// drivers is what the answer hangs on.
func (c carried) drivers() Table {
	t := Table{ID: "drivers", Caption: "What the answer hangs on, one thing at a time", Columns: columns("*changed", "fuel from", "fuel to", "runs dry from", "runs dry to", "*best stove then"),
		Notes: []string{"Each is put at its 5 % and its 95 % point while all else stays drawn. Runs dry: with the fuel first planned."}}
	for _, d := range c.Drivers {
		best := stoveOf(d.Low.Best)
		if other := stoveOf(d.High.Best); other != best {
			best += " / " + other
		}
		t.add(0, d.Input, c.mass(d.Low.Load), c.mass(d.High.Load), chance(d.Low.Dry), chance(d.High.Dry), best)
	}
	return t
}

// stoveOf is the stove of a kit that is named by all its parts.
func stoveOf(kit string) string {
	stove, _, _ := strings.Cut(kit, ", ")
	return stove
}
