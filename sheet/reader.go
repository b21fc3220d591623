package sheet

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"fairburn/finding"
	"fairburn/quantity"
)

// mostFindings is how many findings one file may raise; the rest is counted.
const mostFindings = 200

// reader collects what is wrong while nodes become a trial.
type reader struct {
	file    string
	system  quantity.System
	subject string // such as "burn 7"
	light   clock  // of the burn being read
	found   []finding.Finding
	more    int  // findings beyond mostFindings
	form    bool // a form is read, which has no quotes and no keys
}

// place is where a key stands: its path, its name as written, its place.
type place struct {
	path string
	name string
	at   spot
}

// tell adds a finding.
func (r *reader) tell(sev finding.Severity, code string, at spot, field, sentence, remedy string) {
	if len(r.found) >= mostFindings {
		r.more++
		return
	}
	r.found = append(r.found, finding.Finding{
		Code: code, Severity: sev, Sentence: sentence, Remedy: remedy,
		Where: finding.Place{File: r.file, Line: at.line, Column: at.column, Subject: r.subject, Field: field},
	})
}

// say adds a fault: what stands there could not be used.
func (r *reader) say(code string, at spot, field, sentence, remedy string) {
	r.tell(finding.Fault, code, at, field, sentence, remedy)
}

// remedy is what to say to the writer of a sheet, and to one who fills in a form.
func (r *reader) remedy(sheet, form string) string {
	if r.form {
		return form
	}
	return sheet
}

// findings returns what was found, with a last one that counts what was not listed.
func (r *reader) findings() []finding.Finding {
	if r.more == 0 {
		return r.found
	}
	return append(r.found, finding.Finding{
		Code: "more_findings", Severity: finding.Fault, Where: finding.Place{File: r.file},
		Sentence: fmt.Sprintf("%d more findings are not listed", r.more), Remedy: "mend those above and read again",
	})
}

// refuse reports a text that a parser could not understand, at the character
// where it went wrong.
func (r *reader) refuse(p place, v *node, err error) {
	at := v.at
	var pe *quantity.ParseError
	if !errors.As(err, &pe) {
		r.say("not_understood", at, p.path, err.Error(), "write one of these words")
		return
	}
	if v.exact {
		at.column += pe.Column // the opening quote counts as one
	}
	r.say("not_understood", at, p.path, fmt.Sprintf("read %.80q, expected %s", pe.Text, pe.Want), pe.Hint)
}

// text returns the text behind a key, and says what to write when there is none.
func (r *reader) text(p place, v *node, example string) (string, bool) {
	if v.kind == text {
		return v.text, true
	}
	remedy := fmt.Sprintf("write it in quotes: %s = %q", p.name, example)
	if v.kind == table || v.kind == list {
		r.say("wrong_type", v.at, p.path, fmt.Sprintf("read %s, expected text", v.kind.label()), remedy)
		return "", false
	}
	r.say("wrong_type", v.at, p.path, fmt.Sprintf("read %s, expected text in quotes", v.shown()), remedy)
	return "", false
}

// shown is a value without quotes, for a sentence: "the number 14.9".
func (n *node) shown() string {
	switch n.kind {
	case whole, number:
		if !n.isNumber() {
			return n.text + ", which is no number"
		}
		return fmt.Sprintf("the number %.40s", n.text)
	case truth:
		return "the word " + n.text
	case list, table:
		return n.kind.label()
	case text:
		return fmt.Sprintf("%.80q", n.text)
	}
	return fmt.Sprintf("%s, %.40s", n.kind.label(), n.text)
}

// isNumber reports a number that is one: not nan, not inf.
func (n *node) isNumber() bool {
	return (n.kind == whole || n.kind == number) && !strings.HasSuffix(n.text, "nan") && !strings.HasSuffix(n.text, "inf")
}

// quantityText returns the text of a quantity. A bare number is shown with the
// unit that is missing, which the parser of the quantity knows to name.
func (r *reader) quantityText(p place, v *node, parse func(string) error) (string, bool) {
	switch {
	case v.kind == text, v.kind == dayTime:
		return v.text, true
	case !v.isNumber():
		r.say("wrong_type", v.at, p.path, "read "+v.shown()+", expected a quantity with its unit, in quotes", fmt.Sprintf("write it as read, such as %s = %q, or leave the key out", p.name, "14.9 g"))
		return "", false
	}
	var pe *quantity.ParseError
	if err := parse(v.text); errors.As(err, &pe) {
		remedy := pe.Hint
		if _, with, ok := strings.Cut(pe.Hint, "add the unit, such as "); ok {
			remedy = fmt.Sprintf("add the unit and put it in quotes: %s = %q", p.name, with)
		}
		r.say("unit_missing", v.at, p.path, fmt.Sprintf("read the number %.40s, expected %s", v.text, pe.Want), remedy)
		return "", false
	}
	return v.text, true // a ratio needs no unit
}

// mostListed is how many names are listed for a key that is near none.
const mostListed = 24

// suggest names the nearest of the known names, or lists them when none is near.
func suggest(name string, known []string) string {
	best, least := "", 1+max(1, len(name)/3)
	if len(name) <= 40 {
		for _, k := range known {
			if d := edits(strings.ToLower(name), k); d < least {
				best, least = k, d
			}
		}
	}
	if best != "" {
		return "did you mean " + best + "?"
	}
	if len(known) > mostListed {
		return "leave it out, or look it up in the list of keys, docs/sheet.md or, for a trip, docs/trip.md"
	}
	return "leave it out, or write one of " + strings.Join(known, ", ")
}

// edits counts the single-character changes from a to b, a swap of neighbours
// counting as one (restricted Damerau-Levenshtein distance).
func edits(a, b string) int {
	x, y := []rune(a), []rune(b)
	d := make([][]int, len(x)+1)
	for i := range d {
		d[i] = make([]int, len(y)+1)
		d[i][0] = i
	}
	for j := range d[0] {
		d[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			change := 1
			if x[i-1] == y[j-1] {
				change = 0
			}
			d[i][j] = min(d[i-1][j]+1, d[i][j-1]+1, d[i-1][j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(x)][len(y)]
}

// badByte finds the first byte that is no UTF-8.
func badByte(data []byte) int {
	for i := 0; i < len(data); {
		c, size := utf8.DecodeRune(data[i:])
		if c == utf8.RuneError && size == 1 {
			return i
		}
		i += size
	}
	return -1
}
