package web

import (
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"fairburn/bench"
)

// TestScriptOff times a burn by forms alone.
func TestScriptOff(t *testing.T) {
	t.Parallel()
	s := newStand(t)
	unburned(t, s.Site)
	x := newTab(t, phoneScreen)
	_, err := chromedp.Call(x.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	x.must(err)
	x.open(s.own("trial", demoTitle, "bench"))
	x.follow(".coming a.lead")
	x.follow("button.big-button") // nothing is filled in: it is asked for once
	if !strings.Contains(x.text(".caution"), "Missing") {
		t.Fatalf("the page does not say what is missing: %s", x.text("main"))
	}
	x.press("input[name=go_on]")
	x.follow("button.big-button")
	offers := func(want string) {
		t.Helper()
		if got := eval[string](x, bigLabel, 1); got != want {
			t.Fatalf("the page offers %q, wanted %q", got, want)
		}
	}
	offers("light")
	x.follow(".next:not([hidden])")
	offers("bloom")
	x.press(".agos label:nth-of-type(5)") // half a minute ago
	x.follow(".marks button[value=bloom]")
	bloom, light := moment(t, s.Site, "1", "bloom"), moment(t, s.Site, "1", "light")
	if ago := light.At.Sub(bloom.At).Seconds(); ago > 30 || ago < 30-patience.Seconds() {
		t.Errorf("bloom is %.1f s before light, wanted about half a minute", ago)
	}
	if undo := x.text(".undo"); undo != "Undo: light 0:00.0" && !strings.HasPrefix(undo, "Undo: light") {
		t.Errorf("the page would undo %q", undo)
	}
	x.follow(".marks button[value=unseen]")
	offers("")
	x.follow("button[name=undo][value=unseen]") // it still burns
	offers("pot on")
	x.follow(".faults button[value=spill]")
	x.follow(".undo")
	x.follow(".marks button[value=boil]")
	x.follow(".marks button[value=unseen]")
	x.shot("no-script-unseen")
	x.follow("button[value=out]")
	if x.text(".ended") == "" {
		t.Errorf("the burn has not ended: %s", x.text("main"))
	}
	got := held(s.Site, "1")
	slices.Sort(got)
	if want := []string{"bloom", "boil", "light", "out", "unseen"}; !slices.Equal(got, want) {
		t.Errorf("the bench has %v, wanted %v", got, want)
	}
	if n := len(s.Bench.Moments(demoTitle, "1")); n < 8 {
		t.Errorf("only %d moments are kept: what was undone is gone", n)
	}
}

// TestKeyboard times a burn without a pointer.
func TestKeyboard(t *testing.T) {
	t.Parallel()
	s := newStand(t)
	unburned(t, s.Site)
	ready(t, s.Site, 1, "Tansy")
	ready(t, s.Site, 2, "Burdock")
	x := newTab(t, desktopScreen)
	lit(x, s.own("trial", demoTitle, "bench"))
	if got := eval[string](x, "[...document.querySelectorAll('.bay')].map(b => b.dataset.bay).join()"); got != "1" {
		t.Fatalf("stations %s are shown, wanted 1: nothing burns at the other", got)
	}
	eval[bool](x, "document.querySelector('.tools summary').click() || true")
	x.fill("#stations", "2")
	x.follow(".tools form button")
	x.until("document.getElementById('line').textContent.startsWith('Every mark')")

	x.key(" ") // light at the first
	x.key(kb.ArrowDown)
	x.until("document.querySelector('.bay.active').dataset.bay === '2'")
	x.key("l")
	x.key("P")
	x.key("1")
	x.key("u")
	x.delivered()
	if got := held(s.Site, "2"); !slices.Equal(got, []string{"light", "pot_on"}) {
		t.Errorf("station 2 has %v of %+v", got, s.Bench.Moments(demoTitle, "2"))
	}
	if got := held(s.Site, "1"); !slices.Equal(got, []string{"light"}) {
		t.Errorf("station 1 has %v", got)
	}
	x.key("o") // out is offered by the snuffer test alone
	x.key("i")
	x.until("!document.querySelector('.bay[data-bay=\"2\"] .unseen').hidden")
	x.key(" ") // and nothing is expected but the test
	x.delivered()
	if got := held(s.Site, "2"); !slices.Equal(got, []string{"light", "pot_on", "unseen"}) {
		t.Errorf("station 2 has %v of %+v", got, s.Bench.Moments(demoTitle, "2"))
	}
	focusOrder(t, x)
	// What happens at one station leaves the focus where it is at the other.
	eval[bool](x, "document.querySelector('.bay[data-bay=\"1\"] .marks button[value=boil]').focus() || true")
	press := bench.Press{Nonce: newNonce(), Title: demoTitle, Burn: "2", What: "out", At: s.now(), Pressed: s.now()}
	if err := s.Bench.Press(t.Context(), []bench.Press{press}); err != nil {
		t.Fatal(err)
	}
	x.until("document.querySelector('.bay[data-bay=\"2\"] .ended')")
	if got := eval[string](x, "document.activeElement.value"); got != "boil" {
		t.Errorf("the focus is on %q, wanted the boil of station 1", got)
	}
	x.key(kb.Enter)
	x.delivered()
	if got := held(s.Site, "1"); !slices.Equal(got, []string{"light", "boil"}) {
		t.Errorf("station 1 has %v", got)
	}
}

// focusOrder walks through the page by Tab: every stop is seen, within its station
// the order is that of the page.
func focusOrder(t *testing.T, x *tab) {
	t.Helper()
	eval[bool](x, "document.activeElement.blur() || true")
	var seen []string
	for range 120 {
		x.key(kb.Tab)
		at := eval[string](x, `(() => { const e = document.activeElement; if (!e || e === document.body) return ""; e.__n = e.__n || (window.__stops = (window.__stops || 0) + 1);
			const s = getComputedStyle(e), lab = e.type === "radio" ? getComputedStyle(e.nextElementSibling) : s;
			const shown = e.offsetParent !== null || s.position === "fixed";
			return [e.__n, e.tagName, e.value || e.textContent.trim().slice(0, 20), shown, lab.outlineStyle !== "none" && lab.outlineWidth !== "0px"].join("|"); })()`)
		if at == "" || slices.Contains(seen, at) {
			break
		}
		if !strings.HasSuffix(at, "|true|true") {
			t.Errorf("stop %s: not to be seen, or without a mark of the focus", at)
		}
		seen = append(seen, at)
	}
	if len(seen) < 30 {
		t.Errorf("%d stops by Tab: %v", len(seen), seen)
	}
}
