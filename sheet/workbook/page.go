package workbook

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
)

// widest is how many columns a page can have.
const widest = 16_384

// Page is a page of cells.
type Page struct {
	Name string
	book *Book
	part string
}

// Row is a row that the file holds; blank ones may be left out there.
type Row struct {
	Number int    // from 1
	Cells  []Cell // from the first column to the last that is not blank
	column int    // of the last cell, blank or not
}

// Cell is a place on a page. The zero value is blank.
type Cell struct {
	Name    string // such as C2
	Text    string // as it is shown, without separators of thousands
	Held    string // as Text, with the digits that the format hides; empty where it hides none
	Day     string // year-month-day of a number that is shown as a date or time
	Formula string // what the value was computed by; cells that share one have that of the first
}

// rawCell is a cell as the file holds it.
type rawCell struct {
	Name    string `xml:"r,attr"`
	Type    string `xml:"t,attr"`
	Style   int    `xml:"s,attr"`
	Value   string `xml:"v"`
	Inline  text   `xml:"is"`
	Formula struct {
		Text  string `xml:",chardata"`
		Share string `xml:"si,attr"`
	} `xml:"f"`
}

// Rows yields the rows in order. It ends after the first error.
func (p Page) Rows(yield func(Row, error) bool) {
	f, err := p.book.open(p.part)
	if err != nil {
		yield(Row{}, err)
		return
	}
	defer f.Close()
	in := elements(f)
	row, shared := Row{}, map[string]string{}
	for {
		token, err := in.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		switch el := token.(type) {
		case xml.StartElement:
			switch el.Name.Local {
			case "row":
				row, err = row.next(el)
			case "c":
				var c rawCell
				if err = in.DecodeElement(&c, &el); err == nil {
					err = p.book.place(&row, c, shared)
				}
			}
		case xml.EndElement:
			if el.Name.Local == "row" && !yield(row, nil) {
				return
			}
		}
		if err != nil {
			yield(Row{Number: row.Number}, err)
			return
		}
	}
}

// next begins the row that follows r.
func (r Row) next(el xml.StartElement) (Row, error) {
	n := r.Number + 1
	for _, a := range el.Attr {
		if a.Name.Local != "r" {
			continue
		}
		named, err := strconv.Atoi(a.Value)
		if err != nil || named < n {
			return r, fmt.Errorf("row %.20q follows row %d", a.Value, r.Number)
		}
		n = named
	}
	return Row{Number: n}, nil
}

// place adds a cell to a row.
func (b *Book) place(row *Row, raw rawCell, shared map[string]string) error {
	before := row.column
	column := before + 1
	if raw.Name != "" {
		column = columnOf(raw.Name)
	}
	if column <= before || column > widest {
		return fmt.Errorf("cell %.20q follows column %d, and %d are the most", raw.Name, before, widest)
	}
	row.column = column
	c, err := b.cell(raw)
	c.Name = nameOf(column, row.Number)
	c.Formula = raw.Formula.Text
	if share := raw.Formula.Share; share != "" && c.Formula != "" {
		shared[share] = c.Formula
	} else if share != "" {
		c.Formula = shared[share]
	}
	if c.Text == "" && c.Formula == "" { // it has a style and nothing else
		return err
	}
	for len(row.Cells) < column-1 {
		row.Cells = append(row.Cells, Cell{})
	}
	row.Cells = append(row.Cells, c)
	return err
}

// cell shows what a cell holds.
//
// Source: ECMA-376-1:2016, 18.18.11 ST_CellType.
func (b *Book) cell(raw rawCell) (Cell, error) {
	switch raw.Type {
	case "s":
		n, err := strconv.Atoi(raw.Value)
		if err != nil || n < 0 || n >= len(b.strings) {
			return Cell{}, fmt.Errorf("cell %.20q names string %.20q of %d", raw.Name, raw.Value, len(b.strings))
		}
		return Cell{Text: b.strings[n]}, nil
	case "inlineStr":
		return Cell{Text: raw.Inline.String()}, nil
	case "b":
		return Cell{Text: map[string]string{"0": "FALSE", "1": "TRUE"}[raw.Value]}, nil
	case "", "n":
		v, err := strconv.ParseFloat(strings.TrimSpace(raw.Value), 64)
		if err != nil {
			return Cell{Text: raw.Value}, nil
		}
		var f format // of a style that the file lacks
		if raw.Style >= 0 && raw.Style < len(b.formats) {
			f = b.formats[raw.Style]
		}
		return f.show(v, b.start), nil
	case "d":
		if t, err := time.Parse("2006-01-02", raw.Value[:min(10, len(raw.Value))]); err == nil {
			return Cell{Text: raw.Value, Day: t.Format(time.DateOnly)}, nil
		}
	}
	return Cell{Text: raw.Value}, nil // text of a formula, or an error such as #DIV/0!
}

// columnOf is 3 of C12; 0 where the name is none.
func columnOf(name string) int {
	column := 0
	for _, c := range strings.TrimRight(name, "0123456789") {
		if c < 'A' || c > 'Z' || column > widest {
			return 0
		}
		column = column*26 + int(c-'A') + 1
	}
	return column
}

func nameOf(column, row int) string {
	letters := ""
	for ; column > 0; column = (column - 1) / 26 {
		letters = string(rune('A'+(column-1)%26)) + letters
	}
	return letters + strconv.Itoa(row)
}
