package words

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"golang.org/x/net/html"

	"fairburn/browsertest"
	"fairburn/report"
	"fairburn/report/reporttest"
	"fairburn/trial"
	"fairburn/verdict"
)

func pageOf(t *testing.T, v *verdict.Verdict, r *trial.Reduced) string {
	t.Helper()
	var b bytes.Buffer
	if err := Page(&b, v, Answers(v, r, ""), report.Options{Version: "test", Made: "2026-01-31"}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The page allows exactly its own style sheet and script, and asks for nothing.
func TestPageAsksNothing(t *testing.T) {
	v, r := reporttest.Sample()
	page := pageOf(t, v, r)
	style, script := between(page, "<style>", "</style>"), between(page, "<script>", "</script>")
	for _, need := range []string{"default-src 'none'", "'" + hash(style) + "'", "'" + hash(script) + "'", report.InventedWords} {
		if !strings.Contains(html.UnescapeString(page), need) {
			t.Errorf("the page lacks %q", need)
		}
	}
	if found := regexp.MustCompile(`(?i)(src|href)="(?:[^#"])|url\(|@import| style=| on[a-z]+=`).FindString(page); found != "" {
		t.Errorf("the page has %q", found)
	}
}

func between(text, from, to string) string {
	_, rest, _ := strings.Cut(text, from)
	inside, _, _ := strings.Cut(rest, to)
	return inside
}

// Markup in names stays text.
func TestNamesStayText(t *testing.T) {
	v, r := reporttest.Troubled()
	doc, err := html.Parse(strings.NewReader(pageOf(t, v, r)))
	if err != nil {
		t.Fatal(err)
	}
	counts := map[string]int{}
	for n := range doc.Descendants() {
		if n.Type == html.ElementNode {
			counts[n.Data]++
		}
	}
	if counts["script"] != 1 || counts["b"] != 0 {
		t.Errorf("%d scripts and %d bold texts, expected 1 and 0", counts["script"], counts["b"])
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("full") }

func TestFailingWriter(t *testing.T) {
	v, r := reporttest.Sample()
	if err := Page(failing{}, v, Answers(v, r, ""), report.Options{}); err == nil || err.Error() != "full" {
		t.Errorf("got %v", err)
	}
	if err := Text(failing{}, v, nil); err == nil || err.Error() != "full" {
		t.Errorf("got %v", err)
	}
}

func value[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script))
	if err != nil {
		t.Fatalf("%s: %v", script, err)
	}
	return v
}

func TestPageInABrowser(t *testing.T) {
	t.Parallel()
	ctx := browsertest.Context(t)
	v, r := reporttest.Sample()
	name := filepath.Join(t.TempDir(), "answers.html")
	if err := os.WriteFile(name, []byte(pageOf(t, v, r)), 0o644); err != nil {
		t.Fatal(err)
	}
	open := func(width int64) {
		t.Helper()
		if err := browsertest.Look(ctx, browsertest.View{Width: width, Height: 844, Phone: width < 600, Scheme: "light"}); err != nil {
			t.Fatal(err)
		}
		if err := chromedp.Do(ctx, chromedp.Navigate("file://"+name)); err != nil {
			t.Fatal(err)
		}
	}
	for _, width := range []int64{360, 1280} {
		open(width)
		if over := value[float64](t, ctx, "document.documentElement.scrollWidth - window.innerWidth"); over > 0 {
			t.Errorf("at %d px the page is %g px too wide", width, over)
		}
	}
	if n := value[int](t, ctx, `[...document.querySelectorAll("button.copy")].filter(b => b.getBoundingClientRect().height >= 48).length`); n != len(asked) {
		t.Errorf("%d buttons can be touched, expected %d", n, len(asked))
	}
	// Where the clipboard may not be reached the answer is selected, which leaves
	// the rest to the reader.
	got := value[string](t, ctx, `(() => {
		Object.defineProperty(navigator, "clipboard", {value: undefined, configurable: true});
		document.querySelectorAll("button.copy")[1].click();
		return document.getElementById("copied").textContent + "|" + window.getSelection().toString();
	})()`)
	if !strings.HasPrefix(got, "Copied|Tansy: 5:19") && !strings.HasPrefix(got, "Selected: copy it with your keyboard or menu|Tansy: 5:19") {
		t.Errorf("after the button: %q", got)
	}
	copied := value[string](t, ctx, `(() => {
		let text = "";
		Object.defineProperty(navigator, "clipboard", {value: {writeText: t => { text = t; return Promise.resolve(); }}, configurable: true});
		document.querySelectorAll("button.copy")[1].click();
		return text;
	})()`)
	if want := Answers(v, r, "")[1].String(); copied != want {
		t.Errorf("copied %q, expected %q", copied, want)
	}
	if _, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	open(390)
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil || len(png) < 10_000 {
		t.Errorf("the page without script is %d bytes of picture, %v", len(png), err)
	}
}
