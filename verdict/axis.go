package verdict

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"fairburn/reduce"
	"fairburn/stats"
	"fairburn/trial"
	"fairburn/uncertainty"
)

// compareAxis compares one metric over all entries, and every way in which the
// answer might hang on a few burns.
func compareAxis(t *trial.Reduced, kind axisKind, r rules) Axis {
	s, metric, notes := collect(t, kind)
	info := metric.Info()
	a := Axis{Metric: metric, Key: info.Key, Name: kind.name, Raw: metric == kind.fallback, Notes: notes}
	if a.Raw {
		a.Notes = append(a.Notes, "compared as measured: no burn could be brought to reference conditions")
	}
	suspects := suspectsOf(s, metric)
	c := compare(s, r)
	dependence(&c, s, r, suspects)
	c.checkByLess(s, r)
	a.Pairs, a.Method, a.Why, a.Blocked = c.pairs, c.method, c.why, c.blocked
	a.Groups = groupsOf(t, s, r, suspects)
	a.bestShares(s)
	a.CouldBeBest = c.couldBeBest(s)
	for i := range a.Pairs {
		p := &a.Pairs[i]
		ea, _ := t.Entry(p.A)
		eb, _ := t.Entry(p.B)
		p.MoreThanBurner = trial.MoreThanBurner(ea, eb)
		p.nextWin(s)
		p.burnsNeeded(s, r, len(a.Pairs))
		p.Sentence = p.sentence(kind)
	}
	return a
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

// groupsOf states each entry by itself.
func groupsOf(t *trial.Reduced, s sample, r rules, suspects []string) []Group {
	groups := make([]Group, len(s.entries))
	for i, name := range s.entries {
		g := Group{Entry: name, Marker: t.Marker(name), NoBoil: s.noBoils(i), DriftP: 1}
		for _, v := range s.values {
			if v.entry == i {
				g.Points = append(g.Points, Point{Burn: v.burn, Status: v.status, Value: math.Exp(v.log), Estimated: v.estimated, Suspect: slices.Contains(suspects, v.burn)})
			}
		}
		logs := s.of(i)
		g.N = len(logs)
		g.state(logs, math.Sqrt(sumSquares(s.sharedOf(i))), r.level)
		g.drift(logs)
		groups[i] = g
	}
	return groups
}

func sumSquares(parts map[string]float64) float64 {
	sum := 0.0
	for _, c := range parts {
		sum += c * c
	}
	return sum
}

// state fills centre, intervals and scatter from the logs and the relative
// uncertainty that all of them share.
func (g *Group) state(logs []float64, shared, level float64) {
	summary := stats.Summarize(logs)
	if summary.N == 0 {
		return
	}
	g.Center = math.Exp(summary.Mean)
	if summary.N < 2 {
		return
	}
	g.CV = math.Sqrt(math.Expm1(summary.SD * summary.SD))
	if mean, err := uncertainty.Combine(logs, shared, level); err == nil {
		g.Lo, g.Hi = math.Exp(mean.Low), math.Exp(mean.High)
	}
	if next, err := stats.NextInterval(summary, level); err == nil {
		g.NextLo, g.NextHi = math.Exp(next.Lo), math.Exp(next.Hi)
	}
}

// drift fits the log of the entry's values against its own burn number: a
// wick that shrinks or a seam that opens shows as a slope.
func (g *Group) drift(logs []float64) {
	if len(logs) < 5 {
		return
	}
	x := mat.NewDense(len(logs), 2, nil)
	for i := range logs {
		x.Set(i, 0, 1)
		x.Set(i, 1, float64(i+1))
	}
	fit, err := stats.LeastSquares(x, logs)
	if err != nil || !(fit.SE[1] > 0) {
		return
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(fit.DF)}
	g.Drift = math.Expm1(fit.Coefficients[1])
	g.DriftP = 2 * t.Survival(math.Abs(fit.Coefficients[1]/fit.SE[1]))
}

// bestShares fills the probability that each entry's long-run mean is the best.
func (a *Axis) bestShares(s sample) {
	var means []distuv.StudentsT
	for i := range s.entries {
		m, err := stats.TrueMean(stats.Summarize(s.of(i)))
		if err != nil || a.Groups[i].NoBoil > 0 {
			return
		}
		means = append(means, m)
	}
	if len(means) < 2 {
		return
	}
	for i, p := range stats.Least(means) {
		a.Groups[i].BestShare = p
	}
}

// couldBeBest lists the entries that nothing rules out: not another's smaller
// mean, nor a worst-rank comparison.
func (c *comparison) couldBeBest(s sample) []string {
	out := map[string]bool{}
	for g, entry := range c.active {
		if g < len(c.standing) && !c.standing[g].CouldBeBest() {
			out[s.entries[entry]] = true
		}
	}
	for _, p := range c.pairs {
		if p.Ranked && (p.Class == Different || p.Class == WorthHaving) {
			if p.Beats > 0.5 {
				out[p.B] = true
			} else {
				out[p.A] = true
			}
		}
	}
	var in []string
	for _, e := range s.entries {
		if !out[e] {
			in = append(in, e)
		}
	}
	return in
}

// nextWin fills the probability that A does better than B on the next burn.
func (p *Pair) nextWin(s sample) {
	i, j := slices.Index(s.entries, p.A), slices.Index(s.entries, p.B)
	a, errA := stats.NextValue(stats.Summarize(s.of(i)))
	b, errB := stats.NextValue(stats.Summarize(s.of(j)))
	if errA != nil || errB != nil {
		return
	}
	sooner := stats.Least([]distuv.StudentsT{a, b})[0]
	if s.noBoils(i)+s.noBoils(j) == 0 {
		p.NextWin, p.NextKnown = sooner, true
		return
	}
	boils := func(e int) stats.Proportion {
		return stats.Proportion{S: len(s.of(e)), N: len(s.times(e))}
	}
	if next, err := stats.SplitNext(boils(i), boils(j), sooner); err == nil {
		p.NextWin, p.NextKnown = next.A, true
	}
}

// Scatter from burn to burn that is planned with where too few burns show
// their own (common practice, no source).
const (
	smallScatter = 0.03
	largeScatter = 0.08
)

// burnsNeeded fills how many more burns each would show the difference that
// matters: the margin, or what was seen if that is larger.
func (p *Pair) burnsNeeded(s sample, r rules, pairs int) {
	if p.Class.Decided() || p.Ranked {
		return
	}
	i, j := slices.Index(s.entries, p.A), slices.Index(s.entries, p.B)
	a, b := stats.Summarize(s.of(i)), stats.Summarize(s.of(j))
	p.MoreFor = r.margin
	if p.Ratio > 0 {
		p.MoreFor = max(r.margin, math.Abs(math.Log(p.Ratio)))
	}
	plan := stats.Plan{Difference: p.MoreFor, Alpha: 1 - r.level, Comparisons: pairs}
	p.MoreFor = math.Expm1(p.MoreFor)
	have := min(a.N, b.N)
	sd, nu, err := stats.Pooled([]stats.Summary{a, b})
	if err != nil || nu < 2 {
		plan.SDA, plan.SDB = smallScatter, smallScatter
		least, errLeast := plan.Needed(r.power)
		plan.SDA, plan.SDB = largeScatter, largeScatter
		most, errMost := plan.Needed(r.power)
		if errLeast == nil && errMost == nil {
			p.MoreFrom, p.MoreTo, p.Planned = max(1, least-have), max(1, most-have), true
		}
		return
	}
	plan.SDA, plan.SDB = sd, sd
	if least, most, err := plan.NeededRange(r.power, nu); err == nil {
		p.MoreFrom, p.MoreTo = max(1, least-have), max(1, most-have)
	}
}

// more says the range in words.
func (p Pair) more() string {
	if p.MoreTo == 0 {
		return ""
	}
	n := fmt.Sprintf("%d to %d", p.MoreFrom, p.MoreTo)
	if p.MoreFrom == p.MoreTo {
		n = fmt.Sprint(p.MoreFrom)
	}
	basis := ""
	if p.Planned {
		basis = fmt.Sprintf(", if burns scatter by %.0f to %.0f %% as is usual", smallScatter*100, largeScatter*100)
	}
	return fmt.Sprintf("about %s more burns each would show a difference of %s%s", n, percent(p.MoreFor), basis)
}
