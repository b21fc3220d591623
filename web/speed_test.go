package web

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/journal/journaltest"
	"fairburn/journal/sqlite"
	"fairburn/sheet"
)

// pageClients ask for pages at the same time.
const pageClients = 20

// BenchmarkPages serves every kind of page of a bench with 2,000 burns in 50
// trials to 20 clients at once, over real connections, and reports the 95th
// percentile of each kind, after each page has been asked for once.
func BenchmarkPages(b *testing.B) {
	site, titles := bigSite(b, 50, 40)
	server := httptest.NewServer(site.Handler())
	defer server.Close()
	title := titles[7]
	for name, path := range map[string]string{
		"trials": "/", "trial": at("trial", title), "bench": at("trial", title, "bench"), "state": at("trial", title, "bench", "state"),
		"burn": at("trial", title, "burn", "7"), "verdict": at("trial", title, "verdict"), "plan": at("trial", title, "plan"),
		"shelf": "/shelf", "burner": at("shelf", "burner", "Tansy"), "journal": "/journal",
	} {
		b.Run(name, func(b *testing.B) { servePage(b, server.URL+path) })
	}
}

// servePage lets the clients ask for one page until b is content.
func servePage(b *testing.B, address string) {
	transport := &http.Transport{MaxIdleConnsPerHost: pageClients}
	client := &http.Client{Transport: transport}
	defer transport.CloseIdleConnections()
	ask := func() time.Duration {
		start := time.Now()
		answer, err := client.Get(address)
		if err != nil {
			b.Error(err)
			return 0
		}
		defer answer.Body.Close()
		if _, err := io.Copy(io.Discard, answer.Body); err != nil || answer.StatusCode != http.StatusOK {
			b.Errorf("%s: %s %v", address, answer.Status, err)
		}
		return time.Since(start)
	}
	ask()
	var took []time.Duration
	for b.Loop() {
		var mu sync.Mutex
		var all sync.WaitGroup
		for range pageClients {
			all.Go(func() {
				d := ask()
				mu.Lock()
				took = append(took, d)
				mu.Unlock()
			})
		}
		all.Wait()
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, "p95-ms")
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "p50-ms")
}

// bigSite has the demo's trial many times over, on a real file.
func bigSite(b *testing.B, trials, burns int) (*Site, []string) {
	b.Helper()
	data, err := os.ReadFile("../cmd/fairburn/demo.toml")
	if err != nil {
		b.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	b.Cleanup(cancel)
	store, err := sqlite.Open(filepath.Join(b.TempDir(), "bench.db"))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { store.Close() })
	full, err := bench.Open(ctx, store, bench.Tester{Key: journaltest.NewMaker(1).Key, Name: "Fern", Now: time.Now, Random: rand.NewChaCha8([32]byte{1})})
	if err != nil {
		b.Fatal(err)
	}
	var titles []string
	for i := range trials {
		t, _, err := sheet.Read("demo.toml", []byte(strings.Replace(string(data), `title = "`, fmt.Sprintf(`title = "%d `, i), 1)))
		if err != nil {
			b.Fatal(err)
		}
		for j := 0; len(t.Burns) < burns; j++ {
			again := t.Burns[j]
			again.ID = "again " + again.ID
			t.Burns = append(t.Burns, again)
		}
		if _, err := full.Take(ctx, t, bench.Refuse); err != nil {
			b.Fatal(err)
		}
		titles = append(titles, t.Title)
	}
	return New(ctx, Config{Bench: full, Store: store, Place: "bench.db", Now: time.Now}), titles
}
