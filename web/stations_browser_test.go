package web

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// threeReady is a bench with three stations, each with a burn to be lit.
func threeReady(t *testing.T) *stand {
	t.Helper()
	s := newStand(t)
	unburned(t, s.Site)
	for i, entry := range []string{"Tansy", "Burdock", "Sorrel"} {
		ready(t, s.Site, i+1, entry)
	}
	return s
}

// inSight are the stations whose clock and large button are on the screen, and shown
// those whose other marks are to be seen at all.
const (
	inSight = `[...document.querySelectorAll(".bay")].filter(b => [".clock", ".next:not([hidden])"].every(s => { const r = b.querySelector(s)?.getBoundingClientRect(); return r && r.height > 40 && r.top >= 0 && r.bottom <= innerHeight; })).map(b => b.dataset.bay).join()`
	shown   = `[...document.querySelectorAll(".bay")].filter(b => b.querySelector(".marks button[value=boil]").checkVisibility()).map(b => b.dataset.bay).join()`
	ofBay   = `.bay[data-bay="%d"] %s`
)

func showStations(x *tab, n int) {
	x.Helper()
	eval[bool](x, "(document.querySelector('.tools details').open = true)")
	x.fill("#stations", fmt.Sprint(n))
	x.follow(".tools form button")
}

// TestEveryStationInSight holds the clock and the large button of three stations to
// the first screen of a phone, and every other mark of the one in use to one press,
// with script and without.
func TestEveryStationInSight(t *testing.T) {
	t.Parallel()
	for name, off := range map[string]bool{"script": false, "no script": true} {
		t.Run(name, func(t *testing.T) {
			s, x := threeReady(t), newTab(t, phoneScreen)
			_, err := chromedp.Call(x.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: off})
			x.must(err)
			x.open(s.own("trial", demoTitle, "bench"))
			showStations(x, 3)
			press := x.press
			if off {
				press = x.follow
			}
			expect := func(marks string) {
				t.Helper()
				x.until("document.querySelector('.bay')")
				if got := eval[string](x, inSight); got != "1,2,3" {
					t.Errorf("stations %s are in sight, wanted all three", got)
				}
				x.until(shown+" === %s", quoted(marks))
			}
			expect("1")
			press(fmt.Sprintf(ofBay, 2, ".next:not([hidden])"))
			expect("2")
			press(fmt.Sprintf(ofBay, 2, ".marks button[value=boil]"))
			x.press(fmt.Sprintf(ofBay, 3, ".pick label"))
			x.until(shown + ` === "3"`)
			press(fmt.Sprintf(ofBay, 3, ".faults button[value=spill]"))
			if !off {
				x.delivered()
			}
			if two, three := held(s.Site, "2"), held(s.Site, "3"); !slices.Equal(two, []string{"light", "boil"}) || !slices.Equal(three, []string{"spill"}) {
				t.Errorf("station 2 has %v, station 3 %v", two, three)
			}
			x.screen(desktopScreen)
			x.until(shown + ` === "1,2,3"`)
		})
	}
}

// TestUndoneAndPutBack takes a mark back by mistake, and marks one twice.
func TestUndoneAndPutBack(t *testing.T) {
	t.Parallel()
	s, x := atTheFlame(t)
	x.press(".next:not([hidden])")
	s.advance(40*time.Second, x)
	x.press(".marks button[value=bloom]")
	x.delivered()
	bloom := moment(t, s.Site, "1", "bloom")
	x.press(".undo")
	x.until("!document.querySelector('.back').hidden && !document.querySelector('.marks button[value=bloom]').classList.contains('has')")
	x.press(".back")
	x.until("document.querySelector('.back').hidden")
	x.delivered()
	if again := moment(t, s.Site, "1", "bloom"); !again.At.Equal(bloom.At) || again.Nonce == bloom.Nonce {
		t.Errorf("bloom is back at %v, was at %v", again.At, bloom.At)
	}

	s.advance(time.Minute, x)
	x.press(".marks button[value=bloom]")
	x.until("!document.querySelector('.again').hidden && /^0:40/.test(document.querySelector('.was').textContent.replace(/^\\D+/, '')) && /^1:4/.test(document.querySelector('.by').textContent)")
	x.press(".leave")
	x.until("document.querySelector('.again').hidden")
	s.advance(time.Minute, x)
	x.press(".marks button[value=bloom]")
	asked := s.now()
	s.advance(time.Minute, x) // the time is that of the press, not of the answer
	x.press(".replace")
	x.delivered()
	if late := moment(t, s.Site, "1", "bloom"); late.State != "holds" || late.At.Sub(asked).Abs() > patience {
		t.Errorf("bloom %s at %v, pressed at %v", late.State, late.At, asked)
	}
	x.press(".undo") // what was replaced stands again
	x.delivered()
	if again := moment(t, s.Site, "1", "bloom"); !again.At.Equal(bloom.At) {
		t.Errorf("bloom stands at %v, was at %v", again.At, bloom.At)
	}
}

