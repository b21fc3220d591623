package report

import (
	"bytes"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"

	"golang.org/x/net/html"

	"fairburn/browsertest"
	"fairburn/draw"
	"fairburn/finding"
	"fairburn/plan"
	"fairburn/quantity"
	"fairburn/trial"
	"fairburn/verdict"
)

// foreign are names that a page must show as they are: markup, quotes, right to
// left with a mark that turns the line round, and scripts without spaces.
var foreign = []string{`<img src=x onerror="alert(1)"> 'it' </svg>`, "מבער \u202eפליז", "自作の酒精炉・十六孔"}

// renamed is the invented trial with those names.
var renamed = sync.OnceValue(func() *trial.Trial {
	t := invented()
	for i, name := range foreign {
		for k := range t.Burns {
			if t.Burns[k].Entry == t.Entries[i].Name {
				t.Burns[k].Entry, t.Burns[k].Notes = name, name
			}
		}
		t.Entries[i].Name = name
	}
	return t
})

var renamedSample = sync.OnceValues(func() (*verdict.Verdict, *trial.Reduced) { return judged(renamed()) })

// proposed is a plan for a trial without its burns.
func proposed(t *testing.T, of trial.Trial) (*trial.Trial, *plan.Proposal, []finding.Finding) {
	t.Helper()
	of.Burns = nil
	p, found, err := plan.Make(&of, plan.Wish{Blocks: 2, Snuffed: 3})
	if err != nil {
		t.Fatal(err)
	}
	return &of, p, found
}

// written is what a face writes.
func written(t *testing.T, write func(io.Writer) error) string {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// fragments are every kind of fragment, of plain and of hostile data.
func fragments(t *testing.T) map[string]string {
	all := map[string]string{}
	rv, rr := renamedSample()
	tv, tr := troubled()
	rt, rp, rf := proposed(t, *renamed())
	tt, tp, tf := proposed(t, *trouble())
	for name, write := range map[string]func(io.Writer) error{
		"verdict":          func(w io.Writer) error { return VerdictBody(w, rv, rr, Options{}) },
		"troubled verdict": func(w io.Writer) error { return VerdictBody(w, tv, tr, Options{System: quantity.US}) },
		"plan":             func(w io.Writer) error { return PlanBody(w, rt, rp, rf, Options{}) },
		"troubled plan":    func(w io.Writer) error { return PlanBody(w, tt, tp, tf, Options{System: quantity.Imperial}) },
		"findings":         func(w io.Writer) error { return Findings(w, allFindings(tr)) },
		"no findings":      func(w io.Writer) error { return Findings(w, nil) },
	} {
		all[name] = written(t, write)
	}
	for _, r := range []*trial.Reduced{rr, tr} {
		for i := range r.Results {
			all["burn "+r.Results[i].ID+" of "+r.Results[i].Entry] = written(t, func(w io.Writer) error { return BurnBody(w, r, r.Results[i].ID, Options{}) })
		}
	}
	return all
}

// framed is a fragment in a page of another's layout.
func framed(body string) string {
	return `<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>framed</title>` +
		`<script src="/script.js"></script><link rel="stylesheet" href="/style.css"></head><body>` + string(Sprite()) +
		`<header><button id="theme" type="button" hidden>Night</button></header><main><h1>` + string(Marker(1)) + `Framed</h1>` + body + `</main></body></html>`
}

func TestFragmentsAreWellMade(t *testing.T) {
	for name, body := range fragments(t) {
		t.Run(name, func(t *testing.T) {
			page, err := html.Parse(strings.NewReader(framed(body)))
			if err != nil {
				t.Fatal(err)
			}
			main := find(page, "main")[0]
			checkBalanced(t, body)
			checkHeadings(t, page)
			checkTables(t, main)
			checkNothingInline(t, main)
			checkReferences(t, find(page, "body")[0])
			for _, word := range []string{"NaN", "+Inf", "%!", "0001-01-01", "<nil>"} {
				if strings.Contains(textOf(main), word) {
					t.Errorf("the fragment says %q", word)
				}
			}
		})
	}
}

// Every element is closed where it was opened, with no help from the parser.
func checkBalanced(t *testing.T, body string) {
	t.Helper()
	var open []string
	for z := html.NewTokenizer(strings.NewReader(body)); ; {
		kind := z.Next()
		if kind == html.ErrorToken {
			break
		}
		name, _ := z.TagName()
		switch {
		case kind == html.StartTagToken && string(name) != "input":
			open = append(open, string(name))
		case kind == html.EndTagToken:
			if n := len(open) - 1; n < 0 || open[n] != string(name) {
				t.Fatalf("</%s> closes %v", name, open)
			}
			open = open[:len(open)-1]
		}
	}
	if len(open) > 0 {
		t.Errorf("%v are left open", open)
	}
}

// What a strict content security policy refuses is not there, nor what belongs
// to the page around.
func checkNothingInline(t *testing.T, main *html.Node) {
	t.Helper()
	each(main, func(n *html.Node) {
		if slices.Contains([]string{"script", "style", "link", "meta", "img", "iframe", "header", "footer", "b"}, n.Data) {
			t.Errorf("the fragment holds <%s>", n.Data)
		}
		for _, a := range n.Attr {
			if a.Key == "style" || a.Key == "src" || strings.HasPrefix(a.Key, "on") || a.Key == "href" && !strings.HasPrefix(a.Val, "#") {
				t.Errorf("%s has %s=%q", n.Data, a.Key, a.Val)
			}
		}
	})
}

// Names are shown to the letter.
func TestFragmentsKeepNamesAsText(t *testing.T) {
	all := fragments(t)
	for _, name := range []string{"verdict", "plan"} {
		page, err := html.Parse(strings.NewReader(framed(all[name])))
		if err != nil {
			t.Fatal(err)
		}
		for _, entry := range foreign {
			if !strings.Contains(textOf(page), entry) {
				t.Errorf("the %s does not show %q", name, entry)
			}
		}
	}
}

// One verdict, one rendering: a page of another's shows what the report does.
func TestVerdictBodyIsThatOfTheReport(t *testing.T) {
	v, r := sample()
	o := Options{System: quantity.US, Version: "test"}
	whole := written(t, func(w io.Writer) error { return HTML(w, v, r, o) })
	if body := written(t, func(w io.Writer) error { return VerdictBody(w, v, r, o) }); !strings.Contains(whole, body) {
		t.Error("the fragment is not in the report")
	}
	if style, script := string(Style()), string(Script()); !strings.Contains(whole, style) || !strings.Contains(whole, script) {
		t.Error("the report's style sheet or script is not the one that is served")
	}
}

// What a terminal says of a burn and of a plan, the page says too.
func TestFragmentsSayWhatTheTerminalSays(t *testing.T) {
	_, r := troubled()
	of, p, found := proposed(t, *invented())
	faces := map[string][2]func(io.Writer) error{
		"plan": {func(w io.Writer) error { return Plan(w, of, p, found, Options{}) }, func(w io.Writer) error { return PlanBody(w, of, p, found, Options{}) }},
	}
	for _, id := range []string{"3", "7", "10"} {
		faces["burn "+id] = [2]func(io.Writer) error{
			func(w io.Writer) error { return Burn(w, r, id, Options{}) }, func(w io.Writer) error { return BurnBody(w, r, id, Options{}) }}
	}
	for name, face := range faces {
		page, err := html.Parse(strings.NewReader(written(t, face[1])))
		if err != nil {
			t.Fatal(err)
		}
		said := map[string]bool{}
		for w := range strings.FieldsFuncSeq(strings.ToLower(strings.Join(texts(page), " ")+" "+of.Title+" "+of.Question), isBreak) {
			said[w] = true
		}
		for w := range strings.FieldsFuncSeq(strings.ToLower(written(t, face[0])), isBreak) {
			if strings.Trim(w, "-") != "" && !said[w] && w != "tester" {
				t.Errorf("%s: the page does not say %q", name, w)
			}
		}
	}
}

// texts are the pieces of text of a page, cells apart.
func texts(n *html.Node) []string {
	var all []string
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			all = append(all, d.Data)
		}
	}
	return all
}

