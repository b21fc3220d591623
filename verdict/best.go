package verdict

import (
	"slices"

	"fairburn/stats"
)

// place is what is shown of one entry among all of an axis.
type place struct {
	outBy  []int // entries shown to be better
	asGood bool  // shown to lie within the margin of the best of the active ones
}

// place takes the differences of the active entries as those of the sample's
// entries, and fills who is ruled out as best and who is as good as the best.
//
// Without blocks that is stats.Best: one-sided limits for the comparisons of
// one entry with the others. Of two entries each may rule out the other, so that
// at one-sided limits one of two equal ones would be named best in twice the
// trials that it should: their limits are two-sided. With blocks and three or more entries the spreads
// lean on each other and no t distribution has their tails, so the p of all
// pairs takes its place: one-sided at the error rate is two-sided at twice
// that, and all pairs hold those of the best. (Student's limits on the degrees
// of freedom of the model would rule the best out too often; see
// docs/verdict-error-rates.md.)
func (c *comparison) place(p stats.Pairs, r rules) []stats.Difference {
	k, level := len(c.active), r.level
	if k == 2 {
		level = (1 + level) / 2
	}
	if c.blocked && c.judged.Fit != nil {
		c.placeByPairs(p.Differences, r)
	} else if standing, err := stats.Best(k, p.Differences, r.margin, level); err == nil {
		for g, st := range standing {
			at := &c.places[c.active[g]]
			at.asGood = st.AsGood
			for _, by := range st.RuledOutBy {
				at.outBy = append(at.outBy, c.active[by])
			}
		}
	}
	out := slices.Clone(p.Differences)
	for n := range out {
		d := &out[n]
		d.I, d.J = c.active[d.I], c.active[d.J]
		if d.I > d.J {
			d.I, d.J, d.Estimate, d.Interval = d.J, d.I, -d.Estimate, stats.Interval{Lo: -d.Hi, Hi: -d.Lo}
		}
	}
	return out
}

func (c *comparison) placeByPairs(diffs []stats.Difference, r rules) {
	near := make([]int, len(c.active))
	for _, d := range diffs {
		if d.P <= 2*(1-r.level) {
			c.rule(c.active[d.I], c.active[d.J], d.Estimate > 0)
		}
		if d.Hi < r.margin {
			near[d.I]++
		}
		if -d.Lo < r.margin {
			near[d.J]++
		}
	}
	for g, n := range near {
		c.places[c.active[g]].asGood = n == len(c.active)-1
	}
}

// rule notes that of i and j one was shown to be better: j, if other.
func (c *comparison) rule(i, j int, other bool) {
	if !other {
		i, j = j, i
	}
	c.places[i].outBy = append(c.places[i].outBy, j)
}

// distrust takes back what was shown of a pair, and says what it hangs on.
func (c *comparison) distrust(p *Pair, on string) {
	p.DependsOn = append(p.DependsOn, on)
	p.Class = NotSettled
	for _, e := range [][2]int{{p.i, p.j}, {p.j, p.i}} {
		at := &c.places[e[0]]
		at.asGood = false
		at.outBy = slices.DeleteFunc(slices.Clone(at.outBy), func(by int) bool { return by == e[1] })
	}
}

// couldBeBest lists the entries that nothing rules out: not another's smaller
// mean, nor a worst-rank comparison. An entry without a value is not in it:
// nothing is said of it. The set holds the best of the others at the level.
func (c *comparison) couldBeBest(s sample) []string {
	var in []string
	for e, at := range c.places {
		if s.count(e) > 0 && len(at.outBy) == 0 {
			in = append(in, s.entries[e])
		}
	}
	return in
}

// asGood lists the entries that lie within the margin of the best, whichever
// that is: of the active ones, once nothing else could be it.
func (c *comparison) asGood(s sample) []string {
	var good []string
	for e, at := range c.places {
		if !slices.Contains(c.active, e) && s.count(e) > 0 && len(at.outBy) == 0 {
			return nil
		}
		if at.asGood {
			good = append(good, s.entries[e])
		}
	}
	return good
}

// bestShares is the probability of each entry that its long-run mean is the
// best (weak prior), under like conditions where there are blocks; nil when an
// entry has too few values or a burn that did not boil.
func (c *comparison) bestShares(s sample) []float64 {
	if len(c.active) < len(s.entries) || len(c.active) < 2 {
		return nil
	}
	shares, err := c.activeShares(s)
	if err != nil {
		return nil
	}
	out := make([]float64, len(s.entries))
	for g, e := range c.active {
		out[e] = shares[g]
	}
	return out
}

// activeShares is bestShares in the order of the active entries.
func (c *comparison) activeShares(s sample) ([]float64, error) {
	d, _, _ := s.blocked(c.active)
	if c.blocked && c.judged.Fit == nil {
		mean, err := stats.TrueMean(stats.Summarize(d.Within(0, 1)))
		if err != nil {
			return nil, err
		}
		return []float64{mean.CDF(0), mean.Survival(0)}, nil
	}
	logs := make([][]float64, len(c.active))
	for g, e := range c.active {
		logs[g] = s.of(e)
	}
	if c.blocked {
		logs = adjusted(c.judged.Fit, d)
	}
	var means []stats.StudentsT
	for _, values := range logs {
		m, err := stats.TrueMean(stats.Summarize(values))
		if err != nil {
			return nil, err
		}
		means = append(means, m)
	}
	return stats.Least(means), nil
}

// adjusted returns each group's values with the blocks taken out: adjusted
// mean and residual. The fit has the values in order of block, group and size.
func adjusted(fit *stats.BlockFit, d stats.Blocked) [][]float64 {
	at := make([]int, len(d.Values))
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, func(a, b int) int {
		if d.Block[a] != d.Block[b] {
			return d.Block[a] - d.Block[b]
		}
		return d.Group[a] - d.Group[b]
	})
	out := make([][]float64, fit.Groups)
	for n, i := range at {
		g := d.Group[i]
		out[g] = append(out[g], fit.Means[g]+fit.Model.Residuals[n])
	}
	return out
}
