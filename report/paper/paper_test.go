package paper

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"fairburn/draw"
	"fairburn/quantity"
	"fairburn/report"
	"fairburn/report/reporttest"
	"fairburn/report/words"
	"fairburn/trial"
	"fairburn/verdict"
)

var options = Options{Options: report.Options{Version: "test", Made: "2026-01-31"}, Date: time.Date(2026, 1, 31, 12, 0, 0, 0, time.UTC)}

// pdf writes a report and returns the file's name and bytes.
func pdf(t *testing.T, v *verdict.Verdict, r *trial.Reduced, o Options) (string, []byte) {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, v, r, o); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "report.pdf")
	if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return name, b.Bytes()
}

// poppler runs one of its programs, the second opinion on what was written.
func poppler(t *testing.T, program string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		t.Skipf("NOT TESTED: %s is not installed (package poppler-utils)", program)
	}
	out, err := exec.Command(path, args...).Output()
	if err != nil {
		t.Fatalf("%s %v: %v", program, args, err)
	}
	return string(out)
}

// words of a text, all spaces one.
func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

// read is the text of the file in reading order, without spaces: how a paragraph
// was broken into lines does not matter.
func read(t *testing.T, name string) string {
	return strings.Join(strings.Fields(poppler(t, "pdftotext", "-layout", name, "-")), "")
}

func has(text, part string) bool {
	return strings.Contains(text, strings.Join(strings.Fields(part), ""))
}

func TestTextIsOnPaper(t *testing.T) {
	v, r := reporttest.Sample()
	for _, o := range []Options{options, {Options: report.Options{System: quantity.US}, Size: Letter}} {
		name, _ := pdf(t, v, r, o)
		text := read(t, name)
		must := []string{v.Title, v.Question, v.Sentence, report.InventedWords, "Not tested", "About this file", "100 mm (3.94 in) if this was printed at full size"}
		must = append(must, v.Because...)
		for _, s := range report.Group(v.Findings) {
			must = append(must, "["+s.Code+"]")
		}
		tables := append(report.EntryTables(v, r, o.System), report.PairTables(v, r, o.System)...)
		tables = append(tables, report.BurnTables(r, o.System)...)
		for _, table := range tables {
			must = append(must, table.Caption)
			for _, row := range table.Rows {
				for i, cell := range row.Cells {
					if !table.Columns[i].Words {
						must = append(must, cell)
					}
				}
			}
		}
		for _, part := range must {
			if !has(text, part) {
				t.Errorf("%s: the print lacks %q", o.Size, part)
			}
		}
		checkParagraphs(t, name, append(report.Cautions(), tables[0].Notes...))
	}
}

// checkParagraphs looks for longer texts in the order in which they were written.
func checkParagraphs(t *testing.T, name string, texts []string) {
	t.Helper()
	raw := strings.Join(strings.Fields(poppler(t, "pdftotext", "-raw", name, "-")), "")
	for _, part := range texts {
		if !has(raw, part) {
			t.Errorf("the print lacks %q", part)
		}
	}
}

func TestEveryPageHasItsFoot(t *testing.T) {
	v, r := reporttest.Sample()
	name, _ := pdf(t, v, r, options)
	pages := strings.Split(strings.TrimSuffix(poppler(t, "pdftotext", "-layout", name, "-"), "\f"), "\f")
	for i, page := range pages {
		lines := strings.Split(strings.TrimSpace(page), "\n")
		foot := flat(lines[len(lines)-1])
		if want := v.Title + " INVENTED DATA page " + strconv.Itoa(i+1) + " of " + strconv.Itoa(len(pages)); foot != want {
			t.Errorf("the foot of page %d is %q, expected %q", i+1, foot, want)
		}
	}
}

