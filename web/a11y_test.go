package web

import (
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"fairburn/station"
)

// rules are looked at in every page; each comes to a list of what breaks it.
// Source: WCAG 2.2, success criteria 1.3.1, 1.4.3, 1.4.10, 2.5.8, 3.1.1, 4.1.2; the
// contrast is that of its definition "contrast ratio".
const rules = `(() => {
  const bad = [], all = s => [...document.querySelectorAll(s)], seen = e => e.checkVisibility({visibilityProperty: true}) && e.getClientRects().length > 0 && !e.closest(".skip, .quiet, .sprite");
  const tell = e => (e.outerHTML || "").slice(0, 110);
  if (!document.documentElement.lang) bad.push("no language");
  if (!document.title) bad.push("no title");
  if (all("h1").length !== 1) bad.push(all("h1").length + " headings of the first level");
  let level = 0;
  all("h1,h2,h3,h4,h5,h6").filter(e => e.checkVisibility()).forEach(h => { const l = Number(h.tagName[1]); if (l > level + 1) bad.push("heading skips a level: " + tell(h)); level = l; });
  const ids = {};
  all("[id]").forEach(e => { if (ids[e.id]) bad.push("id twice: " + e.id); ids[e.id] = true; });
  all("[aria-labelledby],[aria-describedby]").forEach(e => ["aria-labelledby", "aria-describedby"].forEach(a => (e.getAttribute(a) || "").split(" ").filter(Boolean).forEach(i => { if (!document.getElementById(i)) bad.push(a + " of nothing: " + tell(e)); })));
  if (document.documentElement.scrollWidth > innerWidth) bad.push("too wide by " + (document.documentElement.scrollWidth - innerWidth));
  const control = "a[href],button,input:not([type=hidden]),select,textarea,summary";
  all(control).filter(seen).forEach(e => {
    const name = (e.getAttribute("aria-label") || (e.labels && [...e.labels].map(l => l.textContent).join(" ")) || (e.matches("a,button,summary") ? e.textContent : "") || "").trim();
    if (!name) bad.push("no name: " + tell(e));
    const inline = e.matches("a") && getComputedStyle(e).display === "inline" || e.closest("svg");
    const box = e.labels && e.labels.length && e.matches("[type=checkbox],[type=radio]") ? e.labels[0].getBoundingClientRect() : e.getBoundingClientRect();
    const least = document.getElementById("timing") && e.closest(".bay") ? 48 : 44;
    if (!inline && (box.height < least - 0.5 || box.width < least - 0.5 && !e.matches("a"))) bad.push("small: " + Math.round(box.width) + "x" + Math.round(box.height) + " " + tell(e));
  });
  all("img").forEach(e => { if (!e.hasAttribute("alt")) bad.push("picture without words: " + tell(e)); });
  const rgb = c => { const m = c.match(/[\d.]+/g).map(Number); return m.length > 3 ? m : [...m, 1]; };
  const light = c => { const f = v => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }; return 0.2126 * f(c[0]) + 0.7152 * f(c[1]) + 0.0722 * f(c[2]); };
  const over = (a, b) => [0, 1, 2].map(i => a[i] * a[3] + b[i] * (1 - a[3])).concat(1);
  const ground = e => { let c = [0, 0, 0, 0]; for (let x = e; x && c[3] < 1; x = x.parentElement) { const b = rgb(getComputedStyle(x).backgroundColor); if (b[3] > 0) c = c[3] === 0 ? b : over(c, b); } return c[3] < 1 ? over(c, [255, 255, 255, 1]) : c; };
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), done = new Set();
  while (walk.nextNode()) {
    const e = walk.currentNode.parentElement;
    if (!walk.currentNode.textContent.trim() || done.has(e) || e.closest("svg,script,style") || !seen(e) || e.closest(":disabled")) continue;
    done.add(e);
    const s = getComputedStyle(e), g = ground(e), t = over(rgb(s.color), g), a = light(t), b = light(g);
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05), px = parseFloat(s.fontSize), big = px >= 24 || px >= 18.66 && Number(s.fontWeight) >= 700;
    if (ratio < (big ? 3 : 4.5)) bad.push("contrast " + ratio.toFixed(2) + ": " + tell(e));
  }
  return bad;
})()`

// TestEveryPage follows the links of a bench with a burning station to one page of
// each kind and holds it to the rules, on a phone, a narrow phone and a desktop, by
// day and by night.
func TestEveryPage(t *testing.T) {
	t.Parallel()
	s := newStand(t)
	take(t, s.Site, demoSheet(t))
	walk(t, s.Site, "weekend.toml")
	ready(t, s.Site, 1, "Tansy")
	sent(t, s.Site, "/marks", url.Values{"title": {demoTitle}, "burn": {station.NextID(take(t, s.Site, demoSheet(t)))}, "nonce": {newNonce()}, "what": {"light"}})
	x := newTab(t, phoneScreen)
	narrow := phoneScreen
	narrow.Width = 320
	seen := map[string]bool{}
	for queue := []string{"/"}; len(queue) > 0; queue = queue[1:] {
		path := queue[0]
		kind := kindOf(path)
		if seen[kind] {
			continue
		}
		seen[kind] = true
		for _, v := range []struct {
			name, scheme string
			screen       emulation.SetDeviceMetricsOverrideParams
		}{{"phone", "light", phoneScreen}, {"narrow", "dark", narrow}, {"desktop", "light", desktopScreen}} {
			x.screen(v.screen)
			media := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: v.scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}}}
			_, err := chromedp.Call(x.ctx, emulation.SetEmulatedMedia, media)
			x.must(err)
			if v.name == "phone" {
				x.open("http://localhost:" + s.port + path)
			}
			for _, bad := range slices.Compact(eval[[]string](x, rules)) {
				t.Errorf("%s, %s %s: %s", path, v.name, v.scheme, bad)
			}
		}
		if words := invites(eval[string](x, "document.body.innerText")); words != "" && strings.HasSuffix(path, "/bench") {
			t.Errorf("%s invites adding fuel while a burn is open: %q", path, words)
		}
		queue = append(queue, eval[[]string](x, `[...document.querySelectorAll("a[href^='/']")].filter(a => !/\.(toml|csv|html|json|txt|xlsx|db)$/.test(a.pathname)).map(a => a.pathname + a.search)`)...)
	}
	if len(seen) < 12 {
		t.Errorf("only %d kinds of page were found: %v", len(seen), seen)
	}
}

// kindOf is a path without names: the first of each kind stands for all.
func kindOf(path string) string {
	path, _, _ = strings.Cut(path, "?")
	parts := strings.Split(path, "/")
	for i := 2; i < len(parts); i++ {
		switch parts[i-1] {
		case "trial", "trip", "burn", "record", "burner", "photo", "shelf", "history":
			parts[i] = "*"
		}
	}
	return strings.Join(parts, "/")
}

// invites finds words by which a page would ask for fuel to be added.
func invites(text string) string {
	text = strings.ToLower(text)
	for _, words := range []string{"add fuel", "top up", "refuel now", "pour more", "fill up", "refill it", "more fuel in"} {
		if strings.Contains(text, words) {
			return words
		}
	}
	return ""
}

// TestInvites holds the list of words to both sides.
func TestInvites(t *testing.T) {
	if invites("Never refuel a hot burner. Refilled.") != "" || invites("Top up the burner") == "" {
		t.Error("the list of words is wrong")
	}
}
