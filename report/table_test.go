package report

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Whatever words a table holds, no line is wider than the terminal unless one
// figure or word forces it, and no word is lost.
func TestTablesKeepWordsAndWidth(t *testing.T) {
	word := rapid.StringMatching(`[a-zé<>&]{1,9}`)
	rapid.Check(t, func(t *rapid.T) {
		table := Table{Columns: columns("*entry", "n", "*words", "figure", "*more")}
		var words []string
		for range rapid.IntRange(1, 5).Draw(t, "rows") {
			phrase := func() string {
				all := rapid.SliceOfN(word, 1, 12).Draw(t, "phrase")
				words = append(words, all...)
				return strings.Join(all, " ")
			}
			table.add(0, phrase(), "12", phrase(), "12.0 to 14.5 g", phrase())
		}
		var b strings.Builder
		if err := writeTable(&b, table); err != nil {
			t.Fatal(err)
		}
		seen := map[string]int{}
		for w := range strings.FieldsSeq(b.String()) {
			seen[w]++
		}
		for _, w := range words {
			if seen[w]--; seen[w] < 0 {
				t.Fatalf("the word %q is lost in\n%s", w, b.String())
			}
		}
		if strings.Count(b.String(), "12.0 to 14.5 g") != len(table.Rows) {
			t.Fatalf("a figure was broken in\n%s", b.String())
		}
		for line := range strings.Lines(b.String()) {
			if width(strings.TrimRight(line, "\n")) > lineWidth {
				t.Fatalf("%d wide: %s", width(line), line)
			}
		}
	})
}

func TestFiguresAreNeverBroken(t *testing.T) {
	long := strings.Repeat("9", 50)
	var b strings.Builder
	if err := writeTable(&b, Table{Columns: columns("*entry", "a", "b"), Rows: []Row{{0, []string{"x", long, long}}}}); err != nil {
		t.Fatal(err)
	}
	if strings.Count(b.String(), long) != 2 {
		t.Errorf("a figure was broken in\n%s", b.String())
	}
}

func TestPruneTakesOutWhatNobodyHas(t *testing.T) {
	table := Table{Columns: columns("*entry", "a", "b", "c")}
	table.add(0, "x", absent, "1", "")
	table.add(0, "y", absent, absent, "")
	table.prune()
	if len(table.Columns) != 2 || table.Columns[1].Head != "b" || table.Rows[1].Cells[1] != absent {
		t.Errorf("pruned to %+v", table)
	}
}
