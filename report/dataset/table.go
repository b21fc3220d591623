package dataset

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"fairburn/quantity"
)

// kind is the type of a field, in the words of Table Schema 2.0.
type kind string

// The kinds. In Parquet they are BYTE_ARRAY (UTF-8), DOUBLE, INT64 and BOOLEAN.
const (
	text    kind = "string"
	decimal kind = "number"
	integer kind = "integer"
	boolean kind = "boolean"
)

// field is one column of a table. A unit stands in its name and in what it says.
type field struct {
	name string
	kind kind
	says string
	of   *vocabulary // its codes; nil when it has none
}

// table holds rows of cells: nil, string, float64, int64 or bool, as the field's
// kind is. An empty text is nil: a CSV cannot tell the two apart.
type table struct {
	name, title, says string
	fields            []field
	rows              [][]any
	key               []string // fields that tell the rows apart, none of them nil
	refs              []reference
}

// reference says that a field's values are found in a field of another table.
type reference struct{ field, table, there string }

// column is a field with how to read it from a row's source.
type column[T any] struct {
	field
	read func(T) any
}

// col makes a column.
func col[T any](name string, k kind, says string, read func(T) any) column[T] {
	return column[T]{field{name: name, kind: k, says: says}, read}
}

// coded makes a column of codes.
func coded[T any](name string, v *vocabulary, says string, read func(T) string) column[T] {
	return column[T]{field{name: name, kind: text, says: says, of: v}, func(x T) any { return words(read(x)) }}
}

// fill gives the table its columns and a row for each source.
func fill[T any](t table, from []T, columns ...[]column[T]) table {
	t.rows = make([][]any, len(from))
	for _, cs := range columns {
		for _, c := range cs {
			t.fields = append(t.fields, c.field)
			for i, x := range from {
				t.rows[i] = append(t.rows[i], c.read(x))
			}
		}
	}
	return t
}

// unit is what a reading is written in: the end of the field's name, the word in
// its description, and how to get there from SI.
type unit[Q any] struct {
	suffix, word string
	in           func(Q) float64
}

func scaled[Q ~float64](suffix, word string, si Q) unit[Q] {
	return unit[Q]{suffix, word, func(q Q) float64 { return float64(q / si) }}
}

// The units of readings.
var (
	grams       = scaled("g", "grams", quantity.Gram)
	millilitres = scaled("mL", "millilitres", quantity.Millilitre)
	millimetres = scaled("mm", "millimetres", quantity.Millimetre)
	metres      = scaled("m", "metres", quantity.Metre)
	hectopascal = scaled("hPa", "hectopascals", quantity.Hectopascal)
	perSecond   = scaled("m_s", "metres a second", quantity.MetrePerSecond)
	kelvins     = scaled("K", "kelvins", quantity.TempDiff(1))
	shares      = scaled("share", "as a share of 1", quantity.Ratio(1))
	lossRate    = scaled("W_K", "watts a kelvin", quantity.Conductance(1))
	celsius     = unit[quantity.Temperature]{"C", "degrees Celsius", quantity.Temperature.Celsius}
	seconds     = unit[time.Duration]{"s", "seconds", time.Duration.Seconds}
)

// reading makes two columns of a reading: the value in one unit, and what was typed.
func reading[T, Q any](name string, u unit[Q], says string, read func(T) quantity.Reading[Q]) []column[T] {
	return []column[T]{
		col(name+"_"+u.suffix, decimal, says+", "+u.word, func(x T) any { return value(u, read(x)) }),
		col(name+"_typed", text, says+", as typed", func(x T) any { return typed(read(x)) }),
	}
}

func value[Q any](u unit[Q], r quantity.Reading[Q]) any {
	if !r.Given {
		return nil
	}
	return tidy(u.in(r.Value))
}

// tidy is a number that went through SI and back, without the digits that the
// detour made up: 14.2 °C is 14.2, not 14.199999999999989. Twelve are kept, more
// than any instrument here has. Figures of reduce's JSON are not touched.
func tidy(x float64) any {
	short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64)
	if err != nil {
		return nil // beyond every number, and so none
	}
	return number(short)
}

func typed[Q any](r quantity.Reading[Q]) any {
	if !r.Given {
		return nil
	}
	return words(r.Text)
}

// number is a cell of a number; none where it does not exist or has no end, as
// in the report's JSON.
func number(x float64) any {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return x
}

// words is a cell of text.
func words(s string) any {
	if s == "" {
		return nil
	}
	return strings.ToValidUTF8(s, "\uFFFD")
}

// check refuses rows that cannot be told apart.
func (t *table) check() error {
	if len(t.key) == 0 {
		return nil
	}
	var at []int
	for i, f := range t.fields {
		if slices.Contains(t.key, f.name) {
			at = append(at, i)
		}
	}
	seen := map[string]bool{}
	for n, row := range t.rows {
		key := ""
		for _, i := range at {
			if row[i] == nil {
				return fmt.Errorf("table %s, row %d has no %s, expected one: give it a name of its own", t.name, n+1, t.fields[i].name)
			}
			key += fmt.Sprintf("%q ", cell(row[i]))
		}
		if seen[key] {
			return fmt.Errorf("table %s has two rows for %s, expected each %s once: rename one", t.name, strings.TrimSpace(key), strings.Join(t.key, " and "))
		}
		seen[key] = true
	}
	return nil
}

// csv writes the table by RFC 4180 but for line ends, which are line feeds.
func (t *table) csv() []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	line := make([]string, len(t.fields))
	for i, f := range t.fields {
		line[i] = f.name
	}
	w.Write(line) // a bytes.Buffer takes everything
	for _, row := range t.rows {
		for i, x := range row {
			line[i] = cell(x)
			if _, is := x.(string); is {
				line[i] = inert(line[i])
			}
		}
		w.Write(line)
	}
	w.Flush()
	return b.Bytes()
}

// cell is a value as text; a number in as many digits as name it and no other,
// with a capital E, as Table Schema writes it.
func cell(x any) string {
	switch x := x.(type) {
	case string:
		return x
	case float64:
		return strconv.FormatFloat(x, 'G', -1, 64)
	case int64:
		return strconv.FormatInt(x, 10)
	case bool:
		return strconv.FormatBool(x)
	}
	return ""
}

// inert puts an apostrophe before a text that a spreadsheet would run as a
// formula, and before one that begins with an apostrophe, so that taking one off
// gives the text again. Names come from whoever's sheets were merged; a table
// that runs what a stranger wrote is worse than one with a mark that its
// description explains. Numbers never need it and are never touched, nor are
// readings below zero. Parquet holds the text as it is.
//
// Source: OWASP, "CSV Injection" (the first characters; from memory).
func inert(s string) string {
	switch {
	case s == "":
		return s
	case strings.ContainsRune("=@\t\r\n'", rune(s[0])), strings.ContainsRune("+-", rune(s[0])) && !negative(s[1:]):
		return "'" + s
	}
	return s
}

// negative tells the rest of a reading below zero from that of a formula: it
// begins with a digit and goes on with nothing that calculates.
func negative(s string) bool {
	return s != "" && s[0] >= '0' && s[0] <= '9' && !strings.ContainsAny(s, "=+-*^&|!()@<>\"'{}[];$\t\r\n")
}
