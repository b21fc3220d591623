package sheet

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"fairburn/quantity"
	"fairburn/trial"
)

// FieldKind says what kind of control a field wants.
type FieldKind string

// The kinds. A text with several items has semicolons between: "spill; relit".
const (
	Words      FieldKind = "words"       // one line
	LongWords  FieldKind = "long words"  // may run over lines
	Reading    FieldKind = "reading"     // a quantity with its unit, or a time
	Instrument FieldKind = "instrument"  // the name of the one that took the reading before it; most forms hide it
	Count      FieldKind = "count"       // a whole number of 0 or more
	YesNo      FieldKind = "yes or no"   // "yes", and "no" or "" for no
	Choice     FieldKind = "choice"      // one of the choices, or "" for none or the default
	ManyChoice FieldKind = "many choice" // any of the choices
	Names      FieldKind = "names"       // any names

	nested   FieldKind = "nested"   // a table of its own
	levelled FieldKind = "levelled" // a name for each factor
)

// Field is one field of a form.
type Field struct {
	Name    string // in the form: "dry_mass", "dry_mass.with", "seam.kind", "jets.0.count"
	Key     string // its own key in the sheet: "dry_mass", "with", "kind", "count"
	Label   string // what it holds in a few words: "mass without fuel"
	Holds   string // more of that, for help; may be ""
	Kind    FieldKind
	Choices []string // as they are kept
	Example string   // of a reading, in the units of the bench
	Group   string   // what the field belongs to: "seam", "jet ring 1"; "" is the thing itself
}

// shape is how a key stands in a form. The zero shape is not asked.
type shape struct {
	kind    FieldKind
	choices []string
	example [3]string // by system
	with    bool      // an instrument may be named beside it
	keys    []ask     // of a table of its own
	row     string    // one of a list of such tables, in words; "" where there is one table
}

// ask is a key without the type of what it fills.
type ask struct {
	name, holds string
	form        shape
}

func asksOf[P any](keys []*key[P]) []ask {
	as := make([]ask, len(keys))
	for i, k := range keys {
		as[i] = ask{k.name, k.holds, k.form}
	}
	return as
}

// trialSections are the sections that the form of a trial holds.
var trialSections = []string{"settings", "reference", "rules"}

// askedOf returns the keys of a kind of thing, and false where forms know no such kind.
func askedOf(kind string) ([]ask, bool) {
	if kind == "trial" {
		asks := asksOf(topKeys)
		for _, s := range sections {
			if slices.Contains(trialSections, s.name) {
				asks = append(asks, ask{s.name, "", shape{kind: nested, keys: s.asks}})
			}
		}
		return asks, true
	}
	i := slices.IndexFunc(sections, func(s *section[*trial.Trial]) bool { return s.name == kind && (s.many || kind == "site") })
	if i < 0 {
		return nil, false
	}
	return sections[i].asks, true
}

// Fields lists the fields of a form in the order of the sheet, and false where
// the kind is none of "trial" (without entries, plan, site and burns), "site",
// "entry", "burn" and the kinds of gear: "burner", "pot", "lid", "screen",
// "stand", "fuel", "scale", "thermometer", "barometer", "measure".
//
// The values are those that the form shows, nil for an empty one: lists get a
// group for each row that is filled and two more; a burn gets a field for each
// factor named in them, "levels.wind", filled or not. Examples are in sys.
func Fields(kind string, values map[string]string, sys quantity.System) ([]Field, bool) {
	asks, ok := askedOf(kind)
	f := form{values: values, system: sys}
	f.ask(asks, "", "", "")
	fields := make([]Field, len(f.blanks))
	for i, b := range f.blanks {
		fields[i] = b.Field
	}
	return fields, ok
}

const (
	spareRows = 2
	mostItems = 100 // rows of one list in a form
)

// form is a form in the making.
type form struct {
	values map[string]string
	system quantity.System
	blanks []blank
}

// blank is a field with its place in the sheet.
type blank struct {
	Field
	table string // key of the table that it stands in, "" for the thing itself
	row   string // its row where the table is one of a list, else ""
	column
}

// inWords takes the signs of a sheet out of what a key is called and holds.
var inWords = strings.NewReplacer("_", " ", "[[", "", "]]", "")

// inForm parts what a key holds into the label of its field and help: the words
// before the first semicolon or colon say enough where they stand alone.
func (a ask) inForm() (label, help string) {
	holds := inWords.Replace(a.holds)
	i := strings.IndexAny(holds, ";:")
	if i < 0 {
		return holds, ""
	}
	return holds[:i], strings.TrimSpace(holds[i+1:])
}

// ask adds the fields of a table.
func (f *form) ask(asks []ask, table, row, group string) {
	for _, a := range asks {
		prefix := dotted(table, row)
		switch {
		case a.form.row != "":
			for i := range f.rows(a.name) + spareRows {
				f.ask(a.form.keys, a.name, strconv.Itoa(i), fmt.Sprintf("%s %d", a.form.row, i+1))
			}
		case a.form.kind == nested:
			f.ask(a.form.keys, a.name, "", inWords.Replace(a.name))
		case a.form.kind == levelled:
			for _, name := range slices.DeleteFunc(f.under(a.name), func(s string) bool { return s == "" }) {
				f.blanks = append(f.blanks, blank{column: column{key: a.name, sub: name},
					Field: Field{Name: a.name + "." + name, Key: name, Label: name, Holds: "level of this factor", Kind: Words, Group: a.name}})
			}
		case a.form.kind != "":
			label, help := a.inForm()
			b := blank{table: table, row: row, column: column{key: a.name}, Field: Field{
				Name: prefix + a.name, Key: a.name, Label: label, Holds: help,
				Kind: a.form.kind, Choices: a.form.choices, Example: a.form.example[f.system], Group: group,
			}}
			f.blanks = append(f.blanks, b)
			if a.form.with {
				b.sub = "with"
				b.Field = Field{Name: b.Name + ".with", Key: "with", Label: b.Label + ", read with", Holds: "name of the instrument", Kind: Instrument, Group: group}
				f.blanks = append(f.blanks, b)
			}
		}
	}
}

