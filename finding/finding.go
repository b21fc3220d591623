// Package finding is what every room of the house says about data: a code,
// how much it matters, where it was seen, one sentence, and what to do.
//
// A finding is a result, never an error: it stands beside the figures and does
// not stop a calculation that can be done. Errors are for work that could not
// be done at all.
package finding

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Severity says how much a finding matters to the answer.
type Severity int

const (
	// Note is worth knowing and changes nothing.
	Note Severity = iota
	// Caution could change the answer: the reader must look before relying on it.
	Caution
	// Fault means that a reading could not be used at all; what depends on it is missing.
	Fault
)

var severityNames = [...]string{"note", "caution", "fault"}

// String returns "note", "caution" or "fault".
func (s Severity) String() string {
	if s < Note || s > Fault {
		return fmt.Sprintf("severity(%d)", int(s))
	}
	return severityNames[s]
}

// MarshalText writes the severity as its word, for JSON.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word that MarshalText writes.
func (s *Severity) UnmarshalText(text []byte) error {
	i := slices.Index(severityNames[:], string(text))
	if i < 0 {
		return fmt.Errorf("severity %q: expected note, caution or fault", text)
	}
	*s = Severity(i)
	return nil
}

// Place is where a finding was seen. Empty parts are unknown.
type Place struct {
	File    string `json:"file,omitempty"`
	Line    int    `json:"line,omitempty"`    // from 1; 0 unknown
	Column  int    `json:"column,omitempty"`  // from 1; 0 unknown
	Subject string `json:"subject,omitempty"` // such as "burn 7" or "pot Titan"
	Field   string `json:"field,omitempty"`   // key path in the sheet, such as "burn.water.start"
}

// String writes the place the way compilers do, then subject and field:
// "trial.toml:12:9: burn 7: water.start". It is "" for an empty place.
func (p Place) String() string {
	var parts []string
	at := p.File
	if p.Line > 0 {
		if at == "" {
			at = fmt.Sprintf("line %d", p.Line)
		} else {
			at += fmt.Sprintf(":%d", p.Line)
		}
		if p.Column > 0 {
			at += fmt.Sprintf(":%d", p.Column)
		}
	}
	for _, s := range []string{at, p.Subject, p.Field} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, ": ")
}

// Finding is one thing that a room says about data.
type Finding struct {
	Code     string   `json:"code"` // stable, lower_snake_case, such as "boil_before_light"
	Severity Severity `json:"severity"`
	Where    Place    `json:"where,omitzero"`
	Sentence string   `json:"sentence"` // what was read and what was expected; no full stop at the end
	Remedy   string   `json:"remedy,omitempty"`
}

// String writes one line: place, severity, sentence, and the remedy after a semicolon.
func (f Finding) String() string {
	s := f.Severity.String() + ": " + f.Sentence
	if w := f.Where.String(); w != "" {
		s = w + ": " + s
	}
	if f.Remedy != "" {
		s += "; " + f.Remedy
	}
	return s
}

// Worst returns the highest severity in fs, and false when fs is empty.
func Worst(fs []Finding) (Severity, bool) {
	if len(fs) == 0 {
		return Note, false
	}
	worst := fs[0].Severity
	for _, f := range fs[1:] {
		worst = max(worst, f.Severity)
	}
	return worst, true
}

// Has reports whether fs holds a finding with the code.
func Has(fs []Finding, code string) bool {
	return slices.ContainsFunc(fs, func(f Finding) bool { return f.Code == code })
}

// Sort orders findings by severity (worst first), file, line, column, subject
// and code, so that the same data always lists the same way.
func Sort(fs []Finding) {
	slices.SortStableFunc(fs, func(a, b Finding) int {
		p, q := a.Where, b.Where
		return cmp.Or(cmp.Compare(b.Severity, a.Severity),
			cmp.Compare(p.File, q.File), cmp.Compare(p.Line, q.Line), cmp.Compare(p.Column, q.Column),
			cmp.Compare(p.Subject, q.Subject), cmp.Compare(a.Code, b.Code))
	})
}
