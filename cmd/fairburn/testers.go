package main

import (
	"context"

	"fairburn/bench"
	"fairburn/finding"
	"fairburn/repeat"
	"fairburn/verdict"
)

// judge loads, reduces and judges a trial, and compares its testers where there
// are several: in the trial itself, among the trials on the bench that repeat it,
// and in those that are named.
func (a *app) judge(ctx context.Context, names, with []string) (judged, error) {
	s, err := a.source(ctx, names)
	if err != nil {
		return judged{}, err
	}
	r := a.reduced(s.Trial, s.Found)
	j := judged{Reduced: r, verdict: verdict.Judge(r)}
	a.heed(j.verdict.Findings)
	sources, left, err := a.others(ctx, s, names[0], with)
	if err != nil {
		return judged{}, err
	}
	c, err := repeat.Judge(sources...)
	switch {
	case len(sources) == 1 && (err != nil || len(c.Testers) < 2):
		return j, nil // one tester's burns, as of most trials
	case err != nil:
		return judged{}, hinted{err, "burn the trial, or leave --with out"}
	}
	c.Findings = append(left, c.Findings...)
	a.heed(c.Findings)
	j.others = c
	return j, nil
}

// source is a trial with what is known of who burned it.
func (a *app) source(ctx context.Context, names []string) (s repeat.Source, err error) {
	s.Trial, s.Found, err = a.load(ctx, names)
	if err != nil || !a.isTitle(names[0]) {
		return s, err
	}
	err = a.withBench(ctx, false, func(b *openedBench) error {
		s.Signed = b.Signed(names[0])
		return nil
	})
	return s, err
}

// others are a trial, those on the bench that are one with it, and those that are
// named, with what was left out of the second.
func (a *app) others(ctx context.Context, own repeat.Source, name string, with []string) ([]repeat.Source, []finding.Finding, error) {
	group := []string{name}
	if a.isTitle(name) {
		err := a.withBench(ctx, false, func(b *openedBench) error {
			group = b.Repeated(name)
			return nil
		})
		if err != nil {
			return nil, nil, err
		}
	}
	all := []repeat.Source{}
	var left []finding.Finding
	for i, n := range append(group, with...) {
		s := own
		if i >= len(group) || n != name {
			var err error
			s, err = a.source(ctx, []string{n})
			switch {
			case err != nil && i < len(group):
				left = append(left, bench.LeftOut(n, err))
				continue
			case err != nil:
				return nil, nil, err
			}
		}
		all = append(all, s)
	}
	return all, left, nil
}
