package verdict

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"fairburn/reduce"
	"fairburn/stats"
	"fairburn/trial"
	"fairburn/uncertainty"
)

// compareAxis compares one metric over all entries, and every way in which the
// answer might hang on a few burns.
func compareAxis(t *trial.Reduced, kind axisKind, r rules) Axis {
	s, metric, notes := collect(t, kind)
	a := Axis{Metric: metric, Key: metric.Info().Key, Name: kind.name, Raw: metric == kind.fallback, Notes: notes}
	suspects := suspectsOf(s, metric)
	c := settle(s, kind, r, suspects)
	c.distrustFuels(t, a)
	a.Pairs, a.Method, a.Why, a.Blocked = c.pairs, c.method, c.why, c.blocked
	a.CouldBeBest, a.AsGood = c.couldBeBest(s), c.asGood(s)
	a.Groups = groupsOf(t, s, r, suspects)
	for i, share := range c.bestShares(s) {
		a.Groups[i].BestShare = share
	}
	a.Notes = append(a.Notes, notesOf(t, s, kind, suspects)...)
	for i := range a.Pairs {
		p := &a.Pairs[i]
		ea, _ := t.Entry(p.A)
		eb, _ := t.Entry(p.B)
		p.MoreThanBurner = trial.MoreThanBurner(ea, eb)
		p.nextWin(s, c.blocked)
		p.burnsNeeded(s, r, c)
		p.Sentence = p.sentence(kind, r)
	}
	return a
}

// distrustFuels takes back what a comparison as measured shows of entries that
// burn different fuels: grams of one are not grams of the other. At reference
// conditions fuel is compared as energy.
func (c *comparison) distrustFuels(t *trial.Reduced, a Axis) {
	if !a.Raw || a.Metric.Info().Kind != reduce.Mass {
		return
	}
	for i := range c.pairs {
		p := &c.pairs[i]
		ea, _ := t.Entry(p.A)
		eb, _ := t.Entry(p.B)
		if ea.Fuel != eb.Fuel && p.Class != TooFew {
			c.distrust(p, "how much heat each fuel holds")
			p.remedy = "write down the water's mass and start temperature, so that fuel can be compared as energy"
		}
	}
}

// notesOf says what the figures of an axis need beside them: entries without
// a value, different fuels, and burns that stand out.
func notesOf(t *trial.Reduced, s sample, kind axisKind, suspects []string) []string {
	var notes []string
	fuels := map[string]bool{}
	for e, name := range s.entries {
		if s.count(e) == 0 {
			notes = append(notes, fmt.Sprintf("no burn of %s counts here, so nothing is said of it", name))
		}
		entry, _ := t.Entry(name)
		fuels[entry.Fuel] = true
	}
	if len(fuels) > 1 && !kind.timed {
		notes = append(notes, "the entries burn different fuels and are compared by energy, as grams of ethanol; what to carry stands beside it in grams and millilitres of each one's own fuel")
	}
	for _, b := range suspects {
		notes = append(notes, s.standsOut(b))
	}
	return notes
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
		g.N, g.Shared = len(logs), math.Sqrt(sumSquares(s.sharedOf(i)))
		g.state(logs, r.level)
		g.drift()
		groups[i] = g
	}
	return groups
}

// sumSquares adds in the order of the keys, so that the same parts give the
// same digits.
func sumSquares(parts map[string]float64) float64 {
	sum := 0.0
	for _, key := range slices.Sorted(maps.Keys(parts)) {
		sum += parts[key] * parts[key]
	}
	return sum
}

// state fills centre, intervals and scatter from the logs and the relative
// uncertainty that all of them share. Values that read alike show no scatter,
// so they get no interval rather than one of no width.
func (g *Group) state(logs []float64, level float64) {
	summary := stats.Summarize(logs)
	if summary.N == 0 {
		return
	}
	g.Center = math.Exp(summary.Mean)
	if summary.N < 2 || summary.SD == 0 {
		return
	}
	g.CV = math.Sqrt(math.Expm1(summary.SD * summary.SD))
	if mean, err := uncertainty.Combine(logs, g.Shared, level); err == nil {
		g.Lo, g.Hi = math.Exp(mean.Low), math.Exp(mean.High)
	}
	if next, err := stats.NextInterval(summary, level); err == nil {
		g.NextLo, g.NextHi = math.Exp(next.Lo), math.Exp(next.Hi)
	}
}

// leastForDrift is the fewest burns that a drift is looked for in.
const leastForDrift = 5