// dotted is what stands before the names of a table's fields.
func dotted(parts ...string) string {
	s := ""
	for _, p := range parts {
		if p != "" {
			s += p + "."
		}
	}
	return s
}

// rows counts the rows of a list up to the last that is filled.
func (f *form) rows(list string) int {
	rows := 0
	for _, name := range f.under(list) {
		row, _, _ := strings.Cut(name, ".")
		i, err := strconv.Atoi(row)
		if err == nil && i >= rows && i < mostItems && strings.TrimSpace(f.values[list+"."+name]) != "" {
			rows = i + 1
		}
	}
	return rows
}

// under lists the names below a key, in order.
func (f *form) under(key string) []string {
	var below []string
	for _, name := range slices.Sorted(maps.Keys(f.values)) {
		if rest, ok := strings.CutPrefix(name, key+"."); ok {
			below = append(below, rest)
		}
	}
	return below
}

// FormOf returns the values of a form about the one thing in alone, as typed;
// what is missing has no value or "", and rows that say nothing are left out.
// Line ends and the space round readings and long words become those of a form.
// ReadForm, with the same units, makes the same thing of them; where it would
// not, the error names the field, which can then be mended in a sheet only.
func FormOf(kind string, alone *trial.Trial) (map[string]string, error) {
	values, err := spelled(kind, alone)
	if err != nil {
		return nil, err
	}
	again, fs := ReadForm(kind, values, alone.Settings.System)
	if len(fs) > 0 {
		return nil, fmt.Errorf("no form can show the %s: %s: %s", kind, fs[0].Where.Field, fs[0].Sentence)
	}
	back, err := spelled(kind, again)
	if err != nil {
		return nil, err
	}
	for _, name := range slices.Sorted(maps.Keys(values)) {
		if values[name] != back[name] {
			return nil, fmt.Errorf("no form can show the %s: %s: %.80q would become %.80q", kind, name, values[name], back[name])
		}
	}
	return values, nil
}

// spelled writes a thing as a sheet does, and takes what was written apart.
func spelled(kind string, alone *trial.Trial) (map[string]string, error) {
	asks, ok := askedOf(kind)
	if !ok {
		return nil, fmt.Errorf("no form is known for the kind %q", kind)
	}
	w := &writer{system: alone.Settings.System, bare: true}
	if kind == "trial" {
		w.pairs(writeKeys(w, topKeys, alone))
	}
	for _, s := range sections {
		if s.name == kind || kind == "trial" && slices.Contains(trialSections, s.name) {
			s.write(w, alone)
		}
	}
	if w.err != nil {
		return nil, w.err
	}
	s := syntax{reader: &reader{}, lines: newLines([]byte(w.String()))}
	n, err := s.parse().thing(kind)
	if err != nil {
		return nil, err
	}
	f := form{values: map[string]string{}, system: alone.Settings.System}
	if err := f.spell("", n); err != nil {
		return nil, fmt.Errorf("no form can show the %s: %w", kind, err)
	}
	f.ask(asks, "", "", "")
	for _, b := range f.blanks {
		if s, ok := f.values[b.Name]; ok && (b.Kind == Reading || b.Kind == LongWords) {
			f.values[b.Name] = b.Kind.plain(s)
		}
	}
	return f.values, nil
}

// thing is the one table of a kind in a sheet.
func (n *node) thing(kind string) (*node, error) {
	if kind == "trial" {
		return n, nil
	}
	f := n.find(kind)
	switch {
	case f == nil && kind == "site":
		return &node{kind: table}, nil
	case f == nil:
		return nil, fmt.Errorf("expected one %s, found none", kind)
	case f.value.kind == list && len(f.value.items) != 1:
		return nil, fmt.Errorf("expected one %s, found %d", kind, len(f.value.items))
	case f.value.kind == list:
		return f.value.items[0], nil
	}
	return f.value, nil
}

// spell gives the fields of a table their values.
func (f *form) spell(prefix string, n *node) error {
	for _, x := range n.fields {
		name := prefix + x.name
		v := x.value
		if x.name == "read" && !strings.HasPrefix(prefix, "levels.") {
			name = strings.TrimSuffix(prefix, ".")
		}
		switch {
		case v.kind == table:
			if err := f.spell(name+".", v); err != nil {
				return err
			}
		case v.kind == list && len(v.items) > 0 && v.items[0].kind == table:
			said := slices.DeleteFunc(v.items, func(row *node) bool { return len(row.fields) == 0 })
			for i, row := range said {
				if err := f.spell(dotted(name, strconv.Itoa(i)), row); err != nil {
					return err
				}
			}
		case v.kind == list:
			s, err := joined(v.items)
			if err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			f.values[name] = s
		case v.kind == truth:
			f.values[name] = map[string]string{"true": "yes", "false": "no"}[v.text]
		default:
			f.values[name] = v.text
		}
	}
	return nil
}

// joined writes a list with semicolons; an empty name is none.
func joined(items []*node) (string, error) {
	var parts []string
	for _, item := range items {
		if strings.Contains(item.text, ";") {
			return "", fmt.Errorf("%.80q holds the semicolon that stands between names", item.text)
		}
		if item.text != "" {
			parts = append(parts, item.text)
		}
	}
	return strings.Join(parts, "; "), nil
}
