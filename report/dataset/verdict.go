package dataset

import (
	"math"
	"strconv"
	"strings"

	"fairburn/reduce"
	"fairburn/verdict"
)

// trial has one row: the question, the answer, and by what rules both were read.
func (s *source) trial() table {
	return fill(table{
		name: "trial", title: "Trial",
		says: "One row: the question, the answer in one sentence, the reference boil, and the rules by which burns were reduced and compared.",
	}, []*source{s}, asked(), rules())
}

func asked() []column[*source] {
	return []column[*source]{
		col("title", text, "title of the trial", func(s *source) any { return words(s.v.Title) }),
		col("question", text, "what was asked", func(s *source) any { return words(s.v.Question) }),
		col("invented", boolean, "the data are a made-up example", func(s *source) any { return s.v.Invented }),
		col("answer", text, "the answer in one sentence", func(s *source) any { return words(s.v.Sentence) }),
		coded("class", classes, "what the answer amounts to", func(s *source) string { return string(s.v.Class) }),
		col("because", text, "what stands behind the answer", func(s *source) any { return words(strings.Join(s.v.Because, "; ")) }),
		col("not_tested", text, "what the answer says nothing about", func(s *source) any { return words(strings.Join(s.v.NotTested, "; ")) }),
		coded("judged_by", judges, "what carries the error rate of the verdict", func(s *source) string { return string(s.v.JudgeBy) }),
		col("level", decimal, "confidence of the verdict, as a share of 1", func(s *source) any { return number(s.v.Level) }),
		col("margin", decimal, "a difference smaller than this share is not worth having", func(s *source) any { return number(s.v.Margin) }),
		col("cap_s", decimal, "the longest anyone would wait, seconds", func(s *source) any { return number(s.r.Settings.Cap.Seconds()) }),
		col("power", decimal, "wanted chance to see a difference of the margin's size, of 1", func(s *source) any { return number(float64(s.r.Settings.Power)) }),
		col("seed", text, "seed of everything random", func(s *source) any { return strconv.FormatUint(s.v.Seed, 10) }),
		col("reference_water_g", decimal, "reference boil: water, grams", func(s *source) any { return tidy(grams.in(s.r.Settings.Reference.Water)) }),
		col("reference_from_C", decimal, "reference boil: from, degrees Celsius", func(s *source) any { return tidy(s.r.Settings.Reference.From.Celsius()) }),
		col("reference_to_C", decimal, "reference boil: to, degrees Celsius", func(s *source) any { return tidy(s.r.Settings.Reference.To.Celsius()) }),
	}
}

// rules are the settings of the reduction.
func rules() []column[*source] {
	rule := func(name, says string, read func(reduce.Rules) float64) column[*source] {
		return col(name, decimal, says, func(s *source) any { return tidy(read(s.r.Settings.Rules)) })
	}
	return []column[*source]{
		rule("grace_s", "a boil this long after the flame's end still counts, seconds", func(r reduce.Rules) float64 { return r.Grace.Seconds() }),
		rule("proration", "half-width of prorated fuel to boil, as a share", func(r reduce.Rules) float64 { return float64(r.Proration) }),
		rule("correction_range", "corrections hold for rise and water within this share of the reference", func(r reduce.Rules) float64 { return float64(r.Range) }),
		rule("fuel_range", "a heating value further from the reference's than this share is flagged", func(r reduce.Rules) float64 { return float64(r.FuelRange) }),
		rule("lowest_boil_C", "corrections hold down to this boiling point, degrees Celsius", func(r reduce.Rules) float64 { return r.LowestBoil.Celsius() }),
		rule("high_evaporation", "steam before the boil above this share of the water is flagged", func(r reduce.Rules) float64 { return float64(r.HighEvaporation) }),
		rule("boil_call_K", "half-width of the temperature at which a boil is called, kelvins", func(r reduce.Rules) float64 { return float64(r.BoilCall) }),
		rule("boil_mark_s", "half-width of the boil mark by eye, seconds", func(r reduce.Rules) float64 { return r.BoilMark.Seconds() }),
		rule("stratification_K", "half-width for water not quite stirred, kelvins", func(r reduce.Rules) float64 { return float64(r.Stratification) }),
		rule("pressure_hPa", "half-width of a pressure that states none, hectopascals", func(r reduce.Rules) float64 { return hectopascal.in(r.Pressure) }),
		rule("loss_W_K", "heat loss of a pot whose cooling was not measured, watts a kelvin", func(r reduce.Rules) float64 { return float64(r.Loss) }),
		rule("loss_half_width_W_K", "its half-width, watts a kelvin", func(r reduce.Rules) float64 { return float64(r.LossHalf) }),
	}
}

