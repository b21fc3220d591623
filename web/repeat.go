package web

import (
	"fmt"

	"fairburn/bench"
	"fairburn/finding"
	"fairburn/repeat"
)

// testers compares the testers of a trial and of those on the bench that repeat it
// or that it repeats; nil where all burns are one tester's. It is kept until any
// of these trials changes.
func (s *Site) testers(v *view) (*repeat.Comparison, error) {
	var group []*view
	var left []finding.Finding
	name := "testers"
	for _, title := range s.Bench.Repeated(v.Title) {
		x := v
		if title != v.Title {
			var err error
			if x, err = s.view(title); err != nil {
				left = append(left, bench.LeftOut(title, err))
				continue
			}
		}
		group = append(group, x)
		name += fmt.Sprintf(" %q %d", title, x.version)
	}
	return part(v, name, func() (*repeat.Comparison, error) {
		var sources []repeat.Source
		for _, x := range group {
			sources = append(sources, repeat.Source{Trial: x.Trial, Signed: s.Bench.Signed(x.Title), Found: x.found})
		}
		c, err := repeat.Judge(sources...)
		if len(sources) == 1 && (err != nil || len(c.Testers) < 2) {
			return nil, nil
		}
		if err != nil {
			return nil, err
		}
		c.Findings = append(left, c.Findings...)
		return c, nil
	})
}
