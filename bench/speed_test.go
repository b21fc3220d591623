package bench

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/metrics"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fairburn/journal"
	"fairburn/journal/journaltest"
	"fairburn/journal/sqlite"
	"fairburn/sheet"
)

func openFile(b *testing.B, path string) journal.Store {
	b.Helper()
	store, err := sqlite.Open(path)
	if err != nil {
		b.Fatal(err)
	}
	return store
}

func closed(b *testing.B, store journal.Store) {
	b.Helper()
	if err := store.Close(); err != nil {
		b.Fatal(err)
	}
}

// fill makes a bench file of trials of 40 burns each, with the gear of the
// demonstration, and returns the title of the last.
func fill(b *testing.B, path string, trials int) (title string) {
	b.Helper()
	data, err := os.ReadFile("../cmd/fairburn/demo.toml")
	if err != nil {
		b.Fatal(err)
	}
	store := openFile(b, path)
	defer closed(b, store)
	full := open(b, store, tester(1, "Fern"))
	for i := range trials {
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
		if _, err := full.Take(context.Background(), x, Refuse); err != nil {
			b.Fatal(err)
		}
	}
	return title
}

// openTrial opens a bench file, puts one trial together and closes it again.
func openTrial(b *testing.B, path, title string) *Bench {
	b.Helper()
	store := openFile(b, path)
	defer closed(b, store)
	full := open(b, store, tester(1, "Fern"))
	if got := get(b, full, title); len(got.Burns) != 40 {
		b.Fatal(len(got.Burns))
	}
	return full
}

// BenchmarkOpen2000Burns opens a bench file of 50 trials of 40 burns each, and
// puts one trial together: without traces, with one of 15 minutes at 1 Hz for
// each burn, and with a photo of each burn of 60 kB instead.
func BenchmarkOpen2000Burns(b *testing.B) {
	trace := []byte(journaltest.Blob(10_000))
	for _, with := range []struct {
		name  string
		extra func(full *Bench, subject string) error
	}{
		{"alone", nil},
		{"traces", func(full *Bench, subject string) error {
			r, err := full.stamped(journal.Record{Kind: "trace", Version: 1, Subject: subject, Body: trace})
			if err != nil {
				return err
			}
			return full.keep(context.Background(), []journal.Record{r})
		}},
		{"photos", func(full *Bench, subject string) error {
			_, err := full.AddPhoto(context.Background(), Shot{Kind: "burn", Subject: subject, JPEG: jpeg(45_000)})
			return err
		}},
	} {
		b.Run(with.name, func(b *testing.B) {
			path := filepath.Join(b.TempDir(), "bench.db")
			title := fill(b, path, 50)
			store := openFile(b, path)
			full := open(b, store, tester(1, "Fern"))
			for _, subject := range full.fold.Subjects("burn") {
				if with.extra == nil {
					break
				}
				if err := with.extra(full, subject); err != nil {
					b.Fatal(err)
				}
			}
			closed(b, store)
			full = nil
			before := heap()
			for b.Loop() {
				full = openTrial(b, path, title)
			}
			b.ReportMetric(heap()-before, "live-MB")
			runtime.KeepAlive(full)
		})
	}
}

// BenchmarkOpen100000Burns opens a bench file of 2,500 trials of 40 burns each,
// with -short a tenth, and puts one trial together. Each burn has a trace of
// 10 kB, which stays in the file. It also reports how long the list of trials
// takes the first time, and what the bench holds then.
func BenchmarkOpen100000Burns(b *testing.B) {
	path, trials := filepath.Join(b.TempDir(), "bench.db"), 2500
	if testing.Short() {
		trials /= 10
	}
	title := fill(b, path, 1)
	copies(b, path, title, trials)
	before := heap()
	var full *Bench
	for b.Loop() {
		full = openTrial(b, path, title)
	}
	b.ReportMetric(heap()-before, "live-MB")
	from := time.Now()
	if n := len(full.List()); n != trials+1 {
		b.Fatal(n)
	}
	b.ReportMetric(float64(time.Since(from).Milliseconds()), "list-ms")
	b.ReportMetric(heap()-before, "listed-MB")
	runtime.KeepAlive(full)
}

