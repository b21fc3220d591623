package verdict

import (
	"fmt"
	"math"
	"slices"

	"fairburn/reduce"
	"fairburn/stats"
	"fairburn/trial"
)

// doubt is another way to read the same burns. If a pair's class changes under
// it, the pair is not settled and the doubt is named.
type doubt struct {
	name   string
	sample sample
}

// doubts lists them: without each suspect burn and without all of them; with
// boils that came after flame-out as no boil; without values carried over from
// burns that did not boil. Fuel of a burn that boiled after flame-out is all it
// had; had it not boiled, all that is known is that it needs more, so on fuel
// the doubt is the answer without it.
func doubts(s sample, kind axisKind, suspects []string) []doubt {
	var ds []doubt
	for _, b := range suspects {
		ds = append(ds, doubt{"burn " + b, s.without(func(v value) bool { return v.burn == b })})
	}
	if len(suspects) > 1 {
		ds = append(ds, doubt{trial.NameBurns(suspects), s.without(func(v value) bool { return slices.Contains(suspects, v.burn) })})
	}
	late := func(v value) bool { return v.status == reduce.BoiledPostFlame }
	if slices.ContainsFunc(s.values, late) {
		other := s.without(late)
		if kind.timed {
			other.values = slices.Clone(s.values)
			for i := range other.values {
				if late(other.values[i]) {
					other.values[i].log = math.Inf(1)
				}
			}
		}
		ds = append(ds, doubt{"whether a boil after flame-out counts", other})
	}
	estimated := func(v value) bool { return v.estimated }
	if slices.ContainsFunc(s.values, estimated) {
		ds = append(ds, doubt{"fuel estimated for burns that did not boil", s.without(estimated)})
	}
	return ds
}

// settle compares a sample in every way that its answer might hang on.
func settle(s sample, kind axisKind, r rules, suspects []string) comparison {
	c := compare(s, r)
	again := r
	again.main = c.judged
	for _, d := range doubts(s, kind, suspects) {
		c.doubted(compare(d.sample, again), d.name)
	}
	for i := range c.pairs {
		if p := &c.pairs[i]; len(p.DependsOn) > 0 {
			p.Class = NotSettled
		}
	}
	c.checkByLess(s, r)
	return c
}

// doubted notes what another reading of the same burns changes. A pair whose
// burns are too few as they are has no class to lose. What is worth having in
// one reading and only different in another is different.
func (c *comparison) doubted(other comparison, name string) {
	for i := range c.pairs {
		p, o := &c.pairs[i], other.pairs[i]
		switch {
		case p.Class == TooFew:
		case !agrees(*p, o):
			if p.reading == "" {
				p.reading, p.otherwise = p.Class, o.Class
			}
			p.DependsOn = append(p.DependsOn, name)
		case p.Class == WorthHaving && o.Class == Different:
			p.Class, p.worthOn = Different, name
		}
	}
	for e := range c.places {
		at, o := &c.places[e], other.places[e]
		if len(o.outBy) == 0 {
			at.outBy = nil
		}
		at.asGood = at.asGood && o.asGood
	}
}

// agrees reports whether two readings of a pair say the same: decided to the
// same side in both, equal in practice in both, or open in both.
func agrees(a, b Pair) bool {
	switch {
	case a.Class == EqualInPractice || b.Class == EqualInPractice:
		return a.Class == b.Class
	case !a.Class.Decided() || !b.Class.Decided():
		return a.Class.Decided() == b.Class.Decided()
	}
	return a.better() == b.better()
}

// better is the entry of the pair that does better.
func (p Pair) better() string {
	if p.Ranked && p.Beats > 0.5 || !p.Ranked && p.Ratio < 1 {
		return p.A
	}
	return p.B
}

// distrustApart takes back what was shown of two entries that were burned in
// different blocks, several burns a block, where the blocks could not be taken
// out: a difference of the days would pass for one of the entries. Burns that
// each have a block of their own carry the days in their scatter.
func (c *comparison) distrustApart(s sample) {
	for i := range c.pairs {
		p := &c.pairs[i]
		if (!c.blocked || p.Ranked) && p.Class != TooFew && s.apart(p.i, p.j) {
			c.distrust(p, "which block each was burned in")
			p.remedy = "burn both in every block"
		}
	}
}

