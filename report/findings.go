package report

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/finding"
	"fairburn/trial"
)

// Said is one finding, or several alike over many burns.
type Said struct {
	Code     string
	Severity finding.Severity
	Place    string // "burns 3, 7 and 9: fuel"
	Sentence string
	Remedy   string
}

// Group gathers findings with the same code, severity and field over several
// burns into one, in the order of the first of each.
func Group(fs []finding.Finding) []Said {
	var all []Said
	for i := 0; i < len(fs); i++ {
		alike := []finding.Finding{fs[i]}
		if isBurn(fs[i]) {
			alike = alikeOf(fs, i)
		}
		if len(alike) == 0 {
			continue // gathered under an earlier one
		}
		all = append(all, said(alike))
	}
	return all
}

func isBurn(f finding.Finding) bool { return strings.HasPrefix(f.Where.Subject, "burn ") }

// alikeOf returns the findings like the one at i, none if an earlier one is like it.
func alikeOf(fs []finding.Finding, i int) []finding.Finding {
	var alike []finding.Finding
	for k, f := range fs {
		if !isBurn(f) || f.Code != fs[i].Code || f.Severity != fs[i].Severity || f.Where.Field != fs[i].Where.Field {
			continue
		}
		if k < i {
			return nil
		}
		alike = append(alike, f)
	}
	return alike
}

func said(alike []finding.Finding) Said {
	f := alike[0]
	s := Said{f.Code, f.Severity, f.Where.String(), f.Sentence, f.Remedy}
	if len(alike) == 1 {
		return s
	}
	var ids []string
	same := true
	for _, x := range alike {
		if id := strings.TrimPrefix(x.Where.Subject, "burn "); !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
		same = same && x.Sentence == f.Sentence
	}
	s.Place = trial.NameBurns(ids)
	if f.Where.File != "" {
		s.Place = f.Where.File + ": " + s.Place
	}
	if f.Where.Field != "" {
		s.Place += ": " + f.Where.Field
	}
	if !same {
		s.Sentence = fmt.Sprintf("%s (so in %s; the others alike)", f.Sentence, f.Where.Subject)
	}
	return s
}

// warning counts what could change the answer, "" where nothing could: it
// stands beside the sentence, since few read to the end.
func warning(fs []finding.Finding) string {
	counts := map[finding.Severity]int{}
	for _, s := range Group(fs) {
		counts[s.Severity]++
	}
	var parts []string
	for _, severity := range []finding.Severity{finding.Fault, finding.Caution} {
		if n := counts[severity]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s%s", n, severity, pick(n == 1, "", "s")))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "read first: " + list(parts) + " that could change this answer"
}

// String writes the finding in one line with its code.
func (s Said) String() string {
	text := s.Severity.String() + ": " + s.Sentence
	if s.Place != "" {
		text = s.Place + ": " + text
	}
	if s.Remedy != "" {
		text += "; " + s.Remedy
	}
	return text + " [" + s.Code + "]"
}
