package web

import (
	"net/url"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/trial"
)

// unburned puts the demo trial without its burns on the bench; slots is its plan.
func unburned(t testing.TB, s *Site, slots ...trial.Slot) {
	t.Helper()
	head, _, _ := strings.Cut(demoSheet(t), "[[burn]]")
	x := take(t, s, head)
	if len(slots) == 0 {
		return
	}
	x.Plan.Slots = slots
	for i := range slots {
		x.Plan.Slots[i].Order = i + 1
	}
	if _, err := s.Bench.Take(t.Context(), x, bench.Refuse); err != nil {
		t.Fatal(err)
	}
}

// demoSheet is the sheet of the demo trial.
func demoSheet(t testing.TB) string {
	t.Helper()
	data, err := os.ReadFile("../cmd/fairburn/demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// ready sets a burn up as the form does, without anything that could be asked.
func ready(t testing.TB, s *Site, station int, entry string, more ...string) {
	t.Helper()
	form := url.Values{"station": {strconv.Itoa(station)}, "entry": {entry}, "go_on": {"yes"}}
	for i := 0; i+1 < len(more); i += 2 {
		form.Add(more[i], more[i+1])
	}
	sent(t, s, at("trial", demoTitle, "setup"), form)
}

// held is what stands of a burn at the bench: what, in order of time.
func held(s *Site, id string) (whats []string) {
	for _, m := range s.Bench.Moments(demoTitle, id) {
		if m.What != bench.Ready && (m.State == "holds" || m.State == "rival") {
			whats = append(whats, m.What)
		}
	}
	return whats
}

// moment is the only moment of a burn that stands of a kind.
func moment(t testing.TB, s *Site, id, what string) bench.Moment {
	t.Helper()
	var found []bench.Moment
	for _, m := range s.Bench.Moments(demoTitle, id) {
		if m.What == what && (m.State == "holds" || m.State == "rival") {
			found = append(found, m)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%s of burn %s: %d moments, wanted one: %v", what, id, len(found), found)
	}
	return found[0]
}

// next is the label of the big button of a station.
const bigLabel = `[...document.querySelectorAll('.bay[data-bay="%d"] .next')].filter(b => !b.hidden).map(b => b.querySelector(".what").textContent).join()`

// lit opens the page beside the flame with a burn at station 1.
func lit(x *tab, address string) {
	x.open(address)
	x.until("/^Every mark is on the bench. (This device|Times are)/.test(document.getElementById('line').textContent)")
}

// delivered waits until the bench has all that the page pressed.
func (x *tab) delivered() {
	x.Helper()
	x.until("document.getElementById('line').textContent.startsWith('Every mark is on the bench')")
}

// advance lets time pass, for the bench and for its pages alike: first the pages,
// while nothing is answered, so that no page measures a clock that is half set.
func (s *stand) advance(d time.Duration, pages ...*tab) {
	s.turn.Lock()
	defer s.turn.Unlock()
	for _, x := range pages {
		ahead := (time.Duration(s.ahead.Load()) + d).Milliseconds()
		eval[bool](x, "(window.__ahead = %d) > 0", ahead)
		x.before("window.__ahead = " + strconv.FormatInt(ahead, 10))
	}
	s.ahead.Add(int64(d))
}

func TestABurnAtTheBench(t *testing.T) {
	t.Parallel()
	for name, screen := range map[string]struct{ phone bool }{"phone": {true}, "desktop": {false}} {
		t.Run(name, func(t *testing.T) {
			s := newStand(t)
			unburned(t, s.Site)
			ready(t, s.Site, 1, "Tansy")
			x := newTab(t, desktopScreen)
			if screen.phone {
				x.screen(phoneScreen)
			}
			lit(x, s.own("trial", demoTitle, "bench"))
			start := s.now()
			for _, step := range []struct {
				label string
				after time.Duration
			}{{"light", 0}, {"bloom", 25 * time.Second}, {"pot on", 10 * time.Second}, {"boil", 6 * time.Minute}, {"pot off", 10 * time.Second}, {"flame unseen", 40 * time.Second}} {
				s.advance(step.after, x)
				x.until(bigLabel+" === %s", 1, quoted(step.label))
				x.press(".next:not([hidden])")
			}
			x.until("!document.querySelector('.unseen').hidden")
			if big := eval[string](x, bigLabel, 1); big != "" {
				t.Errorf("beside the snuffer test the page offers %q", big)
			}
			s.advance(time.Minute, x)
			x.press("button[value=out]")
			x.until("document.querySelector('.ended')")
			want := []string{"light", "bloom", "pot_on", "boil", "pot_off", "out", "unseen"}
			got := held(s.Site, "1")
			slices.Sort(got)
			slices.Sort(want)
			if !slices.Equal(got, want) {
				t.Errorf("kept %v, wanted %v", got, want)
			}
			if out, unseen := moment(t, s.Site, "1", "out"), moment(t, s.Site, "1", "unseen"); !out.At.Equal(unseen.At) {
				t.Errorf("out at %v: wanted the time from which no flame was seen, %v", out.At, unseen.At)
			}
			if light := moment(t, s.Site, "1", "light"); light.At.Sub(start) > patience || light.At.Before(start.Add(-light.Within)) {
				t.Errorf("light at %v, the test began at %v", light.At, start)
			}
			if took := moment(t, s.Site, "1", "boil").At.Sub(moment(t, s.Site, "1", "light").At); took < 395*time.Second || took > 395*time.Second+patience {
				t.Errorf("boil %v after light: wanted a little more than 6:35", took)
			}
		})
	}
}
