package workbook

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
)

// zero is day 0 of a book.
var zero = time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)

// TestNumbersAreShownAsAnotherReaderShowsThem compares with excelize, which
// renders formats by code of its own; it alone separates thousands.
func TestNumbersAreShownAsAnotherReaderShowsThem(t *testing.T) {
	for _, g := range []struct {
		codes  []string
		values []float64
	}{
		{
			[]string{"0", "0.0", "0.00", "#,##0.00", "000", "0.00_ ", `0.0" g"`, `0.0\ \g`, "[Red]0.0", "0.0;-0.0", "0.0;(0.0)", `"m = "0`, "[$€-407] 0.00"},
			[]float64{0, 1, 5, 14.9, 14.93, 18.25, 500, 1234.5, 0.456, -3.5, 1e6, 2.0 / 3},
		},
		{[]string{"0%", "0.0%"}, []float64{0, 0.456, 1, -0.25}},
		{
			[]string{"m:ss", "mm:ss", "h:mm", "hh:mm", "h:mm:ss", "[h]:mm:ss", "[h]:mm", "[mm]:ss", "h:mm AM/PM", "h:mm;@"},
			[]float64{0, 432.0 / 86400, 0.3, 0.5, 0.75, 1.25, 59.9996 / 86400, 3599.6 / 86400, 45415.3},
		},
		{[]string{"mm:ss.0", "m:ss.00"}, []float64{432.0 / 86400, 61.5 / 86400, 7.5 / 86400}}, // it cuts where others round
		{
			[]string{"yyyy-mm-dd", `yyyy\-mm\-dd;@`, "d.m.yyyy", "dd/mm/yyyy", "d mmm yyyy", "dddd d mmmm yyyy", "yyyy-mm-dd hh:mm", "[$-409]d-mmm-yy", "m/d/yy h:mm"},
			[]float64{61, 40179.5, 45415, 45415.3},
		},
	} {
		for _, code := range g.codes {
			for _, v := range g.values {
				want := strings.ReplaceAll(strings.TrimSpace(byExcelize(t, code, v)), ",", "")
				if got := parse(code).show(v, zero); got.Text != want {
					t.Errorf("%v as %s: shown as %q, excelize shows %q", v, code, got.Text, want)
				}
			}
		}
	}
}

func TestWhatAFormatHidesIsHeld(t *testing.T) {
	for _, row := range []struct {
		code       string
		value      float64
		text, held string
	}{
		{"0", 14.93, "15", "14.93"},
		{"0.00", 14.93, "14.93", ""},
		{`0" g"`, 14.93, "15 g", "14.93 g"},
		{"0%", 0.456, "46%", "45.6%"},
		{"0.0#", 14.9, "14.9", ""},
		{"0.0#", 14.934, "14.93", "14.934"},
		{"0.00;[Red]-0.00;0", 0, "0", ""},
		{"0.0", -0.04, "-0.0", "-0.04"},
		{"", 0.1 + 0.2, "0.3", ""},
		// What is not rendered is shown as held.
		{"# ?/?", 0.5, "0.5", ""},
		{"0.0E+00", 1234.5, "1234.5", ""},
		{"0,", 1234.5, "1234.5", ""},
		{"[<1]0.0;0", 12.34, "12.34", ""},
		{`General" g"`, 12.34, "12.34", ""},
		{"000-0000", 1234567, "1234567", ""},
		{"h:mm", -0.5, "-0.5", ""},
		{"h:mm", lastDay + 1, "2958466", ""},
		{"h:mm;@", -0.5, "-0.5", ""},
		{"0.0", math.Inf(1), "+Inf", ""},
		{";;;", 5, "5", ""},
		{"mm:ss.0", 61.26 / 86400, "01:01.3", ""},
	} {
		if got := parse(row.code).show(row.value, zero); got.Text != row.text || got.Held != row.held {
			t.Errorf("%v as %q: got %q and %q, expected %q and %q", row.value, row.code, got.Text, got.Held, row.text, row.held)
		}
	}
}

// Whatever a file says, a number is shown.
func FuzzFormat(f *testing.F) {
	for _, code := range append([]string{"[$-F400]h:mm:ss\\ AM/PM", "[", "\"", "\\", "_", "*", "[]", "[$", "s.000000000000", "ä;;;;;0", "mmmmm", "yyyyyy", "hhhh"}, builtIn[22], builtIn[40], builtIn[47]) {
		f.Add(code, 45415.3)
	}
	f.Fuzz(func(t *testing.T, code string, v float64) {
		if got := parse(code).show(v, zero); got.Text == "" && !strings.ContainsAny(code, " []_*") {
			t.Errorf("%v as %q shows nothing", v, code)
		}
	})
}

func byExcelize(t *testing.T, code string, v float64) string {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	id, err := f.NewStyle(&excelize.Style{CustomNumFmt: &code})
	if err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{f.SetCellValue("Sheet1", "A1", v), f.SetCellStyle("Sheet1", "A1", "A1", id)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	shown, err := f.GetCellValue("Sheet1", "A1")
	if err != nil {
		t.Fatal(err)
	}
	return shown
}
