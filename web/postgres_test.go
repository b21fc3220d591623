//go:build unix

package web

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/journal/journaltest"
	"fairburn/journal/postgres"
	"fairburn/journal/postgres/postgrestest"
	"fairburn/web/guard"
)

// soon is how long a test waits for news that come within a second on a machine
// that has nothing else to do.
const soon = 30 * time.Second

// siteOn is a site of a tester on a bench in a database, as a server of its own
// would serve it.
func siteOn(t *testing.T, address string, number uint64, tester string) *Site {
	t.Helper()
	store, err := postgres.Open(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(func() { cancel(); store.Close() })
	now := func() time.Time { return time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC) }
	b, err := bench.Open(ctx, store, bench.Tester{
		Key: journaltest.NewMaker(number).Key, Name: tester, Now: now, Random: rand.NewChaCha8([32]byte{byte(number)}),
	})
	if err != nil {
		t.Fatal(err)
	}
	devices, err := guard.OpenDevices("", time.Now, rand.NewChaCha8([32]byte{2}))
	if err != nil {
		t.Fatal(err)
	}
	return New(ctx, Config{Bench: b, Store: store, Place: "club", Devices: devices, Version: "test", Now: now})
}

// listener is an open page: it asks for nothing, it only hears.
type listener struct {
	*bufio.Scanner
	last string
}

// listen opens the stream of a site about a trial and hears its first version.
func listen(t *testing.T, s *Site, trial string) *listener {
	t.Helper()
	server := httptest.NewServer(s.Handler())
	t.Cleanup(server.Close)
	ctx, cancel := context.WithTimeout(t.Context(), 4*soon)
	t.Cleanup(cancel) // before the server, which waits for whoever listens
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, server.URL+"/events?trial="+strings.ReplaceAll(trial, " ", "+"), nil)
	if err != nil {
		t.Fatal(err)
	}
	answer, err := server.Client().Do(r)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { answer.Body.Close() })
	l := &listener{Scanner: bufio.NewScanner(answer.Body)}
	l.hear(t, "the first version")
	return l
}

// hear waits for a version that is news.
func (l *listener) hear(t *testing.T, of string) {
	t.Helper()
	from := time.Now()
	for l.Scan() {
		if version, found := strings.CutPrefix(l.Text(), "data: "); found && version != l.last {
			l.last = version
			t.Logf("%s was heard of after %v", of, time.Since(from).Round(time.Millisecond))
			return
		}
	}
	t.Fatalf("%s was never heard of: %v", of, l.Err())
}

// shownAt are the moments of burn 1 that the page beside the flame shows: what,
// nonce and whether there is a rival.
func shownAt(t *testing.T, s *Site) (all []string) {
	t.Helper()
	var bays []bay
	if err := json.Unmarshal([]byte(page(t, s, at("trial", demoTitle, "bench", "state"))), &bays); err != nil {
		t.Fatal(err)
	}
	if bays[0].Burn == nil {
		return nil
	}
	for _, m := range bays[0].Burn.Moments {
		if m.What != bench.Ready {
			all = append(all, fmt.Sprintf("%s %s %s", m.What, strings.TrimLeft(m.Nonce, "0"), m.State))
		}
	}
	slices.Sort(all)
	return all
}

func wantStates(t *testing.T, sites []*Site, want ...string) {
	t.Helper()
	for i, s := range sites {
		if got := shownAt(t, s); !slices.Equal(got, want) {
			t.Errorf("server %d shows %q, expected %q", i+1, got, want)
		}
	}
}

// Two testers, each with a server of their own on one database, time one burn.
func TestTwoServersOnOneDatabase(t *testing.T) {
	database := postgrestest.For(t)
	address := database.Database(t)
	hazel := siteOn(t, address, 1, "Hazel")
	unburned(t, hazel)
	rowan := siteOn(t, address, 2, "Rowan")
	both := []*Site{hazel, rowan}
	atHazel, atRowan := listen(t, hazel, demoTitle), listen(t, rowan, demoTitle)

	ready(t, hazel, 1, "Tansy")
	atHazel.hear(t, "a burn of its own")
	atRowan.hear(t, "a burn set up at the other")
	pressed(t, hazel, "["+pressOf(hazel, 1, "light", "")+"]")
	atHazel.hear(t, "a press of its own")
	atRowan.hear(t, "a press at the other")
	wantStates(t, both, "light 1 holds")

	rival := strings.Replace(pressOf(rowan, 2, "light", ""), `"at":17776296`, `"at":17776297`, 1)
	pressed(t, rowan, "["+rival+"]")
	atRowan.hear(t, "a rival of its own")
	atHazel.hear(t, "a rival pressed at the other")
	wantStates(t, both, "light 1 rival", "light 2 rival")
	for _, s := range both {
		contains(t, page(t, s, at("trial", demoTitle, "bench")), "marked twice, at different times")
	}
	t.Run("a photo", func(t *testing.T) { photoOfTheOther(t, hazel, rowan) })
	t.Run("the database restarts", func(t *testing.T) {
		database.Halt(syscall.SIGQUIT)
		bloom := "[" + pressOf(rowan, 3, "bloom", "") + "]"
		for range 2 { // with connections that were lost, and without any
			w := pressed(t, rowan, bloom)
			if a := answered(t, w); w.Code < 500 || !strings.Contains(a.Error, "there is no connection to the server; try again when it runs") || len(a.Refused) > 0 {
				t.Errorf("%d %s: expected words that there is no connection and nothing refused, since the page is to keep the press", w.Code, w.Body)
			}
		}
		wantStates(t, both, "light 1 rival", "light 2 rival") // what is known is shown all the same
		if err := database.Run(); err != nil {
			t.Fatal(err)
		}
		for range 2 { // the page may not have heard the first answer
			w := pressed(t, rowan, bloom)
			if a := answered(t, w); w.Code != http.StatusOK || len(a.Kept) != 1 {
				t.Fatalf("%d %s: expected the press to be kept now", w.Code, w.Body)
			}
		}
		atHazel.hear(t, "a press at the other after the restart")
		wantStates(t, both, "bloom 3 holds", "light 1 rival", "light 2 rival")
	})
}

// photoOfTheOther puts a photo on one server and looks at it on the other.
func photoOfTheOther(t *testing.T, one, other *Site) {
	news := listen(t, other, "*")
	if w := sendPhoto(t, one, photoPath("burner", "Tansy"), jpegWith(t, "N 46.5 E 7.9")); w.Code != http.StatusSeeOther {
		t.Fatalf("upload: %d %s", w.Code, w.Body)
	}
	news.hear(t, "a photo put on the other")
	shown := func(s *Site) []byte {
		_, rest, _ := strings.Cut(page(t, s, "/shelf/burner/Tansy"), `<img src="`)
		src, _, _ := strings.Cut(rest, `"`)
		w := get(t, s, src)
		if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "image/jpeg" {
			t.Fatalf("photo %q: %d %s", src, w.Code, w.Header().Get("Content-Type"))
		}
		return w.Body.Bytes()
	}
	if !bytes.Equal(shown(one), shown(other)) {
		t.Error("the two servers show different photos")
	}
}
