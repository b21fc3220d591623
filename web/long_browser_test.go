package web

import (
	"slices"
	"testing"
	"time"
)

// TestAnHour leaves a page open for an hour, with something recorded every five minutes.
func TestAnHour(t *testing.T) {
	t.Parallel()
	s, x := atTheFlame(t)
	x.press(".next:not([hidden])")
	x.delivered()
	nodes := func() int {
		return eval[int](x, "document.getElementsByTagName('*').length - document.querySelectorAll('.log *').length")
	}
	before, start := nodes(), time.Now()
	for range 12 {
		s.advance(5*time.Minute, x)
		x.press(".faults button[value=spill]")
		x.press(".undo")
	}
	x.delivered()
	x.until("/^6[0-9]:[0-9][0-9]$/.test(document.querySelector('.clock').textContent)")
	seconds := eval[int](x, "document.querySelector('.clock').textContent.split(':').reduce((m, s) => 60 * m + Number(s), 0)")
	if real := int(time.Since(start).Seconds()) + 2; seconds < 3600 || seconds > 3600+real {
		t.Errorf("the clock shows %d s: wanted 3600 and at most %d more", seconds, real)
	}
	if after := nodes(); after != before {
		t.Errorf("the page grew from %d to %d elements", before, after)
	}
	if got := held(s.Site, "1"); !slices.Equal(got, []string{"light"}) {
		t.Errorf("the bench has %v", got)
	}
	if n := len(s.Bench.Moments(demoTitle, "1")); n != 26 {
		t.Errorf("%d moments are kept, wanted ready, light and 12 that were undone", n)
	}
	x.press(".marks button[value=boil]")
	x.delivered()
	if took := moment(t, s.Site, "1", "boil").At.Sub(moment(t, s.Site, "1", "light").At); took < time.Hour || took > time.Hour+time.Since(start)+time.Second {
		t.Errorf("boil %v after light", took)
	}
}

// TestSlept lets a phone sleep for 25 minutes with a mark that was not delivered:
// its timers stand still, its wall clock does not, the counter of the page does.
func TestSlept(t *testing.T) {
	t.Parallel()
	s, x := atTheFlame(t)
	x.press(".next:not([hidden])")
	x.delivered()
	s.stop()
	from, to := x.mark(".marks button[value=bloom]")
	x.until("/No answer/.test(document.getElementById('line').textContent)")
	eval[bool](x, "(window.__date = 25 * 60000) > 0")
	s.ahead.Add(int64(25 * time.Minute))
	x.until("/^25:/.test(document.querySelector('.clock').textContent)")
	// A mark before the clocks are compared again is not said to be surer than it is.
	x.press(".marks button[value=pot_on]")
	s.start()
	x.delivered()
	bloom := moment(t, s.Site, "1", "bloom")
	if bloom.At.Before(from.Add(-bloom.Within)) || bloom.At.After(to.Add(bloom.Within)) {
		t.Errorf("bloom at %v, pressed before the sleep between %v and %v", bloom.At, from, to)
	}
	heldAt(t, s, "1", "pot_on", to.Add(25*time.Minute), time.Now().Add(25*time.Minute))
}

// TestClockSet sets a phone's own clock while the bench is away: the mark made
// meanwhile gets its true time when the clocks can be compared again.
func TestClockSet(t *testing.T) {
	t.Parallel()
	s, x := atTheFlame(t)
	s.stop()
	eval[bool](x, "(window.__date = -90000) < 0")
	x.until("/No answer/.test(document.getElementById('line').textContent)")
	from, to := x.mark(".next:not([hidden])")
	s.start()
	x.delivered()
	heldAt(t, s, "1", "light", from, to)
}

// TestStoreRefused takes the browser's store away, whole and in part.
func TestStoreRefused(t *testing.T) {
	t.Parallel()
	for name, script := range map[string]string{
		"full":     `Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };`,
		"disabled": `Object.defineProperty(window, "localStorage", { get() { throw new DOMException("no", "SecurityError"); } });`,
	} {
		t.Run(name, func(t *testing.T) {
			s := newStand(t)
			unburned(t, s.Site)
			ready(t, s.Site, 1, "Tansy")
			x := newTab(t, phoneScreen)
			x.before(script)
			lit(x, s.own("trial", demoTitle, "bench"))
			x.press(".next:not([hidden])")
			x.until("/Every mark is on the bench.*This browser keeps nothing: leave this page open/.test(document.getElementById('line').textContent)")
			s.stop()
			from, to := x.mark(".marks button[value=bloom]")
			x.until("/marks are kept on this page \\(1 now\\).*This browser keeps nothing/.test(document.getElementById('line').textContent)")
			s.start()
			x.delivered()
			heldAt(t, s, "1", "bloom", from, to)
			if got := held(s.Site, "1"); !slices.Equal(got, []string{"light", "bloom"}) {
				t.Errorf("the bench has %v", got)
			}
		})
	}
}
