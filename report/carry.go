package report

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"fairburn/carry"
	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/trial"
)

// Carry is the answer to a trip with what stands beside it.
type Carry struct {
	Answer  *carry.Answer
	Reserve carry.Reserve
	Sweep   *carry.Sweep   // how days change it; may be nil
	Drivers []carry.Driver // what it hangs on; may be nil
	Markers map[string]int // of stoves that have one
}

// inventedTrip marks a trip that nobody walked.
const inventedTrip = "INVENTED TRIP: an example; nobody walked it."

// carried gives the figures of an answer their words.
type carried struct {
	Carry
	sys     quantity.System
	markers map[string]int // of stoves with their pots
}

func newCarried(c Carry, sys quantity.System) carried {
	all := carried{c, sys, map[string]int{}}
	taken := map[int]bool{}
	for _, n := range c.Markers {
		taken[n] = true
	}
	kits := map[string]string{}
	for i := range c.Answer.Kits {
		kits[c.Answer.Kits[i].Kit.Name()] = c.Answer.Kits[i].Kit.Stove
	}
	used, free := map[int]bool{}, 1
	for _, name := range slices.Sorted(maps.Keys(kits)) { // so that a kit keeps its mark whatever its place
		n := c.Markers[kits[name]]
		if n == 0 || used[n] {
			for taken[free] {
				free++
			}
			n, taken[free] = free, true
		}
		all.markers[name], used[n] = n, true
	}
	return all
}

func (c carried) marker(k *carry.Carried) int { return c.markers[k.Kit.Name()] }

// kitName names a kit among the others.
func kitName(k *carry.Carried) string {
	if k.Need.By == carry.OtherParts {
		return k.Kit.Name() + " (other parts)"
	}
	return k.Kit.Name()
}

// mass prints what is packed: whole grams, or eighths of an ounce.
func (c carried) mass(m quantity.Mass) string {
	if c.sys == quantity.Metric {
		return fmt.Sprintf("%.0f g", float64(m/quantity.Gram))
	}
	return quantity.FormatEighths(m)
}

// volume prints what is poured: whole millilitres, or fluid ounces.
func (c carried) volume(v quantity.Volume) string {
	if c.sys == quantity.Metric {
		return fmt.Sprintf("%.0f mL", float64(v/quantity.Millilitre))
	}
	return quantity.Format(v, c.sys)
}

// fuel is what a load holds: 155 mL (124 g), or 110 g of gas.
func (c carried) fuel(mass quantity.Mass, volume quantity.Volume) string {
	if volume > 0 {
		return c.volume(volume) + " (" + c.mass(mass) + ")"
	}
	return c.mass(mass)
}

