package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
)

// A verdict under way must hold up neither the page beside the flame nor any
// other, and is worked out once for all who wait for it.
func TestAPartInTheMakingHoldsUpNoOther(t *testing.T) {
	v := &view{parts: map[string]any{}}
	begun, end := make(chan struct{}), make(chan struct{})
	var times atomic.Int32
	slow := func() (string, error) {
		times.Add(1)
		close(begun)
		<-end
		return "verdict", nil
	}
	var all sync.WaitGroup
	for range 5 {
		all.Go(func() {
			if x, err := part(v, "slow", slow); x != "verdict" || err != nil {
				t.Errorf("slow: %q, %v", x, err)
			}
		})
	}
	<-begun
	if x, err := part(v, "quick", func() (int, error) { return 7, nil }); x != 7 || err != nil {
		t.Errorf("quick: %d, %v", x, err)
	}
	close(end)
	all.Wait()
	if n := times.Load(); n != 1 {
		t.Errorf("made %d times, expected once", n)
	}
}

func TestAPartThatFailedIsMadeAnew(t *testing.T) {
	v := &view{parts: map[string]any{}}
	if _, err := part(v, "x", func() (int, error) { return 0, errors.New("no answer from the server") }); err == nil {
		t.Error("no error")
	}
	for range 2 {
		if x, err := part(v, "x", func() (int, error) { return 7, nil }); x != 7 || err != nil {
			t.Errorf("got %d, %v", x, err)
		}
	}
}

// Every page of one trial is asked for at the same time while presses come in. The
// race detector tells whether they change what they share.
func TestPagesOfOneTrialAtOnce(t *testing.T) {
	s := newStand(t).Site
	take(t, s, strings.Join(strings.Split(demoSheet(t), "[[burn]]")[:9], "[[burn]]"))
	form := filled("1", "Tansy")
	form.Set("go_on", "yes")
	sent(t, s, setupPath(), form)
	paths := []string{"", "/bench", "/bench/state", "/setup", "/plan", "/plan?blocks=4", "/checklist", "/entries", "/edit", "/verdict", "/verdict.json",
		"/report.html", "/sheet.toml", "/burns.csv", "/burns/new", "/burn/1", "/burn/1/edit", "/burn/9"}
	var all sync.WaitGroup
	for range 2 {
		for _, path := range slices.Concat(paths, paths) {
			all.Go(func() {
				if w := get(t, s, at("trial", demoTitle)+path); w.Code != http.StatusOK {
					t.Errorf("%s: %d %s", path, w.Code, w.Body)
				}
			})
		}
		all.Go(func() {
			press := url.Values{"title": {demoTitle}, "burn": {"9"}, "nonce": {newNonce()}, "what": {"not_boiling"}}
			if w := post(t, s, "/marks", press); w.Code != http.StatusSeeOther {
				t.Errorf("a press: %d %s", w.Code, w.Body)
			}
		})
	}
	all.Wait()
}
