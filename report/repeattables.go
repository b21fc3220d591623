package report

import (
	"fmt"
	"math"
	"strings"

	"fairburn/reduce"
	"fairburn/repeat"
	"fairburn/trial"
	"fairburn/verdict"
)

// testimony gives the figures of a comparison their words.
type testimony struct {
	c *repeat.Comparison
	u Units
}

func (d testimony) level() string { return verdict.Confidence(d.c.Level) }

// testers says whose burns are whose.
func (d testimony) testers() Table {
	t := Table{ID: "testers-own", Caption: "Whose burns are whose, and what each alone finds", Columns: columns("*tester", "*trial", "*burns", "*own verdict", "*may be best", "cautions")}
	for _, x := range d.c.Testers {
		burns := absent
		if len(x.Burns) > 0 {
			burns = trial.NameBurns(x.Burns)
		}
		if len(x.Void) > 0 {
			burns += fmt.Sprintf(" (void: %s)", strings.Join(x.Void, ", "))
		}
		t.add(0, x.Name, x.Title, burns, string(x.Class), listOr(x.Best), fmt.Sprint(x.Cautions))
	}
	for _, a := range d.c.Alone {
		t.Notes = append(t.Notes, fmt.Sprintf("%s: burned by %s alone, not compared", a.Entry, a.Tester))
	}
	t.Notes = append(t.Notes, "cautions: how many stand beside the tester's own verdict, to be read there")
	return t
}

func listOr(names []string) string {
	if len(names) == 0 {
		return absent
	}
	return strings.Join(names, " or ")
}

// tables are all others, axis by axis.
func (d testimony) tables() []Table {
	var all []Table
	if t := d.built(); len(t.Rows) > 0 {
		all = append(all, t)
	}
	for _, a := range d.c.Axes {
		for _, t := range []Table{d.means(a), d.pairs(a), d.precision(a), d.apart(a)} {
			if len(t.Rows) > 0 {
				all = append(all, t)
			}
		}
	}
	return all
}

// built shows one name on different things.
func (d testimony) built() Table {
	t := Table{ID: "built-otherwise", Caption: "One name, built differently", Columns: columns("*entry", "*figure", "*tester", "has", "*first tester", "has ")}
	for _, e := range d.c.Entries {
		for _, b := range e.Built {
			t.add(e.Marker, e.Name, b.Figure, b.Tester, b.Has, b.First, b.Had)
		}
	}
	return t
}

func (d testimony) means(a repeat.Axis) Table {
	t := Table{ID: "means-" + a.Key, Wide: true, Caption: "By tester, at reference: " + a.Name,
		Columns: columns("*entry", "*tester", "mean", d.level()+" interval", "n", "boiled", "h", "k")}
	for i, e := range a.Entries {
		for _, m := range e.Means {
			interval := d.u.Interval(a.Metric, m.Lo, m.Hi)
			mean := absent
			if m.N > 0 {
				mean = d.u.Within(a.Metric, m.Center, m.Lo, m.Hi)
			}
			t.add(e.Marker, e.Entry, m.Tester, mean, interval, fmt.Sprint(m.N), d.boiled(d.c.Entries[i], m.Tester), past(m.H, m.HPast), past(m.K, m.KPast))
		}
	}
	t.Notes = append(t.Notes, "n: burns with the figure; the mean is only over these, and those that did not boil stand under boiled",
		"h: the tester's mean against the others'; k: the tester's scatter against that of all; * past the limit at 5 %, ** at 1 %")
	t.Notes = append(t.Notes, d.limits(a)...)
	if a.Metric == reduce.RefFuel {
		t.Notes = append(t.Notes, "as ethanol: pure ethanol with the same heat, so that testers' fuels can be compared")
	}
	t.Notes = append(t.Notes, a.Notes...)
	t.prune()
	return t
}

// limits are those of h and k, which are of a number of testers and burns.
func (d testimony) limits(a repeat.Axis) []string {
	if d.c.Indicative() {
		return []string{"h of two testers is the same for both whatever they measured, and of three it tells which two lie close: it has no limit here"}
	}
	for _, e := range a.Entries {
		if p := e.Precision; p != nil && p.HLimit[0] > 0 {
			note := fmt.Sprintf("limits of h with %d testers: %.2f at 5 %%, %.2f at 1 %%", p.Testers, p.HLimit[0], p.HLimit[1])
			if p.KLimit[0] > 0 {
				note += fmt.Sprintf("; of k: %.2f and %.2f", p.KLimit[0], p.KLimit[1])
			}
			return []string{note}
		}
	}
	return nil
}

func past(x float64, limit string) string {
	if math.IsNaN(x) {
		return absent
	}
	return strings.ReplaceAll(fmt.Sprintf("%.2f", x), "-", "−") + map[string]string{"5 %": "*", "1 %": "**"}[limit]
}

