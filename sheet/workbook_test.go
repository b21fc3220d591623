package sheet

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"fairburn/burn"
)

// book makes a workbook; the cells of its first page are given row by row.
func book(t testing.TB, rows [][]any, more func(*excelize.File)) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for i, row := range rows {
		if err := f.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+1), &row); err != nil {
			t.Fatal(err)
		}
	}
	if more != nil {
		more(f)
	}
	var out bytes.Buffer
	if err := f.Write(&out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func style(t testing.TB, f *excelize.File, cell, format string) {
	t.Helper()
	id, err := f.NewStyle(&excelize.Style{CustomNumFmt: &format})
	if err != nil {
		t.Fatal(err)
	}
	if err := f.SetCellStyle("Sheet1", cell, cell, id); err != nil {
		t.Fatal(err)
	}
}

func TestAWorkbookIsReadAsItIsShown(t *testing.T) {
	data := book(t, [][]any{
		{"entry", "date", "water_g", "start_C", "boil", "poured_g", "notes"},
		{"Fern", time.Date(2024, 5, 3, 0, 0, 0, 0, time.UTC), 500, 18.3, "7:12", 14.9, "still"},
		{"Reed", "3 May", 501, 18.25, 432.0 / 86400, 14.93, nil},
		{},
		{"Sedge", nil, 500.0, 18, "8:01", nil, "=1+1"},
	}, func(f *excelize.File) {
		style(t, f, "E3", "m:ss")
		style(t, f, "F3", "0")
		style(t, f, "F2", "0.00")
		if err := f.SetCellValue("Sheet1", "F5", 15.2); err != nil {
			t.Fatal(err)
		}
		if err := f.SetCellFormula("Sheet1", "F5", "8+7.2"); err != nil {
			t.Fatal(err)
		}
		if err := f.SetCellValue("Sheet1", "F5", 15.2); err != nil {
			t.Fatal(err)
		}
	})
	got, fs, err := Read("day.xlsx", data)
	if err != nil {
		t.Fatal(err)
	}
	if m := messages(fs); m != "day.xlsx:3:6: burn.poured: note: the cell shows 15 and holds 14.93; what it holds was read" {
		t.Error(m)
	}
	if len(got.Burns) != 3 || len(got.Entries) != 3 {
		t.Fatalf("%+v", got)
	}
	a, b, c := got.Burns[0], got.Burns[1], got.Burns[2]
	if a.Date != "2024-05-03" || a.Water.Mass.Text != "500 g" || a.Fuel.Poured.Text != "14.90 g" || a.Where.Line != 2 {
		t.Errorf("%+v", a)
	}
	if b.Date != "3 May" || b.Marks[burn.Boil].Value != 432*time.Second || b.Fuel.Poured.Text != "14.93 g" || b.Notes != "" {
		t.Errorf("%+v", b)
	}
	if c.Date != "" || c.Fuel.Poured.Text != "15.2 g" || c.Where.Line != 5 {
		t.Errorf("%+v", c)
	}
}

func TestAFormulaWithoutValueIsReported(t *testing.T) {
	data := book(t, [][]any{{"entry", "poured_g", "left_g"}, {"Fern", 14.9, nil}}, func(f *excelize.File) {
		if err := f.SetCellFormula("Sheet1", "C2", "B2-12"); err != nil {
			t.Fatal(err)
		}
	})
	got, fs, err := Read("day.xlsx", data)
	if err != nil || got.Burns[0].Fuel.Left.Given {
		t.Fatal(err, got)
	}
	if m := messages(fs); m != `day.xlsx:2:3: burn.left: fault: cell C2 holds the formula "B2-12" and no value; open the file in a spreadsheet program, save it, and read it again` {
		t.Error(m)
	}
}

func TestTheFirstPageWithBurnsIsRead(t *testing.T) {
	data := book(t, [][]any{{"My burners"}, {"a page of prose"}}, func(f *excelize.File) {
		if _, err := f.NewSheet("burns"); err != nil {
			t.Fatal(err)
		}
		for i, row := range [][]any{{"entry", "boil"}, {"Fern", "7:12"}} {
			if err := f.SetSheetRow("burns", fmt.Sprintf("B%d", i+3), &row); err != nil {
				t.Fatal(err)
			}
		}
	})
	got, fs, err := Read("day.xlsx", data)
	if err != nil || len(fs) > 0 || len(got.Burns) != 1 || got.Burns[0].Where.Line != 4 {
		t.Errorf("%+v %v %v", got, fs, err)
	}
}

func TestWorkbooksThatAreRefused(t *testing.T) {
	header := [][]any{{"entry", "boil"}}
	for _, row := range []struct {
		name string
		data []byte
		want string
	}{
		{"no workbook", []byte("entry,boil\n"), "x.xlsx: the file cannot be used: it is no workbook that can be read ("},
		{"no burns", book(t, [][]any{{"prose"}}, nil), "x.xlsx: the file cannot be used: no page has a first row with names of columns such as entry, water_g, start_C, boil"},
		{"bomb", bomb(t, largestBook+1), "x.xlsx: the file cannot be used: unpacked it holds more than 32 MB; save the table of the burns alone"},
		{"large", bytes.Repeat([]byte("x"), MaxSize+1), "x.xlsx: the file cannot be used: it holds 5.0 MB, and at most 5 MB are read"},
		{"wide", book(t, header, func(f *excelize.File) { _ = f.SetCellValue("Sheet1", "XFD2", 1) }), "x.xlsx: the file cannot be used: row 2 has 16384 columns, and at most 200 are read"},
		{"long", book(t, header, func(f *excelize.File) { _ = f.SetCellValue("Sheet1", fmt.Sprint("A", longestPage+1), 1) }), `x.xlsx: the file cannot be used: page "Sheet1" has more than 20000 rows`},
		{"cut", book(t, header, nil)[:1000], "x.xlsx: the file cannot be used: it is no workbook that can be read ("},
	} {
		_, _, err := Read("x.xlsx", row.data)
		if err == nil || !strings.HasPrefix(err.Error(), row.want) {
			t.Errorf("%s: got %v", row.name, err)
		}
	}
}

// bomb is a workbook with a page of that many bytes of blanks.
func bomb(t testing.TB, size int) []byte {
	t.Helper()
	old, err := zip.NewReader(bytes.NewReader(book(t, nil, nil)), int64(len(book(t, nil, nil))))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, f := range old.File {
		if !strings.HasSuffix(f.Name, "sheet1.xml") {
			if err := z.Copy(f); err != nil {
				t.Fatal(err)
			}
		}
	}
	w, err := z.Create("xl/worksheets/sheet1.xml")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Write(bytes.Repeat([]byte(" "), size)); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}