// drift fits the log of the entry's values against its own burn number: a
// wick that shrinks or a seam that opens shows as a slope.
func (g *Group) drift() {
	if g.N < leastForDrift {
		return
	}
	var x [][]float64
	var y []float64
	for n, p := range g.Points {
		if !math.IsInf(p.Value, 1) {
			x, y = append(x, []float64{1, float64(n + 1)}), append(y, math.Log(p.Value))
		}
	}
	fit, err := stats.LeastSquares(x, y)
	if err != nil || !(fit.SE[1] > 0) {
		return
	}
	t := stats.StudentsT{Mu: 0, Sigma: 1, Nu: float64(fit.DF)}
	g.Drift = math.Expm1(fit.Coefficients[1])
	g.DriftP = 2 * t.Survival(math.Abs(fit.Coefficients[1]/fit.SE[1]))
}

// nextWin fills what the next burn of each may bring, side by side where the
// trial has blocks, and else each on its own.
func (p *Pair) nextWin(s sample, blocked bool) {
	if d, _, ok := s.blocked([]int{p.i, p.j}); ok && blocked && !p.Ranked {
		if next, err := stats.NextValue(stats.Summarize(d.Within(0, 1))); err == nil {
			p.NextWin, p.NextLose, p.NextKnown = next.CDF(0), next.Survival(0), true
			return
		}
	}
	a, errA := stats.NextValue(stats.Summarize(s.of(p.i)))
	b, errB := stats.NextValue(stats.Summarize(s.of(p.j)))
	if errA != nil || errB != nil {
		return
	}
	sooner := stats.Least([]stats.StudentsT{a, b})[0]
	if !p.Ranked {
		p.NextWin, p.NextLose, p.NextKnown = sooner, 1-sooner, true
		return
	}
	boils := func(e int) stats.Proportion { return stats.Proportion{S: len(s.of(e)), N: s.count(e)} }
	if next, err := stats.SplitNext(boils(p.i), boils(p.j), sooner); err == nil {
		p.NextWin, p.NextLose, p.NextNeither, p.NextKnown = next.A, next.B, next.Neither, true
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
func (p *Pair) burnsNeeded(s sample, r rules, c comparison) {
	if p.Class.Decided() || p.Ranked || p.remedy != "" {
		return
	}
	difference := r.margin
	if p.Ratio > 0 {
		difference = max(r.margin, math.Abs(math.Log(p.Ratio)))
	}
	plan := stats.Plan{Difference: difference, Alpha: 1 - r.level, Comparisons: len(c.pairs)}
	have := min(s.count(p.i), s.count(p.j))
	sd, nu, known := s.scatter(p.i, p.j, c.blocked)
	var least, most int
	var err error
	if known {
		plan.SDA, plan.SDB = sd, sd
		least, most, err = plan.NeededRange(r.power, nu)
	} else {
		plan.SDA, plan.SDB = smallScatter, smallScatter
		if least, err = plan.Needed(r.power); err == nil {
			plan.SDA, plan.SDB = largeScatter, largeScatter
			most, err = plan.Needed(r.power)
		}
	}
	if err == nil {
		need := func(n int) int { return max(1, leastBurns-have, n-have) }
		p.MoreFor, p.MoreFrom, p.MoreTo, p.Planned = math.Expm1(difference), need(least), need(most), !known
	}
}

// scatter is the standard deviation of one burn of two entries with its
// degrees of freedom, days taken out where blocks were used, and false when
// too few burns show it.
func (s sample) scatter(i, j int, blocked bool) (sd, nu float64, known bool) {
	if d, _, ok := s.blocked([]int{i, j}); ok && blocked {
		if within := stats.Summarize(d.Within(0, 1)); within.N >= leastBurns && within.SD > 0 {
			return within.SD / math.Sqrt2, float64(within.N - 1), true
		}
	}
	sd, nu, err := stats.Pooled([]stats.Summary{stats.Summarize(s.of(i)), stats.Summarize(s.of(j))})
	return sd, nu, err == nil && nu >= 2
}

// more says in words what would settle the pair: a remedy, or the burns that
// would show a difference as often as the trial's power wants, if there is one.
func (p Pair) more(r rules) string {
	if p.remedy != "" || p.MoreTo == 0 {
		return p.remedy
	}
	n := fmt.Sprintf("%d to %d more burns", p.MoreFrom, p.MoreTo)
	switch {
	case p.MoreTo == 1:
		n = "1 more burn"
	case p.MoreFrom == p.MoreTo:
		n = fmt.Sprintf("%d more burns", p.MoreTo)
	}
	basis := ""
	if p.Planned {
		basis = fmt.Sprintf(", if burns scatter by %.0f to %.0f %% as is usual", smallScatter*100, largeScatter*100)
	}
	return fmt.Sprintf("about %s each would show a difference of %s, if there is one, %.0f times in 10%s", n, percent(p.MoreFor), r.power*10, basis)
}
