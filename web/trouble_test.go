package web

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/journal"
	"fairburn/journal/journaltest"
	"fairburn/web/guard"
)

// troubled is a store whose whole records come with an error, and that counts how
// often they were asked for.
type troubled struct {
	journal.Store
	err   error
	asked map[journal.ID]int
}

func (s *troubled) Get(ctx context.Context, id journal.ID) (journal.Entry, error) {
	s.asked[id]++
	if s.err != nil {
		return journal.Entry{}, s.err
	}
	return s.Store.Get(ctx, id)
}

// onTroubled is a site on such a store, with a burner, and what it logs.
func onTroubled(t *testing.T) (*Site, *troubled, *[]string) {
	t.Helper()
	store := &troubled{Store: journaltest.NewMemory(), asked: map[journal.ID]int{}}
	b, err := bench.Open(t.Context(), store, bench.Tester{Key: journaltest.NewMaker(1).Key, Name: "Hazel", Now: time.Now, Random: rand.NewChaCha8([32]byte{1})})
	if err != nil {
		t.Fatal(err)
	}
	devices, err := guard.OpenDevices("", time.Now, rand.NewChaCha8([32]byte{2}))
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	s := New(t.Context(), Config{Bench: b, Store: store, Place: "bench.fairburn", Devices: devices, Version: "test", Now: time.Now,
		Log: func(line string) { lines = append(lines, line) }})
	take(t, s, "fairburn = 1\ntitle = \"Ring\"\n[[burner]]\nname = \"Tansy\"\n[[entry]]\nname = \"Tansy\"\nburner = \"Tansy\"\n")
	return s, store, &lines
}

// What fails is logged once, by method and path and in one line, and neither with
// what was sent nor with what stands behind the path; what is refused is not.
func TestWhatFailedIsLogged(t *testing.T) {
	s, store, lines := onTroubled(t)
	log, _ := s.Bench.Log(0, 1)
	id := log[0].ID
	for _, path := range []string{"/nowhere", "/journal/record/zz", "/journal?from=x", "/shelf/burner/none"} {
		if w := get(t, s, path); w.Code >= 500 || len(*lines) > 0 {
			t.Errorf("%s: %d, logged %q", path, w.Code, *lines)
		}
	}
	store.err = errors.New("torn\npage \x1b[31m")
	if w := get(t, s, "/journal/record/"+id.String()+"?key=secret"); w.Code != http.StatusInternalServerError {
		t.Errorf("%d", w.Code)
	}
	if w := post(t, s, "/journal/settle", url.Values{"id": {id.String()}, "note": {"secret"}}); w.Code != http.StatusSeeOther {
		t.Errorf("%d", w.Code)
	}
	want := fmt.Sprintf(`GET "/journal/record/%v" failed: "torn\npage \x1b[31m"`, id)
	if len(*lines) != 1 || (*lines)[0] != want {
		t.Errorf("logged %q, expected once %q", *lines, want)
	}
	left, leave := context.WithCancel(t.Context())
	leave()
	r, err := http.NewRequestWithContext(left, http.MethodGet, "/journal/record/"+id.String(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if ask(s, r); len(*lines) != 1 {
		t.Errorf("logged of somebody who left: %q", *lines)
	}
}

// awayError is what a store says whose server is silent.
type awayError struct{ error }

func (awayError) Is(target error) bool { return target == journal.ErrAway }

func TestASilentStoreIsToldOf(t *testing.T) {
	s, store, lines := onTroubled(t)
	log, _ := s.Bench.Log(0, 1)
	store.err = awayError{errors.New("reading benches on club: the server did not answer within 6s; try again when it does")}
	w := get(t, s, "/journal/record/"+log[0].ID.String())
	if w.Code != http.StatusServiceUnavailable || len(*lines) != 1 {
		t.Errorf("%d, logged %q", w.Code, *lines)
	}
	contains(t, w.Body.String(), "The bench does not answer", "did not answer within 6s; try again when it does; marks stay on the phone until it does")
}

// The page of a thing reads what its photos show; a picture is read when it is asked for.
func TestAlbumReadsNoPicture(t *testing.T) {
	s, store, _ := onTroubled(t)
	if w := sendPhoto(t, s, photoPath("burner", "Tansy"), jpegWith(t, "x")); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	id := s.Bench.Photos("burner", "Tansy")[0].ID
	contains(t, page(t, s, "/shelf/burner/Tansy"), id.String(), "&lt;b&gt;&#34;rim&#34;&lt;/b&gt;")
	if n := store.asked[id]; n != 0 {
		t.Errorf("the page read the whole photo %d times", n)
	}
	page(t, s, at("photo", id.String()))
	if n := store.asked[id]; n != 1 {
		t.Errorf("the picture was read %d times", n)
	}
}

// A choice between moments on the page of the journal has an undo.
func TestAMomentChosenInTheJournalIsUndone(t *testing.T) {
	s, p := timed(t, map[string]float64{"light": 0, "boil": 400, "out": 460})
	press(t, s, "an older one", "1", "blue phone", map[string]float64{"boil": 410})
	open := s.Bench.Unsettled()
	to := sent(t, s, "/journal/settle", url.Values{"id": {open[0].Versions[1].ID.String()}})
	body := page(t, s, to)
	contains(t, body, "settled: boil of burn 1", `action="/undo"`, `value="mark"`)
	if strings.Contains(page(t, s, p), "disagrees") {
		t.Error("settled, and the burn still says that moments disagree")
	}
	sent(t, s, "/undo", url.Values{"kind": {"mark"}, "subject": {open[0].Subject}, "to": {"/journal"}})
	contains(t, page(t, s, "/journal"), "To settle")
	contains(t, page(t, s, p), "disagrees", "blue phone")
}
