package sheet

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/trial"
)

// The longest texts of a form, in characters; nobody types more at a bench.
const (
	mostInField = 2_000
	mostInNotes = 10_000
	mostFields  = 5_000 // of one form
)

// ReadForm makes the one thing of a form, alone in a trial with default
// settings and the units by which readings are read. A field that is left empty
// is missing. The place of a finding names the field. Where one is a fault, the
// trial lacks what could not be read and must not be kept.
func ReadForm(kind string, values map[string]string, sys quantity.System) (*trial.Trial, []finding.Finding) {
	t := &trial.Trial{Settings: trial.DefaultSettings()}
	t.Settings.System = sys
	s := &syntax{reader: &reader{form: true, system: sys}}
	asks, ok := askedOf(kind)
	switch {
	case !ok:
		s.say("kind_unknown", spot{}, "", fmt.Sprintf("no form is known for the kind %.60q", kind), "load the page again")
		return t, s.findings()
	case len(values) > mostFields:
		s.say("too_many_fields", spot{}, "", fmt.Sprintf("the form has %d fields, and at most %d are read", len(values), mostFields), "load the page again and fill in less of it")
		return t, s.findings()
	}
	f := form{values: values, system: sys}
	f.ask(asks, "", "", "")
	n := s.fill(f)
	s.strangers(f)
	s.trial(rootOf(kind, n), t)
	finding.Sort(s.found)
	named := n.textOf("name")+n.textOf("id") != ""
	for i := range s.found {
		s.found[i].Where = f.place(s.found[i].Where, named)
	}
	return t, s.findings()
}

// rootOf is the sheet in which a thing stands alone.
func rootOf(kind string, n *node) *node {
	root := &node{kind: table}
	switch kind {
	case "trial":
		return n
	case "site":
		root.add(kind, n.at, n)
	default:
		root.add(kind, n.at, &node{kind: list, items: []*node{n}})
	}
	return root
}

// place names the field of a finding, and the thing where it has a name. The
// lines of a form are its fields, counted from 1.
func (f form) place(p finding.Place, named bool) finding.Place {
	if !named {
		p.Subject = ""
	}
	if p.Line > 0 {
		p.Field = f.blanks[p.Line-1].Name
	}
	p.Line, p.Column = 0, 0
	return p
}

// fill makes a table of what the fields hold, the same as of a sheet.
func (r *reader) fill(f form) *node {
	root := &node{kind: table}
	tables := map[string]*node{"": root}
	for i, b := range f.blanks {
		at := spot{line: i + 1}
		s, ok := r.line(b, at, f.values[b.Name])
		if !ok {
			continue
		}
		if b.Kind == Instrument {
			at.line-- // what is wrong with a reading is said where it stands, just before
		}
		in := dotted(b.table, b.row)
		if tables[in] == nil {
			tables[in] = root.table(b, at)
		}
		put(tables[in], b.column, &node{kind: text, text: s, at: at})
	}
	return root
}

// table adds the table that a field stands in.
func (n *node) table(b blank, at spot) *node {
	t := &node{kind: table, at: at}
	if b.row == "" {
		n.add(b.table, at, t)
		return t
	}
	f := n.find(b.table)
	if f == nil {
		f = n.add(b.table, at, &node{kind: list, at: at})
	}
	f.value.items = append(f.value.items, t)
	return t
}

// line is what a field holds; false where that is nothing, or cannot be kept.
func (r *reader) line(b blank, at spot, s string) (string, bool) {
	s = b.Kind.plain(s)
	most, line := mostInField, "one line of text"
	if b.Kind == LongWords {
		most, line = mostInNotes, "text"
	}
	if n := utf8.RuneCountInString(s); n > most {
		r.say("too_long", at, b.Name, fmt.Sprintf("read %d characters, expected at most %d", n, most), "say it shorter")
		return "", false
	}
	if c := b.Kind.unkept(s); c != "" {
		r.say("sign_unkept", at, b.Name, fmt.Sprintf("read %s, expected %s", c, line), "take it out")
		return "", false
	}
	return s, s != ""
}

// plain takes off what a form adds: space at the ends, carriage returns.
func (k FieldKind) plain(s string) string {
	if k == LongWords {
		s = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(s)
	}
	return strings.TrimSpace(s)
}

// unkept names the first sign of a text that its field cannot keep, "" where
// there is none.
func (k FieldKind) unkept(s string) string {
	if !utf8.ValidString(s) {
		return "bytes that are no UTF-8"
	}
	for _, c := range s {
		switch {
		case !unicode.IsControl(c), k == LongWords && (c == '\n' || c == '\t'):
		case c == '\n', c == '\r':
			return "a line break"
		case c == '\t':
			return "a tab"
		default:
			return fmt.Sprintf("the invisible sign %U", c)
		}
	}
	return ""
}

// strangers reports what was sent under a name that is no field's.
func (r *reader) strangers(f form) {
	known := map[string]bool{}
	for _, b := range f.blanks {
		known[b.Name] = true
		if c := Words.unkept(b.Name); c != "" || utf8.RuneCountInString(b.Name) > mostInField {
			r.say("key_unknown", spot{}, fmt.Sprintf("%.80q", b.Name), "a field has a name that cannot be kept", "load the page again")
		}
	}
	for _, name := range slices.Sorted(maps.Keys(f.values)) {
		if !known[name] && strings.TrimSpace(f.values[name]) != "" {
			r.say("key_unknown", spot{}, fmt.Sprintf("%.80s", name), fmt.Sprintf("the field %.60q is not known here", name), "load the page again: it may be older than the program")
		}
	}
}
