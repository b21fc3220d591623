package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"fairburn/finding"
	"fairburn/trial"
)

// Limits of a table. A season of burns stays far below them.
const (
	mostRows    = 10_000
	mostColumns = 200
)

// grid is a table before its columns are understood: the header and the rows.
type grid struct {
	header []cell
	rows   [][]cell
}

// cell is what stands in one place of a table.
type cell struct {
	text string
	at   spot
}

// ReadTable reads burns from a table and adds them to t, or to a new trial
// where t is nil. The first row names the keys of a burn, with units where the
// cells have none: water_g, start_C, "boil [m:ss]". Files named .xlsx are
// workbooks; anything else is text with commas, semicolons or tabs. An empty
// cell, "-" and "n/a" are missing. Entries are added to a trial that lists none.
func ReadTable(name string, data []byte, t *trial.Trial) (*trial.Trial, []finding.Finding, error) {
	r := &reader{file: name}
	read := (*reader).csv
	if strings.EqualFold(path.Ext(name), ".xlsx") || bytes.HasPrefix(data, []byte("PK\x03\x04")) {
		read = (*reader).workbook
	}
	g, err := read(r, data)
	if err != nil {
		return nil, r.findings(), err
	}
	columns, known := r.columns(g.header)
	if known == 0 {
		return nil, r.findings(), unusable(name, "no column of its first row is known; name them after the keys of a burn, such as entry, water_g, start_C, boil")
	}
	if t == nil {
		t = &trial.Trial{Settings: trial.DefaultSettings(), Title: strings.TrimSuffix(path.Base(name), path.Ext(name))}
	}
	r.system = t.Settings.System
	r.burns(g, columns, t)
	fs := r.findings()
	finding.Sort(fs)
	return t, fs, nil
}

// isTableName tells tables from sheets.
func isTableName(name string) bool {
	switch strings.ToLower(path.Ext(name)) {
	case ".csv", ".tsv", ".xlsx":
		return true
	}
	return false
}

// burns adds a burn for each row.
func (r *reader) burns(g grid, columns []column, t *trial.Trial) {
	listed := len(t.Entries) > 0
	for i, cells := range g.rows {
		n := r.row(cells, columns)
		if n.find("id") == nil {
			n.add("id", n.at, &node{kind: text, text: strconv.Itoa(len(t.Burns) + 1), at: n.at})
		}
		r.subject = subject("burn", i, n)
		b := r.burn(n)
		t.Burns = append(t.Burns, b)
		if _, ok := t.Entry(b.Entry); !ok && !listed && b.Entry != "" {
			t.Entries = append(t.Entries, trial.Entry{Name: b.Entry})
		}
	}
	r.subject = ""
	t.SortBurns()
}

// row turns the cells of a row into the keys of a burn.
func (r *reader) row(cells []cell, columns []column) *node {
	n := &node{kind: table, at: cells[0].at}
	for i, c := range cells {
		if i >= len(columns) {
			if !missing(c.text) {
				r.say("cell_without_column", c.at, "", fmt.Sprintf("read %.40q, which stands under no header", c.text), "name the column in the first row, or look for a separator too many")
			}
			continue
		}
		if col := columns[i]; col.key != "" && !missing(c.text) {
			put(n, col, &node{kind: text, text: col.with(plainCell(c.text)), at: c.at})
		}
	}
	return n
}

// put places a cell under its key: levels.wind and poured.with lie one deeper.
func put(n *node, col column, v *node) {
	f := n.find(col.key)
	switch {
	case f == nil && col.sub == "":
		n.add(col.key, v.at, v)
		return
	case f == nil:
		f = n.add(col.key, v.at, &node{kind: table, at: v.at})
	case f.value.kind != table: // a reading before its instrument
		f.value = &node{kind: table, at: v.at, fields: []*field{{name: "read", at: f.at, value: f.value}}}
	}
	sub := col.sub
	if sub == "" {
		sub = "read"
	}
	f.value.add(sub, v.at, v)
}

