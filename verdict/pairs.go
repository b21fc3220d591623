package verdict

import (
	"fmt"
	"math"

	"fairburn/stats"
)

// leastBurns is the fewest burns of each entry that a pair is judged on.
const leastBurns = 3

// comparison is one axis compared once: every pair of entries with its class.
// The same sample gives the same comparison.
type comparison struct {
	pairs   []Pair
	active  []int   // entries compared by means: enough values, none that did not boil
	places  []place // of every entry of the sample
	method  string
	why     string
	blocked bool
	judged  *stats.BlockedComparison // of the active entries, when blocks were used
}

// rules are the trial's settings as the comparisons use them.
type rules struct {
	level, margin float64 // margin as the log of a ratio
	cap           float64 // s
	power         float64
	seed          uint64
	// main is the comparison as the burns are, for other readings of them: its
	// draws serve a large trial again.
	main *stats.BlockedComparison
}

// compareBlocks compares by the blocked rule.
func (r rules) compareBlocks(d stats.Blocked, extra stats.ExtraVar) (*stats.BlockedComparison, error) {
	if r.main != nil {
		return r.main.Again(d, extra, r.level)
	}
	return stats.BlockedPairs(d, extra, r.level, r.seed)
}

// sharing returns the rules for part of all pairs: that part of the error
// rate, so that all parts together keep the level.
func (r rules) sharing(part, all int) rules {
	r.level = 1 - (1-r.level)*float64(part)/float64(all)
	return r
}

// compare compares all pairs of a sample. Pairs that hold a burn without a
// boil are compared by worst ranks, the others by means. Each kind has the
// share of the error rate that its number of pairs is of all (Bonferroni), and
// within its share its own allowance for several comparisons, so that the
// chance of even one false difference keeps to the level. How many pairs are
// of which kind depends on which burns boiled and not on any time or mass.
func compare(s sample, r rules) comparison {
	k := len(s.entries)
	c := comparison{places: make([]place, k)}
	for i := range k {
		if s.noBoils(i) == 0 && len(s.of(i)) >= leastBurns {
			c.active = append(c.active, i)
		}
	}
	s.order(c.active)
	all, means := k*(k-1)/2, len(c.active)*(len(c.active)-1)/2
	found := map[[2]int]stats.Difference{}
	if means > 0 {
		for _, d := range c.compareMeans(s, r.sharing(means, all)) {
			d.P = min(1, d.P*float64(all)/float64(means))
			found[[2]int{d.I, d.J}] = d
		}
	}
	for i := range k {
		for j := i + 1; j < k; j++ {
			d, ok := found[[2]int{i, j}]
			c.pairs = append(c.pairs, s.pair(i, j, d, ok, r))
		}
	}
	c.compareRanks(s, r)
	c.distrustApart(s)
	return c
}

// pair is the pair of two entries before ranks are looked at: by its
// difference of means where that was found.
func (s sample) pair(i, j int, d stats.Difference, found bool, r rules) Pair {
	p := Pair{A: s.entries[i], B: s.entries[j], i: i, j: j, P: 1, Class: TooFew, Ranked: s.noBoils(i)+s.noBoils(j) > 0}
	enough := min(s.count(i), s.count(j)) >= leastBurns
	switch {
	case found:
		p.Ratio, p.Lo, p.Hi, p.P = math.Exp(d.Estimate), math.Exp(d.Lo), math.Exp(d.Hi), d.P
		p.SE, p.DF = d.SE, d.DF
		p.Class = classify(d.Interval, r.margin)
	case !p.Ranked:
		p.Ratio = ratioOfMeans(s.of(i), s.of(j))
		if enough {
			p.Class, p.why, p.remedy = NotSettled, "all burns of each read alike, so nothing shows how they scatter", "read finer, so that burns do not all read alike"
		}
	}
	return p
}

