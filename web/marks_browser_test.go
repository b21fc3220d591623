package web

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/burn"
)

// mark presses something and says between which times that was.
func (x *tab) mark(selector string) (from, to time.Time) {
	x.Helper()
	from = time.Now()
	x.press(selector)
	return from, time.Now()
}

// heldAt checks that a moment stands once and in the time in which it was pressed,
// within the half-width that is stated for it.
func heldAt(t *testing.T, s *stand, id, what string, from, to time.Time) {
	t.Helper()
	m := moment(t, s.Site, id, what)
	if m.Within > 2*time.Second { // on a machine with much else to do an answer takes its time
		t.Errorf("%s is known to %v only", what, m.Within)
	}
	if m.At.Before(from.Add(-m.Within)) || m.At.After(to.Add(m.Within+time.Millisecond)) {
		t.Errorf("%s stands at %v: pressed between %v and %v", what, m.At, from, to)
	}
}

// TestServerAwayInMidBurn stops the server under a burning flame, marks, and starts
// it again on the same port and file.
func TestServerAwayInMidBurn(t *testing.T) {
	t.Parallel()
	s, x := atTheFlame(t)
	x.press(".next:not([hidden])")
	x.delivered()

	s.stop()
	type span struct{ from, to time.Time }
	pressed := map[string]span{}
	for _, what := range []string{"bloom", "pot_on", "spill"} {
		from, to := x.mark(":is(.marks, .faults) button[value=" + what + "]")
		pressed[what] = span{from, to}
	}
	x.until(`/No answer from the bench.*marks are kept on this device \(3 now\).*do not load it anew/.test(document.getElementById("line").textContent)`)
	x.shot("away")
	before := x.text(".clock")
	x.until("document.querySelector('.clock').textContent !== %s", quoted(before)) // it goes on
	if got := eval[int](x, "document.querySelectorAll('.log .waiting').length"); got != 3 {
		t.Errorf("%d marks are shown as kept on the device, wanted 3", got)
	}

	s.start()
	x.delivered()
	if got, want := held(s.Site, "1"), []string{"light", "bloom", "pot_on", "spill"}; !slices.Equal(got, want) {
		t.Errorf("the bench has %v, wanted %v", got, want)
	}
	for what, p := range pressed {
		heldAt(t, s, "1", what, p.from, p.to)
	}
	x.until("document.querySelectorAll('.log li').length === 4 && !document.querySelector('.log .waiting')")
}

// TestAnswerLost keeps presses and loses what is said of it: the page sends again,
// the bench keeps each once.
func TestAnswerLost(t *testing.T) {
	t.Parallel()
	s, x := atTheFlame(t)
	s.deaf.Store(true)
	from, to := x.mark(".next:not([hidden])")
	for deadline := time.Now().Add(patience); s.lost.Load() < 2; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatal("the page did not send again")
		}
	}
	x.until("document.querySelectorAll('.log li').length === 1") // the bench tells of it, the page has it once
	s.deaf.Store(false)
	x.delivered()
	heldAt(t, s, "1", "light", from, to)
	if n := len(s.Bench.Moments(demoTitle, "1")); n != 2 {
		t.Errorf("%d moments are kept, wanted ready and light", n)
	}
	x.until("!document.querySelector('.log .waiting')")
}

// pair opens a browser of its own and pairs it through the page of the guard.
func pair(t *testing.T, s *stand, name string) *tab {
	t.Helper()
	key, err := s.devices.NewKey()
	if err != nil {
		t.Fatal(err)
	}
	x := newTab(t, phoneScreen)
	x.open(s.phone("pair", key.Text))
	x.fill("#name", name)
	x.follow("main button")
	return x
}

// TestTwoPhones lets two phones, one with a clock 90 seconds fast that gains, watch
// one flame.
func TestTwoPhones(t *testing.T) {
	t.Parallel()
	s := newStand(t)
	unburned(t, s.Site)
	ready(t, s.Site, 1, "Tansy")
	page := s.phone("trial", demoTitle, "bench")
	left, right := pair(t, s, "left"), pair(t, s, "right")
	right.before("window.__date = 90000; window.__drift = 1e-4;")
	lit(left, page)
	lit(right, page)

	from, to := left.mark(".next:not([hidden])")
	heldOnBoth := "document.querySelectorAll('.log li').length === %d"
	right.until(heldOnBoth, 1) // nobody loads the page anew
	left.delivered()
	heldAt(t, s, "1", "light", from, to)
	from, to = right.mark(".next:not([hidden])")
	left.until(heldOnBoth, 2)
	heldAt(t, s, "1", "bloom", from, to)
	if m := moment(t, s.Site, "1", "bloom"); m.Device != "right" {
		t.Errorf("bloom is said to be by %q", m.Device)
	}
	sameClock(t, s, left, right)

	left.mark(".marks button[value=boil]")
	left.delivered()
	right.until("document.querySelector('.marks button[value=boil].has')")
	right.press(".agos label:nth-of-type(4)") // ten seconds ago
	right.mark(".marks button[value=boil]")
	right.delivered()
	for _, x := range []*tab{left, right} {
		x.until("[...document.querySelectorAll('.log li strong')].filter(e => /more than once/.test(e.textContent)).length === 2")
		x.shot("rival")
	}
	settle(t, s, left)
}

// sameClock holds the marks of both phones to within 25 ms of the moment on the
// bench's clock, so to within 50 ms of each other, or to what the mark itself says
// where this machine has too much to do for that.
func sameClock(t *testing.T, s *stand, phones ...*tab) {
	t.Helper()
	const half = 25 * time.Millisecond
	for i, x := range phones {
		looks := x.faultsByScript()
		x.delivered()
		device := []string{"left", "right"}[i]
		for _, m := range s.Bench.Moments(demoTitle, "1") {
			at, ok := looks[m.What]
			half := max(half, m.Within)
			if ok && m.Device == device && (m.At.Before(at[0].Add(-half)) || m.At.After(at[1].Add(half))) {
				t.Errorf("%s by %s at %v: pressed between %v and %v", m.What, device, m.At, at[0], at[1])
			}
		}
	}
}

// settle looks at the rivals on the page of the burn and chooses the second.
func settle(t *testing.T, s *stand, x *tab) {
	t.Helper()
	x.open(s.own("trial", demoTitle, "burn", "1"))
	x.until("document.querySelectorAll('form[action$=settle]').length === 2")
	if text := x.text("main"); !strings.Contains(text, "disagrees") || !strings.Contains(text, "left") || !strings.Contains(text, "right") {
		t.Errorf("the page of the burn says of the rivals: %s", text)
	}
	x.follow("form[action$=settle] button")
	boil := moment(t, s.Site, "1", "boil")
	if boil.State != "holds" {
		t.Errorf("boil %s after settling", boil.State)
	}
	all := slices.DeleteFunc(s.Bench.Moments(demoTitle, "1"), func(m bench.Moment) bool { return m.What != "boil" })
	if len(all) < 2 {
		t.Errorf("%d moments of the boil are kept, wanted both", len(all))
	}
}

// faultsByScript presses every fault at once, each between two looks at the time,
// and returns the looks by what was pressed.
func (x *tab) faultsByScript() map[string][2]time.Time {
	x.Helper()
	looks := map[string][2]time.Time{}
	for _, what := range burn.FaultKinds() {
		from := time.Now()
		eval[bool](x, "document.querySelector('.faults button[value=%s]').click() || true", what)
		looks[string(what)] = [2]time.Time{from, time.Now()}
	}
	return looks
}