func missing(s string) bool {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "", "-", "–", "n/a":
		return true
	}
	return false
}

// guarded are beginnings that a spreadsheet would take for a formula, and those
// that mean something else in a table; an apostrophe before them is no text.
var guarded = regexp.MustCompile(`^(?:[=+\-@'\t\r]|(?i:–$|n/a$))`)

func plainCell(s string) string {
	s = strings.TrimSpace(s)
	if after, ok := strings.CutPrefix(s, "'"); ok && guarded.MatchString(after) {
		return after
	}
	return s
}

// csv reads text with separators. A row that cannot be read is reported and
// left out.
func (r *reader) csv(data []byte) (grid, error) {
	data, err := checkText(r.file, data)
	if err != nil {
		return grid{}, err
	}
	in := csv.NewReader(bytes.NewReader(data))
	in.Comma, in.FieldsPerRecord, in.TrimLeadingSpace = separator(data), -1, true
	var g grid
	places := newLines(data)
	for faults := 0; ; {
		record, err := in.Read()
		var pe *csv.ParseError
		switch {
		case err == io.EOF:
			if g.header == nil {
				return g, unusable(r.file, "its first row cannot be read")
			}
			return g, nil
		case errors.As(err, &pe):
			r.say("row_unreadable", spot{pe.Line, pe.Column}, "", "the row cannot be read: "+pe.Err.Error(), `close the quotes, and write " inside a quoted cell as ""; the row was left out`)
			if faults++; faults > mostFaults {
				return g, unusable(r.file, "%d rows cannot be read; the first: %s", faults, r.found[0])
			}
			continue
		}
		cells := make([]cell, len(record))
		for i, s := range record {
			line, column := in.FieldPos(i)
			cells[i] = cell{s, places.at(min(places.starts[line-1]+column-1, len(data)))}
		}
		if err := r.take(&g, cells); err != nil {
			return g, err
		}
		if in.Comma != ',' {
			r.points(cells)
		}
	}
}

// separator is what the first line holds most of.
func separator(data []byte) rune {
	first, _, _ := bytes.Cut(data, []byte("\n"))
	best, most := ',', 0
	for _, c := range "\t;," {
		if n := bytes.Count(first, []byte(string(c))); n > most {
			best, most = c, n
		}
	}
	return best
}

// take adds a row that is not blank.
func (r *reader) take(g *grid, cells []cell) error {
	blank := true
	for _, c := range cells {
		blank = blank && strings.TrimSpace(c.text) == ""
	}
	switch {
	case blank:
	case len(cells) > mostColumns:
		return unusable(r.file, "row %d has %d columns, and at most %d are read", cells[0].at.line, len(cells), mostColumns)
	case g.header == nil:
		g.header = cells
	case len(g.rows) == mostRows:
		return unusable(r.file, "it has more than %d burns; split it", mostRows)
	default:
		g.rows = append(g.rows, cells)
	}
	return nil
}

var decimalComma = regexp.MustCompile(`^([+-]?[0-9]+),([0-9]+)( .*)?$`)

// points turns decimal commas into points, where the comma separates nothing
// else. The first is said, so that nobody has to guess how 1,234 was read.
func (r *reader) points(cells []cell) {
	for i, c := range cells {
		m := decimalComma.FindStringSubmatch(strings.TrimSpace(c.text))
		if m == nil {
			continue
		}
		cells[i].text = m[1] + "." + m[2] + m[3]
		if !finding.Has(r.found, "decimal_comma") {
			r.tell(finding.Note, "decimal_comma", c.at, "", fmt.Sprintf("read %q as %s: the columns are not separated by commas, so a comma is the decimal mark in the whole table", c.text, cells[i].text), "")
		}
	}
}

// column is a column of a table: the key of a burn that it fills, a name one
// deeper (levels.wind, poured.with), and the unit of cells that have none.
type column struct{ key, sub, unit string }