// compareMeans compares the active entries by the blocked or unblocked rule of
// package stats, and returns the differences by the entries of the sample.
func (c *comparison) compareMeans(s sample, r rules) []stats.Difference {
	extra := s.extra()
	between := func(i, j int) float64 { return extra(c.active[i], c.active[j]) }
	if d, _, ok := s.blocked(c.active); ok {
		b, err := r.compareBlocks(d, between)
		if err == nil {
			c.method, c.why, c.blocked, c.judged = string(b.Method), b.Why, true, b
			return c.place(b.Pairs, r)
		}
		c.why = fmt.Sprintf("blocks could not be used (%v); ", err)
	}
	groups := make([]stats.Summary, len(c.active))
	for g, entry := range c.active {
		groups[g] = stats.Summarize(s.of(entry))
	}
	p, err := stats.AllPairs(groups, between, r.level)
	if err != nil {
		c.why += err.Error()
		return nil
	}
	c.method = string(p.Method)
	if p.Method == stats.GamesHowell {
		c.why += "each entry's own scatter; every entry has enough burns for the studentized range"
	} else {
		c.why += "each entry's own scatter; Bonferroni's allowance for all pairs, which few burns need"
	}
	return c.place(p, r)
}

// classify names what a simultaneous interval of a log ratio shows. The margin
// is the same factor up and down, so that A against B is B against A.
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

func ratioOfMeans(a, b []float64) float64 {
	if len(a) == 0 || len(b) == 0 {
		return 0
	}
	return math.Exp(stats.Summarize(a).Mean - stats.Summarize(b).Mean)
}

// compareRanks fills the pairs that hold a burn without a boil: the exact
// worst-rank test, Holm's allowance among these pairs on their share of the
// error rate, and the ratio of capped times.
func (c *comparison) compareRanks(s sample, r rules) {
	var at []int
	var tests []stats.RankSum
	var ps []float64
	for k, p := range c.pairs {
		if !p.Ranked {
			continue
		}
		test, err := stats.RankSumTest(s.times(p.i), s.times(p.j))
		if err != nil {
			test = stats.RankSum{P: 1, SmallestP: 1} // it counts in the allowance all the same
		}
		at, tests, ps = append(at, k), append(tests, test), append(ps, test.P)
	}
	all := len(c.pairs)
	for m, adjusted := range stats.Holm(ps) {
		p := &c.pairs[at[m]]
		p.P = min(1, adjusted*float64(all)/float64(len(at)))
		p.Beats = tests[m].XBelow
		if min(s.count(p.i), s.count(p.j)) < leastBurns {
			continue
		}
		p.capped(s, r, all)
		p.rank(tests[m].SmallestP, r, all)
		if p.Class.Decided() {
			c.rule(p.i, p.j, p.Beats < 0.5)
		}
	}
}

// rank is the class of a worst-rank comparison. Worth having needs the capped
// times to differ by more than the margin, to the same side.
func (p *Pair) rank(smallest float64, r rules, all int) {
	alpha := 1 - r.level
	beyond := p.Hi > 0 && p.Hi < math.Exp(-r.margin) && p.Beats > 0.5 || p.Lo > math.Exp(r.margin) && p.Beats < 0.5
	switch {
	case p.P <= alpha && beyond:
		p.Class = WorthHaving
	case p.P <= alpha:
		p.Class = Different
	case smallest >= 1:
		p.Class, p.why, p.remedy = NotSettled, "no burn of either boiled", "try a larger dose, less water or more shelter"
	case smallest*float64(all) > alpha:
		p.remedy = fmt.Sprintf("a burn that did not boil leaves only ranks to compare, and here they can show nothing under %d burns each", fewestForRanks(all, alpha))
	default:
		p.Class = NotSettled
	}
}

// fewestForRanks is the number of values each, without ties, from which the
// exact rank test can reach alpha with an allowance for all comparisons.
func fewestForRanks(all int, alpha float64) int {
	n, arrangements := 1, 2.0
	for 2*float64(all)/arrangements > alpha {
		n++
		arrangements *= float64(2*n) * float64(2*n-1) / float64(n*n)
	}
	return n
}

// capped sets the ratio of geometric mean times with a burn that did not boil
// counting as the cap, and its interval with Bonferroni's allowance.
func (p *Pair) capped(s sample, r rules, all int) {
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
	a, b := logs(p.i), logs(p.j)
	p.Ratio = ratioOfMeans(a, b)
	d, err := stats.Welch(stats.Summarize(a), stats.Summarize(b), s.extra()(p.i, p.j), r.sharing(1, all).level)
	if err == nil {
		p.Lo, p.Hi = math.Exp(d.Lo), math.Exp(d.Hi)
	}
}