func TestInformation(t *testing.T) {
	v, r := reporttest.Sample()
	name, data := pdf(t, v, r, options)
	info := flat(poppler(t, "pdfinfo", "-isodates", name))
	for _, part := range []string{"Title: " + v.Title, "Subject: " + v.Sentence, "Creator: fairburn test", "CreationDate: 2026-01-31T12:00:00Z", "ModDate: 2026-01-31T12:00:00Z", "595.28 x 841.89 pts (A4)"} {
		if !strings.Contains(info, part) {
			t.Errorf("the information lacks %q: %s", part, info)
		}
	}
	if strings.Contains(info, "Author") {
		t.Error("a person is named who was not given")
	}
	fonts := strings.Split(strings.TrimSpace(poppler(t, "pdffonts", name)), "\n")[2:]
	for _, f := range fonts {
		if fields := strings.Fields(f); len(fields) < 9 || fields[len(fields)-5] != "yes" {
			t.Errorf("a font is not embedded: %s", f)
		}
	}
	// Two whole fonts would be 800 kB.
	if len(fonts) != 2 || len(data) > 250_000 {
		t.Errorf("%d fonts in %d bytes", len(fonts), len(data))
	}
	o := options
	o.Author, o.Size = "A. Tester", Letter
	name, _ = pdf(t, v, r, o)
	if info := flat(poppler(t, "pdfinfo", name)); !strings.Contains(info, "Author: A. Tester") || !strings.Contains(info, "612 x 792 pts (letter)") {
		t.Errorf("the author or the size is not as asked for: %s", info)
	}
}

func TestSameBytes(t *testing.T) {
	v, r := reporttest.Sample()
	_, a := pdf(t, v, r, options)
	_, b := pdf(t, v, r, options)
	if !bytes.Equal(a, b) {
		t.Error("the same report gave other bytes")
	}
	var c, d bytes.Buffer
	if err := errors.Join(Write(&c, v, r, Options{}), Write(&d, v, r, Options{})); err != nil || !bytes.Equal(c.Bytes(), d.Bytes()) {
		t.Errorf("without a date the bytes differ (%v)", err)
	}
}

// word is a word on a page, points from the upper left corner.
var word = regexp.MustCompile(`<word xMin="([0-9.-]+)" yMin="([0-9.-]+)" xMax="([0-9.-]+)" yMax="([0-9.-]+)">`)
var paperSize = regexp.MustCompile(`<page width="([0-9.]+)" height="([0-9.]+)">`)

func numbers(groups []string) []float64 {
	var xs []float64
	for _, g := range groups {
		x, _ := strconv.ParseFloat(g, 64)
		xs = append(xs, x)
	}
	return xs
}

// Nothing is set beyond the margins, whatever the names are.
func TestTextKeepsInside(t *testing.T) {
	for _, of := range []func() (*verdict.Verdict, *trial.Reduced){reporttest.Sample, reporttest.Troubled} {
		v, r := of()
		for _, size := range []Size{A4, Letter} {
			name, _ := pdf(t, v, r, Options{Size: size})
			boxes := poppler(t, "pdftotext", "-bbox", name, "-")
			page := numbers(paperSize.FindStringSubmatch(boxes)[1:])
			found := word.FindAllStringSubmatch(boxes, -1)
			if len(found) < 1000 {
				t.Fatalf("only %d words", len(found))
			}
			const edge, slack = margin / point, 0.6 // of a pixel of a chart's text
			for _, w := range found {
				x := numbers(w[1:])
				if x[0] < edge-slack || x[2] > page[0]-edge+slack || x[1] < edge-8 || x[3] > page[1]-20 {
					t.Errorf("%s: a word at %v reaches out of the page's margins (%v)", size, x, page)
				}
			}
		}
	}
}

// What the font lacks is written by code point, said, and never set as a box:
// poppler gives back each character that was set, so none may be one the font lacks.
func TestNothingIsSetThatTheFontLacks(t *testing.T) {
	v, r := reporttest.Troubled()
	name, _ := pdf(t, v, r, Options{})
	text := poppler(t, "pdftotext", name, "-")
	scene := draw.Scene{Nodes: []draw.Node{draw.Text{Text: text}, draw.Text{Text: text, Bold: true}}}
	if missing := scene.Missing(); len(missing) > 0 {
		t.Errorf("the print sets %q, which the font lacks", string(missing))
	}
	for _, part := range []string{"U+8336 U+7897 U+306E U+706B Ø66 U+1F525", "U+05E9", "Ωμέγα", words.SpelledNote, "a question mark stands for each"} {
		if !has(read(t, name), part) {
			t.Errorf("the print lacks %q", part)
		}
	}
	v, r = reporttest.Sample()
	name, _ = pdf(t, v, r, Options{})
	if has(read(t, name), words.SpelledNote) {
		t.Error("the note on code points stands where there is none")
	}
}

