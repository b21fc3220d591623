package verdict

import (
	"fmt"
	"math"
	"slices"

	"fairburn/reduce"
	"fairburn/stats"
)

// doubt is another way to read the same burns. If a pair's class changes under
// it, the pair is not settled and the doubt is named.
type doubt struct {
	name   string
	sample sample
}

// doubts lists them: without each suspect burn and without all of them; with
// boils that came after flame-out as no boil; without values carried over from
// burns that did not boil.
func doubts(s sample, suspects []string) []doubt {
	var ds []doubt
	for _, b := range suspects {
		ds = append(ds, doubt{"burn " + b, s.without(func(v value) bool { return v.burn == b })})
	}
	if len(suspects) > 1 {
		ds = append(ds, doubt{burnList(suspects), s.without(func(v value) bool { return slices.Contains(suspects, v.burn) })})
	}
	if slices.ContainsFunc(s.values, func(v value) bool { return v.status == reduce.BoiledPostFlame }) {
		late := s
		late.values = slices.Clone(s.values)
		for i := range late.values {
			if late.values[i].status == reduce.BoiledPostFlame {
				late.values[i].log = math.Inf(1)
			}
		}
		ds = append(ds, doubt{"whether a boil after flame-out counts", late})
	}
	if slices.ContainsFunc(s.values, func(v value) bool { return v.estimated }) {
		ds = append(ds, doubt{"fuel estimated for burns that did not boil", s.without(func(v value) bool { return v.estimated })})
	}
	return ds
}

// dependence recomputes the comparison under every doubt.
func dependence(c *comparison, s sample, r rules, suspects []string) {
	for _, d := range doubts(s, suspects) {
		other := compare(d.sample, r)
		for i := range c.pairs {
			if p := &c.pairs[i]; p.Class.Decided() && !agrees(*p, other.pairs[i]) {
				p.DependsOn = append(p.DependsOn, d.name)
			}
		}
		for g := range c.standing {
			if !sameStanding(c, &other, c.active[g]) {
				c.standing[g].RuledOutBy = nil
			}
		}
	}
	for i := range c.pairs {
		if len(c.pairs[i].DependsOn) > 0 {
			c.pairs[i].Class = NotSettled
		}
	}
}

// agrees reports whether two readings of a pair say the same: the same side,
// and decided in both.
func agrees(a, b Pair) bool {
	if a.Class == EqualInPractice || b.Class == EqualInPractice {
		return a.Class == b.Class
	}
	return b.Class.Decided() && (a.Ratio < 1) == (b.Ratio < 1)
}

// sameStanding reports whether an entry that was ruled out as best still is.
func sameStanding(c, other *comparison, entry int) bool {
	g := slices.Index(c.active, entry)
	if c.standing[g].CouldBeBest() {
		return true
	}
	o := slices.Index(other.active, entry)
	return o >= 0 && o < len(other.standing) && !other.standing[o].CouldBeBest()
}

// bootstrapDraws is how many resamples stand behind a BCa interval.
const bootstrapDraws = 10_000

// checkByLess runs a method that assumes less beside each settled pair. It
// contradicts only if its estimate has the other sign or its interval, at the
// confidence it can reach, excludes the main estimate.
func (c *comparison) checkByLess(s sample, r rules) {
	var boots []stats.Resampled
	if !c.blocked {
		boots = c.resample(s, r)
	}
	for i := range c.pairs {
		p := &c.pairs[i]
		if p.Ranked || p.Lo == 0 {
			continue
		}
		said, contradicts := c.less(s, *p, r, boots)
		p.Check = said
		if contradicts && p.Class.Decided() {
			p.Class = NotSettled
			p.DependsOn = append(p.DependsOn, "a method that assumes less")
		}
	}
}

// resample draws bootstrap means once for all active entries, when every one
// has enough burns for them to mean something.
func (c *comparison) resample(s sample, r rules) []stats.Resampled {
	var samples [][]float64
	for _, e := range c.active {
		if len(s.of(e)) < stats.MinBootstrap {
			return nil
		}
		samples = append(samples, s.of(e))
	}
	boots, err := stats.ResampleMeans(samples, stats.Resampling{Draws: bootstrapDraws, Seed: r.seed})
	if err != nil {
		return nil
	}
	return boots
}

// less is the verdict of the method that assumes less, in words, and whether
// it contradicts the main estimate. Where a pair is equal in practice, on which
// side of no difference an estimate falls means nothing.
func (c *comparison) less(s sample, p Pair, r rules, boots []stats.Resampled) (string, bool) {
	main, side := math.Log(p.Ratio), p.Class != EqualInPractice
	pair := [2]int{slices.Index(s.entries, p.A), slices.Index(s.entries, p.B)}
	if boots != nil {
		i, j := slices.Index(c.active, pair[0]), slices.Index(c.active, pair[1])
		boot, err := boots[i].Minus(boots[j], r.level)
		if err != nil {
			return "the bootstrap could not be run: " + err.Error(), false
		}
		return lessWords("bootstrap", boot.Estimate, boot.Interval, main, side)
	}
	var shift stats.Shift
	var err error
	name := "ranks"
	if d, _, ok := s.blocked([]int{pair[0], pair[1]}); ok && c.blocked {
		name = "ranks within blocks"
		shift, err = stats.SignedRankShift(d.Within(0, 1), r.level)
	} else {
		shift, err = stats.ShiftBetween(s.of(pair[0]), s.of(pair[1]), r.level)
	}
	if err != nil {
		return "", false
	}
	words, contradicts := lessWords(name, shift.Estimate, shift.Interval, main, side)
	if shift.Reached < r.level {
		words += fmt.Sprintf("; with so few burns they reach %.1f %% at most, so they cannot speak at %.0f %%", shift.Reached*100, r.level*100)
	}
	return words, contradicts
}

func lessWords(name string, estimate float64, iv stats.Interval, main float64, side bool) (string, bool) {
	lo, hi := math.Exp(iv.Lo), math.Exp(iv.Hi)
	words := fmt.Sprintf("%s: ratio %.3f (%.3f to %.3f)", name, math.Exp(estimate), lo, hi)
	contradicts := side && estimate*main < 0 || !iv.Contains(main)
	if contradicts {
		words += ", which contradicts the main result"
	}
	return words, contradicts
}
