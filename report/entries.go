package report

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/trial"
	"fairburn/verdict"
)

// document is what every face of a report draws on.
type document struct {
	v *verdict.Verdict
	r *trial.Reduced
	u Units
}

// EntryTables are the tables that state each entry by itself: time, fuel,
// efficiency, what to carry, how surely it boils.
func EntryTables(v *verdict.Verdict, r *trial.Reduced, sys quantity.System) []Table {
	d := document{v, r, Units(sys)}
	all := []Table{d.times(), d.fuel(), d.efficiency(), d.carry()}
	all = slices.DeleteFunc(all, func(t Table) bool { return len(t.Columns) < 3 }) // nothing but a count
	if slices.ContainsFunc(v.Boils, func(b verdict.Boils) bool { return b.Boils < b.Tried }) {
		all = append(all, d.boils())
	}
	return all
}

func (d document) level() string { return fmt.Sprintf("%.0f %%", d.v.Level*100) }

// axis returns the axis of times or of fuel.
func (d document) axis(kind reduce.Kind) (verdict.Axis, bool) {
	for _, a := range d.v.Axes {
		if a.Metric.Info().Kind == kind {
			return a, true
		}
	}
	return verdict.Axis{}, false
}

// group returns an entry's values on the axis of a kind.
func (d document) group(kind reduce.Kind, entry string) (verdict.Group, reduce.Metric) {
	a, _ := d.axis(kind)
	for _, g := range a.Groups {
		if g.Entry == entry {
			return g, a.Metric
		}
	}
	return verdict.Group{}, a.Metric
}

// mean returns an entry's mean of a metric, and false when it has none.
func mean(e verdict.Entry, m reduce.Metric) (verdict.Mean, bool) {
	for _, f := range e.Figures {
		if f.Metric == m {
			return f, true
		}
	}
	return verdict.Mean{}, false
}

// within prints a mean rounded by its interval, "—" without one.
func (d document) within(e verdict.Entry, m reduce.Metric) string {
	f, ok := mean(e, m)
	if !ok {
		return absent
	}
	return d.u.Within(m, f.Value, f.Lo, f.Hi)
}

func (d document) between(e verdict.Entry, m reduce.Metric) string {
	f, _ := mean(e, m)
	return d.u.Interval(m, f.Lo, f.Hi)
}

// center prints a group's geometric mean, "—" when it has no values.
func (d document) center(g verdict.Group, m reduce.Metric) string {
	if g.N == 0 {
		return absent
	}
	return d.u.Within(m, g.Center, g.Lo, g.Hi)
}

// boiled says "5 of 6", of the burns that count and were not stopped or faulty.
func (d document) boiled(entry string) string {
	for _, b := range d.v.Boils {
		if b.Entry == entry {
			return fmt.Sprintf("%d of %d", b.Boils, b.Tried)
		}
	}
	return absent
}

func (d document) times() Table {
	a, _ := d.axis(reduce.Time)
	at := "at reference"
	if a.Raw {
		at = "mean"
	}
	t := Table{ID: "time", Caption: "Time to boil, from light", Columns: columns("*entry", "boiled", "as timed", at, d.level()+" interval", "next burn")}
	for _, e := range d.v.Entries {
		g, m := d.group(reduce.Time, e.Name)
		t.add(e.Marker, e.Name, d.boiled(e.Name), d.within(e, reduce.BoilTime), d.center(g, m),
			d.u.Interval(m, g.Lo, g.Hi), d.u.Interval(m, g.NextLo, g.NextHi))
	}
	t.Notes = append(t.Notes, a.Notes...)
	if slices.ContainsFunc(a.Groups, func(g verdict.Group) bool { return g.NoBoil > 0 }) {
		t.Notes = append(t.Notes, "times are of the burns that boiled; those that did not are counted beside them and lose every comparison")
	}
	t.prune()
	return t
}

// own is the metric that states fuel to boil in the fuel burned: at reference
// where burns could be brought there.
func (d document) own() reduce.Metric {
	if a, ok := d.axis(reduce.Mass); ok && a.Raw {
		return reduce.FuelToBoil
	}
	return reduce.RefFuelBatch
}