// with adds the unit of the column to a cell that ends in a number.
func (c column) with(s string) string {
	if c.unit == "" || strings.Contains(s, ":") || !endsInNumber.MatchString(s) {
		return s
	}
	return s + " " + c.unit
}

var (
	endsInNumber = regexp.MustCompile(`[0-9½¼¾⅓⅔⅛⅜⅝⅞]\.?$`)
	unitInHeader = regexp.MustCompile(`^(.*?)\s*[\[(]\s*([^\[\]()]*?)\s*[\])]$`)
)

// suffixes are the units that stand after an underscore in a header, with the
// unit meant. Case matters only where it must.
var suffixes = map[string]string{
	"g": "g", "kg": "kg", "mg": "mg", "oz": "oz", "lb": "lb",
	"ml": "mL", "l": "L", "floz": "fl oz", "fl_oz": "fl oz", "cups": "cups", "cup": "cup",
	"c": "°C", "degc": "°C", "f": "°F", "degf": "°F", "k": "K",
	"s": "s", "sec": "s", "min": "min", "mss": "", "m_ss": "",
	"hpa": "hPa", "mbar": "mbar", "kpa": "kPa", "inhg": "inHg",
	"m": "m", "ft": "ft", "kmh": "km/h", "mph": "mph", "m_s": "m/s", "kn": "kn",
	"pct": "%", "percent": "%",
}

// timeForms say how a time is written, and are no units.
var timeForms = []string{"m:ss", "mm:ss", "h:mm:ss", "hh:mm:ss"}

// columns understands the header. A column that is not known, or comes twice,
// is reported and passed over; known counts the others.
func (r *reader) columns(header []cell) (columns []column, known int) {
	columns = make([]column, len(header))
	seen := map[[2]string]string{}
	for i, c := range header {
		col, ok := columnOf(c.text)
		first, twice := seen[[2]string{col.key, col.sub}]
		switch {
		case strings.TrimSpace(c.text) == "":
		case !ok:
			r.say("column_unknown", c.at, "", fmt.Sprintf("the column %.60q is not known", c.text), suggest(stem(c.text), names(burnKeys)))
		case twice:
			r.say("key_twice", c.at, "burn."+col.key, fmt.Sprintf("the column %.60q says the same as %.60q before it", c.text, first), "keep one of them; the first was read")
		default:
			seen[[2]string{col.key, col.sub}] = c.text
			columns[i] = col
			known++
		}
	}
	return columns, known
}

func plainHeader(s string) string {
	return strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(strings.TrimSpace(s)))
}

// stem is a header without its unit, to find the key that may have been meant.
func stem(header string) string {
	if m := unitInHeader.FindStringSubmatch(strings.TrimSpace(header)); m != nil {
		header = m[1]
	}
	name := plainHeader(header)
	if i := strings.LastIndexByte(name, '_'); i > 0 {
		if _, ok := suffixes[name[i+1:]]; ok {
			return name[:i]
		}
	}
	return name
}

// columnOf reads "water", "water_g", "water [g]", "Pot on (m:ss)", "levels.wind".
func columnOf(header string) (column, bool) {
	name, unit := strings.TrimSpace(header), ""
	if m := unitInHeader.FindStringSubmatch(name); m != nil {
		name, unit = m[1], m[2]
		if slices.Contains(timeForms, unit) {
			unit = ""
		}
	}
	if key, sub, dotted := strings.Cut(name, "."); dotted {
		key = plainHeader(key)
		return column{key, sub, unit}, isBurnKey(key)
	}
	name = plainHeader(name)
	if isBurnKey(name) {
		return column{name, "", unit}, true
	}
	for i, c := range name {
		if c != '_' || !isBurnKey(name[:i]) {
			continue
		}
		if u, ok := suffixes[name[i+1:]]; ok && unit == "" {
			return column{name[:i], "", u}, true
		}
	}
	return column{}, false
}

func isBurnKey(name string) bool { return slices.Contains(names(burnKeys), name) }
