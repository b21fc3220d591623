package web

import (
	"fmt"
	"html/template"
	"strings"

	"fairburn/bench"
	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/repeat"
	"fairburn/report"
)

// repeatBody is what the page of a verdict shows of other testers.
type repeatBody struct {
	Said     string // how many repeated it
	Class    repeat.Class
	Sentence string
	Report   template.HTML
}

// testers compares the testers of a trial and of those on the bench that repeat it
// or that it repeats; nil where all burns are one tester's. It is kept until any
// of these trials changes.
func (s *Site) testers(v *view) (*repeat.Comparison, error) {
	titles := s.Bench.Repeated(v.Title)
	var sources []repeat.Source
	var left []finding.Finding
	name := "testers"
	for _, title := range titles {
		x := v
		if title != v.Title {
			var err error
			if x, err = s.view(title); err != nil {
				left = append(left, bench.LeftOut(title, err))
				continue
			}
		}
		sources = append(sources, repeat.Source{Trial: x.Trial, Signed: s.Bench.Signed(title), Found: x.found})
		name += fmt.Sprintf(" %q %d", title, x.version)
	}
	return part(v, name, func() (*repeat.Comparison, error) {
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

// repeated is the comparison of testers as the page shows it, nil where there is
// none.
func (s *Site) repeated(v *view, sys quantity.System) (*repeatBody, error) {
	c, err := s.testers(v)
	if err != nil || c == nil {
		return nil, err
	}
	text, err := part(v, fmt.Sprintf("testers %p %s", c, sys), func() (template.HTML, error) {
		return html(func(w *strings.Builder) error { return report.RepeatBody(w, c, s.options(sys)) })
	})
	return &repeatBody{report.Repeated(c, v.Title), c.Class, c.Sentence, text}, err
}