// TestBarIsTrueToScale has poppler render the last page at 254 dots an inch,
// where a dot is 0.1 mm, and counts the dots of the bar.
func TestBarIsTrueToScale(t *testing.T) {
	v, r := reporttest.Sample()
	for _, size := range []Size{A4, Letter} {
		name, _ := pdf(t, v, r, Options{Size: size})
		pages := strings.Count(poppler(t, "pdftotext", name, "-"), "\f")
		out := poppler(t, "pdftoppm", "-gray", "-r", "254", "-f", strconv.Itoa(pages), "-l", strconv.Itoa(pages), name)
		if got := longestRun([]byte(out)); got < 999 || got > 1001 {
			t.Errorf("%s: the bar of 100 mm is %.1f mm long in print", size, float64(got)/10)
		}
	}
}

// longestRun counts the dots of the longest dark run in a binary grey map (PGM).
func longestRun(pgm []byte) int {
	head := regexp.MustCompile(`^P5\s+([0-9]+)\s+([0-9]+)\s+255\s`).FindSubmatch(pgm)
	width, _ := strconv.Atoi(string(head[1]))
	longest, run := 0, 0
	for i, dot := range pgm[len(head[0]):] {
		if i%width == 0 {
			run = 0
		}
		if run++; dot > 0x40 { // rules are lighter
			run = 0
		}
		longest = max(longest, run)
	}
	return longest
}

// A table that runs over pages has its head on each.
func TestHeadsAreRepeated(t *testing.T) {
	v, r := reporttest.Sample()
	many := *r
	many.Results = nil
	for n := range 6 {
		for _, b := range r.Results {
			b.ID += "." + strconv.Itoa(n)
			many.Results = append(many.Results, b)
		}
	}
	name, _ := pdf(t, v, &many, Options{})
	heads, rows := 0, 0
	for page := range strings.SplitSeq(poppler(t, "pdftotext", "-layout", name, "-"), "\f") {
		has := regexp.MustCompile(`burn +status +boil`).MatchString(page)
		if regexp.MustCompile(`(?m)^ *[0-9]+\.[0-9] +(boiled|no boil|void) +[0-9n]`).MatchString(page) {
			rows++
			if !has {
				t.Errorf("a page of burns has no head:\n%s", page)
			}
		}
		if has {
			heads++
		}
	}
	if heads < 4 || rows < 4 {
		t.Errorf("%d pages with heads, %d with burns, expected 4 or more", heads, rows)
	}
}

func TestRefusals(t *testing.T) {
	v, r := reporttest.Sample()
	err := Write(&bytes.Buffer{}, v, r, Options{Size: "A0"})
	if err == nil || err.Error() != `printing "Four burners for an autumn walk": paper "A0", expected A4 or Letter` {
		t.Errorf("got %v", err)
	}
	if err := Write(failing{}, v, r, options); err == nil || err.Error() != `printing "Four burners for an autumn walk": full` {
		t.Errorf("got %v", err)
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("full") }

// A trial without burns prints too.
func TestNothingBurned(t *testing.T) {
	x := reporttest.Demo()
	x.Burns = nil
	v, r := reporttest.Judged(x)
	name, _ := pdf(t, v, r, options)
	if text := read(t, name); !has(text, v.Sentence) || !has(text, "Cautions") {
		t.Error("the print lacks the sentence or the cautions")
	}
	x.Entries = nil
	v, r = reporttest.Judged(x)
	pdf(t, v, r, options)
}

// Tables of any content are laid out within their room.
func TestTablesFit(t *testing.T) {
	l, err := newLeaf(&verdict.Verdict{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []int{1, 2, 7, 14} {
		for _, cell := range []string{"9", "12.3 to 14.5 g", strings.Repeat("word ", 30), strings.Repeat("x", 200)} {
			table := report.Table{Columns: slices.Repeat([]report.Column{{Head: "head of it"}, {Head: "w", Words: true}}, n)[:n], Rows: []report.Row{{Marker: 1, Cells: slices.Repeat([]string{cell}, n)}}}
			if g := l.lay(table); g.across() > l.room()+0.01 {
				t.Errorf("%d columns of %q take %.2f of %.2f mm", n, cell, g.across(), l.room())
			}
		}
	}
}
