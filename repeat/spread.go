package repeat

import (
	"math"
	"slices"

	"fairburn/stats"
	"fairburn/verdict"
)

// limits are the two at which something stands out, as the standard has them.
//
// Source: ISO 5725-2:1994, sec. 7.3.
var limits = [2]struct {
	alpha float64
	name  string
}{{0.05, "5 %"}, {0.01, "1 %"}}

// spread compares the testers' means of one entry.
func (c *Comparison) spread(e Entry, columns []column) Spread {
	s := Spread{Entry: e.Name, Marker: e.Marker}
	var labs []stats.Summary
	for _, col := range columns {
		if m, ok := col.mean(e.Name); ok {
			s.Means = append(s.Means, m)
			labs = append(labs, m.summary())
		}
	}
	s.compareMeans(labs, c.Level, math.Log1p(c.Margin))
	s.precision(labs, c.Level)
	return s
}

// mean is a tester's group of an entry.
func (col column) mean(entry string) (Mean, bool) {
	i := slices.IndexFunc(col.axis.Groups, func(g verdict.Group) bool { return g.Entry == entry })
	if i < 0 {
		return Mean{}, false
	}
	g := col.axis.Groups[i]
	return Mean{Tester: col.tester, Points: g.Points, N: g.N, NoBoil: g.NoBoil, Center: g.Center, Lo: g.Lo, Hi: g.Hi,
		H: math.NaN(), K: math.NaN(), shared: g.Shared}, true
}

// summary is the mean on the log scale, of the burns that boiled.
func (m Mean) summary() stats.Summary {
	var logs []float64
	for _, p := range m.Points {
		if !math.IsInf(p.Value, 1) {
			logs = append(logs, math.Log(p.Value))
		}
	}
	return stats.Summarize(logs)
}

// compareMeans sets every two testers against each other: by each one's own
// scatter, and by what each one's instruments and bottle leave open, which no two
// testers share. A critical difference from the same burns would not do: R holds
// the very difference that is judged by it, and of four testers or fewer none can
// ever exceed it.
func (s *Spread) compareMeans(labs []stats.Summary, level, margin float64) {
	between := func(i, j int) float64 {
		a, b := s.Means[i].shared, s.Means[j].shared
		return a*a + b*b
	}
	all, err := stats.AllPairs(labs, between, level)
	if err != nil {
		return // fewer than two testers
	}
	for _, d := range all.Differences {
		x := Apart{A: s.Means[d.I].Tester, B: s.Means[d.J].Tester, Ratio: math.Exp(d.Estimate), Lo: math.Exp(d.Lo), Hi: math.Exp(d.Hi), Says: SaysOpen}
		switch {
		case d.Lo > 0 || d.Hi < 0:
			x.Says = SaysDiffer
		case d.Inside(stats.Interval{Lo: -margin, Hi: margin}):
			x.Says = SaysAgree
		}
		s.Apart = append(s.Apart, x)
	}
	for _, u := range all.Unjudged { // a single burn, or burns that all read alike
		a, b := s.Means[u.I], s.Means[u.J]
		if a.N > 0 && b.N > 0 {
			s.Apart = append(s.Apart, Apart{A: a.Tester, B: b.Tester, Ratio: a.Center / b.Center, Says: SaysTooFew})
		}
	}
}

// precision fills in repeatability, reproducibility and who stands out.
func (s *Spread) precision(labs []stats.Summary, level float64) {
	var with []int
	var full []stats.Summary
	for i, l := range labs {
		if l.N > 0 {
			with, full = append(with, i), append(full, l)
		}
	}
	if len(full) < 2 {
		s.Why = "fewer than two testers have a value here"
		return
	}
	l, err := stats.Agreement(full)
	if err != nil {
		s.Why = "no tester's burns show how one burn differs from the next: " + err.Error()
		return
	}
	share := func(limit float64) float64 { return math.Expm1(limit) }
	p := &Precision{Testers: len(full), Within: share(l.RepeatabilitySD), Between: share(l.BetweenSD), Total: share(l.ReproducibilitySD),
		Repeatability: share(l.RepeatabilityLimit()), Reproducibility: share(l.ReproducibilityLimit()),
		Clamped: l.Clamped, Indicative: len(full) < fewTesters, Cochran: l.CochranC}
	factor := l.RepeatabilityLimit() / l.RepeatabilitySD
	if iv, err := l.RepeatabilityInterval(level); err == nil {
		p.RepeatabilityLo, p.RepeatabilityHi = share(factor*iv.Lo), share(factor*iv.Hi)
	}
	if iv, err := l.ReproducibilityInterval(level); err == nil && !p.Indicative {
		p.ReproducibilityLo, p.ReproducibilityHi = share(factor*iv.Lo), share(factor*iv.Hi)
	}
	p.CriticalN = slices.MinFunc(full, func(a, b stats.Summary) int { return a.N - b.N }).N
	if d, err := l.CriticalDifference(p.CriticalN, p.CriticalN); err == nil {
		p.Critical = share(d)
	}
	s.Precision = p
	for i, at := range with {
		s.Means[at].H, s.Means[at].K = l.H[i], l.K[i]
	}
	s.standOut(full, with)
}

// standOut sets h, k and Cochran's C against their limits. C is k of the widest
// tester, at a limit that allows for the choice of it. Of two testers h is the
// same for both, and of three it tells which two happen to lie close: there it
// is set against nothing.
func (s *Spread) standOut(full []stats.Summary, with []int) {
	p := s.Precision
	free, equal := 0, true
	for _, l := range full {
		free += l.N - 1
		equal = equal && l.N == full[0].N
	}
	widest := 0.0
	for i, l := range full {
		m := &s.Means[with[i]]
		own := float64(l.N - 1)
		for n, limit := range limits {
			if h, err := stats.MandelH(limit.alpha, len(full)); err == nil && !p.Indicative {
				p.HLimit[n] = h
				if math.Abs(m.H) > h {
					m.HPast = limit.name
				}
			}
			k, err := stats.MandelK(limit.alpha, own, float64(free)-own)
			if err != nil {
				continue // a single burn, or one tester alone with more
			}
			if equal {
				p.KLimit[n] = k
			}
			if m.K > k {
				m.KPast = limit.name
			}
		}
		if l.N > 1 && l.SD > widest {
			widest, p.Widest = l.SD, m.Tester
			p.CochranPast = cochranPast(m.K, len(full), own, float64(free)-own)
		}
	}
}

// cochranPast says past which limit the largest of several k is.
//
// Source: 't Lam 2010, Scrutiny of variance results for outliers: Cochran's test
// optimized, Analytica Chimica Acta 659:68: for equally many values each it is
// Cochran's test of ISO 5725-2.
func cochranPast(k float64, testers int, own, others float64) string {
	past := ""
	for _, limit := range limits {
		if most, err := stats.MandelK(limit.alpha/float64(testers), own, others); err == nil && k > most {
			past = limit.name
		}
	}
	return past
}
