package plan

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"fairburn/finding"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/trial"
)

// Unfair says what would make the planned burns an unfair comparison or leave
// them without an answer, with what to do about it, before the first is lit.
// It holds the findings of the trial's shelf and entries, and takes plans
// written by hand too.
func Unfair(t *trial.Trial, p trial.Plan) []finding.Finding {
	listed := trial.Trial{Shelf: t.Shelf, Entries: t.Entries} // what was burned is no matter of the plan
	f := findings(listed.Check())
	f.pairs(t)
	f.fuels(t)
	f.tools(t)
	f.slots(t, p)
	f.wind(p.Factor)
	if made := len(t.Burns); made > 0 && len(t.Plan.Slots) == 0 {
		f.add("burned_before_planning", finding.Caution, "trial", "",
			counted(made, "burn")+" made before there was a plan",
			"take them for their scatter and burn the whole plan: a plan made after a look at the burns can be made to suit them")
	}
	return f
}

// unready says what the wish leaves open.
func unready(t *trial.Trial, w Wish, p *Proposal) []finding.Finding {
	var f findings
	n := w.Blocks + w.Snuffed
	if t.Settings.JudgeBy == trial.LeastFuel {
		n = w.Snuffed
		if n == 0 {
			f.add("fuel_not_answered", finding.Caution, "plan", "snuffed",
				"the trial is judged by least fuel and no burn is snuffed at the boil", "plan at least 3 snuffed burns of each entry, or burn on a scale")
		}
	}
	decidedByBurns := t.Settings.JudgeBy == trial.Fastest || t.Settings.JudgeBy == trial.LeastFuel
	if decidedByBurns && n < p.Needed.Least {
		f.add("fewer_than_needed", finding.Caution, "plan", "blocks",
			fmt.Sprintf("%s planned, but %s", burns(n), p.Needed.Sentence()), "plan more blocks, or be content with a larger difference")
	}
	for _, need := range p.Session.Fuel {
		if need.Unknown > 0 {
			f.add("dose_missing", finding.Caution, "fuel "+need.Batch, "dose",
				"no dose is planned for "+counted(need.Unknown, "burn"), "fix the dose of each entry beforehand, and pour the same in each of its burns")
		}
	}
	if p.Session.Waits > 0 {
		f.add("warm_burner", finding.Note, "plan", "cool_down",
			fmt.Sprintf("%s before the burner has rested for %s", counted(p.Session.Waits, "turn")+" would come", Minutes(w.CoolDown)),
			"wait: a warm burner blooms and boils sooner; or build a second one alike")
	}
	f.start(t, w)
	f.stations(t, w.Stations)
	return f
}

// findings gathers what is said.
type findings []finding.Finding

func (f *findings) add(code string, sev finding.Severity, subject, field, sentence, remedy string) {
	*f = append(*f, finding.Finding{
		Code: code, Severity: sev, Where: finding.Place{Subject: subject, Field: field}, Sentence: sentence, Remedy: remedy,
	})
}

// pairs finds entries that differ in more than one thing: whatever comes out,
// nobody can say which thing made it. Fuels are told once, by fuels.
func (f *findings) pairs(t *trial.Trial) {
	for i, a := range t.Entries {
		for _, b := range t.Entries[i+1:] {
			parts := trial.MoreThanBurner(a, b)
			if a.Burner != b.Burner {
				parts = append([]string{"burner"}, parts...)
			}
			if len(parts) < 2 {
				continue
			}
			f.add("differ_in_more", finding.Caution, "entry "+b.Name, "",
				fmt.Sprintf("it differs from %s in %s, so a difference belongs to all of it together", a.Name, strings.Join(parts, ", ")),
				"let entries differ in one thing, or ask the question about the whole set")
		}
	}
}

func (f *findings) fuels(t *trial.Trial) {
	used := map[string]bool{}
	for _, e := range t.Entries {
		if e.Fuel != "" {
			used[e.Fuel] = true
		}
	}
	names := slices.Sorted(maps.Keys(used))
	if len(names) > 1 {
		f.add("fuels_differ", finding.Caution, "trial", "fuel",
			"the entries burn different batches: "+strings.Join(names, ", "), "fill all from one bottle, unless the fuel is the question")
	}
	for _, name := range names {
		b, ok := gear.Find(t.Shelf.Batches, name)
		if _, err := b.Blend(); ok && errors.Is(err, gear.ErrNoComposition) {
			f.add("strength_unknown", finding.Caution, "fuel "+name, "strength",
				"its strength is not written down, so no energy or efficiency can be computed", "write what label or safety sheet say, such as 95 % vol")
		}
	}
}

func (f *findings) tools(t *trial.Trial) {
	if _, ok := gear.Pick(t.Shelf.Tools.Scales, "", gear.ForFuel); !ok {
		f.add("scale_missing", finding.Caution, "shelf", "scale",
			"no scale is listed that weighs fuel: a dose poured is not fuel burned", "list the scale with what its display resolves, 0.1 g or finer")
	}
	if _, ok := gear.Pick(t.Shelf.Tools.Thermometers, "", gear.ForWater); !ok {
		f.add("thermometer_missing", finding.Caution, "shelf", "thermometer",
			"no thermometer is listed that reads water: without its start temperature no boil can be corrected", "list the thermometer with what its display resolves")
	}
}

