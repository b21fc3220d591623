package sheet

import (
	"slices"
	"sort"
	"unicode/utf8"
)

// kind is what stands behind a key.
type kind int

const (
	text   kind = iota // in quotes
	whole              // a number without a point
	number             // a number with a point, nan or inf
	truth              // true or false
	moment             // a bare time of day: 14:03:20
	date               // a bare date, or date and time
	list
	table
)

// label is the kind in the words of a person.
func (k kind) label() string {
	return [...]string{"text", "a number", "a number", "true or false", "a bare time", "a bare date", "a list", "a table"}[k]
}

// spot is a place in a file, both counted from 1.
type spot struct{ line, column int }

// node is a value with its place. A sheet, a row of a table and a row of a
// workbook all become nodes before anything is understood.
type node struct {
	kind   kind
	text   string // what was written, decoded if it stood in quotes
	exact  bool   // the characters of text stand in the file one after the other from at
	at     spot
	fields []*field // of a table, in the order of the file
	items  []*node  // of a list
	closed bool     // written in one go, {…} or […]: nothing can be added later
	single bool     // a section that stands under [x] and not under [[x]]
}

// field is one key of a table.
type field struct {
	name  string
	at    spot
	value *node
}

func (n *node) find(name string) *field {
	i := slices.IndexFunc(n.fields, func(f *field) bool { return f.name == name })
	if i < 0 {
		return nil
	}
	return n.fields[i]
}

// textOf returns what stands behind a key, and "" where it is missing or no scalar.
func (n *node) textOf(name string) string {
	if f := n.find(name); f != nil {
		return f.value.text
	}
	return ""
}

func (n *node) add(name string, at spot, value *node) *field {
	f := &field{name: name, at: at, value: value}
	n.fields = append(n.fields, f)
	return f
}

// lines finds the place of a byte.
type lines struct {
	data   []byte
	starts []int
}

func newLines(data []byte) lines {
	l := lines{data: data, starts: []int{0}}
	for i, b := range data {
		if b == '\n' {
			l.starts = append(l.starts, i+1)
		}
	}
	return l
}

// at returns the line and the column, in characters, of a byte.
func (l lines) at(offset int) spot {
	i := sort.SearchInts(l.starts, offset+1) - 1
	return spot{line: i + 1, column: utf8.RuneCount(l.data[l.starts[i]:offset]) + 1}
}

// end returns where the line of a byte ends: at its newline, or at the end of the file.
func (l lines) end(offset int) int {
	i := sort.SearchInts(l.starts, offset+1)
	if i == len(l.starts) {
		return len(l.data)
	}
	return l.starts[i] - 1
}
