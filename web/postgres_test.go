//go:build unix

package web

import (
	"bufio"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
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

// openPage is what a page beside the flame has: a stream that tells of news, and
// the site that it asks what these are.
type openPage struct {
	*Site
	stream *bufio.Scanner
}

// follow opens the stream of a site, for a trial or with "*" for all of its bench.
func follow(t *testing.T, s *Site, trial string) *openPage {
	t.Helper()
	server := httptest.NewServer(s.Handler())
	t.Cleanup(server.Close)
	ctx, cancel := context.WithTimeout(t.Context(), 4*soon)
	t.Cleanup(cancel) // before the server, which waits for whoever listens
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, server.URL+"/events?"+url.Values{"trial": {trial}}.Encode(), nil)
	if err != nil {
		t.Fatal(err)
	}
	answer, err := server.Client().Do(r)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { answer.Body.Close() })
	return &openPage{s, bufio.NewScanner(answer.Body)}
}

// shows looks at the page after each version that the stream tells of until there
// is what is wanted; it asks at no other time.
func (p *openPage) shows(t *testing.T, look func(*testing.T, *Site) []string, want ...string) {
	t.Helper()
	from, got := time.Now(), []string(nil)
	for p.stream.Scan() {
		if !strings.HasPrefix(p.stream.Text(), "data: ") {
			continue
		}
		if got = look(t, p.Site); slices.Equal(got, want) {
			t.Logf("%s shows %q after %v", p.Bench.Tester(), got, time.Since(from).Round(time.Millisecond))
			return
		}
	}
	t.Fatalf("the page of %s shows %q, expected %q; its stream ended: %v", p.Bench.Tester(), got, want, p.stream.Err())
}

// beside are the moments of burn 1 as the page beside the flame has them: what
// it is, its nonce and whether it holds.
func beside(t *testing.T, s *Site) (all []string) {
	t.Helper()
	var bays []bay
	if err := json.Unmarshal([]byte(page(t, s, at("trial", demoTitle, "bench", "state"))), &bays); err != nil {
		t.Fatal(err)
	}
	if bays[0].Burn == nil {
		return nil
	}
	for _, m := range bays[0].Burn.Moments {
		all = append(all, fmt.Sprintf("%s %s %s", m.What, m.Nonce[len(m.Nonce)-1:], m.State))
	}
	slices.Sort(all)
	return all
}

// Two testers, each with a server of their own on one database, time one burn.
func TestTwoServersOnOneDatabase(t *testing.T) {
	database := postgrestest.For(t)
	address := database.Database(t)
	hazel := siteOn(t, address, 1, "Hazel")
	unburned(t, hazel)
	ready(t, hazel, 1, "Tansy")
	rowan := siteOn(t, address, 2, "Rowan")
	both := []*openPage{follow(t, hazel, demoTitle), follow(t, rowan, demoTitle)}

	pressed(t, hazel, "["+pressOf(hazel, 1, "light", "")+"]")
	for _, p := range both {
		p.shows(t, beside, "light 1 holds")
	}
	later := strings.Replace(pressOf(rowan, 2, "light", ""), `"at":17776296`, `"at":17776297`, 1)
	pressed(t, rowan, "["+later+"]")
	for _, p := range both {
		p.shows(t, beside, "light 1 rival", "light 2 rival")
		contains(t, page(t, p.Site, at("trial", demoTitle, "bench")), "marked twice, at different times")
	}
	t.Run("a photo", func(t *testing.T) { photoOfTheOther(t, hazel, rowan) })
	t.Run("the database is lost and comes back", func(t *testing.T) {
		database.Halt(syscall.SIGQUIT)
		bloom := "[" + pressOf(rowan, 3, "bloom", "") + "," + pressOf(rowan, 4, "pot_on", "") + "]"
		refusedForNow(t, rowan, bloom)
		if err := database.Run(); err != nil {
			t.Fatal(err)
		}
		for range 2 { // the page may not have heard the first answer
			w := pressed(t, rowan, bloom)
			if a := answered(t, w); w.Code != http.StatusOK || len(a.Kept) != 2 {
				t.Fatalf("%d %s: expected both presses to be kept now", w.Code, w.Body)
			}
		}
		for _, p := range both {
			p.shows(t, beside, "bloom 3 holds", "light 1 rival", "light 2 rival", "pot_on 4 holds")
		}
	})
}

// refusedForNow presses while there is no database: a page must hear in words that
// nothing was kept, and of no press that sending it again is of no use.
func refusedForNow(t *testing.T, s *Site, presses string) {
	t.Helper()
	const says = "there is no connection to the server; try again when it runs and can be reached"
	for range 2 { // with connections that were lost, and without any
		w := pressed(t, s, presses)
		if a := answered(t, w); w.Code < 500 || !strings.Contains(a.Error, says) || len(a.Kept)+len(a.Refused) > 0 {
			t.Errorf("%d %s: expected an error of the bench that says %q", w.Code, w.Body, says)
		}
	}
	form := url.Values{"title": {demoTitle}, "burn": {"1"}, "nonce": {newNonce()}, "what": {"bloom"}}
	if w := post(t, s, "/marks", form); w.Code < 500 || !strings.Contains(w.Body.String(), says) {
		t.Errorf("a form: %d, expected an error of the bench that says %q", w.Code, says)
	}
	if got := beside(t, s); !slices.Equal(got, []string{"light 1 rival", "light 2 rival"}) {
		t.Errorf("without a database the page shows %q, expected what was known", got)
	}
}

// photoOfTheOther puts a photo on one server and looks at it on the other.
func photoOfTheOther(t *testing.T, one, other *Site) {
	picture := func(t *testing.T, s *Site) []string {
		_, rest, found := strings.Cut(page(t, s, "/shelf/burner/Tansy"), `<img src="`)
		if !found {
			return nil
		}
		src, _, _ := strings.Cut(rest, `"`)
		w := get(t, s, src)
		return []string{fmt.Sprint(w.Code), w.Header().Get("Content-Type"), fmt.Sprintf("%x", sha256.Sum256(w.Body.Bytes()))}
	}
	news := follow(t, other, "*")
	if w := sendPhoto(t, one, photoPath("burner", "Tansy"), jpegWith(t, "N 46.5 E 7.9")); w.Code != http.StatusSeeOther {
		t.Fatalf("upload: %d %s", w.Code, w.Body)
	}
	put := picture(t, one)
	if len(put) == 0 || put[0] != "200" || put[1] != "image/jpeg" {
		t.Fatalf("the photo is %q", put)
	}
	news.shows(t, picture, put...)
}
