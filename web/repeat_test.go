package web

import (
	"bytes"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"fairburn/bench"
	"fairburn/journal"
	"fairburn/journal/journaltest"
)

const repeatedTitle = "Three of the four, built again"

// another is a bench of another tester who repeated the demo trial.
func another(t *testing.T) (give func(to *Site), s *Site) {
	t.Helper()
	store := journaltest.NewMemory()
	b, err := bench.Open(t.Context(), store, bench.Tester{
		Key: journaltest.NewMaker(2).Key, Name: "Wick", Now: time.Now, Random: rand.NewChaCha8([32]byte{7}),
	})
	if err != nil {
		t.Fatal(err)
	}
	s = &Site{Config: Config{Bench: b}}
	data, err := os.ReadFile("../docs/examples/repeated.toml")
	if err != nil {
		t.Fatal(err)
	}
	take(t, s, string(data))
	return func(to *Site) {
		var file bytes.Buffer
		if _, err := journal.WriteExchange(&file, store.Since(t.Context(), 0, journal.Whole)); err != nil {
			t.Fatal(err)
		}
		if _, err := to.Bench.Merge(t.Context(), &file, "Wick"); err != nil {
			t.Fatal(err)
		}
	}, s
}

// repeatedSite merges that bench into a site's.
func repeatedSite(t *testing.T, s *Site) {
	t.Helper()
	give, _ := another(t)
	give(s)
}

func TestVerdictSaysWhatOthersFound(t *testing.T) {
	s := newSite(t)
	if body := page(t, s, at("trial", demoTitle, "verdict")); strings.Contains(body, `id="testers"`) {
		t.Error("one tester's verdict speaks of testers")
	}
	repeatedSite(t, s)
	body := page(t, s, at("trial", demoTitle, "verdict"))
	for _, want := range []string{`<a href="#testers">1 other tester repeated this.</a> It holds for every tester`, `id="testers"`, "Whose burns are whose", `id="chart-testers-f_ref_g"`} {
		if !strings.Contains(body, want) {
			t.Errorf("lacks %q", want)
		}
	}
	if other := page(t, s, at("trial", repeatedTitle, "verdict")); !strings.Contains(other, "This repeats "+demoTitle+", of which there are burns by 2 testers.") {
		t.Error("the repeat does not say what it repeats")
	}
	if trial := page(t, s, at("trial", repeatedTitle)); !strings.Contains(trial, "Repeats “"+demoTitle+"”.") {
		t.Error("the page of the repeat does not name what it repeats")
	}
	if text := get(t, s, at("trial", demoTitle, "verdict.json")).Body.String(); !strings.Contains(text, `"class": "holds for every tester"`) {
		t.Error("no testers in the JSON")
	}
	if text := get(t, s, at("trial", demoTitle, "report.html")).Body.String(); !strings.Contains(text, `id="testers"`) {
		t.Error("no testers in the report")
	}
}

// What another tester changes in their trial shows on the page of the first.
func TestTestersFollowTheBurnsOfOthers(t *testing.T) {
	s := newSite(t)
	give, wick := another(t)
	give(s)
	before := page(t, s, at("trial", demoTitle, "verdict"))
	if page(t, s, at("trial", demoTitle, "verdict")) != before {
		t.Error("two readings differ")
	}
	x, _, err := wick.Bench.Trial(repeatedTitle)
	if err != nil {
		t.Fatal(err)
	}
	own := *x
	own.Burns = slices.Clone(x.Burns)
	own.Burns[2].Void = "the lid slid off"
	if r, err := wick.Bench.Take(t.Context(), &own, bench.Correct); err != nil {
		t.Fatal(err, r.Findings)
	}
	give(s)
	after := page(t, s, at("trial", demoTitle, "verdict"))
	if after == before || !strings.Contains(after, "(void: 3)") {
		t.Error("a burn of the repeat was left out and the page is the same")
	}
}

// The page keeps every rule with testers on it, by day and by night.
func TestTestersOnEveryScreen(t *testing.T) {
	t.Parallel()
	s := newStand(t)
	take(t, s.Site, demoSheet(t))
	repeatedSite(t, s.Site)
	x := newTab(t, phoneScreen)
	for _, v := range []struct {
		name, scheme string
		screen       emulation.SetDeviceMetricsOverrideParams
	}{{"phone", "light", phoneScreen}, {"phone", "dark", phoneScreen}, {"desktop", "light", desktopScreen}} {
		x.screen(v.screen)
		media := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: v.scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}}}
		_, err := chromedp.Call(x.ctx, emulation.SetEmulatedMedia, media)
		x.must(err)
		x.open(s.own("trial", demoTitle, "verdict"))
		for _, bad := range slices.Compact(eval[[]string](x, rules)) {
			t.Errorf("%s %s: %s", v.name, v.scheme, bad)
		}
		if drawn := eval[int](x, `[...document.querySelectorAll("#testers figure svg.drawing")].filter(e => e.getClientRects().length > 0).length`); drawn != 3 {
			t.Errorf("%s %s: %d drawings of testers are seen, expected 3", v.name, v.scheme, drawn)
		}
		x.shot("testers-" + v.name + "-" + v.scheme)
	}
}