func (d testimony) boiled(e repeat.Entry, tester string) string {
	for _, b := range e.Boils {
		if b.Tester == tester {
			return fmt.Sprintf("%d of %d", b.Boils, b.Tried)
		}
	}
	return absent
}

func (d testimony) pairs(a repeat.Axis) Table {
	t := Table{ID: "over-" + a.Key, Caption: "Over testers: " + a.Name, Columns: columns("*pair", "*each tester", "mean", d.level()+" interval", "*over testers")}
	for _, p := range a.Pairs {
		var each []string
		for _, s := range p.Sides {
			each = append(each, s.Tester+" "+sideWords(s))
		}
		mean, interval := absent, absent
		if p.Ratio > 0 {
			mean, interval = signed(p.Ratio-1), "too wide"
			if !wide(p.Lo, p.Hi) {
				interval = signed(p.Lo-1) + " to " + signed(p.Hi-1)
			}
		}
		class := string(p.Class)
		if p.Better != "" {
			class += ": " + p.Better
		}
		t.add(0, p.A+" against "+p.B, strings.Join(each, ", "), mean, interval, class)
	}
	t.Notes = append(t.Notes, "each tester: change of the first against the second; (?) where that tester's burns alone do not settle it",
		fmt.Sprintf("mean: over testers, each counting as one; its interval allows for all %d pairs", len(a.Pairs)))
	t.prune()
	return t
}

func sideWords(s repeat.Side) string {
	switch {
	case s.Class == verdict.TooFew:
		return "too few burns"
	case s.Ranked:
		return s.Ahead + " ahead by ranks" + pick(s.Class.Decided(), "", " (?)")
	case s.Ratio == 0:
		return absent
	}
	return signed(s.Ratio-1) + pick(s.Class.Decided(), "", " (?)")
}

// signed writes a change with its sign.
func signed(share float64) string {
	digits := pick(math.Abs(share) < 0.0095, 1, 0)
	if math.Abs(share) < 0.0005 {
		return "0.0 %"
	}
	return strings.ReplaceAll(fmt.Sprintf("%+.*f %%", digits, share*100), "-", "−")
}

// wide is an interval so wide that its ends mean nothing.
func wide(lo, hi float64) bool { return lo < 1 && hi > 1 && (hi > 4 || lo < 0.25) }

func (d testimony) precision(a repeat.Axis) Table {
	t := Table{ID: "precision-" + a.Key, Caption: "Repeatability and reproducibility: " + a.Name,
		Columns: columns("*entry", "testers", "*r, one tester", "*R, two testers", "*critical difference", "Cochran's C")}
	clamped := false
	for _, e := range a.Entries {
		p := e.Precision
		if p == nil {
			t.Notes = append(t.Notes, e.Entry+": "+e.Why)
			continue
		}
		r := fmt.Sprintf("%s (%s)", share(p.Repeatability), verdict.Span(1+p.RepeatabilityLo, 1+p.RepeatabilityHi))
		R := share(p.Reproducibility) + " (indicative)"
		if !p.Indicative {
			R = fmt.Sprintf("%s (%s)", share(p.Reproducibility), verdict.Span(1+p.ReproducibilityLo, 1+p.ReproducibilityHi))
		}
		if p.Clamped {
			R, clamped = R+" †", true
		}
		t.add(e.Marker, e.Entry, fmt.Sprint(p.Testers), r, R, fmt.Sprintf("%s (n = %d)%s", share(p.Critical), p.CriticalN, pick(p.Indicative, ", indicative", "")), past(p.Cochran, p.CochranPast))
	}
	if len(t.Rows) == 0 {
		return t
	}
	t.Notes = append(t.Notes, "in brackets the "+d.level()+" interval; critical difference: between the means of n burns each of one of these testers and a further one")
	if clamped {
		t.Notes = append(t.Notes, "† the testers differ by no more than their burns' scatter explains; the estimate between them was below zero and was set to zero, so R is r")
	}
	return t
}

func share(x float64) string { return verdict.Percent(x) }

func (d testimony) apart(a repeat.Axis) Table {
	t := Table{ID: "apart-" + a.Key, Caption: "Do the means agree? " + capital(a.Name), Columns: columns("*entry", "*testers", "change", d.level()+" interval", "*they")}
	for _, e := range a.Entries {
		for _, x := range e.Apart {
			interval := absent
			if x.Lo > 0 {
				interval = signed(x.Lo-1) + " to " + signed(x.Hi-1)
			}
			t.add(e.Marker, e.Entry, x.A+" against "+x.B, signed(x.Ratio-1), interval, x.Says)
		}
	}
	return t
}
