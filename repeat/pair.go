package repeat

import (
	"math"
	"slices"

	"fairburn/stats"
	"fairburn/verdict"
)

// pairs compares every two entries that at least two testers burned.
func (c *Comparison) pairs(columns []column) []Pair {
	var all []Pair
	for i, a := range c.Entries {
		for _, b := range c.Entries[i+1:] {
			p := Pair{A: a.Name, B: b.Name, Class: TooFew}
			for _, col := range columns {
				if s, ok := col.side(a.Name, b.Name); ok {
					p.Sides = append(p.Sides, s)
				}
			}
			all = append(all, p)
		}
	}
	alpha := (1 - c.Level) / float64(max(1, len(all))) // Bonferroni: every pair has its share of the error
	for i := range all {
		all[i].settle(1-alpha, math.Log1p(c.Margin))
	}
	return all
}

// side is what a tester's own verdict says of A against B.
func (col column) side(a, b string) (Side, bool) {
	i := slices.IndexFunc(col.axis.Pairs, func(p verdict.Pair) bool { return p.A == a && p.B == b || p.A == b && p.B == a })
	if i < 0 {
		return Side{}, false
	}
	p := col.axis.Pairs[i]
	s := Side{Tester: col.tester, Ratio: p.Ratio, Lo: p.Lo, Hi: p.Hi, Class: p.Class, Ranked: p.Ranked, DependsOn: p.DependsOn, se: p.SE, df: p.DF}
	switch {
	case p.Ranked && p.Beats > 0.5, !p.Ranked && p.Ratio > 0 && p.Ratio < 1:
		s.Ahead = p.A
	case p.Ranked && p.Beats < 0.5, !p.Ranked && p.Ratio > 1:
		s.Ahead = p.B
	}
	if p.A == b {
		s.Ratio, s.Lo, s.Hi = inverse(s.Ratio), inverse(s.Hi), inverse(s.Lo)
	}
	return s, true
}

func inverse(x float64) float64 {
	if x == 0 {
		return 0
	}
	return 1 / x
}

// estimate is the log of the ratio; false where a burn did not boil, whose ratio
// with the cap in it is another quantity, and where nothing shows the scatter.
func (s Side) estimate() (stats.Estimate, bool) {
	return stats.Estimate{Value: math.Log(s.Ratio), SE: s.se, DF: s.df}, !s.Ranked && s.Ratio > 0 && s.se > 0
}

// differs reports whether a side alone shows a difference.
func (s Side) differs() bool {
	return s.Class == verdict.Different || s.Class == verdict.WorthHaving
}

// settle finds the class of a pair. level is for all pairs at once.
func (p *Pair) settle(level, margin float64) {
	heard := slices.DeleteFunc(slices.Clone(p.Sides), func(s Side) bool { return s.Class == verdict.TooFew })
	if len(heard) < 2 {
		return
	}
	c, known := p.combine(heard, level)
	first := heard[0]
	alike := func(s Side) bool {
		return s.Class.Decided() && s.differs() == first.differs() && (!s.differs() || s.Ahead == first.Ahead)
	}
	switch {
	case contradict(heard, level):
		p.Class = Depends
	case !slices.ContainsFunc(heard, func(s Side) bool { return !alike(s) }):
		p.Class = ForEvery
		if first.differs() {
			p.Better = first.Ahead
		}
	case known && c.Hi < 0:
		p.Class, p.Better = Across, p.A
	case known && c.Lo > 0:
		p.Class, p.Better = Across, p.B
	case known && c.Inside(stats.Interval{Lo: -margin, Hi: margin}):
		p.Class = Across
	default:
		p.Class = NotSettled
	}
}

// combine sets the mean over testers.
func (p *Pair) combine(heard []Side, level float64) (stats.Combined, bool) {
	var es []stats.Estimate
	for _, s := range heard {
		if e, ok := s.estimate(); ok {
			es = append(es, e)
		}
	}
	c, err := stats.Combine(es, level)
	if err != nil || len(es) < len(heard) { // a mean without one of them would be of those whom it suits
		return stats.Combined{}, false
	}
	p.Ratio, p.Lo, p.Hi, p.Among, p.Between = math.Exp(c.Value), math.Exp(c.Lo), math.Exp(c.Hi), c.N, math.Expm1(c.BetweenSD)
	return c, true
}

// contradict reports whether two testers cannot both be right of one pair of
// burners: each alone shows another entry ahead, one finds a difference worth
// having where the other finds none, or they see different entries ahead and lie
// further apart than the scatter of both explains, with an allowance for every
// two testers.
func contradict(heard []Side, level float64) bool {
	k := float64(len(heard))
	each := 1 - (1-level)/(k*(k-1)/2)
	for i, s := range heard {
		for _, o := range heard[i+1:] {
			opposed := s.Ahead != "" && o.Ahead != "" && s.Ahead != o.Ahead
			switch {
			case opposed && s.differs() && o.differs():
				return true
			case s.Class == verdict.WorthHaving && o.Class == verdict.EqualInPractice, o.Class == verdict.WorthHaving && s.Class == verdict.EqualInPractice:
				return true
			case opposed && apart(s, o, each):
				return true
			}
		}
	}
	return false
}

func apart(s, o Side, level float64) bool {
	a, knownA := s.estimate()
	b, knownB := o.estimate()
	if !knownA || !knownB {
		return false
	}
	d, err := stats.Apart(a, b, level)
	return err == nil && (d.Lo > 0 || d.Hi < 0)
}
