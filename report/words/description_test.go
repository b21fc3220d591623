package words

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"fairburn/quantity"
	"fairburn/report"
	"fairburn/report/reporttest"
	"fairburn/trial"
	"fairburn/verdict"
)

const chapters = "0:00 light, bloom, pot on\n7:12 boil\n8:40 out"

func describe(t *testing.T, v *verdict.Verdict, r *trial.Reduced, sys quantity.System, chapters string) string {
	t.Helper()
	text, err := Description(v, r, report.Options{System: sys, Version: "test", Made: "2026-01-31"}, chapters)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// What must stand in every description: all that limits the verdict.
func checkDescription(t *testing.T, text string, v *verdict.Verdict) {
	t.Helper()
	first, _, _ := strings.Cut(text, "\n")
	if n := utf8.RuneCountInString(first); n > Shown {
		t.Errorf("the first line has %d characters, expected at most %d: %s", n, Shown, first)
	}
	if !strings.Contains(first, "n = ") {
		t.Errorf("the first line has no number of burns: %s", first)
	}
	if len(text) > Most || !utf8.ValidString(text) {
		t.Errorf("the description has %d bytes, expected at most %d", len(text), Most)
	}
	if strings.ContainsAny(text, "<>") {
		t.Error("the description has angle brackets")
	}
	for _, head := range []string{"NOT TESTED", "CAUTIONS", "CONDITIONS"} {
		if !strings.Contains(text, "\n"+head+"\n") {
			t.Errorf("the description has no %q", head)
		}
	}
	for _, c := range append(report.Cautions(), v.NotTested...) {
		if !strings.Contains(text, c) {
			t.Errorf("the description does not say %q", c)
		}
	}
	if v.Invented && !strings.HasPrefix(text, "Invented data.") {
		t.Error("the description does not begin by saying that the data are invented")
	}
	if strings.Contains(text, "efficiency ") && strings.Contains(text, " % a,") && !strings.Contains(text, "(a: efficiency ") {
		t.Error("an efficiency stands without what it counts")
	}
}

func TestDescription(t *testing.T) {
	for _, sys := range []quantity.System{quantity.Metric, quantity.US} {
		for _, of := range []func() (*verdict.Verdict, *trial.Reduced){reporttest.Sample, reporttest.Few} {
			v, r := of()
			text := describe(t, v, r, sys, chapters)
			checkDescription(t, text, v)
			if !strings.Contains(text, "\n\n"+chapters+"\n\n") {
				t.Error("the chapters do not stand in the description as they were given")
			}
		}
	}
	v, r := reporttest.Sample()
	text := describe(t, v, r, quantity.Metric, chapters)
	first, _, _ := strings.Cut(text, "\n")
	if first != "Invented data. Sorrel: 9 % less fuel than Burdock (95 % interval 6 to 12 %, allowing for all 6 comparisons; n = 4 and 4)." {
		t.Errorf("it begins %q", first)
	}
	// every row of the first tables, cell by cell
	for _, table := range report.EntryTables(v, r, quantity.Metric)[:3] {
		for _, row := range table.Rows {
			i := slices.IndexFunc(strings.Split(text, "\n"), func(l string) bool {
				return !slices.ContainsFunc(row.Cells, func(c string) bool { return !strings.Contains(l, c) })
			})
			if i < 0 {
				t.Errorf("no line has all of %q", row.Cells)
			}
		}
	}
}

func TestDescriptionOfStrangeNames(t *testing.T) {
	v, r := reporttest.Troubled()
	text := describe(t, v, r, quantity.Metric, chapters)
	first, _, _ := strings.Cut(text, "\n")
	if len(text) > Most || utf8.RuneCountInString(first) > Shown || strings.ContainsAny(text, "<>") {
		t.Errorf("%d bytes, begins %q", len(text), first)
	}
	for _, c := range report.Cautions() {
		if !strings.Contains(text, c) {
			t.Errorf("the description does not say %q", c)
		}
	}
}

func TestTooManyChapters(t *testing.T) {
	v, r := reporttest.Sample()
	_, err := Description(v, r, report.Options{}, strings.Repeat("0:00 a\n", 400))
	if err == nil || err.Error() != `description of "Four burners for an autumn walk": the chapters take 2799 bytes, expected at most 2000 of 5000; merge some` {
		t.Errorf("got %v", err)
	}
}

// Whatever the sections are, they fit, and those that must stay stand while there
// is room for them.
func TestFitted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		keep := section{head: "KEEP", lines: rapid.SliceOfN(rapid.StringN(0, 40, 150), 1, 8).Draw(t, "keep")}
		parts := []section{keep}
		for range rapid.IntRange(0, 6).Draw(t, "sections") {
			parts = append(parts, section{head: "H", lines: rapid.SliceOfN(rapid.StringN(0, 300, 900), 0, 12).Draw(t, "lines"),
				rank: rapid.IntRange(1, 9).Draw(t, "rank"), whole: rapid.Bool().Draw(t, "whole"), below: rapid.Bool().Draw(t, "below")})
		}
		text := fitted(parts)
		if len(text) > Most {
			t.Fatalf("%d bytes", len(text))
		}
		if alone := joined([]section{keep}); !strings.HasPrefix(text, alone) {
			t.Fatalf("what must stay was cut:\n%q\nin\n%q", alone, text)
		}
	})
	long := fitted([]section{{head: "A", lines: []string{strings.Repeat("é", 9000), "b"}}, {lines: []string{"the end"}}})
	if len(long) > Most || !utf8.ValidString(long) || !strings.Contains(long, "the end") {
		t.Errorf("a line without end gave %d bytes, ending %q", len(long), long[len(long)-20:])
	}
}
