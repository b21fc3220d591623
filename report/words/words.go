// Package words writes what a test is told in: a description to paste under a
// film or on a page, and a sheet that answers what readers ask.
//
// It computes no metric: figures come from a verdict.Verdict and a
// trial.Reduced, printed by report. It overclaims nothing: no winner where the
// verdict names none, no figure without its interval, number of burns and
// basis, and "not tested" where no burn says anything, with what would test it.
//
// Read headline.go (the one figure of a verdict), description.go, answer.go (the
// questions) with basis.go and kit.go, page.go (the sheet as page and text), and
// spell.go (characters that an embedded font lacks).
package words

import (
	"slices"
	"strings"

	"fairburn/finding"
	"fairburn/report"
	"fairburn/verdict"
)

// Open are the findings of a verdict that could change its answer, those alike
// in one.
func Open(v *verdict.Verdict) []report.Said {
	return slices.DeleteFunc(report.Group(v.Findings), func(s report.Said) bool { return s.Severity <= finding.Note })
}

// list joins words as a sentence does: "a", "a and b", "a, b and c".
func list(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	n := len(words) - 1
	return strings.Join(words[:n], ", ") + " and " + words[n]
}