func (d document) fuel() Table {
	own := d.own()
	t := Table{ID: "fuel", Caption: "Fuel to boil: raw, then at reference conditions",
		Columns: columns("*entry", "n", "raw", "own fuel", d.level()+" interval", "volume", "as ethanol", "*known by")}
	if own == reduce.FuelToBoil {
		t.Caption = "Fuel to boil, as measured"
	}
	left := false // prorated burns
	for _, e := range d.v.Entries {
		g, m := d.group(reduce.Mass, e.Name)
		ethanol := d.center(g, m)
		if own == reduce.FuelToBoil {
			ethanol = absent
		}
		f, _ := mean(e, own)
		ways := d.ways(e.Name)
		left = left || ways.prorated > 0 && f.N == ways.weighed
		raw := d.within(e, reduce.FuelToBoil)
		t.add(e.Marker, e.Name, fmt.Sprint(f.N), raw, d.within(e, own), d.between(e, own), d.within(e, reduce.RefFuelVolume), ethanol, ways.words)
	}
	if left {
		t.Notes = append(t.Notes, "the figures of an entry leave its prorated burns out where three others were weighed; n counts the rest")
	}
	if a, ok := d.axis(reduce.Mass); ok {
		t.Notes = append(t.Notes, a.Notes...)
		if estimated(a) {
			t.Notes = append(t.Notes, "\"as ethanol\" is what entries are compared by; it counts burns that did not boil by their estimated fuel, the other columns do not")
		}
	}
	t.prune()
	return t
}

func estimated(a verdict.Axis) bool {
	return slices.ContainsFunc(a.Groups, func(g verdict.Group) bool {
		return slices.ContainsFunc(g.Points, func(p verdict.Point) bool { return p.Estimated })
	})
}

// ways are how the fuel to boil of an entry's burns is known.
type ways struct {
	words             string // "3 prorated, 2 snuffed at the boil"
	weighed, prorated int
}

func (d document) ways(entry string) ways {
	var w ways
	counts := map[string]int{}
	var order []string
	for _, b := range d.r.Of(entry) {
		way := knownBy(&b.Result)
		switch {
		case way == absent:
			continue
		case b.Result.FuelBy == burn.Prorated:
			w.prorated++
		case b.Result.FuelBy != burn.NotMeasured:
			w.weighed++
		}
		if counts[way]++; counts[way] == 1 {
			order = append(order, way)
		}
	}
	var parts []string
	for _, way := range order {
		parts = append(parts, fmt.Sprintf("%d %s", counts[way], way))
	}
	w.words = strings.Join(parts, ", ")
	return w
}

func (d document) efficiency() Table {
	t := Table{ID: "efficiency", Caption: "Efficiency, with what it counts, and firepower",
		Columns: columns("*entry", "n", "efficiency", d.level()+" interval", "firepower", "burn time")}
	var bases footnotes
	for _, e := range d.v.Entries {
		f, _ := mean(e, reduce.EtaWater)
		t.add(e.Marker, e.Name, fmt.Sprint(f.N), bases.letter(d.within(e, reduce.EtaWater), f.Basis), d.between(e, reduce.EtaWater),
			d.within(e, reduce.MeanPower), d.within(e, reduce.BurnTime))
	}
	t.Notes = append(bases.notes(), "firepower is the mean over the whole burn; burn time only of burns that ran to flame-out")
	t.prune()
	return t
}

