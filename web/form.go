package web

import (
	"cmp"
	"net/http"
	"slices"
	"strings"

	"fairburn/finding"
	"fairburn/journal"
	"fairburn/quantity"
	"fairburn/sheet"
)

// field is one field of a form for the template "fields".
type field struct {
	Head    string // of the group that begins here
	Name    string
	Label   string
	As      string // "text", "long", "choice", "many", "tick"
	Value   string
	Example string
	Help    string
	Wrong   string // why the value was not taken
	Choices []choice
	Must    bool
	Numeric bool
}

// choice is one of a vocabulary.
type choice struct {
	Value, Label string
	Chosen       bool
}

// form is a form of the keys of a sheet with what was typed and what is wrong
// with it.
type form struct {
	Fields []field
	Other  []finding.Finding // about no single field
}

// enquiry is what a form asks about one kind of thing.
type enquiry struct {
	Kind   string
	Values map[string]string // as typed
	Found  []finding.Finding // about them
	Units  quantity.System   // of the examples
	Show   func(sheet.Field) bool
}

// newForm makes a form of the fields that a.Show picks; without it all but the
// names of instruments.
func newForm(a enquiry) form {
	var f form
	fields, _ := sheet.Fields(a.Kind, a.Values, a.Units)
	group := ""
	for _, x := range fields {
		if a.Show == nil && x.Kind == sheet.Instrument || a.Show != nil && !a.Show(x) {
			continue
		}
		y := fieldOf(x, a.Values[x.Name], a.Found)
		if x.Group != group {
			group, y.Head = x.Group, capital(x.Group)
		}
		f.Fields = append(f.Fields, y)
	}
	for _, g := range a.Found {
		if !slices.ContainsFunc(f.Fields, func(y field) bool { return y.Name == g.Where.Field }) {
			f.Other = append(f.Other, g)
		}
	}
	return f
}

// shapes are how a kind of value is shown.
var shapes = map[sheet.FieldKind]string{sheet.LongWords: "long", sheet.YesNo: "tick", sheet.Choice: "choice", sheet.ManyChoice: "many"}

func fieldOf(x sheet.Field, value string, fs []finding.Finding) field {
	y := field{Name: x.Name, Label: capital(x.Label), As: cmp.Or(shapes[x.Kind], "text"), Value: value, Example: x.Example, Help: help(x), Numeric: x.Kind == sheet.Count}
	chosen := strings.Split(value, "; ")
	for _, c := range x.Choices {
		y.Choices = append(y.Choices, choice{c, strings.ReplaceAll(c, "_", " "), slices.Contains(chosen, c)})
	}
	for _, f := range fs {
		if f.Where.Field == x.Name {
			y.Wrong = f.Sentence
			if f.Remedy != "" {
				y.Wrong += "; " + f.Remedy
			}
		}
	}
	return y
}

// help is what a label leaves open, without what the control says already.
func help(x sheet.Field) string {
	return strings.TrimSuffix(strings.TrimSuffix(x.Holds, strings.Join(x.Choices, ", ")), ": ")
}

// posted returns what a form said; several ticks of one name are one text.
func posted(r *http.Request) (map[string]string, error) {
	if err := r.ParseForm(); err != nil {
		return nil, misuse{err}
	}
	values := map[string]string{}
	for name, v := range r.PostForm {
		values[name] = strings.Join(slices.DeleteFunc(slices.Clone(v), func(s string) bool { return s == "" }), "; ")
	}
	return values, nil
}

// sawOf reads the hidden field by which a form says what its person had before
// them; nil where it says nothing.
func sawOf(r *http.Request) []journal.ID {
	var ids []journal.ID
	for text := range strings.FieldsSeq(r.PostFormValue("saw")) {
		var id journal.ID
		if id.UnmarshalText([]byte(text)) == nil {
			ids = append(ids, id)
		}
	}
	return ids
}

// sawText writes it.
func sawText(ids []journal.ID) string {
	var texts []string
	for _, id := range ids {
		texts = append(texts, id.String())
	}
	return strings.Join(texts, " ")
}

// faulty reports whether something typed could not be taken.
func faulty(fs []finding.Finding) bool {
	worst, any := finding.Worst(fs)
	return any && worst >= finding.Fault
}
