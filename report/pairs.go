package report

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/trial"
	"fairburn/verdict"
)

// PairTables are the comparisons, one table an axis, the one that judges first.
func PairTables(v *verdict.Verdict, r *trial.Reduced, sys quantity.System) []Table {
	d := document{v, r, Units(sys)}
	var all []Table
	for _, a := range v.Axes {
		if len(a.Pairs) > 0 {
			all = append(all, d.pairs(a))
		}
	}
	return all
}

func (d document) pairs(a verdict.Axis) Table {
	t := Table{ID: "pairs-" + a.Key, Caption: "Compared: " + a.Name, Columns: columns("*pair", "change", d.level()+" interval", "*this is", "*better next time")}
	if a.Judges {
		t.Caption += " (this decides)"
	}
	for _, p := range a.Pairs {
		change, interval := absent, absent
		if p.Ratio > 0 {
			change = percent(p.Ratio-1, p) + " %"
		}
		if p.Lo > 0 {
			interval = percent(p.Lo-1, p) + " to " + percent(p.Hi-1, p) + " %"
		}
		t.add(0, p.A+" against "+p.B, change, interval, string(p.Class), nextTime(p))
	}
	t.Notes = append(d.asGood(a), append(pairNotes(a.Pairs), d.pairMethod(a)...)...)
	t.prune()
	return t
}

// asGood names the entries that are as good in practice as the best: beside a
// single best the others, else all of which that is shown whichever is best.
func (d document) asGood(a verdict.Axis) []string {
	within, than := fmt.Sprintf("within %.0f %%", d.v.Margin*100), "the best, whichever that is"
	names := slices.Clone(a.AsGood)
	if len(a.CouldBeBest) == 1 {
		than = a.CouldBeBest[0]
		names = slices.DeleteFunc(names, func(name string) bool { return name == than })
	}
	if len(names) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("as good in practice as %s, %s: %s", than, within, list(names))}
}

// percent writes a change of a pair with its sign, whole unless its interval is
// narrow.
func percent(share float64, p verdict.Pair) string {
	digits := pick(p.Lo > 0 && p.Hi-p.Lo < 0.04, 1, 0)
	return strings.ReplaceAll(fmt.Sprintf("%+.*f", digits, share*100), "-", "−")
}

// pairNotes say what a reader of the pairs must know, each thing once with the
// pairs that it holds for.
func pairNotes(pairs []verdict.Pair) []string {
	var notes []string
	pairsOf := map[string][]string{}
	say := func(p verdict.Pair, what string) {
		if pairsOf[what] == nil {
			notes = append(notes, what)
		}
		pairsOf[what] = append(pairsOf[what], p.A+" against "+p.B)
	}
	for _, p := range pairs {
		if p.Ranked {
			say(p, "compared by ranks, a burn that did not boil losing to every boil; change and interval are of times with such a burn at the cap")
		}
		if len(p.DependsOn) > 0 {
			say(p, "the answer depends on "+list(p.DependsOn))
		}
		if len(p.MoreThanBurner) > 0 {
			say(p, "differ in "+list(p.MoreThanBurner)+" too, so this is not about the burners alone")
		}
	}
	for i, what := range notes {
		notes[i] = strings.Join(pairsOf[what], ", ") + ": " + what
	}
	return notes
}

// nextTime says who does better on the next burn, how surely, and how often
// neither would boil.
func nextTime(p verdict.Pair) string {
	better, chance := p.A, p.NextWin
	if p.NextLose > chance { // what is left is that neither boils
		better, chance = p.B, p.NextLose
	}
	switch {
	case !p.NextKnown:
		return absent
	case chance > 0.99:
		return better + ", over 99 in 100"
	case p.NextNeither >= 0.005: // less would read as 0 in 100
		return fmt.Sprintf("%s, %.0f in 100; neither boils, %.0f in 100", better, chance*100, p.NextNeither*100)
	}
	return fmt.Sprintf("%s, %.0f in 100", better, chance*100)
}

// pairMethod says how an axis was compared.
func (d document) pairMethod(a verdict.Axis) []string {
	allow := "one pair, so nothing to allow for"
	if len(a.Pairs) > 1 {
		allow = fmt.Sprintf("intervals allow for all %d comparisons", len(a.Pairs))
	}
	better := pick(a.Metric.Info().Kind == reduce.Time, "takes longer", "uses more")
	notes := []string{
		"change is of the first against the second: + where the first " + better + "; +10 % the other way round is −9 %",
		fmt.Sprintf("worth having is more than %.0f %%; %s", d.v.Margin*100, allow),
	}
	if a.Method != "" {
		notes = append(notes, "compared by "+methodNames[a.Method]+"; "+a.Why)
	}
	return notes
}
