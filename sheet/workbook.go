package sheet

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"fairburn/finding"
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
func (r *reader) workbook(data []byte) (g grid, err error) {
	if len(data) > MaxSize {
		return g, unusable(r.file, "it holds %.1f MB, and at most %d MB are read", float64(len(data))/(1<<20), MaxSize>>20)
	}
	defer func() { // the library is not hardened against every broken file
		if bad := recover(); bad != nil {
			g, err = grid{}, unusable(r.file, "it is a broken workbook; save it again, or save the table as CSV")
		}
	}()
	book, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{UnzipSizeLimit: largestBook, UnzipXMLSizeLimit: largestBook})
	switch {
	case err != nil && strings.Contains(err.Error(), "unzip size exceeds"):
		return g, unusable(r.file, "unpacked it holds more than %d MB; save the table of the burns alone", largestBook>>20)
	case err != nil:
		return g, unusable(r.file, "it is no workbook that can be read (%v); save it as .xlsx without a password, or as CSV", err)
	}
	defer book.Close()
	for _, page := range book.GetSheetList() {
		b := bookPage{reader: r, book: book, page: page}
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
	book    *excelize.File
	page    string
	columns []column
	known   int
}

// grid reads the page: each cell as shown and as held. It is left at the
// header when that names no column.
func (b *bookPage) grid() (grid, error) {
	var g grid
	shown, err := b.book.Rows(b.page)
	if err != nil {
		return g, nil // a page of another kind, such as a chart
	}
	defer shown.Close()
	held, err := b.book.Rows(b.page)
	if err != nil {
		return g, nil
	}
	defer held.Close()
	for row := 1; shown.Next() && held.Next(); row++ {
		if row > longestPage {
			return g, unusable(b.file, "page %q has more than %d rows", b.page, longestPage)
		}
		texts, err := shown.Columns()
		if err != nil {
			return g, unusable(b.file, "row %d of page %q cannot be read: %v", row, b.page, err)
		}
		values, err := held.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return g, unusable(b.file, "row %d of page %q cannot be read: %v", row, b.page, err)
		}
		headed := g.header != nil
		if err := b.take(&g, b.cells(row, texts, values)); err != nil {
			return g, err
		}
		if !headed && g.header != nil {
			b.columns, b.known = (&reader{}).columns(g.header)
			if b.known == 0 {
				return g, nil
			}
		}
	}
	return g, shown.Error()
}

// cells are those of a row; its length is checked before any cell is looked at.
func (b *bookPage) cells(row int, texts, values []string) []cell {
	cells := make([]cell, len(texts))
	for i, text := range texts {
		at := spot{row, i + 1}
		cells[i] = cell{text, at}
		if i >= len(b.columns) || b.columns[i].key == "" || len(texts) > mostColumns {
			continue
		}
		if i < len(values) {
			cells[i].text = b.cell(b.columns[i], at, text, values[i])
		}
	}
	for i := len(texts); i < len(b.columns); i++ {
		b.uncomputed(spot{row, i + 1}, b.columns[i])
	}
	return cells
}

// cell is the text that a person sees, with three exceptions that are no
// matter of taste: a date is written as year-month-day, a number keeps digits
// that its format hides, and a formula without a value is reported.
func (b *bookPage) cell(col column, at spot, shown, held string) string {
	value, err := strconv.ParseFloat(held, 64)
	isNumber := err == nil && !math.IsInf(value, 0) && !math.IsNaN(value)
	switch {
	case shown == "":
		b.uncomputed(at, col)
	case col.key == "date" && isNumber && shown != held:
		if day, err := excelize.ExcelDateToTime(value, false); err == nil {
			return day.Format("2006-01-02")
		}
	case isNumber:
		seen, err := strconv.ParseFloat(shown, 64)
		if err == nil && math.Abs(seen-value) > 1e-9*math.Abs(value) {
			full := strconv.FormatFloat(value, 'g', 12, 64)
			b.tell(finding.Note, "digits_hidden", at, "burn."+col.key, fmt.Sprintf("the cell shows %s and holds %s; what it holds was read", shown, full), "")
			return full
		}
	}
	return shown
}

// uncomputed reports a formula whose value the file does not hold.
func (b *bookPage) uncomputed(at spot, col column) {
	name, err := excelize.CoordinatesToCellName(at.column, at.line)
	if err != nil || col.key == "" {
		return
	}
	if formula, err := b.book.GetCellFormula(b.page, name); err == nil && formula != "" {
		b.say("formula_without_value", at, "burn."+col.key, fmt.Sprintf("cell %s holds the formula %.40q and no value", name, formula), "open the file in a spreadsheet program, save it, and read it again")
	}
}
