package replay

import (
	"bytes"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"fairburn/browsertest"
	"fairburn/report"
	"fairburn/report/reporttest"
	"fairburn/trial"
	"fairburn/verdict"
)

// demo is the invented trial of the program's demo, changed by spoil.
func demo(t *testing.T, spoil func(*trial.Trial)) string {
	t.Helper()
	tr := reporttest.Demo()
	spoil(tr)
	r := tr.Reduce()
	var b bytes.Buffer
	if err := Page(&b, verdict.Judge(r), r, report.Options{Made: "25 November 2026"}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestThePageReadsWithoutScript(t *testing.T) {
	page := demo(t, func(*trial.Trial) {})
	for _, want := range []string{"Four burners for an autumn walk", "boil at ", "did not boil, flame out at ", "put out at ", "invented data", `data-middle="yes"`, "Content-Security-Policy"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not hold %q", want)
		}
	}
	if n := strings.Count(page, `data-middle="yes"`); n != 4 {
		t.Errorf("%d burns are the middle one, expected one of each of four entries", n)
	}
	if strings.Contains(page, "style=\"") || strings.Contains(page, "src=") || strings.Contains(page, "url(") {
		t.Error("the page holds a style of its own or asks for a file")
	}
}

func TestATrialWithoutBurnsSaysSo(t *testing.T) {
	page := demo(t, func(tr *trial.Trial) { tr.Burns = nil })
	if !strings.Contains(page, "so there is nothing to run") || strings.Contains(page, "<form") {
		t.Error("the page of a trial without burns does not say that there is nothing to run")
	}
}

func TestNamesStayText(t *testing.T) {
	const evil = `"><img src=x onerror=alert(1)>`
	page := demo(t, func(tr *trial.Trial) {
		tr.Title = evil
		for i := range tr.Entries {
			if tr.Entries[i].Name == "Sorrel" {
				tr.Entries[i].Name = evil
			}
		}
		for i := range tr.Burns {
			if tr.Burns[i].Entry == "Sorrel" {
				tr.Burns[i].Entry, tr.Burns[i].Block = evil, evil
			}
		}
	})
	if strings.Contains(page, "<img") {
		t.Error("a name became markup")
	}
}

// The burns run by button, slider and keys, from light and from pot on.
func TestTheBurnsRun(t *testing.T) {
	page := demo(t, func(*trial.Trial) {})
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprint(w, page)
	}))
	defer server.Close()
	ctx := browsertest.Context(t)
	see := func(js string) string {
		t.Helper()
		s, err := chromedp.Run(ctx, chromedp.Evaluate[string](js))
		if err != nil {
			t.Fatalf("%s: %v", js, err)
		}
		return s
	}
	if err := chromedp.Do(ctx, chromedp.Navigate(server.URL)); err != nil {
		t.Fatal(err)
	}
	const shown = `String([...document.querySelectorAll(".run")].filter(r => !r.hidden).length)`
	if n := see(shown); n != "4" {
		t.Errorf("%s burns are shown at first, expected one of each entry", n)
	}
	const words = `[...document.querySelectorAll(".run")].filter(r => !r.hidden).map(r => r.querySelector(".state").textContent).join("|")`
	if s := see(words); s != "lit, no pot yet|lit, no pot yet|lit, no pot yet|lit, no pot yet" {
		t.Errorf("at light the burns read %q", s)
	}
	if err := chromedp.Do(ctx, chromedp.KeyEvent(kb.End)); err != nil {
		t.Fatal(err)
	}
	if s := see(words); strings.Count(s, "at ") < 4 || strings.Contains(s, "heating") {
		t.Errorf("at the end the burns read %q", s)
	}
	if err := chromedp.Do(ctx, chromedp.KeyEvent(kb.Home)); err != nil {
		t.Fatal(err)
	}
	see(`(() => { const f = document.getElementById("from"); f.value = "pot"; f.dispatchEvent(new Event("change")); return "" })()`)
	if s := see(`document.getElementById("time").textContent`); !strings.HasPrefix(s, "−") {
		t.Errorf("from pot on the clock starts at %q, expected before 0, at the first light", s)
	}
	see(`(() => { const w = document.getElementById("which"); w.value = "all"; w.dispatchEvent(new Event("change")); document.getElementById("speed").value = "60"; document.getElementById("play").click(); return "" })()`)
	if n := see(shown); n == "4" {
		t.Error("all burns were asked for, and four are shown")
	}
	for tries := 0; see(`document.getElementById("said").textContent`) == ""; tries++ {
		if tries > 200 {
			t.Fatal("nothing was said of a boil")
		}
		time.Sleep(20 * time.Millisecond)
	}
	if s := see(`document.getElementById("play").textContent`); s != "Pause" {
		t.Errorf("while the burns run the button reads %q", s)
	}
}