// TestABadPressHoldsUpNone finds in the browser's store what no page of ours wrote.
func TestABadPressHoldsUpNone(t *testing.T) {
	t.Parallel()
	s, x := atTheFlame(t)
	x.press(".next:not([hidden])")
	x.delivered()
	for _, kept := range []string{`{"a": 1}`, `[null, 5, {"nonce": 7}]`, `not JSON`, `[{"nonce": "77", "title": ` + quoted(demoTitle) + `, "burn": "1", "what": "bloom", "at": "noon", "within": 1}]`} {
		eval[bool](x, "localStorage.setItem('fairburn presses', %s) || true", quoted(kept))
		x.open(s.own("trial", demoTitle, "bench"))
		x.press(".faults button[value=spill]")
		x.delivered()
	}
	if got := held(s.Site, "1"); !slices.Equal(got, []string{"light", "spill", "spill", "spill", "spill"}) {
		t.Errorf("the bench has %v", got)
	}
	x.until("/bloom.*not taken/.test(document.querySelector('.log .refused')?.textContent)")
}

// TestAnotherTabOverwrites lets another tab write the store over what this one wrote.
func TestAnotherTabOverwrites(t *testing.T) {
	t.Parallel()
	s, x := atTheFlame(t)
	x.press(".next:not([hidden])")
	x.delivered()
	s.stop()
	x.press(".faults button[value=spill]")
	eval[bool](x, `(() => {
		const p = JSON.parse(localStorage.getItem("fairburn presses"))[0];
		localStorage.setItem("fairburn presses", JSON.stringify([{...p, nonce: "%032x", what: "relit"}]));
		return true;
	})()`, 99)
	s.start()
	x.delivered()
	if got := held(s.Site, "1"); len(got) != 3 || !slices.Contains(got, "spill") || !slices.Contains(got, "relit") {
		t.Errorf("the bench has %v", got)
	}
	x.until("document.querySelectorAll('.log li').length === 3 && localStorage.getItem('fairburn presses') === '[]'")
}

// TestTheBenchSetsItsClock sets the clock of the bench under an open page, and holds
// the line that is read out to silence while nothing is to be told.
func TestTheBenchSetsItsClock(t *testing.T) {
	t.Parallel()
	s, x := atTheFlame(t)
	const compared = "performance.getEntriesByType('resource').filter(e => e.name.endsWith('/clock')).length"
	x.until(compared + " > 5")
	eval[bool](x, "(window.__told = 0, new MutationObserver(l => { window.__told += l.length; }).observe(document.getElementById('line'), {childList: true, subtree: true, characterData: true}), true)")
	before := eval[int](x, compared)
	eval[bool](x, "window.dispatchEvent(new Event('online'))")
	x.until("%s >= %d", compared, before+5)
	if told := eval[int](x, "window.__told"); told > 0 {
		t.Errorf("the line changed %d times", told)
	}
	s.turn.Lock()
	s.ahead.Add(int64(-20 * time.Minute))
	s.turn.Unlock()
	before = eval[int](x, compared)
	eval[bool](x, "window.dispatchEvent(new Event('online'))")
	x.until("%s >= %d", compared, before+5)
	from := s.now()
	x.press(".next:not([hidden])")
	x.delivered()
	heldAt(t, s, "1", "light", from, s.now())
}
