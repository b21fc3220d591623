package verdict

import (
	"fmt"
	"math"
	"slices"

	"fairburn/stats"
)

// comparison is one axis compared once: every pair of entries with its class.
// The same sample gives the same comparison.
type comparison struct {
	pairs    []Pair
	diffs    []stats.Difference // of the pairs that did not need ranks, entries as in the sample
	active   []int              // entries compared by means: enough values, none that did not boil
	method   string
	why      string
	blocked  bool
	standing []stats.Standing // of the active entries
}

// rules are the trial's settings as the comparisons use them.
type rules struct {
	level, margin float64 // margin as the log of a ratio
	cap           float64 // s
	power         float64
	seed          uint64
}

// compare compares all pairs of a sample. Pairs that hold a burn without a
// boil are compared by worst ranks; the error rate is shared out between them
// and the rest by number of pairs, so that all together keep the level.
func compare(s sample, r rules) comparison {
	var c comparison
	k := len(s.entries)
	for i := range k {
		if s.noBoils(i) == 0 && len(s.of(i)) >= 2 {
			c.active = append(c.active, i)
		}
	}
	all := k * (k - 1) / 2
	means := len(c.active) * (len(c.active) - 1) / 2
	if means > 0 {
		c.compareMeans(s, r, 1-(1-r.level)*float64(means)/float64(all), float64(all)/float64(means))
	}
	found := map[[2]int]stats.Difference{}
	for _, d := range c.diffs {
		found[[2]int{d.I, d.J}] = d
	}
	for i := range k {
		for j := i + 1; j < k; j++ {
			p := Pair{A: s.entries[i], B: s.entries[j], P: 1, Class: TooFew}
			if d, ok := found[[2]int{i, j}]; ok {
				p.fromDifference(d, r)
			} else if s.noBoils(i)+s.noBoils(j) > 0 {
				p.Ranked = true
			} else {
				p.Ratio = ratioOfMeans(s, i, j)
			}
			if min(len(s.times(i)), len(s.times(j))) < 3 {
				p.Class = TooFew
			}
			c.pairs = append(c.pairs, p)
		}
	}
	c.compareRanks(s, r, all)
	return c
}

// compareMeans compares the active entries by the blocked or unblocked rule.
func (c *comparison) compareMeans(s sample, r rules, level, scaleP float64) {
	extra := s.extra()
	between := func(i, j int) float64 { return extra(c.active[i], c.active[j]) }
	if d, _, ok := s.blocked(c.active); ok {
		b, err := stats.BlockedPairs(d, between, level, r.seed)
		if err == nil {
			c.take(b.Pairs.Differences, scaleP)
			c.method, c.why, c.blocked = string(b.Pairs.Method), b.Why, true
			c.rank(r, b.Pairs.Differences)
			return
		}
		c.why = fmt.Sprintf("blocks could not be used (%v); ", err)
	}
	groups := make([]stats.Summary, len(c.active))
	for g, entry := range c.active {
		groups[g] = stats.Summarize(s.of(entry))
	}
	p, err := stats.AllPairs(groups, between, level)
	if err != nil {
		c.why += err.Error()
		return
	}
	c.take(p.Differences, scaleP)
	c.rank(r, p.Differences)
	c.method = string(p.Method)
	c.why += "each entry's own scatter; " + map[bool]string{
		true:  "every entry has enough burns for the studentized range",
		false: "Bonferroni's allowance for all pairs, which few burns need",
	}[p.Method == stats.GamesHowell]
}

// take keeps differences by the sample's entries, with p for all pairs.
func (c *comparison) take(diffs []stats.Difference, scaleP float64) {
	for _, d := range diffs {
		d.I, d.J, d.P = c.active[d.I], c.active[d.J], min(1, d.P*scaleP)
		c.diffs = append(c.diffs, d)
	}
}