func isBreak(r rune) bool { return strings.ContainsRune(" \n\u00a0.,;:()[]<>!\"", r) }

func TestFragmentOfUnknownBurn(t *testing.T) {
	_, r := sample()
	err := BurnBody(io.Discard, r, "99", Options{})
	if want := `burn "99": not in the trial "Three burners for a wide pot", which has 18 burns`; err == nil || err.Error() != want {
		t.Errorf("error %v, expected %s", err, want)
	}
}

func TestMarkersOfAPage(t *testing.T) {
	if Marker(0) != "" {
		t.Errorf("marker 0 is %q, expected nothing", Marker(0))
	}
	if Marker(draw.Entries+1) != Marker(1) {
		t.Error("the markers do not repeat")
	}
	many := invented()
	many.Shelf.Burners[0].Marker, many.Shelf.Burners[1].Marker = 1, draw.Entries+1
	many.Shelf.Burners[2].Marker = 5 * draw.Entries
	v, r := judged(many)
	for name, source := range map[string]string{
		"fragment": framed(written(t, func(w io.Writer) error { return VerdictBody(w, v, r, Options{}) })),
		"report":   written(t, func(w io.Writer) error { return HTML(w, v, r, Options{}) }),
	} {
		page, err := html.Parse(strings.NewReader(source))
		if err != nil {
			t.Fatal(err)
		}
		t.Run(name, func(t *testing.T) { checkReferences(t, find(page, "body")[0]) })
	}
}