// slots judges the layout: who burns how often, and in what order.
func (f *findings) slots(t *trial.Trial, p trial.Plan) {
	count, first, orders := map[string]int{}, map[string]int{}, map[string]string{}
	for _, s := range p.Slots {
		if _, ok := t.Entry(s.Entry); !ok {
			f.add("entry_unknown", finding.Fault, fmt.Sprintf("planned burn %d", s.Order), "entry",
				fmt.Sprintf("%q is not an entry of the trial", s.Entry), "list the entry, or correct the name")
		}
		if _, begun := orders[s.Block]; !begun {
			first[s.Entry]++
		}
		count[s.Entry+"\x00"+s.Level]++
		orders[s.Block] += s.Entry + "\x00"
	}
	f.counts(t, p, count, len(orders))
	f.order(t, p, first, orders)
}

// order finds an order that takes what changes with time for an entry.
func (f *findings) order(t *trial.Trial, p trial.Plan, first map[string]int, orders map[string]string) {
	if len(t.Entries) < 2 || len(p.Slots) == 0 {
		return
	}
	runs := slices.CompactFunc(slices.Clone(p.Slots), func(a, b trial.Slot) bool { return a.Entry == b.Entry })
	if len(p.Slots) > len(t.Entries) && len(runs) <= len(t.Entries) {
		f.add("order_not_shuffled", finding.Caution, "plan", "order",
			"all burns of an entry follow each other, so what changes over the session is taken for the entry", "burn in blocks that hold every entry once, and shuffle each")
		return
	}
	if len(orders) < 2 {
		return
	}
	if same := slices.Collect(maps.Values(orders)); len(slices.Compact(slices.Sorted(slices.Values(same)))) == 1 {
		f.add("order_not_shuffled", finding.Caution, "plan", "order",
			"every block burns the entries in the same order, so what changes during a block is taken for the entry", "shuffle the order within each block")
		return
	}
	least, most := len(p.Slots), 0
	for _, e := range t.Entries {
		least, most = min(least, first[e.Name]), max(most, first[e.Name])
	}
	if most-least > 1 {
		f.add("first_too_often", finding.Note, "plan", "order",
			fmt.Sprintf("one entry comes first in %d blocks and another in %d", most, least), "let entries take turns at coming first")
	}
}

func (f *findings) counts(t *trial.Trial, p trial.Plan, count map[string]int, blocks int) {
	levels := p.Factor.Levels
	if len(levels) == 0 {
		levels = []string{""}
	}
	var few []string
	for _, e := range t.Entries {
		for _, l := range levels {
			if n := count[e.Name+"\x00"+l]; n < fewest {
				few = append(few, strings.TrimSpace(fmt.Sprintf("%s %s", e.Name, l))+fmt.Sprintf(" %d", n))
			}
		}
	}
	switch {
	case len(few) > 0:
		f.add("few_burns", finding.Caution, "plan", "blocks",
			fmt.Sprintf("fewer than %d burns are planned: %s", fewest, strings.Join(few, ", ")), fmt.Sprintf("plan at least %d of each; one burn says nothing about the next", fewest))
	case blocks < fewest:
		f.add("few_blocks", finding.Caution, "plan", "blocks",
			fmt.Sprintf("the burns lie in %s, and comparing entries within blocks needs %d", counted(blocks, "block"), fewest), "spread the burns over more blocks")
	}
}

// wind asks for a still level beside windy ones, to say what the wind did.
func (f *findings) wind(factor trial.Factor) {
	if !strings.Contains(strings.ToLower(factor.Name), "wind") {
		return
	}
	still := slices.ContainsFunc(factor.Levels, func(l string) bool {
		return slices.Contains([]string{"still", "none", "no wind", "calm", "off", "0"}, strings.ToLower(l)) || strings.HasPrefix(l, "0 ")
	})
	if !still {
		f.add("no_still_level", finding.Caution, "plan", "factor",
			fmt.Sprintf("the levels of %s are %s, and none is still air", factor.Name, strings.Join(factor.Levels, ", ")), `add the level "still": without it nobody knows what the wind did`)
	}
}

// start asks for a planned start temperature inside the range of the correction.
func (f *findings) start(t *trial.Trial, w Wish) {
	if !w.Start.Given {
		f.add("start_not_planned", finding.Note, "plan", "start",
			"no start temperature of the water is planned", "draw all the water at once, let it stand until it no longer changes, and read it before each burn")
		return
	}
	r, share, sys := t.Settings.Reference, t.Settings.Rules.Range, t.Units()
	rise, wanted := float64(r.To.Sub(w.Start.Value)), float64(r.To.Sub(r.From))
	low, high := wanted*(1-float64(share)), wanted*(1+float64(share))
	if rise < low || rise > high {
		f.add("start_out_of_range", finding.Caution, "plan", "start",
			fmt.Sprintf("water at %s leaves a rise of %s to %s, and the correction to reference conditions holds from %s",
				quantity.Format(w.Start.Value, sys), quantity.Format(quantity.TempDiff(rise), sys), quantity.FormatBrief(r.To, sys),
				quantity.FormatInterval(quantity.TempDiff(low), quantity.TempDiff(high), sys)), "let the water stand until it is nearer to the reference")
	}
}

func (f *findings) stations(t *trial.Trial, n int) {
	if n < 2 {
		return
	}
	f.add("stations_differ", finding.Note, "plan", "stations",
		fmt.Sprintf("%d burners burn at the same time, and no two places have the same draught", n), "write the station of each burn down, and let entries change places from block to block")
	users := map[string][]string{}
	for _, e := range t.Entries {
		if e.Pot != "" {
			users[e.Pot] = append(users[e.Pot], e.Name)
		}
	}
	for _, pot := range slices.Sorted(maps.Keys(users)) {
		if names := users[pot]; len(names) > 1 {
			f.add("one_pot", finding.Note, "pot "+pot, "",
				fmt.Sprintf("%s share it, so it cannot stand on %d stations at once", strings.Join(names, ", "), n), "burn one after the other: one pot for all is the fairer trial")
		}
	}
}