func (c *comparison) rank(r rules, diffs []stats.Difference) {
	if standing, err := stats.Best(len(c.active), diffs, r.margin, r.level); err == nil {
		c.standing = standing
	}
}

// fromDifference fills a pair from the log of a ratio.
func (p *Pair) fromDifference(d stats.Difference, r rules) {
	p.Ratio, p.Lo, p.Hi, p.P = math.Exp(d.Estimate), math.Exp(d.Lo), math.Exp(d.Hi), d.P
	p.Class = classify(d.Interval, r.margin)
	if math.IsNaN(d.SE) {
		p.Lo, p.Hi, p.P, p.Class = 0, 0, 1, TooFew
	}
}

// classify names what a simultaneous interval of a log ratio shows.
func classify(iv stats.Interval, margin float64) Class {
	switch {
	case iv.Lo > margin || iv.Hi < -margin:
		return WorthHaving
	case iv.Inside(stats.Interval{Lo: -margin, Hi: margin}):
		return EqualInPractice
	case iv.Lo > 0 || iv.Hi < 0:
		return Different
	}
	return NotSettled
}

func ratioOfMeans(s sample, i, j int) float64 {
	a, b := stats.Summarize(s.of(i)), stats.Summarize(s.of(j))
	if a.N == 0 || b.N == 0 {
		return 0
	}
	return math.Exp(a.Mean - b.Mean)
}

// compareRanks fills the pairs that hold a burn without a boil: exact
// worst-rank test with Holm's allowance among them and their share of the
// error rate, and the ratio of capped times.
func (c *comparison) compareRanks(s sample, r rules, all int) {
	var at []int
	var ps []float64
	var least []float64
	n := 0
	for k := range c.pairs {
		if !c.pairs[k].Ranked {
			continue
		}
		n++
		i, j := slices.Index(s.entries, c.pairs[k].A), slices.Index(s.entries, c.pairs[k].B)
		test, err := stats.RankSumTest(s.times(i), s.times(j))
		if err != nil {
			continue
		}
		c.pairs[k].Beats = test.XBelow
		at, ps, least = append(at, k), append(ps, test.P), append(least, test.SmallestP)
	}
	adjusted := stats.Holm(ps)
	share := float64(all) / max(float64(n), 1)
	for m, k := range at {
		i, j := slices.Index(s.entries, c.pairs[k].A), slices.Index(s.entries, c.pairs[k].B)
		p := &c.pairs[k]
		p.P = min(1, adjusted[m]*share)
		p.capped(s, i, j, r, all)
		alpha := 1 - r.level
		switch {
		case p.Class == TooFew && min(len(s.times(i)), len(s.times(j))) < 3:
		case p.P <= alpha && worthCapped(*p, r):
			p.Class = WorthHaving
		case p.P <= alpha:
			p.Class = Different
		case least[m]*float64(all) > alpha:
			p.Class = TooFew
		default:
			p.Class = NotSettled
		}
	}
}

func worthCapped(p Pair, r rules) bool {
	return p.Lo > math.Exp(r.margin) || p.Hi > 0 && p.Hi < math.Exp(-r.margin)
}

// capped sets the ratio of geometric mean times with a burn that did not boil
// counting as the cap, and its interval with Bonferroni's allowance.
func (p *Pair) capped(s sample, i, j int, r rules, all int) {
	logs := func(entry int) []float64 {
		ts, err := stats.Capped(s.times(entry), r.cap)
		if err != nil {
			return nil
		}
		for n := range ts {
			ts[n] = math.Log(ts[n])
		}
		return ts
	}
	a, b := stats.Summarize(logs(i)), stats.Summarize(logs(j))
	if a.N == 0 || b.N == 0 {
		return
	}
	p.Ratio = math.Exp(a.Mean - b.Mean)
	d, err := stats.Welch(a, b, s.extra()(i, j), 1-(1-r.level)/float64(all))
	if err == nil {
		p.Lo, p.Hi = math.Exp(d.Lo), math.Exp(d.Hi)
	}
}