func (d document) carry() Table {
	t := Table{ID: "carry", Caption: "What to carry", Columns: columns("*entry", "burner", "system", "least dose")}
	for _, e := range d.v.Entries {
		burner := absent
		if e.BurnerMass > 0 {
			burner = d.u.Mass(quantity.Mass(e.BurnerMass))
		}
		system := d.u.Mass(quantity.Mass(e.SystemMass))
		if len(e.Unweighed) > 0 {
			system = "≥ " + system
			t.Notes = append(t.Notes, fmt.Sprintf("%s: not weighed: %s", e.Name, list(e.Unweighed)))
		}
		t.add(e.Marker, e.Name, burner, system, d.leastDose(e.LeastDose))
	}
	t.Notes = append(append(t.Notes, noDose(d.v.Entries)...), noResidue(d.v.Entries)...)
	t.Notes = append(t.Notes, fmt.Sprintf("least dose: boils the reference water in %.0f of 10 burns, 95 %% sure", d.r.Settings.DoseShare*10))
	t.Notes = append(t.Notes, "the system is burner, pot, lid, screen and stand, without fuel and bottle")
	t.prune()
	return t
}

// noDose says for which entries no least dose is known, each reason once.
func noDose(entries []verdict.Entry) []string {
	var notes, reasons []string
	without := map[string][]string{}
	for _, e := range entries {
		if e.LeastDose.Known {
			continue
		}
		if without[e.LeastDose.Why] == nil {
			reasons = append(reasons, e.LeastDose.Why)
		}
		without[e.LeastDose.Why] = append(without[e.LeastDose.Why], e.Name)
	}
	for _, why := range reasons {
		notes = append(notes, "no least dose for "+list(without[why])+": "+why)
	}
	return notes
}

// noResidue says of which least doses it is not known what the burner keeps.
func noResidue(entries []verdict.Entry) []string {
	var names []string
	for _, e := range entries {
		if e.LeastDose.Known && e.LeastDose.ResidueUnknown {
			names = append(names, e.Name)
		}
	}
	if len(names) == 0 {
		return nil
	}
	return []string{"least dose of " + list(names) + ": add what the burner keeps; no burn that ran out was weighed, so it counts as nothing here"}
}

// leastDose prints a dose: "about" where burns that did not boil had their part,
// "≥" where it is not known what the burner keeps.
func (d document) leastDose(l verdict.LeastDose) string {
	if !l.Known {
		return absent
	}
	dose := d.u.Value(reduce.RefFuelBatch, l.Mass)
	if l.Volume > 0 {
		dose += ", " + d.u.Value(reduce.RefFuelVolume, l.Volume)
	}
	if l.Approx {
		dose = "about " + dose
	}
	if l.ResidueUnknown {
		dose = "≥ " + dose
	}
	return dose
}

func (d document) boils() Table {
	t := Table{ID: "boils", Caption: "How surely it boils on this dose",
		Columns: columns("*entry", "boiled", "next burn boils", d.level()+" interval", "mean time, capped", d.level()+" interval ", "median")}
	for _, b := range d.v.Boils {
		if b.Tried == 0 {
			continue
		}
		t.add(d.r.Marker(b.Entry), b.Entry, fmt.Sprintf("%d of %d", b.Boils, b.Tried), fmt.Sprintf("%.0f %%", b.Share*100),
			fmt.Sprintf("%.0f to %.0f %%", b.Lo*100, b.Hi*100), d.u.Within(reduce.BoilTime, b.CappedMean, b.CappedLo, b.CappedHi),
			d.capped(b), d.u.Value(reduce.BoilTime, b.Median))
		if b.FuelLasted > 0 {
			t.Notes = append(t.Notes, fmt.Sprintf("%s: median had the fuel lasted %s%s", b.Entry, d.u.Value(reduce.BoilTime, b.FuelLasted), pick(b.Warn == "", "", "; "+b.Warn)))
		}
	}
	t.Notes = append(t.Notes, fmt.Sprintf("in the capped mean a burn that did not boil counts as %s, the longest anyone would wait", clock(d.r.Settings.Cap.Seconds(), 0)))
	return t
}

// capped is the interval of a capped mean, "—" where it reaches out of the span
// from light to the cap: then the burns are too few to place the mean in it.
func (d document) capped(b verdict.Boils) string {
	if b.CappedLo < 0 || b.CappedHi > d.r.Settings.Cap.Seconds() {
		return absent
	}
	return d.u.Interval(reduce.BoilTime, b.CappedLo, b.CappedHi)
}
