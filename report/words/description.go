package words

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"fairburn/quantity"
	"fairburn/report"
	"fairburn/trial"
	"fairburn/verdict"
)

// Most is how long a description may be, in bytes of UTF-8: sites that allow
// 5,000 characters may count either way (common practice, no source).
const Most = 5000

// Shown is how many characters of a description are shown before it is opened
// (common practice, no source).
const Shown = 150

// mostChapters is how many bytes of it a chapter list may take.
const mostChapters = 2000

// section is a part of a description. When all is too long, lines of the
// sections with the highest rank go first; those of rank 0 stay.
type section struct {
	head  string
	lines []string
	rank  int
	whole bool // goes as a whole
	below bool // stands directly below the section before it
}

// Description is the text to paste under a film or on a page: the verdict in
// its first characters, chapters as they are handed in ("" for none), the
// figures as plain text, what was not tested, conditions and cautions. Angle
// brackets, which some sites refuse, become others. It is an error if the
// chapters leave too little for the rest.
func Description(v *verdict.Verdict, r *trial.Reduced, o report.Options, chapters string) (string, error) {
	parts := []section{opening(v, r, o.System)}
	if chapters = strings.TrimSpace(chapters); len(chapters) > mostChapters {
		return "", fmt.Errorf("description of %q: the chapters take %d bytes, expected at most %d of %d; merge some", v.Title, len(chapters), mostChapters, Most)
	}
	if chapters != "" {
		parts = append(parts, section{lines: strings.Split(chapters, "\n")})
	}
	parts = append(parts, section{head: "NOT TESTED", lines: items(v.NotTested)})
	parts = append(parts, tables(report.EntryTables(v, r, o.System))...)
	parts = append(parts,
		section{head: "COMPARED", lines: items(compared(v)), rank: 4},
		section{head: "CONDITIONS", lines: append([]string{known{v: v, r: r}.ended()}, facts(report.Conditions(r, o.System))...), rank: 2},
		section{head: "COULD CHANGE THE ANSWER", lines: openLines(v), rank: 2},
		section{head: "CAUTIONS", lines: items(report.Cautions())},
		section{lines: []string{foot(o)}})
	return fitted(parts), nil
}

func foot(o report.Options) string {
	made := "Figures by fairburn"
	if o.Version != "" {
		made += " " + o.Version
	}
	if o.Made != "" {
		made += ", " + o.Made
	}
	return made + ". They are of the entries and burns named here and of nothing else."
}

// opening begins with the verdict, short enough to be seen before the text is
// opened, and says the rest of it below.
func opening(v *verdict.Verdict, r *trial.Reduced, sys quantity.System) section {
	h := Of(v, r, sys)
	mark := ""
	if v.Invented {
		mark = "Invented data. "
	}
	first := mark + strings.TrimSuffix(v.Sentence, ".") + "; " + h.N + "."
	if utf8.RuneCountInString(first) > Shown {
		first = mark + h.Lead()
	}
	lines := []string{first, "", v.Title}
	if v.Question != "" {
		lines = append(lines, v.Question)
	}
	if !strings.Contains(first, strings.TrimSuffix(v.Sentence, ".")) {
		lines = append(lines, "", "Verdict ("+string(v.Class)+"): "+v.Sentence)
	}
	if v.Invented {
		lines = append(lines, report.InventedWords)
	}
	lines = append(lines, items(v.Because)...)
	if len(v.Next) > 0 {
		lines = append(append(lines, "What would settle the rest:"), items(v.Next)...)
	}
	return section{lines: lines}
}

func items(texts []string) []string {
	var out []string
	for _, t := range texts {
		out = append(out, "- "+t)
	}
	return out
}

// lastRank is that of notes below tables, which go first.
const lastRank = 9

