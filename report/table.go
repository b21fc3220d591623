package report

import (
	"io"
	"slices"
	"strings"
	"unicode/utf8"
)

// Table is a table as a value: every face renders the same one.
type Table struct {
	ID      string // unique in a document
	Caption string
	Columns []Column
	Rows    []Row
	Notes   []string // below the table
	Marker  int      // of the entry that the whole table is about, 0 for none
	Wide    bool     // too wide for a phone to turn its rows into cards: it scrolls
}

// Column is a column. Words are set from the left and may be broken into
// lines; figures are set from the right and never broken.
type Column struct {
	Head   string
	Words  bool
	ByHand bool // empty, to be filled in with a pen: on paper only
}

// Row is a row; its first cell names it. Marker is the marker of the entry that
// it belongs to, 0 for none.
type Row struct {
	Marker int
	Cells  []string
}

// columns makes a table's columns: heads that begin with * hold words.
func columns(heads ...string) []Column {
	cs := make([]Column, len(heads))
	for i, h := range heads {
		cs[i].Head, cs[i].Words = strings.CutPrefix(h, "*")
	}
	return cs
}

func (t *Table) add(marker int, cells ...string) {
	t.Rows = append(t.Rows, Row{marker, cells})
}

// prune takes out columns, but the first, in which no row has anything.
func (t *Table) prune() {
	for c := len(t.Columns) - 1; c > 0; c-- {
		used := slices.ContainsFunc(t.Rows, func(r Row) bool { return r.Cells[c] != absent && r.Cells[c] != "" })
		if used {
			continue
		}
		t.Columns = slices.Delete(t.Columns, c, c+1)
		for i := range t.Rows {
			t.Rows[i].Cells = slices.Delete(t.Rows[i].Cells, c, c+1)
		}
	}
}

// byHand adds columns to be filled in with a pen.
func byHand(t Table, heads ...string) Table {
	for _, h := range heads {
		t.Columns = append(t.Columns, Column{Head: h, ByHand: true})
	}
	for i := range t.Rows {
		t.Rows[i].Cells = append(t.Rows[i].Cells, make([]string, len(heads))...)
	}
	return t
}

const lineWidth = 80 // of a terminal

// writeTable lays a table out as text. Columns of words are broken into lines
// until it fits the width; figures never are.
func writeTable(w io.Writer, t Table) error {
	widths, gap := t.widths()
	var b strings.Builder
	if t.Caption != "" {
		writeWords(&b, "", t.Caption)
	}
	heads := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		heads[i] = c.Head
	}
	t.line(&b, heads, widths, gap)
	total := -gap
	for _, n := range widths {
		total += n + gap
	}
	b.WriteString(strings.Repeat("-", total) + "\n")
	for _, r := range t.Rows {
		t.line(&b, r.Cells, widths, gap)
	}
	for _, note := range t.Notes {
		writeWords(&b, "  ", note)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// widths shares the line out with gaps of two spaces, or of one where the
// table would not fit otherwise.
func (t Table) widths() (widths []int, gap int) {
	if widths, fits := t.fit(2); fits {
		return widths, 2
	}
	widths, _ = t.fit(1)
	return widths, 1
}

// fit makes each column as wide as its widest cell or head; then the widest
// that can be broken give way, down to their longest word. Figures are never
// broken, only their heads.
func (t Table) fit(gap int) (widths []int, fits bool) {
	widths = make([]int, len(t.Columns))
	least := make([]int, len(t.Columns))
	total := gap * (len(t.Columns) - 1)
	for i, c := range t.Columns {
		widths[i], least[i] = width(c.Head), longestWord(c.Head)
		for _, r := range t.Rows {
			cell := width(r.Cells[i])
			widths[i] = max(widths[i], cell)
			if c.Words {
				cell = longestWord(r.Cells[i])
			}
			least[i] = max(least[i], cell)
		}
		total += widths[i]
	}
	for ; total > lineWidth; total-- {
		widest := -1
		for i := range widths {
			if widths[i] > least[i] && (widest < 0 || widths[i] > widths[widest]) {
				widest = i
			}
		}
		if widest < 0 {
			return widths, false
		}
		widths[widest]--
	}
	return widths, true
}

// line writes one row, as many lines as its most broken cell has.
func (t Table) line(b *strings.Builder, cells []string, widths []int, gap int) {
	parts := make([][]string, len(cells))
	lines := 1
	for i, c := range cells {
		parts[i] = breakLines(c, widths[i])
		lines = max(lines, len(parts[i]))
	}
	for n := range lines {
		var row strings.Builder
		for i := range cells {
			part := ""
			if n < len(parts[i]) {
				part = parts[i][n]
			}
			space := strings.Repeat(" ", max(0, widths[i]-width(part)))
			if i > 0 {
				row.WriteString(strings.Repeat(" ", gap))
			}
			if t.Columns[i].Words {
				row.WriteString(part + space)
			} else {
				row.WriteString(space + part)
			}
		}
		b.WriteString(strings.TrimRight(row.String(), " ") + "\n")
	}
}

// writeWords writes a paragraph with its first line indented by the lead and
// the rest by as many spaces.
func writeWords(b *strings.Builder, lead, text string) {
	for i, l := range breakLines(text, lineWidth-width(lead)) {
		if i > 0 {
			lead = strings.Repeat(" ", width(lead))
		}
		b.WriteString(strings.TrimRight(lead+l, " ") + "\n")
	}
}

// breakLines breaks a text at spaces, but not between a number and its per
// cent sign. A word that is too long stands alone.
func breakLines(text string, most int) []string {
	var lines []string
	line := ""
	for _, word := range unbroken(strings.Fields(text)) {
		switch {
		case line == "":
			line = word
		case width(line)+1+width(word) <= most:
			line += " " + word
		default:
			lines, line = append(lines, line), word
		}
	}
	return append(lines, line)
}

// unbroken joins a per cent sign, with what punctuation follows it, to the
// number before it.
func unbroken(words []string) []string {
	var out []string
	for i, w := range words {
		if i > 0 && strings.HasPrefix(w, "%") {
			out[len(out)-1] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}

func width(s string) int { return utf8.RuneCountInString(s) }

func longestWord(s string) int {
	longest := 0
	for word := range strings.FieldsSeq(s) {
		longest = max(longest, width(word))
	}
	return longest
}

// list joins words as a sentence does: "a", "a and b", "a, b and c".
func list(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	n := len(words) - 1
	return strings.Join(words[:n], ", ") + " and " + words[n]
}
