package sheet

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"fairburn/quantity"
	"fairburn/trial"
)

// Write returns the trial as a sheet: readings as they were typed, settings in
// full, burns in the order of their ids. What Read makes of it is the same
// trial; a reading that came without a text gets one. The error names a value
// that no text can say, such as one that is not a number.
func Write(t *trial.Trial) ([]byte, error) {
	w := &writer{system: t.Settings.System}
	w.line("# A trial sheet of fairburn. Readings stand in quotes as they were taken.")
	sorted := *t
	sorted.Burns = slices.Clone(t.Burns)
	sorted.SortBurns()
	layout[*trial.Trial]{topKeys, sections}.write(w, &sorted)
	if w.err != nil {
		return nil, w.err
	}
	return []byte(w.String()), nil
}

// WriteThings returns the gear and the burns of a trial without the rest: one
// of them alone is what a bench keeps of it. It says the units by which their
// readings are read, so Read gives the same things back; the errors are Write's.
func WriteThings(t *trial.Trial) ([]byte, error) {
	w := &writer{system: t.Settings.System, bare: true}
	w.line("fairburn = %d", version)
	w.header("[settings]", "")
	w.line("units = %s", w.quote(w.system.String()))
	for _, s := range sections {
		if s.many && s.name != "entry" {
			s.write(w, t)
		}
	}
	if w.err != nil {
		return nil, w.err
	}
	return []byte(w.String()), nil
}

// writer builds the text of a sheet and remembers the first thing that cannot
// be written.
type writer struct {
	strings.Builder
	system quantity.System
	light  clock // of the burn being written
	bare   bool  // no comments
	at     string
	err    error
}

func (w *writer) line(format string, args ...any) { fmt.Fprintf(w, format+"\n", args...) }

func (w *writer) cannot(name string, value any) {
	if w.err == nil {
		w.err = fmt.Errorf("%s: %s: no text says the value %v: mend the reading", w.at, name, value)
	}
}

// pair is a key with its value as TOML.
type pair struct{ name, value string }

func writeKeys[P any](w *writer, keys []*key[P], from P) []pair {
	var ps []pair
	for _, k := range keys {
		if k.write == nil {
			continue
		}
		if v := k.write(w, from); v != "" {
			ps = append(ps, pair{k.name, v})
		}
	}
	return ps
}

func (w *writer) pairs(ps []pair) {
	for _, p := range ps {
		w.line("%s = %s", p.name, p.value)
	}
}

// header opens a section; the first of its kind says what it is.
func (w *writer) header(head, comment string) {
	w.line("")
	if comment != "" && !w.bare {
		w.line("# %s", comment)
	}
	w.line("%s", head)
}

// inline is a table in braces, "" when it is empty.
func (w *writer) inline(ps []pair) string {
	if len(ps) == 0 {
		return ""
	}
	parts := make([]string, len(ps))
	for i, p := range ps {
		parts[i] = p.name + " = " + p.value
	}
	return "{ " + strings.Join(parts, ", ") + " }"
}

// listOf is a list on one line.
func listOf(parts []string) string {
	if len(parts) == 0 {
		return ""
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

// rowsOf is a list with one item a line.
func rowsOf(parts []string) string {
	switch len(parts) {
	case 0:
		return ""
	case 1:
		return "[" + parts[0] + "]"
	}
	return "[\n  " + strings.Join(parts, ",\n  ") + ",\n]"
}

// filled is a text, "" when there is nothing to write; lines stand as lines.
func (w *writer) filled(s string) string {
	switch {
	case s == "":
		return ""
	case strings.Contains(s, "\n"):
		return `"""` + "\n" + strings.ReplaceAll(w.escaped(s), `\n`, "\n") + `"""`
	}
	return w.quote(s)
}

// quote writes a text on one line: in single quotes where it holds the sign of
// an inch and nothing that needs escaping.
func (w *writer) quote(s string) string {
	e := w.escaped(s)
	if strings.ReplaceAll(e, `\"`, `"`) == s && strings.Contains(s, `"`) && !strings.ContainsAny(s, `'\`) {
		return "'" + s + "'"
	}
	return `"` + e + `"`
}

var escapes = strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\b", `\b`, "\t", `\t`, "\n", `\n`, "\f", `\f`, "\r", `\r`)

func (w *writer) escaped(s string) string {
	if !utf8.ValidString(s) && w.err == nil {
		w.err = fmt.Errorf("%s: the text %q is no UTF-8: write it again", w.at, s)
	}
	return control.ReplaceAllStringFunc(escapes.Replace(s), func(c string) string { return fmt.Sprintf(`\u%04X`, c[0]) })
}

var (
	control = regexp.MustCompile(`[\x00-\x1f\x7f]`)
	bareKey = regexp.MustCompile(`^[A-Za-z0-9_-]+$`)
)

// keyName is a key as TOML takes it.
func (w *writer) keyName(s string) string {
	if bareKey.MatchString(s) {
		return s
	}
	return `"` + w.escaped(s) + `"`
}
