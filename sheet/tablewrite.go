package sheet

import (
	"bytes"
	"encoding/csv"
	"regexp"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/trial"
)

// WriteTable returns the burns as a table with commas, one row a burn, in the
// order of their ids: a column for every key that any burn has, its unit in
// the header where all cells share one. ReadTable makes the same burns of it,
// but for the instrument of a fault's time. The error is that of Write.
func WriteTable(t *trial.Trial) ([]byte, error) {
	sorted := *t
	sorted.Burns = slices.Clone(t.Burns)
	sorted.SortBurns()
	var p page
	for i := range sorted.Burns {
		w := &writer{system: t.Settings.System, light: clockAt(sorted.Burns[i].Marks[burn.Light].Text), at: "burn " + sorted.Burns[i].ID}
		w.pairs(writeKeys(w, burnKeys, &sorted.Burns[i]))
		if w.err != nil {
			return nil, w.err
		}
		s := syntax{reader: &reader{}, lines: newLines([]byte(w.String()))}
		p.add(s.parse())
	}
	return p.csv()
}

// page is a table in the making.
type page struct {
	columns []string // in the order of burnKeys
	rows    []map[string]string
}

// add takes the keys of a burn apart into cells.
func (p *page) add(n *node) {
	row := map[string]string{}
	for _, f := range n.fields {
		if f.value.kind != table {
			row[f.name] = inCell(f.value)
			continue
		}
		for _, g := range f.value.fields {
			name := f.name
			if g.name != "read" || f.name == "levels" {
				name += "." + g.name
			}
			row[name] = inCell(g.value)
		}
	}
	p.rows = append(p.rows, row)
}

// inCell writes a value, and a list with semicolons: "spill at 3:20; relit".
func inCell(n *node) string {
	switch n.kind {
	case list:
		var parts []string
		for _, item := range n.items {
			parts = append(parts, inCell(item))
		}
		return strings.Join(parts, "; ")
	case table: // a fault
		s := n.textOf("what")
		at := n.find("at")
		if at == nil {
			return s
		}
		if at.value.kind == table {
			return s + " at " + at.value.textOf("read")
		}
		return s + " at " + at.value.text
	}
	if guarded.MatchString(n.text) && !signedNumber.MatchString(n.text) || missing(n.text) {
		return "'" + n.text
	}
	return n.text
}

var (
	signedNumber = regexp.MustCompile(`^[+-]?[0-9.]+( .*)?$`)
	withUnit     = regexp.MustCompile(`^([+-]?[0-9]+(?:\.[0-9]+)?) ([^0-9:\[\]()]+)$`)
)

// order lists the columns that any row has, as burnKeys has them.
func (p *page) order() {
	have := map[string]bool{}
	for _, row := range p.rows {
		for name := range row {
			have[name] = true
		}
	}
	for _, key := range names(burnKeys) {
		if have[key] {
			p.columns = append(p.columns, key)
		}
		subs := map[string]string{}
		for name := range have {
			if strings.HasPrefix(name, key+".") {
				subs[name] = ""
			}
		}
		p.columns = append(p.columns, sortedKeys(subs)...)
	}
}

// unit is the one that all cells of a column share, "" where they do not.
func (p *page) unit(column string) string {
	unit := ""
	for _, row := range p.rows {
		s, ok := row[column]
		if !ok {
			continue
		}
		m := withUnit.FindStringSubmatch(s)
		if m == nil || unit != "" && m[2] != unit || strings.TrimSpace(m[2]) != m[2] {
			return ""
		}
		unit = m[2]
	}
	return unit
}

func (p *page) csv() ([]byte, error) {
	p.order()
	table := make([][]string, 1+len(p.rows))
	for _, column := range p.columns {
		head, unit := column, p.unit(column)
		if unit != "" {
			head += " [" + unit + "]"
		}
		table[0] = append(table[0], head)
		for i, row := range p.rows {
			s := row[column]
			if unit != "" {
				s = strings.TrimSuffix(s, " "+unit)
			}
			table[i+1] = append(table[i+1], s)
		}
	}
	var out bytes.Buffer
	if len(p.columns) == 0 {
		return nil, nil
	}
	err := csv.NewWriter(&out).WriteAll(table)
	return out.Bytes(), err
}