// chance prints a chance with the digits that matter to a person. None of the
// draws is not never.
func chance(share float64) string {
	switch {
	case share < 0.001:
		return "under 0.1 %"
	case share < 0.0995:
		return fmt.Sprintf("%.1f %%", 100*share)
	case share > 0.995 && share < 1:
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

// sentence leads with the chance of running dry.
func (c carried) sentence() string {
	b := c.Answer.Best
	switch {
	case b == nil && len(c.Answer.Kits) == 0:
		return "No answer: what is asked, or what there is to take, must be mended first (under Findings)."
	case b == nil:
		return "No kit keeps the limits; the nearest stand below with the limit that each breaks."
	case b.Kit.Kind == carry.NoStove:
		return "Nothing is heated, so nothing can run dry: no stove is carried."
	}
	first := b.Loads[0]
	text := fmt.Sprintf("Chance of running dry %s with %s of fuel for %s", chance(b.Dry.Share), c.fuel(first.Mass, first.Volume), b.Kit.Name())
	if len(b.Loads) > 1 {
		text += fmt.Sprintf(" on the first %s, filled again on the way", daysOf(first.Days))
	}
	return text + fmt.Sprintf("; the kit weighs %s on the first morning.", c.mass(b.Start))
}

func daysOf(n int) string { return fmt.Sprintf("%d %s", n, pick(n == 1, "day", "days")) }

// lead says what the sentence is worth.
func (c carried) lead() []string {
	a := c.Answer
	said := []string{fmt.Sprintf("Asked: least %s; reserve: %s. %d kits fit; %d trips drawn with seed %d.", a.Choose, reserveWords(c.Reserve), a.Among, a.Draws, a.Seed)}
	if b := a.Best; b != nil && b.Kit.Kind != carry.NoStove {
		counted := pick(b.Dry.Hi < 0.001, "", fmt.Sprintf(" (%s to %s at 95 %% for their number)", chance(b.Dry.Lo), chance(b.Dry.Hi)))
		said = append(said, fmt.Sprintf("The chance counts the trips drawn%s. It is as good as the ranges and burns it rests on: %s.", counted, groundWords(b.Need)))
		if b.Need.By == carry.Published || b.Need.By == carry.OwnFigure {
			said = append(said, "PLANNING FIGURE: the fuel of this kit was not measured on your bench.")
		}
	}
	return said
}

func reserveWords(r carry.Reserve) string {
	switch r.Rule {
	case carry.ByShare:
		return fmt.Sprintf("%.0f %% beyond the middle of the need", 100*float64(r.Share))
	case carry.ByChance:
		return fmt.Sprintf("at most %s running dry", chance(float64(r.Chance)))
	case carry.ByDays:
		return fmt.Sprintf("%g %s beyond the middle of the need", r.Days, pick(r.Days == 1, "day", "days"))
	}
	return "1 day beyond the middle of the need"
}

func groundWords(n carry.Need) string {
	if n.Burns > 0 {
		return fmt.Sprintf("%s (n = %d)", n.By, n.Burns)
	}
	return string(n.By)
}

// pack lists what goes into the pack.
func (c carried) pack(k *carry.Carried) []string {
	if k.Kit.Kind == carry.NoStove {
		return []string{k.Kit.Stove}
	}
	things := []string{k.Kit.Stove}
	for _, p := range k.Kit.Parts {
		things = append(things, fmt.Sprintf("%s (%s)", p.Name, c.mass(p.Mass.Value)))
	}
	all := []string{strings.Join(things, ", ")}
	for _, l := range k.Loads {
		all = append(all, c.load(l))
	}
	return all
}

// load says what one stretch's fuel is carried in.
func (c carried) load(l carry.Load) string {
	var vessels []string
	for i, v := range l.Vessels {
		what := v.Name
		switch {
		case v.Mass == 0:
			what = "an empty " + what
		case v.Volume > 0:
			what += " with " + c.volume(v.Volume)
		case i > 0 && l.Vessels[i-1] == v:
			continue // counted with the first
		default:
			if n := alike(l.Vessels[i:]); n > 1 {
				what = fmt.Sprintf("%d × %s", n, what)
			}
		}
		vessels = append(vessels, what)
	}
	return fmt.Sprintf("from day %d for %s: %s in %s; reserve %.1f days", l.FromDay, daysOf(l.Days), c.fuel(l.Mass, l.Volume), strings.Join(vessels, ", "), l.Reserve)
}

// alike counts the vessels that are like the first and follow it.
func alike(vs []carry.Filled) int {
	n := 0
	for n < len(vs) && vs[n] == vs[0] {
		n++
	}
	return n
}

// turns says at which days another kit becomes the lightest.
func (c carried) turns() []string {
	if c.Sweep == nil || len(c.Sweep.Days) == 0 {
		return nil
	}
	var all []string
	for _, by := range []carry.Objective{carry.LeastStart, carry.LeastMean} {
		var said []string
		for _, t := range c.Sweep.Turns {
			if t.By == by {
				said = append(said, fmt.Sprintf("from %s %s", daysOf(t.Days), c.Sweep.Kits[t.To].Name()))
			}
		}
		first := c.lightestFirst(by)
		if first == "" {
			continue // nothing that heats
		}
		all = append(all, fmt.Sprintf("By %s: %s is lightest for 1 day%s.", by, first, pick(len(said) == 0, fmt.Sprintf(" and stays so to %d", len(c.Sweep.Days)), ", "+strings.Join(said, ", "))))
	}
	return all
}

// lightestFirst is the lightest kit that heats, for one day.
func (c carried) lightestFirst(by carry.Objective) string {
	day := c.Sweep.Days[0]
	masses := pick(by == carry.LeastStart, day.Start, day.Mean)
	best := -1
	for i, m := range masses {
		if c.Sweep.Kits[i].Kind != carry.NoStove && m >= 0 && (best < 0 || m < masses[best]) {
			best = i
		}
	}
	if best < 0 {
		return ""
	}
	return c.Sweep.Kits[best].Name()
}

// rules are the tester's own notes, passed on as written.
func (c carried) rules() []string {
	var all []string
	for _, n := range c.Answer.Rules {
		line := n.String()
		if n.Link != "" {
			line += ", " + n.Link
		}
		all = append(all, line)
	}
	return all
}

// CarryTerminal writes what to carry for a terminal of 80 columns: the chance of
// running dry first, then what to pack, the kits beside each other, and what the
// answer rests on.
func CarryTerminal(w io.Writer, answer Carry, o Options) error {
	c := newCarried(answer, o.System)
	var p page
	p.words("", c.sentence())
	if c.Answer.Invented {
		p.words("", inventedTrip)
	}
	p.WriteString("\n")
	p.words("", fmt.Sprintf("%s, %s", c.Answer.Title, daysOf(c.Answer.Days)))
	for _, l := range c.lead() {
		p.words("", l)
	}
	if b := c.Answer.Best; b != nil {
		p.items("To pack", c.pack(b))
		p.items(doseHead(b), c.doses(b))
	}
	if len(c.Answer.Kits) > 0 {
		p.table(c.kits())
		p.table(c.grounds())
		p.table(c.days())
	}
	p.items("How days change it", c.turns())
	if len(c.Drivers) > 0 {
		p.table(c.drivers())
	}
	if b := c.Answer.Best; b != nil {
		p.items("What the fuel rests on", b.Need.Why)
	}
	p.items("Your notes on local rules", c.rules())
	p.items("Cautions", carryCautions(c.Answer.Best))
	p.findings(c.Answer.Findings)
	return p.to(w)
}

// CarryJSON writes the answer for other programs, indented, in SI.
func CarryJSON(w io.Writer, c Carry) error {
	err := writeJSON(w, struct {
		Answer   *carry.Answer     `json:"answer"`
		Sweep    *carry.Sweep      `json:"sweep,omitempty"`
		Drivers  []carry.Driver    `json:"drivers,omitempty"`
		Findings []finding.Finding `json:"findings,omitempty"`
	}{c.Answer, c.Sweep, c.Drivers, c.Answer.Findings})
	if err != nil {
		return fmt.Errorf("writing %q as JSON: %w", c.Answer.Title, err)
	}
	return nil
}

// MarkersOf are the markers that burners have in their trials, the first of each.
func MarkersOf(trials []*trial.Reduced) map[string]int {
	markers := map[string]int{}
	for _, r := range trials {
		for _, e := range r.Entries {
			if n := r.Marker(e.Name); markers[e.Burner] == 0 && n > 0 {
				markers[e.Burner] = n
			}
		}
	}
	return markers
}
