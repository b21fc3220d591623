package repeat

import (
	"errors"
	"fmt"
	"slices"

	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/trial"
	"fairburn/verdict"
)

// ErrNoBurns is returned where no tester has burned anything.
var ErrNoBurns = errors.New("no tester's burns to compare")

// Compare compares testers, each with all of their burns in one part; the first
// is the one whose trial the others repeat, and its settings are the terms. It is
// an error to give no part, a tester twice, or parts that were brought to
// different reference boils: such figures are not of one job.
func Compare(parts []Part) (*Comparison, error) {
	if err := check(parts); err != nil {
		return nil, err
	}
	set := parts[0].Reduced.Settings
	c := &Comparison{Title: parts[0].Reduced.Title, JudgeBy: set.JudgeBy, Level: float64(set.Level), Margin: float64(set.Margin)}
	for _, p := range parts {
		c.Invented = c.Invented || p.Reduced.Invented
		c.Testers = append(c.Testers, p.summary())
	}
	c.match(parts)
	for _, a := range parts[0].Verdict.Axes {
		c.Axes = append(c.Axes, c.compareAxis(parts, a))
	}
	c.conclude()
	c.find()
	return c, nil
}

func check(parts []Part) error {
	if len(parts) == 0 {
		return ErrNoBurns
	}
	seen := map[string]bool{}
	for _, p := range parts {
		if seen[same(p.Tester)] {
			return fmt.Errorf("tester %q stands twice: the burns of one tester are one part", p.Tester)
		}
		seen[same(p.Tester)] = true
		if first := parts[0]; p.Reduced.Settings.Reference != first.Reduced.Settings.Reference {
			return fmt.Errorf("burns of %s are brought to %s and those of %s to %s: figures of different jobs cannot be compared",
				p.Tester, referenceWords(p.Reduced.Settings), first.Tester, referenceWords(first.Reduced.Settings))
		}
	}
	return nil
}

func referenceWords(s trial.Settings) string {
	r := s.Reference
	return fmt.Sprintf("%s from %s to %s", quantity.Format(r.Water, quantity.Metric), quantity.Format(r.From, quantity.Metric), quantity.Format(r.To, quantity.Metric))
}

// summary is a part by itself.
func (p Part) summary() Tester {
	t := Tester{Name: p.Tester, Named: p.Named, Title: p.Reduced.Title, Burns: []string{},
		Class: p.Verdict.Class, Sentence: p.Verdict.Sentence, Best: p.Verdict.Axes[0].CouldBeBest}
	for i := range p.Reduced.Results {
		if b := &p.Reduced.Results[i]; b.Void == "" {
			t.Burns = append(t.Burns, b.ID)
		} else {
			t.Void = append(t.Void, b.ID)
		}
	}
	for _, f := range p.Verdict.Findings {
		if f.Severity > finding.Note {
			t.Cautions++
		}
	}
	return t
}

// match finds the entries that at least two testers burned, in the order of the
// trial that is repeated, compares how they were built, and lists the others.
func (c *Comparison) match(parts []Part) {
	var names []string
	for _, p := range parts {
		for _, e := range p.Reduced.Entries {
			if !slices.Contains(names, e.Name) {
				names = append(names, e.Name)
			}
		}
	}
	taken := map[int]bool{}
	for _, name := range names {
		with := slices.DeleteFunc(slices.Clone(parts), func(p Part) bool { return len(p.Reduced.Of(name)) == 0 })
		switch {
		case len(with) == 0 || len(parts) == 1:
		case len(with) == 1:
			c.Alone = append(c.Alone, Alone{name, with[0].Tester})
		default:
			e := Entry{Name: name, Marker: with[0].Reduced.Marker(name)}
			for taken[e.Marker] {
				e.Marker++
			}
			taken[e.Marker] = true
			for _, p := range with {
				e.Testers = append(e.Testers, p.Tester)
				e.Boils = append(e.Boils, p.boils(name))
			}
			c.Findings = append(c.Findings, e.compareBuilds(with, parts[0].Reduced.Settings.System)...)
			c.Entries = append(c.Entries, e)
		}
	}
}

func (p Part) boils(entry string) Boils {
	for _, b := range p.Verdict.Boils {
		if b.Entry == entry {
			return Boils{p.Tester, b.Tried, b.Boils}
		}
	}
	return Boils{Tester: p.Tester}
}

// column is one tester's axis.
type column struct {
	tester string
	axis   verdict.Axis
}

// compareAxis compares an axis over the testers whose burns could be brought to
// the reference; the others are named.
func (c *Comparison) compareAxis(parts []Part, like verdict.Axis) Axis {
	a := Axis{Metric: atReference(like.Metric), Name: like.Name, Judges: like.Judges}
	a.Key = a.Metric.Info().Key
	var columns []column
	for _, p := range parts {
		i := slices.IndexFunc(p.Verdict.Axes, func(x verdict.Axis) bool { return x.Name == like.Name })
		if i < 0 {
			continue
		}
		if x := p.Verdict.Axes[i]; x.Metric == a.Metric {
			columns = append(columns, column{p.Tester, x})
		} else {
			a.Notes = append(a.Notes, fmt.Sprintf("%s's burns could not be brought to the reference, so they are not compared here: benches differ", p.Tester))
		}
		for _, note := range p.Verdict.Axes[i].Notes {
			a.Notes = append(a.Notes, p.Tester+": "+note)
		}
	}
	for _, e := range c.Entries {
		a.Entries = append(a.Entries, c.spread(e, columns))
	}
	a.Pairs = c.pairs(columns)
	for i := range a.Pairs {
		a.Pairs[i].Sentence = c.sentence(a.Pairs[i], a)
	}
	return a
}

// atReference is the metric at reference conditions of an axis, whatever the
// first tester's burns could be brought to.
func atReference(m reduce.Metric) reduce.Metric {
	if m.Info().Kind == reduce.Time {
		return reduce.RefTime
	}
	return reduce.RefFuel
}

// find adds what the comparison itself has to say.
func (c *Comparison) find() {
	for _, a := range c.Alone {
		c.Findings = append(c.Findings, finding.Finding{Code: "entry_of_one_tester", Severity: finding.Note, Where: finding.Place{Subject: "entry " + a.Entry},
			Sentence: "only " + a.Tester + " burned it, so nothing is compared", Remedy: "build it, or give what is the same thing the same name"})
	}
	for _, a := range c.Axes {
		for _, e := range a.Entries {
			c.findPast(a, e)
		}
	}
	finding.Sort(c.Findings)
}

// findPast tells of a tester who stands out on an axis, past the limit at 1 %:
// many means are looked at. Nobody is left out for it.
func (c *Comparison) findPast(a Axis, e Spread) {
	tell := func(sentence string) {
		c.Findings = append(c.Findings, finding.Finding{Code: "tester_stands_out", Severity: finding.Caution, Where: finding.Place{Subject: "entry " + e.Entry},
			Sentence: sentence, Remedy: "look for what that tester did otherwise; nothing is left out for it"})
	}
	for _, m := range e.Means {
		if m.HPast == limits[1].name {
			tell(fmt.Sprintf("%s: the mean of %s lies apart from the other testers' (h = %.2f, past the limit at %s)", a.Name, m.Tester, m.H, m.HPast))
		}
	}
	if p := e.Precision; p != nil && p.CochranPast == limits[1].name {
		tell(fmt.Sprintf("%s: the burns of %s scatter more than the other testers' (Cochran's C = %.2f, past the limit at %s)", a.Name, p.Widest, p.Cochran, p.CochranPast))
	}
}