// average is a mean of an entry, of those that were compared or of those shown beside.
type average struct {
	entry, from, basis string
	metric             reduce.Metric
	n                  int
	value              float64
	within, next       [2]any
	group              *verdict.Group // of a mean that was compared
	largest            string
}

// means has a row for each mean of each entry.
func (s *source) means() table {
	var all []average
	for _, a := range s.v.Axes {
		for i := range a.Groups {
			g := &a.Groups[i]
			all = append(all, average{entry: g.Entry, from: compared, metric: a.Metric, n: g.N, value: g.Center,
				within: interval(a.Metric, g.Lo, g.Hi), next: interval(a.Metric, g.NextLo, g.NextHi), group: g})
		}
	}
	for _, e := range s.v.Entries {
		for _, m := range e.Figures {
			all = append(all, average{entry: e.Name, from: beside, basis: m.Basis, metric: m.Metric, n: m.N, value: m.Value,
				within: interval(m.Metric, m.Lo, m.Hi), largest: m.Largest})
		}
	}
	group := func(read func(*verdict.Group) any) func(average) any {
		return func(a average) any {
			if a.group == nil {
				return nil
			}
			return read(a.group)
		}
	}
	return fill(table{
		name: "means", title: "Means of the entries", key: []string{"entry", "metric", "from"},
		refs: []reference{{"entry", "entries", "entry"}, {"metric", "metrics", "metric"}},
		says: "A row for each mean of each entry with its interval at the level of the trial: the geometric means that were compared, then means of other figures.",
	}, all, []column[average]{
		col("entry", text, "name of the entry", func(a average) any { return words(a.entry) }),
		col("metric", text, "what it is; its unit stands in the table metrics", func(a average) any { return words(a.metric.Info().Key) }),
		coded("from", meanKinds, "which mean it is", func(a average) string { return a.from }),
		col("basis_words", text, "what an efficiency counts", func(a average) any { return words(a.basis) }),
		col("n", integer, "burns that enter", func(a average) any { return int64(a.n) }),
		col("value", decimal, "the mean, in the unit of its metric", func(a average) any { return inUnit(a.metric, or(a.value, a.from == compared)) }),
		col("low", decimal, "low end of its interval", func(a average) any { return a.within[0] }),
		col("high", decimal, "high end of its interval", func(a average) any { return a.within[1] }),
		col("next_low", decimal, "low end for the next burn", func(a average) any { return a.next[0] }),
		col("next_high", decimal, "high end for the next burn", func(a average) any { return a.next[1] }),
		col("no_boil", integer, "burns that count and did not boil", group(func(g *verdict.Group) any { return int64(g.NoBoil) })),
		col("cv", decimal, "scatter of one burn, as a share of the mean", group(func(g *verdict.Group) any { return unless(0, g.CV) })),
		col("best_share", decimal, "probability that the entry's mean is the best", group(func(g *verdict.Group) any { return number(g.BestShare) })),
		col("drift", decimal, "change a burn with the entry's own burn number, as a share", group(func(g *verdict.Group) any { return number(g.Drift) })),
		col("drift_p", decimal, "p-value of the drift", group(func(g *verdict.Group) any { return number(g.DriftP) })),
		col("largest_cause", text, "largest cause of uncertainty in the first burn's budget", func(a average) any { return words(a.largest) }),
	})
}

// or is a compared mean, of which 0 says that there is none.
func or(mean float64, compared bool) float64 {
	if compared && mean == 0 {
		return math.NaN()
	}
	return mean
}

// contest is a pair on an axis.
type contest struct {
	verdict.Pair
	axis verdict.Axis
}