// tables writes each row as a line of "head cell" pairs: descriptions are set in
// letters of unlike width, where columns would not stand.
func tables(ts []report.Table) []section {
	var out []section
	seen := map[string]bool{}
	for i, t := range ts {
		s := section{head: strings.ToUpper(t.Caption), rank: 1 + i}
		notes := section{rank: lastRank, below: true}
		for _, row := range t.Rows {
			var cells []string
			for c := 1; c < len(row.Cells); c++ {
				if row.Cells[c] != "" && row.Cells[c] != "—" {
					cells = append(cells, strings.TrimSpace(t.Columns[c].Head)+" "+row.Cells[c])
				}
			}
			s.lines = append(s.lines, row.Cells[0]+": "+strings.Join(cells, ", "))
		}
		for _, n := range t.Notes {
			if !seen[n] {
				notes.lines = append(notes.lines, "("+n+")")
			}
			seen[n] = true
		}
		if t.ID == "efficiency" { // no efficiency without what it counts
			s.lines, s.whole, notes.lines = append(s.lines, notes.lines...), true, nil
		}
		out = append(out, s, notes)
	}
	return out
}

// compared are the pairs of the axis that judges.
func compared(v *verdict.Verdict) []string {
	a, _ := judging(v)
	var out []string
	for _, p := range a.Pairs {
		out = append(out, p.Sentence)
	}
	return out
}

func facts(fs []report.Fact) []string {
	var out []string
	for _, f := range fs {
		out = append(out, f.Name+": "+f.Text)
	}
	return out
}

func openLines(v *verdict.Verdict) []string {
	var out []string
	for _, s := range Open(v) {
		out = append(out, "- "+s.String())
	}
	return out
}

const cutNote = "(more in the full report)"

// fitted joins sections to at most Most bytes: first whole lines of the
// dispensable ones go, the last of the highest rank first, then each line of the
// rest is cut to an equal share.
func fitted(parts []section) string {
	for rank := highest(parts); rank > 0; rank-- {
		for i := len(parts) - 1; i >= 0; i-- {
			if parts[i].rank != rank {
				continue
			}
			for len(parts[i].lines) > 0 && len(joined(parts)) > Most {
				parts[i].shorten()
			}
		}
	}
	for most := Most / 2; len(joined(parts)) > Most && most > 1; most = most * 4 / 5 {
		for _, p := range parts {
			for i, l := range p.lines {
				p.lines[i] = cut(l, most)
			}
		}
	}
	return cut(joined(parts), Most)
}

func highest(parts []section) int {
	most := 0
	for _, p := range parts {
		most = max(most, p.rank)
	}
	return most
}

// shorten takes the last line away and says so; a section of which only that is
// left goes.
func (s *section) shorten() {
	n := len(s.lines)
	if s.lines[n-1] == cutNote {
		n--
	}
	if n--; n <= 0 || s.whole {
		s.lines = nil
		return
	}
	if s.lines = s.lines[:n]; !s.below {
		s.lines = append(s.lines, cutNote)
	}
}

func joined(parts []section) string {
	var b strings.Builder
	for _, p := range parts {
		if len(p.lines) == 0 {
			continue
		}
		if b.Len() > 0 && !p.below {
			b.WriteString("\n")
		}
		if p.head != "" {
			fmt.Fprintln(&b, p.head)
		}
		for _, l := range p.lines {
			b.WriteString(plain(l) + "\n")
		}
	}
	return b.String()
}

var brackets = strings.NewReplacer("<", "‹", ">", "›")

// plain is a line without angle brackets and line ends.
func plain(line string) string {
	line = brackets.Replace(strings.ToValidUTF8(line, "\ufffd"))
	return strings.TrimRight(strings.Join(strings.FieldsFunc(line, func(r rune) bool { return r == '\n' || r == '\r' || r == 0 }), " "), " ")
}

// cut shortens a text to so many bytes, between characters.
func cut(text string, most int) string {
	if len(text) <= most {
		return text
	}
	most = max(0, most-len("…"))
	for most > 0 && !utf8.RuneStart(text[most]) {
		most--
	}
	return text[:most] + "…"
}
