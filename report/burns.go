package report

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/trial"
)

// statuses are the words for what a burn's boil counts as.
var statuses = map[reduce.Status]string{
	reduce.Boiled: "boiled", reduce.BoiledPostFlame: "boiled after flame-out", reduce.NoBoil: "no boil",
	reduce.RightCensored: "stopped before a boil", reduce.Interval: "boiled between looks", reduce.Invalid: "does not count",
}

// StatusOf is a burn's status in words; a void burn is void whatever it did.
func StatusOf(b *trial.Burned) string {
	if b.Void != "" {
		return "void"
	}
	return statuses[b.Result.Status]
}

// knownBy is how a burn's fuel to boil is known.
func knownBy(r *reduce.Result) string {
	if !r.Status.HasBoil() {
		return absent
	}
	if r.FuelBy == burn.NotMeasured {
		return "not weighed"
	}
	return string(r.FuelBy)
}

// BurnTables list every burn, one table an entry, raw beside corrected. Burns
// of entries that are not listed stand in a last table.
func BurnTables(r *trial.Reduced, sys quantity.System) []Table {
	u := Units(sys)
	var all []Table
	names := []string{}
	for _, e := range r.Entries {
		names = append(names, e.Name)
	}
	for i, name := range append(slices.Clone(names), "") {
		t := Table{ID: fmt.Sprintf("burns-%d", i+1), Caption: "Burns of " + name, Wide: true, Marker: r.Marker(name),
			Columns: columns("burn", "*status", "boil", "at ref.", "burned", "to boil", "at ref. ", "*known by", "efficiency")}
		if name == "" {
			t.Caption = "Burns of entries that are not listed"
		}
		var bases footnotes
		var look []string
		for k := range r.Results {
			b := &r.Results[k]
			if b.Entry == name || name == "" && !slices.Contains(names, b.Entry) {
				t.add(0, burnCells(b, u, &bases)...)
				if found := codes(b.Result.Findings); len(found) > 0 {
					look = append(look, "look at burn "+b.ID+": "+strings.Join(found, ", "))
				}
			}
		}
		t.Notes = append(bases.notes(), look...)
		if len(t.Rows) > 0 {
			t.prune()
			all = append(all, t)
		}
	}
	return all
}

// burnCells is one burn as a row; bases gathers what the efficiencies count.
func burnCells(b *trial.Burned, u Units, bases *footnotes) []string {
	r := &b.Result
	eta := bases.letter(u.Raw(r, reduce.EtaWater), r.Basis(reduce.EtaWater))
	boil := u.Raw(r, reduce.BoilTime)
	if r.Outcome.FlameOut {
		boil = "never"
	}
	return []string{b.ID, StatusOf(b), boil, u.Raw(r, reduce.RefTime), u.Raw(r, reduce.FuelTotal),
		u.Raw(r, reduce.FuelToBoil), u.Raw(r, reduce.RefFuelBatch), knownBy(r), eta}
}

// footnotes gather what efficiencies count, so that each carries its basis as a
// letter and none stands without one.
type footnotes []string

// letter adds the letter of the basis to an efficiency.
func (f *footnotes) letter(eta, basis string) string {
	if eta == absent || basis == "" {
		return eta
	}
	if !slices.Contains(*f, basis) {
		*f = append(*f, basis)
	}
	return fmt.Sprintf("%s %c", eta, 'a'+slices.Index(*f, basis))
}

func (f footnotes) notes() []string {
	var all []string
	for i, basis := range f {
		all = append(all, fmt.Sprintf("%c: efficiency %s", 'a'+i, basis))
	}
	return all
}

// codes are the findings that could change the answer, by code.
func codes(fs []finding.Finding) []string {
	var cs []string
	for _, f := range fs {
		code := strings.ReplaceAll(f.Code, "_", " ")
		if f.Severity > finding.Note && !slices.Contains(cs, code) {
			cs = append(cs, code)
		}
	}
	return cs
}

// headline metrics get their whole budget on a burn's sheet: at reference where
// the burn could be brought there, else raw.
func headline(r *reduce.Result) []reduce.Metric {
	var ms []reduce.Metric
	for _, choice := range [][]reduce.Metric{{reduce.RefTime, reduce.BoilTime}, {reduce.RefFuelBatch, reduce.FuelToBoil, reduce.FuelTotal}, {reduce.EtaWater, reduce.MeanPower}} {
		for _, m := range choice {
			if f, ok := r.Figure(m); ok && f.U > 0 {
				ms = append(ms, m)
				break
			}
		}
	}
	return ms
}

// BurnSheet is everything known of one burn: its figures with half-width and
// largest cause, then the budgets of the headline ones.
func BurnSheet(b *trial.Burned, level float64, sys quantity.System) []Table {
	u, r := Units(sys), &b.Result
	figures := Table{ID: "burn-" + b.ID, Caption: fmt.Sprintf("Figures, with half-width at %.0f %%", level*100), Columns: columns("*figure", "value", "*largest cause")}
	for _, m := range reduce.Metrics() {
		if _, ok := r.Figure(m); !ok {
			continue
		}
		name, cause := m.Info().Name, ""
		switch basis := r.Basis(m); {
		case m == reduce.WBTTime:
			name = "pot-on to boil for a rise of " + quantity.FormatBrief(reduce.WBTRise, sys)
		case basis != "":
			name = "efficiency: " + basis
		}
		if budget, ok := r.Budget(m); ok {
			if c, ok := budget.Largest(); ok {
				cause = fmt.Sprintf("%s, %.0f %%", c.Name, c.Share*100)
			}
		}
		figures.add(0, name, u.Of(r, m, level), cause)
	}
	all := []Table{figures}
	for _, m := range headline(r) {
		all = append(all, budgetTable(b, m, u))
	}
	return all
}

// besideTable sets a burn's time and fuel beside what they would have been at
// reference.
func besideTable(b *trial.Burned, level float64, sys quantity.System) Table {
	u, r := Units(sys), &b.Result
	t := Table{ID: "beside-" + b.ID, Caption: "Raw beside corrected", Columns: columns("*to boil", "as measured", "at reference")}
	t.add(0, "time, from light", u.Of(r, reduce.BoilTime, level), u.Of(r, reduce.RefTime, level))
	t.add(0, "fuel", u.Of(r, reduce.FuelToBoil, level), u.Of(r, reduce.RefFuelBatch, level))
	t.Notes = append(t.Notes, "fuel to boil: "+pick(r.Status.HasBoil(), knownBy(r), "no boil"))
	return t
}

// budgetTable lists the causes of one figure's uncertainty, the largest first.
func budgetTable(b *trial.Burned, m reduce.Metric, u Units) Table {
	t := Table{ID: "budget-" + b.ID + "-" + m.Info().Key, Caption: "What makes " + m.Info().Name + " uncertain", Columns: columns("*cause", "standard uncertainty", "share")}
	budget, _ := b.Result.Budget(m)
	rest := 0.0
	for _, c := range budget.Causes() {
		if c.Share < 0.005 {
			rest += c.Share
			continue
		}
		t.add(0, c.Name, u.half(m, budget.Value, c.Contribution), fmt.Sprintf("%.0f %%", c.Share*100))
	}
	t.Notes = append(t.Notes, fmt.Sprintf("all together %s, standard; causes under half a per cent are not listed", u.half(m, budget.Value, budget.U)))
	return t
}