// pairs has a row for each pair of entries on each axis.
func (s *source) pairs() table {
	var all []contest
	for _, a := range s.v.Axes {
		for _, p := range a.Pairs {
			all = append(all, contest{p, a})
		}
	}
	next := func(read func(verdict.Pair) float64) func(contest) any {
		return func(c contest) any {
			if !c.NextKnown {
				return nil
			}
			return number(read(c.Pair))
		}
	}
	return fill(table{
		name: "pairs", title: "Comparisons", key: []string{"metric", "a", "b"},
		refs: []reference{{"metric", "metrics", "metric"}, {"a", "entries", "entry"}, {"b", "entries", "entry"}},
		says: "A row for each two entries on each axis. The ratio is a over b; below 1, a is better. Intervals hold for all pairs of an axis at once.",
	}, all, []column[contest]{
		col("metric", text, "what was compared", func(c contest) any { return words(c.axis.Key) }),
		col("judges", boolean, "the axis carries the error rate of the verdict", func(c contest) any { return c.axis.Judges }),
		col("a", text, "one entry", func(c contest) any { return words(c.A) }),
		col("b", text, "the other", func(c contest) any { return words(c.B) }),
		col("ratio", decimal, "a over b", func(c contest) any { return unless(0, c.Ratio) }),
		col("low", decimal, "low end of its simultaneous interval", func(c contest) any { return simultaneous(c.Pair, c.Lo) }),
		col("high", decimal, "high end of its simultaneous interval", func(c contest) any { return simultaneous(c.Pair, c.Hi) }),
		col("p", decimal, "p-value, adjusted for all pairs", func(c contest) any { return number(c.P) }),
		coded("class", classes, "what the comparison amounts to", func(c contest) string { return string(c.Class) }),
		col("sentence", text, "the comparison in words", func(c contest) any { return words(c.Sentence) }),
		col("a_wins_next", decimal, "probability that a does better on the next burn", next(func(p verdict.Pair) float64 { return p.NextWin })),
		col("b_wins_next", decimal, "probability that b does", next(func(p verdict.Pair) float64 { return p.NextLose })),
		col("neither_boils_next", decimal, "probability that neither boils", next(func(p verdict.Pair) float64 { return p.NextNeither })),
		col("ranked", boolean, "a burn did not boil, so the pair was compared by worst ranks", func(c contest) any { return c.Ranked }),
		col("beats", decimal, "of a ranked pair: probability that a beats b, half of ties counted", func(c contest) any { return unless(0, c.Beats) }),
		col("depends_on", text, "what the class turns on", func(c contest) any { return words(strings.Join(c.DependsOn, "; ")) }),
		col("more_than_burner", text, "in what else the two differ", func(c contest) any { return words(strings.Join(c.MoreThanBurner, "; ")) }),
		col("check", text, "what a method that assumes less says", func(c contest) any { return words(c.Check) }),
		col("more_from", integer, "at least so many more burns each would settle it", func(c contest) any { return unless(0, c.MoreFrom) }),
		col("more_to", integer, "at most so many", func(c contest) any { return unless(0, c.MoreTo) }),
		col("more_for", decimal, "the difference that they would show, as a share", func(c contest) any { return unless(0, c.MoreFor) }),
		col("more_by_usual_scatter", boolean, "that count is from the usual scatter, not from these burns", func(c contest) any { return c.Planned }),
		col("method", text, "method of the intervals", func(c contest) any { return words(c.axis.Method) }),
	})
}

// simultaneous is one end of a pair's interval; both 0 says that there is none.
func simultaneous(p verdict.Pair, end float64) any {
	if p.Lo == 0 && p.Hi == 0 {
		return nil
	}
	return number(end)
}

// boils has a row for each entry: how surely it boils on this fuel load.
func (s *source) boils() table {
	return fill(table{
		name: "boils", title: "How surely the entries boil", key: []string{"entry"}, refs: []reference{{"entry", "entries", "entry"}},
		says: "A row for each entry: burns tried and boiled, and times in which a burn that did not boil counts.",
	}, s.v.Boils, []column[verdict.Boils]{
		col("entry", text, "name of the entry", func(b verdict.Boils) any { return words(b.Entry) }),
		col("tried", integer, "burns that count and were not stopped or faulty", func(b verdict.Boils) any { return int64(b.Tried) }),
		col("boils", integer, "burns that boiled", func(b verdict.Boils) any { return int64(b.Boils) }),
		col("share", decimal, "chance that the next burn boils, (s+1/2)/(n+1)", func(b verdict.Boils) any { return number(b.Share) }),
		col("share_low", decimal, "low end of the Jeffreys interval of the boil rate", func(b verdict.Boils) any { return number(b.Lo) }),
		col("share_high", decimal, "high end of it", func(b verdict.Boils) any { return number(b.Hi) }),
		col("capped_mean_s", decimal, "mean boil time, a burn that did not boil counting as the cap, seconds", func(b verdict.Boils) any { return number(b.CappedMean) }),
		col("capped_low_s", decimal, "low end of its interval, seconds", func(b verdict.Boils) any { return number(b.CappedLo) }),
		col("capped_high_s", decimal, "high end of its interval, seconds", func(b verdict.Boils) any { return number(b.CappedHi) }),
		col("median_s", decimal, "median boil time, seconds; none where half or more did not boil", func(b verdict.Boils) any { return number(b.Median) }),
		col("fuel_lasted_median_s", decimal, "median had the fuel lasted, seconds", func(b verdict.Boils) any { return unless(0, b.FuelLasted) }),
		col("warning", text, "why to take it with care", func(b verdict.Boils) any { return words(b.Warn) }),
	})
}
