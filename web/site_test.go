package web

import (
	"context"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/journal/journaltest"
	"fairburn/sheet"
	"fairburn/trial"
	"fairburn/web/guard"
)

// demoTitle is the title of the demo trial.
const demoTitle = "Four burners for an autumn walk"

// emptySite is a site on an empty bench in memory. Its clock goes one second a
// look, so that records have an order.
func emptySite(t testing.TB) *Site {
	t.Helper()
	now := time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC)
	clock := func() time.Time { now = now.Add(time.Second); return now }
	store := journaltest.NewMemory()
	b, err := bench.Open(t.Context(), store, bench.Tester{
		Key: journaltest.NewMaker(1).Key, Name: "Hazel", Now: clock, Random: rand.NewChaCha8([32]byte{1}),
	})
	if err != nil {
		t.Fatal(err)
	}
	devices, err := guard.OpenDevices("", time.Now, rand.NewChaCha8([32]byte{2}))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	return New(ctx, Config{Bench: b, Store: store, Place: "bench.fairburn", Devices: devices, Version: "test", Now: time.Now})
}

// newSite is a site on a bench that holds the demo trial.
func newSite(t testing.TB) *Site {
	t.Helper()
	s := emptySite(t)
	data, err := os.ReadFile("../cmd/fairburn/demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	take(t, s, string(data))
	return s
}

// take puts a sheet on the bench of a site.
func take(t testing.TB, s *Site, text string) *trial.Trial {
	t.Helper()
	x, fs, err := sheet.Read("x.toml", []byte(text))
	if err != nil {
		t.Fatal(err, fs)
	}
	if r, err := s.Bench.Take(t.Context(), x, bench.Refuse); err != nil {
		t.Fatal(err, r.Findings)
	}
	return x
}

// get asks for a page as the owner does.
func get(t testing.TB, s *Site, path string) *httptest.ResponseRecorder {
	t.Helper()
	return ask(s, httptest.NewRequestWithContext(t.Context(), http.MethodGet, path, nil))
}

// post sends a form as the owner does; redirects are not followed.
func post(t testing.TB, s *Site, path string, form url.Values) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return ask(s, r)
}

func ask(s *Site, r *http.Request) *httptest.ResponseRecorder {
	r.Host, r.RemoteAddr = "localhost", "127.0.0.1:50000"
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, r)
	return w
}

// page asks for a page that must be there and returns it.
func page(t testing.TB, s *Site, path string) string {
	t.Helper()
	w := get(t, s, path)
	if w.Code != http.StatusOK {
		t.Fatalf("GET %s: %d: %s", path, w.Code, w.Body)
	}
	return w.Body.String()
}

// sent sends a form that must be taken and returns where that leads.
func sent(t testing.TB, s *Site, path string, form url.Values) string {
	t.Helper()
	w := post(t, s, path, form)
	if w.Code != http.StatusSeeOther {
		t.Fatalf("POST %s: %d: %s", path, w.Code, w.Body)
	}
	return w.Header().Get("Location")
}

// TestHomeListsTheTrials needs every shared part of the site to work.
func TestHomeListsTheTrials(t *testing.T) {
	if body := page(t, newSite(t), "/"); !strings.Contains(body, demoTitle) {
		t.Errorf("the first page does not name the demo trial:\n%s", body)
	}
	if body := page(t, emptySite(t), "/"); !strings.Contains(body, "Ask the first question") {
		t.Errorf("the first page of an empty bench does not say how to begin:\n%s", body)
	}
}