// copies adds so many trials like the one of a title, with a trace for each burn.
func copies(b *testing.B, path, title string, trials int) {
	b.Helper()
	store := openFile(b, path)
	defer closed(b, store)
	full := open(b, store, tester(1, "Fern"))
	head := full.fold.State("trial", title).Live[0].Record
	trace := []byte(journaltest.Blob(10_000))
	for i := range trials {
		name := fmt.Sprintf("copy %d", i)
		more := []journal.Record{head}
		more[0].Subject, more[0].Body = name, []byte(strings.Replace(string(head.Body), title, name, 1))
		for _, subject := range full.index.burns[title] {
			r := full.fold.State("burn", subject).Live[0].Record
			r.Subject = burnSubject(name, idOf(subject))
			more = append(more, r, journal.Record{Kind: "trace", Version: 1, Subject: r.Subject, Body: trace})
		}
		batch := journal.Batch{Receipt: journal.Receipt{At: lit, From: "this bench"}}
		for _, r := range more {
			r, err := full.stamped(r)
			if err != nil {
				b.Fatal(err)
			}
			r.Name = "Fern"
			s, err := full.tester.Key.Seal(r)
			if err != nil {
				b.Fatal(err)
			}
			batch.Records = append(batch.Records, s)
		}
		if _, err := store.Append(context.Background(), batch); err != nil {
			b.Fatal(err)
		}
	}
}

// heap is what lives in memory, in MB.
func heap() float64 {
	runtime.GC()
	sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(sample)
	return float64(sample[0].Value.Uint64()) / 1e6
}

// BenchmarkPress presses one mark at a time on a bench of 2,000 burns and
// reports the middle and the slowest hundredth. So that a slow disk is told from
// a slow bench, a row of like size is committed to a bare SQLite file each time.
func BenchmarkPress(b *testing.B) {
	full := benchOf2000(b)
	bare, err := sql.Open("sqlite", "file:"+filepath.Join(b.TempDir(), "bare.db")+"?_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)")
	if err != nil {
		b.Fatal(err)
	}
	defer bare.Close()
	bare.SetMaxOpenConns(1)
	if _, err := bare.Exec("CREATE TABLE mark (seq INTEGER PRIMARY KEY, bytes BLOB)"); err != nil {
		b.Fatal(err)
	}
	row := make([]byte, 700)
	var press, commit []time.Duration
	for n := 1; b.Loop(); n++ {
		from := time.Now()
		pressAll(b, full, markOf(n))
		press = append(press, time.Since(from))
		from = time.Now()
		if _, err := bare.Exec("INSERT INTO mark (bytes) VALUES (?)", row); err != nil {
			b.Fatal(err)
		}
		commit = append(commit, time.Since(from))
	}
	tell(b, "press", press)
	tell(b, "commit", commit)
	b.ReportMetric(0, "ns/op") // would be of both together
}

// BenchmarkPressOf20Phones has 20 phones press at once, as fast as each is
// answered, and fails when one press is lost.
func BenchmarkPressOf20Phones(b *testing.B) {
	full := benchOf2000(b)
	const phones = 20
	took := make([][]time.Duration, phones)
	b.ResetTimer()
	var wg sync.WaitGroup
	for phone := range phones {
		wg.Go(func() {
			for i := range b.N/phones + 1 {
				from := time.Now()
				if err := full.Press(context.Background(), []Press{markOf(1 + i*phones + phone)}); err != nil {
					b.Error(err)
				}
				took[phone] = append(took[phone], time.Since(from))
			}
		})
	}
	wg.Wait()
	b.StopTimer()
	all, here := slices.Concat(took...), 0
	b.ReportMetric(float64(len(all))/b.Elapsed().Seconds(), "presses/s")
	tell(b, "press", all)
	for of := range full.index.marks {
		here += len(full.moments(of))
	}
	if here != len(all) {
		b.Errorf("%d presses are here of %d", here, len(all))
	}
}

// markOf is the nth mark: each of the 2,000 burns gets one kind of moment after
// another.
func markOf(n int) Press {
	whats := []string{"light", "pot_on", "bloom", "boil", "out", "spill", "not_boiling"}
	p := at(n, whats[n/2000%len(whats)], float64(n))
	p.Title, p.Burn = fmt.Sprintf("Trial %d", n%50), fmt.Sprint(n/50%40)
	return p
}

// benchOf2000 is a bench of 50 small trials on a disk.
func benchOf2000(b *testing.B) *Bench {
	b.Helper()
	store := openFile(b, filepath.Join(b.TempDir(), "bench.db"))
	b.Cleanup(func() { closed(b, store) })
	full := open(b, store, tester(1, "Fern"))
	for i := range 50 {
		text := fmt.Sprintf("fairburn = 1\ntitle = \"Trial %d\"\n[[entry]]\nname = \"Heron\"\n", i)
		for j := range 40 {
			text += fmt.Sprintf("[[burn]]\nid = %d\nentry = \"Heron\"\n", j)
		}
		take(b, full, text, Refuse)
	}
	return full
}

func tell(b *testing.B, what string, took []time.Duration) {
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds()), what+"-p50-µs")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), what+"-p99-µs")
}
