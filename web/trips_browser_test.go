package web

import (
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Days changed by the keyboard change the answer without a new page, the keyboard
// stays where it was, and what is slow comes after.
func TestAnAnswerFollowsTheKeyboard(t *testing.T) {
	t.Parallel()
	s := newStand(t)
	take(t, s.Site, demoSheet(t))
	walk(t, s.Site, "weekend.toml")
	before := recordsOf(t, s.Site)
	x := newTab(t, phoneScreen)
	x.open(s.own("trip", weekend))
	x.until(`!document.getElementById("rest")`) // days and what it hangs on came by themselves
	was := x.text(".sentence")
	eval[bool](x, `window.stays = true`)
	eval[bool](x, `document.getElementById("ask-days").focus() || true`)
	x.key(kb.ArrowUp) // 3 days
	x.until(`document.querySelector(".sentence").textContent !== %s && !document.getElementById("rest")`, quoted(was))
	if !eval[bool](x, `window.stays === true && document.activeElement.id === "ask-days" && document.getElementById("ask-days").value === "3" && location.search.includes("days=3")`) {
		t.Error("the page was loaded anew, or the keyboard was moved")
	}
	if said := x.text("#said"); said != x.text(".sentence") {
		t.Errorf("a screen reader hears %q", said)
	}
	if three := sentenceOf(t, page(t, s.Site, at("trip", weekend)+"?days=3")); eval[string](x, `document.querySelector(".sentence").innerHTML`) != eval[string](x, `(d => { d.innerHTML = %s; return d.innerHTML })(document.createElement("p"))`, quoted(three)) {
		t.Error("the page says something else than its address:", x.text(".sentence"), three)
	}
	typeDays := func(days string) {
		eval[bool](x, `(e => { e.value = %s; return e.dispatchEvent(new Event("input", {bubbles: true})) })(document.getElementById("ask-days"))`, quoted(days))
	}
	typeDays("0")
	x.until(`!!document.querySelector("#answered .fault")`)
	if words := x.text("#answered .fault"); words == "" || x.text("#said") != words {
		t.Error(words)
	}
	if n := recordsOf(t, s.Site); n != before {
		t.Errorf("%d records were made by asking", n-before)
	}
	s.stop()
	typeDays("4")
	x.until(`document.getElementById("said").textContent.startsWith("The bench did not answer")`)
}

// Without script a button asks, and another keeps.
func TestATripIsAskedWithoutScript(t *testing.T) {
	t.Parallel()
	s := newStand(t)
	take(t, s.Site, demoSheet(t))
	walk(t, s.Site, "weekend.toml")
	x := newTab(t, phoneScreen)
	_, err := chromedp.Call(x.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	x.must(err)
	x.open(s.own("trip", weekend))
	x.fill("#ask-days", "4")
	x.follow("#ask-now")
	if days := x.text(".sentence"); days == "" {
		t.Error("no answer")
	}
	x.follow("#keep")
	if n := tripOn(t, s.Site, weekend).Legs[0].Days; n != 4 {
		t.Errorf("%d days were kept, expected 4", n)
	}
}
