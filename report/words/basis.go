package words

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/report"
	"fairburn/trial"
	"fairburn/verdict"
)

// known is what the answers draw on.
type known struct {
	v       *verdict.Verdict
	r       *trial.Reduced
	carried string
	facts   []report.Fact // conditions in both unit systems
}

// both prints something in metric units and, where that differs, in US ones.
func both(print func(quantity.System) string) string {
	metric, us := print(quantity.Metric), print(quantity.US)
	if metric == us {
		return metric
	}
	return metric + " (" + us + ")"
}

// conditions are the report's, each in both unit systems.
func conditions(r *trial.Reduced) []report.Fact {
	us := report.Conditions(r, quantity.US)
	var fs []report.Fact
	for _, f := range report.Conditions(r, quantity.Metric) {
		fs = append(fs, report.Fact{Name: f.Name, Text: both(func(sys quantity.System) string {
			if sys == quantity.US {
				return FactOf(us, f.Name)
			}
			return f.Text
		})})
	}
	return fs
}

// asBurned are the conditions that a figure must not be read without.
var asBurned = []string{"reference", "station pressure", "altimeter setting", "elevation", "water boils here at", "air", "wind",
	"water, mass", "water, volume", "water, at the start", "boil called by", "fuel", "pot", "lid", "screen", "stand"}

// shown is an answer that burns show, with what stands beside its figures: what
// is said of them here, how all burns ended, and the conditions.
func (s known) shown(question, answer string, of ...string) Answer {
	of = append(slices.DeleteFunc(of, func(t string) bool { return t == "" }), s.ended())
	return Answer{Question: question, Answer: answer, Basis: sentences(of...), Conditions: s.conditions(), Tested: true}
}

// conditions are those that no figure is to be read without; what was not
// written down is said too.
func (s known) conditions() string {
	var said, missing []string
	for _, name := range asBurned {
		if text := FactOf(s.facts, name); text != "" {
			said = append(said, name+": "+text)
		} else if slices.Contains([]string{"water boils here at", "air", "wind", "water, at the start", "boil called by", "fuel"}, name) {
			missing = append(missing, name)
		}
	}
	if len(missing) > 0 {
		said = append(said, "not written down: "+strings.Join(missing, "; "))
	}
	return sentences(said...)
}

// sentences sets texts as sentences.
func sentences(texts ...string) string {
	var all []string
	for _, t := range texts {
		all = append(all, Capital(t)+".")
	}
	return strings.Join(all, " ")
}

func (s known) ended() string { return "burns: " + s.statuses() }

// statuses counts how the burns of every entry ended: "Sorrel 9 (9 boiled)".
func (s known) statuses() string {
	var all []string
	for _, e := range s.v.Entries {
		counts := map[string]int{}
		var order []string
		n := 0
		for i := range s.r.Results {
			if b := &s.r.Results[i]; b.Entry == e.Name {
				status := report.StatusOf(b)
				if counts[status]++; counts[status] == 1 {
					order = append(order, status)
				}
				n++
			}
		}
		var parts []string
		for _, status := range order {
			parts = append(parts, fmt.Sprintf("%d %s", counts[status], status))
		}
		if n == 0 {
			parts = []string{"none"}
		}
		all = append(all, fmt.Sprintf("%s %d (%s)", e.Name, n, strings.Join(parts, ", ")))
	}
	return strings.Join(all, "; ")
}

// mean is an entry's mean of a metric.
func mean(e verdict.Entry, m reduce.Metric) (verdict.Mean, bool) {
	i := slices.IndexFunc(e.Figures, func(f verdict.Mean) bool { return f.Metric == m })
	if i < 0 {
		return verdict.Mean{}, false
	}
	return e.Figures[i], true
}

// figure prints an entry's mean with its interval and n, in both systems; ""
// without one.
func (s known) figure(e verdict.Entry, m reduce.Metric) string {
	f, ok := mean(e, m)
	if !ok {
		return ""
	}
	text := both(func(sys quantity.System) string {
		u := report.Units(sys)
		in := u.Interval(m, f.Lo, f.Hi)
		if in == "—" {
			return u.Value(m, f.Value)
		}
		return u.Within(m, f.Value, f.Lo, f.Hi) + ", " + level(s.v) + " interval " + in
	})
	return fmt.Sprintf("%s, n = %d", text, f.N)
}

// plainly prints an entry's mean alone, in both systems; "" without one.
func (s known) plainly(e verdict.Entry, m reduce.Metric) string {
	f, ok := mean(e, m)
	if !ok {
		return ""
	}
	return both(func(sys quantity.System) string { return report.Units(sys).Within(m, f.Value, f.Lo, f.Hi) })
}

// each makes a line of every entry for which there is something to say, and
// names those without.
func (s known) each(say func(verdict.Entry) string) (lines string, found bool) {
	var said, without []string
	for _, e := range s.v.Entries {
		if text := say(e); text != "" {
			said = append(said, e.Name+": "+text+".")
		} else {
			without = append(without, e.Name)
		}
	}
	found = len(said) > 0
	if found && len(without) > 0 {
		said = append(said, "Not known for "+list(without)+".")
	}
	return strings.Join(said, "\n"), found
}

// raw reports whether an axis of the kind was compared as measured, at no
// common reference.
func (s known) raw(kind reduce.Kind) bool {
	return slices.ContainsFunc(s.v.Axes, func(a verdict.Axis) bool { return a.Metric.Info().Kind == kind && a.Raw })
}

// ownFuel is the metric that states fuel to boil in the fuel burned.
func (s known) ownFuel() reduce.Metric {
	if s.raw(reduce.Mass) {
		return reduce.FuelToBoil
	}
	return reduce.RefFuelBatch
}

// rawFuel is the fuel as it was weighed, beside what is stated at reference.
func (s known) rawFuel() string {
	text, ok := s.each(func(e verdict.Entry) string { return s.plainly(e, reduce.FuelToBoil) })
	if !ok {
		return ""
	}
	return "fuel to boil as weighed, raw: " + strings.TrimSuffix(strings.ReplaceAll(text, ".\n", "; "), ".")
}

// knownBy says how the fuel to boil is known, by the report's table.
func (s known) knownBy() string {
	for _, t := range report.EntryTables(s.v, s.r, quantity.Metric) {
		by := slices.IndexFunc(t.Columns, func(c report.Column) bool { return c.Head == "known by" })
		if t.ID != "fuel" || by < 0 {
			continue
		}
		var ways []string
		for _, row := range t.Rows {
			ways = append(ways, row.Cells[0]+" "+row.Cells[by])
		}
		return "known by: " + strings.Join(ways, "; ")
	}
	return ""
}

// rawTime is the time as it was clocked, beside the one at reference.
func (s known) rawTime() string {
	text, ok := s.each(func(e verdict.Entry) string { return s.plainly(e, reduce.BoilTime) })
	if !ok {
		return ""
	}
	return "as timed, raw: " + strings.TrimSuffix(strings.ReplaceAll(text, ".\n", "; "), ".")
}

// counts says what an efficiency counts, by entry where they differ.
func (s known) counts() string {
	var codes []string
	for _, e := range s.v.Entries {
		if f, ok := mean(e, reduce.EtaWater); ok && !slices.Contains(codes, f.Basis) {
			codes = append(codes, f.Basis)
		}
	}
	if len(codes) == 0 {
		return ""
	}
	return "efficiency counts: " + strings.Join(codes, " or ")
}