// apart reports whether more than half of the burns of one entry lie in blocks
// where the other has none to set against them, several burns to a block.
func (s sample) apart(i, j int) bool {
	counts := map[string]*[2]int{}
	repeated := false
	for _, v := range s.values {
		if v.entry != i && v.entry != j {
			continue
		}
		if v.block == "" {
			return false
		}
		if counts[v.block] == nil {
			counts[v.block] = &[2]int{}
		}
		n := &counts[v.block][0]
		if v.entry == j {
			n = &counts[v.block][1]
		}
		*n++
		repeated = repeated || *n > 1
	}
	// Half of Σ|n_i/N_i − n_j/N_j| above one half, in whole numbers so that no
	// order of adding matters.
	all := [2]int{s.count(i), s.count(j)}
	unmatched := 0
	for _, n := range counts {
		unmatched += max(n[0]*all[1]-n[1]*all[0], n[1]*all[0]-n[0]*all[1])
	}
	return repeated && unmatched > all[0]*all[1]
}

// resolution is the relative step of one value: a second of a time, a tenth of
// a gram of fuel.
func resolution(metric reduce.Metric, center float64) float64 {
	step := 1.0
	if metric.Info().Kind == reduce.Mass {
		step = 1e-4
	}
	return step / center
}

// suspectsOf names the burns that stand out by the robust rule. It removes
// nothing. Two entries in blocks split every misfit evenly, so their
// differences within blocks are scored and both burns of one are named.
func suspectsOf(s sample, metric reduce.Metric) []string {
	var all []int
	for i := range s.entries {
		all = append(all, i)
	}
	d, at, blocks := s.blocked(all)
	if !blocks {
		d, at = stats.Blocked{}, nil
		for i, v := range s.values {
			if !math.IsInf(v.log, 1) {
				d.Values, d.Group, at = append(d.Values, v.log), append(d.Group, v.entry), append(at, i)
			}
		}
	}
	if len(d.Values) == 0 {
		return nil
	}
	step := resolution(metric, math.Exp(stats.Median(d.Values)))
	if blocks && len(s.entries) == 2 {
		return suspectDifferences(s, d, at, step)
	}
	d.Group = renumber(d.Group)
	found, err := stats.Suspects(d, step)
	if err != nil {
		return nil
	}
	var burns []string
	for _, i := range found.Suspects {
		burns = append(burns, s.values[at[i]].burn)
	}
	return burns
}

// renumber closes gaps in labels, so that an entry without values does not count.
func renumber(labels []int) []int {
	next := map[int]int{}
	for _, l := range slices.Sorted(slices.Values(labels)) {
		if _, ok := next[l]; !ok {
			next[l] = len(next)
		}
	}
	out := make([]int, len(labels))
	for i, l := range labels {
		out[i] = next[l]
	}
	return out
}

func suspectDifferences(s sample, d stats.Blocked, at []int, step float64) []string {
	differences := d.Within(0, 1)
	one := stats.Blocked{Values: differences, Group: make([]int, len(differences))}
	found, err := stats.Suspects(one, math.Sqrt2*step)
	if err != nil {
		return nil
	}
	// Within lists the blocks that hold both entries, in their order.
	var shared []int
	for block := range slices.Max(d.Block) + 1 {
		if holds(d, block, 0) && holds(d, block, 1) {
			shared = append(shared, block)
		}
	}
	var burns []string
	for _, i := range found.Suspects {
		for k, block := range d.Block {
			if block == shared[i] {
				burns = append(burns, s.values[at[k]].burn)
			}
		}
	}
	return burns
}

func holds(d stats.Blocked, block, group int) bool {
	for i := range d.Values {
		if d.Block[i] == block && d.Group[i] == group {
			return true
		}
	}
	return false
}

// standsOut says that a burn is suspect, with Grubbs' test of its entry's
// values beside it where that names the same burn.
func (s sample) standsOut(id string) string {
	at := slices.IndexFunc(s.values, func(v value) bool { return v.burn == id })
	v := s.values[at]
	words := fmt.Sprintf("burn %s of %s stands out by the robust rule; it is kept, and every answer is also worked out without it", id, s.entries[v.entry])
	logs := s.of(v.entry)
	if g, err := stats.GrubbsTest(logs); err == nil && logs[g.Index] == v.log {
		words += fmt.Sprintf(" (Grubbs' test among the entry's burns: p %.2g)", g.P)
	}
	return words
}
