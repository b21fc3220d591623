package bench

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fairburn/journal/sqlite"
	"fairburn/sheet"
)

// BenchmarkOpen2000Burns opens a bench file of 50 trials of 40 burns each, with
// the gear of the demonstration, and puts one trial together.
func BenchmarkOpen2000Burns(b *testing.B) {
	ctx := context.Background()
	data, err := os.ReadFile("../cmd/fairburn/demo.toml")
	if err != nil {
		b.Fatal(err)
	}
	path := filepath.Join(b.TempDir(), "bench.db")
	store, err := sqlite.Open(path)
	if err != nil {
		b.Fatal(err)
	}
	full := open(b, store, tester(1, "Fern"))
	title := ""
	for i := range 50 {
		x, _, err := sheet.Read("demo.toml", []byte(strings.Replace(string(data), `title = "`, fmt.Sprintf(`title = "%d `, i), 1)))
		if err != nil {
			b.Fatal(err)
		}
		for j := 0; len(x.Burns) < 40; j++ {
			again := x.Burns[j]
			again.ID = "again " + again.ID
			x.Burns = append(x.Burns, again)
		}
		title = x.Title
		if _, err := full.Take(ctx, x, Refuse); err != nil {
			b.Fatal(err)
		}
	}
	if err := store.Close(); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		store, err := sqlite.Open(path)
		if err != nil {
			b.Fatal(err)
		}
		got := get(b, open(b, store, tester(1, "Fern")), title)
		if len(got.Burns) != 40 {
			b.Fatal(len(got.Burns))
		}
		if err := store.Close(); err != nil {
			b.Fatal(err)
		}
	}
}
