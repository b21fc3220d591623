package report

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"fairburn/browsertest"
)

// pageURL writes the report of the invented trial and returns where it is.
func pageURL(t *testing.T) string {
	t.Helper()
	v, r := judged(invented())
	name := filepath.Join(t.TempDir(), "report.html")
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := HTML(f, v, r, Options{Version: "test"}); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return "file://" + name
}

// openAt sets the width and colour scheme and opens the page.
func openAt(t *testing.T, ctx context.Context, url string, width int64, scheme string) {
	t.Helper()
	if err := browsertest.Look(ctx, browsertest.View{Width: width, Height: 844, Phone: width < 600, Scheme: scheme}); err != nil {
		t.Fatal(err)
	}
	if err := chromedp.Do(ctx, chromedp.Navigate(url)); err != nil {
		t.Fatal(err)
	}
}

// value evaluates a script in the page.
func value[T any](t *testing.T, ctx context.Context, script string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script))
	if err != nil {
		t.Fatalf("%s: %v", script, err)
	}
	return v
}

func TestReportInABrowser(t *testing.T) {
	t.Parallel()
	ctx, url := browsertest.Context(t), pageURL(t)

	t.Run("fits every width", func(t *testing.T) {
		for _, width := range []int64{360, 390, 768, 1280} {
			openAt(t, ctx, url, width, "light")
			if over := value[float64](t, ctx, "document.documentElement.scrollWidth - window.innerWidth"); over > 0 {
				t.Errorf("at %d px the page is %g px too wide", width, over)
			}
		}
	})

	t.Run("follows the system and the switch", func(t *testing.T) {
		ground := "getComputedStyle(document.body).backgroundColor"
		openAt(t, ctx, url, 390, "light")
		paper := value[string](t, ctx, ground)
		openAt(t, ctx, url, 390, "dark")
		night := value[string](t, ctx, ground)
		if paper == night {
			t.Errorf("the ground is %s in light and in dark", paper)
		}
		value[bool](t, ctx, "document.getElementById('theme').click() || true")
		if got := value[string](t, ctx, ground); got != paper {
			t.Errorf("the switch gave %s, expected the paper ground %s", got, paper)
		}
	})

	t.Run("tips come by keyboard", func(t *testing.T) {
		openAt(t, ctx, url, 1280, "light")
		if _, err := chromedp.Call(ctx, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true}); err != nil {
			t.Fatal(err)
		}
		tip := value[string](t, ctx, `(() => {
			const seen = [...document.querySelectorAll("[data-tip]")].find(e => e.getBoundingClientRect().width > 0);
			seen.focus();
			const tip = document.getElementById("tip");
			return tip.hidden ? "" : tip.textContent;
		})()`)
		if tip == "" {
			t.Error("no tip is shown for a focused point")
		}
	})

	t.Run("reads without script", func(t *testing.T) {
		if _, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
			t.Fatal(err)
		}
		openAt(t, ctx, url, 390, "light")
		png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
		if err != nil || len(png) < 10_000 {
			t.Errorf("the page without script is %d bytes of picture, %v", len(png), err)
		}
	})

	t.Run("prints", func(t *testing.T) {
		pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize(), chromedp.PDFPrintBackground()))
		if err != nil || len(pdf) < 20_000 {
			t.Errorf("the print is %d bytes, %v", len(pdf), err)
		}
	})
}
