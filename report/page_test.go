package report

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"fairburn/quantity"
	"fairburn/trial"
	"fairburn/verdict"
)

// pages are reports of every shape of trial: whole, troubled, hardly begun, empty.
func pages(t *testing.T) map[string]*html.Node {
	few, none, one := invented(), invented(), invented()
	few.Burns, none.Burns = few.Burns[:4], nil
	one.Entries = one.Entries[:1]
	bare := &trial.Trial{Title: "bare", Settings: trial.DefaultSettings()}
	documents := map[string]*html.Node{}
	add := func(name string, v *verdict.Verdict, r *trial.Reduced, sys quantity.System) {
		var b bytes.Buffer
		if err := HTML(&b, v, r, Options{System: sys}); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		page, err := html.Parse(&b)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		documents[name] = page
	}
	v, r := sample()
	add("whole", v, r, quantity.Metric)
	v, r = troubled()
	add("troubled", v, r, quantity.US)
	for name, tr := range map[string]*trial.Trial{"few": few, "none": none, "one entry": one, "bare": bare} {
		v, r := judged(tr)
		add(name, v, r, quantity.Imperial)
	}
	return documents
}

func each(n *html.Node, f func(*html.Node)) {
	if n.Type == html.ElementNode {
		f(n)
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		each(c, f)
	}
}

func attr(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

func textOf(n *html.Node) string {
	if n.Type == html.TextNode {
		return n.Data
	}
	var b strings.Builder
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		b.WriteString(textOf(c))
	}
	return b.String()
}

func find(n *html.Node, name string) []*html.Node {
	var all []*html.Node
	each(n, func(n *html.Node) {
		if n.Data == name {
			all = append(all, n)
		}
	})
	return all
}

func TestPagesAreWellMade(t *testing.T) {
	for name, page := range pages(t) {
		t.Run(name, func(t *testing.T) {
			checkHeadings(t, page)
			checkTables(t, page)
			checkReferences(t, page)
			checkAlone(t, page)
			for _, word := range []string{"NaN", "+Inf", "%!", "0001-01-01", "<nil>"} {
				if strings.Contains(textOf(find(page, "main")[0]), word) {
					t.Errorf("the page says %q", word)
				}
			}
		})
	}
}

// One h1, and no level skipped on the way down.
func checkHeadings(t *testing.T, page *html.Node) {
	last, ones := 0, 0
	each(page, func(n *html.Node) {
		if len(n.Data) != 2 || n.Data[0] != 'h' || n.Data[1] < '1' || n.Data[1] > '6' {
			return
		}
		level := int(n.Data[1] - '0')
		if level == 1 {
			ones++
		}
		if level > last+1 {
			t.Errorf("heading %q jumps from level %d to %d", textOf(n), last, level)
		}
		last = level
	})
	if ones != 1 {
		t.Errorf("%d headings of level 1, expected 1", ones)
	}
}

func checkTables(t *testing.T, page *html.Node) {
	for _, table := range find(page, "table") {
		if captions := find(table, "caption"); len(captions) != 1 || strings.TrimSpace(textOf(captions[0])) == "" {
			t.Errorf("a table has %d captions, expected 1 with words", len(captions))
		}
		heads := len(find(find(table, "thead")[0], "th"))
		for _, row := range find(find(table, "tbody")[0], "tr") {
			if cells := len(find(row, "th")) + len(find(row, "td")); cells != heads {
				t.Errorf("a row has %d cells under %d heads", cells, heads)
			}
		}
		for _, th := range find(table, "th") {
			if scope := attr(th, "scope"); scope != "col" && scope != "row" {
				t.Errorf("the head %q has scope %q", textOf(th), scope)
			}
		}
	}
}

// Ids are unique and everything that is pointed to is there.
func checkReferences(t *testing.T, page *html.Node) {
	ids := map[string]int{}
	each(page, func(n *html.Node) {
		if id := attr(n, "id"); id != "" {
			ids[id]++
		}
	})
	for id, n := range ids {
		if n > 1 {
			t.Errorf("the id %q stands %d times", id, n)
		}
	}
	each(page, func(n *html.Node) {
		for _, name := range []string{"aria-labelledby", "aria-describedby", "href"} {
			if to := strings.TrimPrefix(attr(n, name), "#"); to != "" && ids[to] != 1 {
				t.Errorf("%s of %s points to %q, which stands %d times", name, n.Data, to, ids[to])
			}
		}
	})
}

