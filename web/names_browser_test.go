package web

import (
	"net/url"
	"strings"
	"testing"
)

// hostile is a name that a page must show as it is.
const hostile = `<img src=x onerror="window.__pwned=1">"'` + "`" + `{{.}}${1}</script><script>window.__pwned=1</script>`

// TestNames brings trials whose names are markup, very long, or of other scripts
// onto the bench and reads every page of them on a phone.
func TestNames(t *testing.T) {
	t.Parallel()
	for name, n := range map[string]string{
		"markup":  hostile,
		"long":    strings.Repeat("Brennerchenversuchsanordnung", 4), // 112 of the 140 bytes that a title may take
		"Arabic":  "موقد الكحول الصغير «٣»",
		"Hindi":   "छोटा स्पिरिट बर्नर १६ छेद",
		"Chinese": "十六孔酒精炉子对比试验，第三轮",
	} {
		t.Run(name, func(t *testing.T) {
			s := newStand(t)
			data := strings.NewReplacer(quoted(demoTitle), tomlString(n), `"Tansy"`, tomlString(n)).Replace(demoHead(t))
			take(t, s.Site, data)
			sent(t, s.Site, at("trial", n, "setup"), url.Values{"station": {"1"}, "entry": {n}, "go_on": {"yes"}})
			device := string([]rune(n)[:min(len([]rune(n)), 30)])
			x := pair(t, s, device)
			pages := [][]string{{""}, {"trial", n, "burn", "1"}}
			if n == hostile {
				pages = append(pages, []string{"trial", n}, []string{"trial", n, "plan"}, []string{"trial", n, "verdict"}, []string{"trial", n, "entries"}, []string{"trial", n, "edit"}, []string{"trial", n, "setup"}, []string{"shelf"}, []string{"journal"})
			}
			for _, parts := range append(pages, []string{"trial", n, "bench"}) {
				x.open(s.phone(parts...))
				x.until("document.readyState === 'complete'")
				if eval[bool](x, "window.__pwned !== undefined") {
					t.Fatalf("%q: a name ran as script", parts)
				}
				if !eval[bool](x, "document.body.textContent.includes(%s)", quoted(n)) && parts[0] == "trial" {
					t.Errorf("%q does not show the name: %s", parts, eval[string](x, "document.body.innerText"))
				}
				if over := eval[float64](x, "document.documentElement.scrollWidth - window.innerWidth"); over > 0 {
					t.Errorf("%q is %g px too wide: %s", parts, over, widest(x))
				}
			}
			x.press(".next:not([hidden])")
			x.delivered()
			x.until("document.querySelector('.log').textContent.includes(%s)", quoted(device))
			x.shot("names-" + name)
		})
	}
}

// widest tells which innermost elements reach beyond the screen.
func widest(x *tab) string {
	return eval[string](x, `[...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > innerWidth + 1 && ![...e.children].some(c => c.getBoundingClientRect().right > innerWidth + 1)).slice(0, 5).map(e => e.tagName + "." + e.className + " in " + e.parentElement.tagName + "." + e.parentElement.className).join("; ")`)
}

// demoHead is the demo trial without its burns, as a sheet.
func demoHead(t *testing.T) string {
	t.Helper()
	head, _, _ := strings.Cut(demoSheet(t), "[[burn]]")
	return head
}

// tomlString writes any text as TOML does.
func tomlString(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}
