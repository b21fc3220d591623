package sheet

import (
	"errors"
	"fmt"

	"fairburn/finding"
	"fairburn/sheet/workbook"
)

const (
	// largestBook is what a workbook may hold when unpacked, so that a small
	// file cannot fill the memory.
	largestBook = 32 << 20
	// longestPage is how many rows of a page are looked at, blank ones too.
	longestPage = 20_000
)

// workbook reads the first page of an XLSX file whose header names keys of a
// burn. Cells are taken as they are shown; a formula gives the value last
// computed by the program that saved it.
func (r *reader) workbook(data []byte) (grid, error) {
	if len(data) > MaxSize {
		return grid{}, unusable(r.file, "it holds %.1f MB, and at most %d MB are read", float64(len(data))/(1<<20), MaxSize>>20)
	}
	book, err := workbook.Open(data, largestBook)
	switch {
	case errors.Is(err, workbook.ErrLarge):
		return grid{}, unusable(r.file, "unpacked it holds more than %d MB; save the table of the burns alone", largestBook>>20)
	case err != nil:
		return grid{}, unusable(r.file, "it is no workbook that can be read (%v); save it as .xlsx without a password, or as CSV", err)
	}
	for _, page := range book.Pages {
		b := bookPage{reader: r, Page: page}
		g, err := b.grid()
		if err != nil || b.known > 0 {
			return g, err
		}
	}
	return grid{}, unusable(r.file, "no page has a first row with names of columns such as entry, water_g, start_C, boil")
}

// bookPage is one page of a workbook.
type bookPage struct {
	*reader
	workbook.Page
	columns []column
	known   int
}

// grid reads the page. It is left at the header when that names no column.
func (b *bookPage) grid() (grid, error) {
	var g grid
	for row, err := range b.Rows {
		if err != nil {
			return g, unusable(b.file, "row %d of page %q cannot be read: %v; save it again, or save the table as CSV", row.Number, b.Name, err)
		}
		if row.Number > longestPage {
			return g, unusable(b.file, "page %q has more than %d rows", b.Name, longestPage)
		}
		headed := g.header != nil
		if err := b.take(&g, b.cells(row)); err != nil {
			return g, err
		}
		if !headed && g.header != nil {
			b.columns, b.known = (&reader{}).columns(g.header)
			if b.known == 0 {
				return g, nil
			}
		}
	}
	return g, nil
}

// cells are those of a row; its length is checked before any cell is looked at.
func (b *bookPage) cells(row workbook.Row) []cell {
	cells := make([]cell, len(row.Cells))
	for i, c := range row.Cells {
		cells[i] = cell{c.Text, spot{row.Number, i + 1}}
		if i < len(b.columns) && b.columns[i].key != "" && len(row.Cells) <= mostColumns {
			cells[i].text = b.cell(b.columns[i].key, c, cells[i].at)
		}
	}
	return cells
}

// cell is the text that a person sees, with three exceptions that are no
// matter of taste: a date is written as year-month-day, a number keeps digits
// that its format hides, and a formula without a value is reported.
func (b *bookPage) cell(key string, c workbook.Cell, at spot) string {
	switch {
	case c.Text == "" && c.Formula != "":
		b.say("formula_without_value", at, "burn."+key, fmt.Sprintf("cell %s holds the formula %.40q and no value", c.Name, c.Formula), "open the file in a spreadsheet program, save it, and read it again")
	case key == "date" && c.Day != "":
		return c.Day
	case c.Held != "":
		b.tell(finding.Note, "digits_hidden", at, "burn."+key, fmt.Sprintf("the cell shows %s and holds %s; what it holds was read", c.Text, c.Held), "")
		return c.Held
	}
	return c.Text
}