// The page asks nothing of a network, and its policy allows its own style and
// script and nothing else.
func checkAlone(t *testing.T, page *html.Node) {
	if attr(find(page, "html")[0], "lang") != "en" {
		t.Error("the page does not say its language")
	}
	scripts, styles := find(page, "script"), find(page, "style")
	if len(scripts) != 1 || len(styles) != 1 {
		t.Fatalf("%d scripts and %d style sheets, expected one of each", len(scripts), len(styles))
	}
	var policy string
	for _, meta := range find(page, "meta") {
		if attr(meta, "http-equiv") == "Content-Security-Policy" {
			policy = attr(meta, "content")
		}
	}
	want := fmt.Sprintf("default-src 'none'; style-src '%s'; script-src '%s'; base-uri 'none'; form-action 'none'", hash(textOf(styles[0])), hash(textOf(scripts[0])))
	if policy != want {
		t.Errorf("policy %q, expected %q", policy, want)
	}
	each(page, func(n *html.Node) {
		for _, a := range n.Attr {
			if a.Key == "src" || a.Key == "style" || a.Key == "srcset" || strings.HasPrefix(a.Key, "on") || a.Key == "href" && !strings.HasPrefix(a.Val, "#") {
				t.Errorf("%s has %s=%q", n.Data, a.Key, a.Val)
			}
		}
	})
	if strings.Contains(textOf(styles[0]), "url(") || strings.Contains(textOf(styles[0]), "@import") {
		t.Error("the style sheet asks for another file")
	}
}

// What people write stays text: the same elements as with plain names.
func TestMarkupStaysText(t *testing.T) {
	v, r := troubled()
	var b bytes.Buffer
	if err := HTML(&b, v, r, Options{}); err != nil {
		t.Fatal(err)
	}
	source := b.String()
	page, err := html.Parse(&b)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(find(page, "b")) + len(find(page, "script")) - 1; n != 0 {
		t.Errorf("%d elements came from text", n)
	}
	if textOf(find(page, "h1")[0]) != hostile {
		t.Errorf("the title reads %q", textOf(find(page, "h1")[0]))
	}
	if strings.Contains(source, "alert(\"x\")") || strings.Contains(source, "<b>bold") {
		t.Error("markup was written as it came")
	}
	if n := strings.Count(textOf(page), hostile); n < 10 {
		t.Errorf("the text stands %d times, expected everywhere it was written", n)
	}
}

// No efficiency without what it counts, no mean without n or interval in reach.
func TestEfficienciesSayWhatTheyCount(t *testing.T) {
	v, r := sample()
	bare := regexp.MustCompile(`^[0-9.]+ %$`)
	for _, table := range append(EntryTables(v, r, quantity.Metric), BurnTables(r, quantity.Metric)...) {
		for c, column := range table.Columns {
			for _, row := range table.Rows {
				if column.Head == "efficiency" && bare.MatchString(row.Cells[c]) {
					t.Errorf("%s: %q stands without its basis", table.Caption, row.Cells[c])
				}
			}
		}
	}
}

// Every chart of every shape of trial can be drawn at every width, and an
// entry keeps its colour and shape.
func TestChartsAtEveryWidth(t *testing.T) {
	v, r := troubled()
	count := 0
	for _, width := range []float64{300, phoneWidth, 480, deskWidth, 2000} {
		charts, err := Charts(v, r, quantity.US, Layout{Width: width})
		if err != nil {
			t.Fatalf("at %g: %v", width, err)
		}
		if count == 0 {
			count = len(charts)
		}
		ids := map[string]bool{}
		for _, c := range charts {
			if w, _ := c.Scene.Size(); math.Abs(w-width) > 1 || ids[c.ID] || c.Title == "" || c.Scene.Description == "" {
				t.Errorf("chart %q at %g is %g wide, title %q, description %q", c.ID, width, w, c.Title, c.Scene.Description)
			}
			ids[c.ID] = true
		}
		if len(charts) != count {
			t.Errorf("%d charts at %g, %d at the first width", len(charts), width, count)
		}
	}
	if count != 7 {
		t.Errorf("%d charts, expected 7", count)
	}
}

// A full disk or a closed pipe is an error, not silence.
func TestWritersReportFailure(t *testing.T) {
	v, r := sample()
	for name, write := range map[string]func(io.Writer) error{
		"terminal": func(w io.Writer) error { return Terminal(w, v, r, Options{}) },
		"page":     func(w io.Writer) error { return HTML(w, v, r, Options{}) },
		"json":     func(w io.Writer) error { return JSON(w, v, r) },
		"burns":    func(w io.Writer) error { return Burns(w, r, Options{}) },
		"burn":     func(w io.Writer) error { return Burn(w, r, "1", Options{}) },
	} {
		if write(broken{}) == nil {
			t.Errorf("%s: no error from a writer that fails", name)
		}
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

func TestFiguresStayWithTheirUnits(t *testing.T) {
	for in, want := range map[string]string{
		"4 to 19 %, at 20 °C with 12.5 g": "4 to 19\u00a0%, at 20\u00a0°C with 12.5\u00a0g",
		"burn 12 goes on":                 "burn 12 goes on",
		"6:21, n = 9; n = 4":              "6:21, n\u00a0=\u00a09; n\u00a0=\u00a04",
		"1 fl oz and 2 oz":                "1\u00a0fl oz and 2\u00a0oz",
	} {
		if got := Bind(in); got != want {
			t.Errorf("%q became %q, expected %q", in, got, want)
		}
	}
}
