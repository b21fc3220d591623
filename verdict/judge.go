package verdict

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"fairburn/finding"
	"fairburn/reduce"
	"fairburn/trial"
)

// Judge says what a reduced trial shows. The same trial gives the same
// verdict to the last digit: everything random starts from the trial's seed.
func Judge(t *trial.Reduced) *Verdict {
	set := t.Settings
	r := rules{
		level: float64(set.Level), margin: math.Log1p(float64(set.Margin)),
		cap: set.Cap.Seconds(), power: float64(set.Power), seed: set.Seed,
	}
	v := &Verdict{
		Title: t.Title, Question: t.Question, Invented: t.Invented, JudgeBy: set.JudgeBy,
		Level: r.level, Margin: float64(set.Margin), Seed: set.Seed, NotTested: notTested(t),
	}
	var fast, lean Axis
	var axes sync.WaitGroup // side by side: they have nothing in common but the trial, which neither changes
	axes.Go(func() { fast = compareAxis(t, speed, r) })
	axes.Go(func() { lean = compareAxis(t, fuel, r) })
	v.Entries, v.Boils = entriesOf(t, r), boilsOf(t, r)
	axes.Wait()
	v.Axes = []Axis{fast, lean}
	switch set.JudgeBy {
	case trial.LeastFuel:
		v.Axes = []Axis{lean, fast}
		v.Axes[0].Judges = true
		v.conclude(lean, fuel, r)
	case trial.Surest:
		v.concludeSurest(r)
	case trial.Lightest:
		v.concludeLightest(t.Units())
	default:
		v.Axes[0].Judges = true
		v.conclude(fast, speed, r)
	}
	v.beside(t)
	v.Findings = findingsOf(t, v)
	return v
}

// beside adds what stands next to the sentence: the other axis, burners that
// do not always boil, the fastest single burn, drift (with an allowance for
// every entry looked at on every axis).
func (v *Verdict) beside(t *trial.Reduced) {
	for i, a := range v.Axes {
		if i > 0 || !a.Judges {
			v.Because = append(v.Because, v.otherAxis(a))
		}
		for _, g := range a.Groups {
			if g.DriftP < (1-v.Level)/float64(len(v.Axes)*len(a.Groups)) {
				v.Because = append(v.Because, fmt.Sprintf("%s drifts: %s changes by %+.1f %% from one of its burns to the next (p %.2g)", g.Entry, a.Name, g.Drift*100, g.DriftP))
			}
		}
	}
	for _, b := range v.Boils {
		if b.Boils < b.Tried {
			v.Because = append(v.Because, fmt.Sprintf("%s boiled in %d of %d burns on this dose (chance that the next boils: %s)", b.Entry, b.Boils, b.Tried, percent(b.Share)))
		}
	}
	v.fastestBurn(t)
}

// otherAxis says in a line who could be best on an axis that does not judge,
// never without a size and interval.
func (v *Verdict) otherAxis(a Axis) string {
	switch {
	case a.contest() < 2:
		return a.Name + ": nothing to compare"
	case len(a.CouldBeBest) == 1:
		best := fmt.Sprintf("on %s, %s is best", a.Name, a.CouldBeBest[0])
		if next, ok := a.nextBest(a.CouldBeBest[0]); ok && next.Class.Decided() {
			return best + ": " + next.Sentence
		}
		return fmt.Sprintf("%s, %s sure: every other entry is ruled out, the next of them closely", best, confidence(v.Level))
	case len(a.CouldBeBest) == a.contest():
		return fmt.Sprintf("on %s, nothing is ruled out as best", a.Name)
	}
	return fmt.Sprintf("on %s, %s may be best", a.Name, listWords(a.CouldBeBest, "or"))
}

// fastestBurn names the single fastest boil, which proves nothing by itself
// and is what a race would have crowned.
func (v *Verdict) fastestBurn(t *trial.Reduced) {
	best, id, entry, counted := math.Inf(1), "", "", 0
	for i := range t.Results {
		b := &t.Results[i]
		if f, ok := b.Result.Figure(reduce.BoilTime); ok && b.Void == "" {
			counted++
			if f.Value < best {
				best, id, entry = f.Value, b.ID, b.Entry
			}
		}
	}
	if counted > len(v.Entries) && id != "" {
		s := int(math.Round(best))
		v.Because = append(v.Because, fmt.Sprintf("the fastest single burn was burn %s of %s (%d:%02d from light, as timed); one burn is not a verdict", id, entry, s/60, s%60))
	}
}

// findingsOf gathers what the rooms before have said, worst first.
func findingsOf(t *trial.Reduced, v *Verdict) []finding.Finding {
	fs := append([]finding.Finding{}, t.Findings...)
	fs = append(fs, v.findMore(t)...)
	for i := range t.Results {
		if t.Results[i].Void == "" {
			fs = append(fs, t.Results[i].Result.Findings...)
		}
	}
	finding.Sort(fs)
	return fs
}

// findMore says once for the trial that entries differ in more than one thing,
// so that a difference between them is not one of the burners alone.
func (v *Verdict) findMore(t *trial.Reduced) []finding.Finding {
	var pairs, parts []string
	for _, p := range v.Axes[0].Pairs {
		a, _ := t.Entry(p.A)
		b, _ := t.Entry(p.B)
		if a.Burner == b.Burner && len(p.MoreThanBurner) < 2 {
			continue // one thing changed on purpose
		}
		for _, what := range p.MoreThanBurner {
			if !slices.Contains(parts, what) {
				parts = append(parts, what)
			}
		}
		if len(p.MoreThanBurner) > 0 {
			pairs = append(pairs, p.A+" and "+p.B)
		}
		if a.Burner != b.Burner && len(p.MoreThanBurner) > 0 && !slices.Contains(parts, "burner") {
			parts = append([]string{"burner"}, parts...)
		}
	}
	if len(pairs) == 0 {
		return nil
	}
	which := pairs[0] + " differ"
	if len(pairs) > 1 {
		which = fmt.Sprintf("%d of %d pairs differ", len(pairs), len(v.Axes[0].Pairs))
	}
	return []finding.Finding{{
		Code: "pair_differs_in_more", Severity: finding.Note, Where: finding.Place{Subject: "trial"},
		Sentence: fmt.Sprintf("%s in more than one thing (%s): such a verdict is on the whole systems, not on the burners", which, listWords(parts, "and")),
		Remedy:   "to compare burners, burn them with the same pot, lid, screen, stand and fuel",
	}}
}