// The words beside a comparison: who is as good, and how often neither boils.
func TestPairsSayWhoIsAsGood(t *testing.T) {
	d := document{v: &verdict.Verdict{Margin: 0.05}}
	for _, c := range []struct {
		best, good []string
		want       string
	}{
		{[]string{"A"}, []string{"A"}, ""},
		{[]string{"A", "B"}, nil, ""},
		{[]string{"A"}, []string{"A", "B", "C"}, "as good in practice as A, within 5 %: B and C"},
		{[]string{"A", "B"}, []string{"B"}, "as good in practice as the best, whichever that is, within 5 %: B"},
	} {
		if got := strings.Join(d.asGood(verdict.Axis{CouldBeBest: c.best, AsGood: c.good}), "|"); got != c.want {
			t.Errorf("best %v, as good %v: %q, expected %q", c.best, c.good, got, c.want)
		}
	}
	for _, c := range []struct {
		pair verdict.Pair
		want string
	}{
		{verdict.Pair{NextKnown: true, NextWin: 0.7, NextLose: 0.2, NextNeither: 0.1}, "A, 70 in 100; neither boils, 10 in 100"},
		{verdict.Pair{NextKnown: true, NextWin: 0.1, NextLose: 0.2, NextNeither: 0.7}, "B, 20 in 100; neither boils, 70 in 100"},
		{verdict.Pair{NextKnown: true, NextWin: 0.7, NextLose: 0.296, NextNeither: 0.004}, "A, 70 in 100"},
		{verdict.Pair{NextNeither: 0.7}, absent},
	} {
		c.pair.A, c.pair.B = "A", "B"
		if got := nextTime(c.pair); got != c.want {
			t.Errorf("%+v: %q, expected %q", c.pair, got, c.want)
		}
	}
}

// A dose that leaves out what the burner keeps is a lower limit, and says so.
func TestLeastDoseSaysWhatItLeavesOut(t *testing.T) {
	v, r := judged(invented())
	if !v.Entries[0].LeastDose.Known {
		t.Fatal("the invented trial knows no least dose")
	}
	v.Entries[0].LeastDose = verdict.LeastDose{Known: true, Mass: 0.0155, Approx: true, ResidueUnknown: true}
	v.Entries[1].LeastDose = verdict.LeastDose{Known: true, Mass: 0.0155}
	v.Entries[2].LeastDose = verdict.LeastDose{ResidueUnknown: true, Why: "none"}
	carry := document{v, r, Units(quantity.Metric)}.carry()
	last := len(carry.Columns) - 1
	if got := carry.Rows[0].Cells[last] + "|" + carry.Rows[1].Cells[last]; got != "≥ about 15.5 g|15.5 g" {
		t.Errorf("doses %q", got)
	}
	if want := "least dose of Tall can: add what the burner keeps; no burn that ran out was weighed, so it counts as nothing here"; !slices.Contains(carry.Notes, want) {
		t.Errorf("notes %q, expected %q", carry.Notes, want)
	}
}

// served is a page of another's that shows the fragments under a strict policy.
func served(t *testing.T, pages map[string]string) string {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'")
		switch r.URL.Path {
		case "/style.css":
			w.Header().Set("Content-Type", "text/css")
			_, _ = w.Write(Style())
		case "/script.js":
			w.Header().Set("Content-Type", "text/javascript")
			_, _ = w.Write(Script())
		default:
			w.Header().Set("Content-Type", "text/html; charset=utf-8")
			_, _ = io.WriteString(w, framed(pages[strings.TrimPrefix(r.URL.Path, "/")]))
		}
	}))
	t.Cleanup(server.Close)
	return server.URL + "/"
}

func TestFragmentsInABrowser(t *testing.T) {
	t.Parallel()
	ctx := browsertest.Context(t)
	v, r := renamedSample()
	of, p, found := proposed(t, *renamed())
	root := served(t, map[string]string{
		"verdict": written(t, func(w io.Writer) error { return VerdictBody(w, v, r, Options{}) }),
		"burn":    written(t, func(w io.Writer) error { return BurnBody(w, r, "8", Options{}) }),
		"plan":    written(t, func(w io.Writer) error { return PlanBody(w, of, p, found, Options{}) }),
	})
	widths := map[string][]int64{"verdict": {360}, "burn": {360, 1280}, "plan": {360, 1280}} // the report tries a verdict at every width
	for name := range widths {
		for _, width := range widths[name] {
			openAt(t, ctx, root+name, width, "light")
			if over := value[float64](t, ctx, "document.documentElement.scrollWidth - window.innerWidth"); over > 0 {
				t.Errorf("%s at %d px is %g px too wide", name, width, over)
			}
			if small := value[string](t, ctx, `[...document.querySelectorAll("nav a, button, summary, label")].filter(e => { const h = e.getBoundingClientRect().height; return h > 0 && h < 48 }).map(e => e.textContent).join(", ")`); small != "" {
				t.Errorf("%s at %d px: under 48 px high: %s", name, width, small)
			}
		}
	}

	// The ground chosen on one page holds on the next, and before its body.
	ground := "getComputedStyle(document.body).backgroundColor"
	openAt(t, ctx, root+"burn", 390, "light")
	paper := value[string](t, ctx, ground)
	value[bool](t, ctx, "document.getElementById('theme').click() || true")
	night := value[string](t, ctx, ground)
	openAt(t, ctx, root+"bare", 1280, "light")
	if got := value[string](t, ctx, ground); got != night || night == paper {
		t.Errorf("paper %s, night %s, on the next page %s", paper, night, got)
	}
}
