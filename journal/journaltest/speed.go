package journaltest

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fairburn/journal"
)

// BenchmarkAppend appends one mark at a time and reports the middle and the
// slowest hundredth, beside one write of 4 KB with fsync on the same disk.
func BenchmarkAppend(b *testing.B, s journal.Store) {
	m := NewMaker(1)
	var took []time.Duration
	for b.Loop() {
		b.StopTimer()
		batch := journal.Batch{Records: []journal.Stored{m.Make("burn 1/mark", `{"mark":"boil","at_s":312.4}`)}, Receipt: receipt}
		b.StartTimer()
		from := time.Now()
		if _, err := s.Append(ctx, batch); err != nil {
			b.Fatal(err)
		}
		took = append(took, time.Since(from))
	}
	b.StopTimer()
	report(b, "append", took)
	report(b, "fsync", fsyncs(b, min(2000, max(100, len(took)))))
}

// BenchmarkGroup has 32 writers append at once.
func BenchmarkGroup(b *testing.B, s journal.Store) {
	const writers = 32
	records := make([][]journal.Stored, writers)
	for w := range writers {
		m := NewMaker(uint64(w))
		for range b.N/writers + 1 {
			records[w] = append(records[w], m.Make("burn 1/mark", `{"mark":"boil","at_s":312.4}`))
		}
	}
	b.ResetTimer()
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for _, r := range records[w] {
				if _, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{r}, Receipt: receipt}); err != nil {
					b.Error(err)
				}
			}
		})
	}
	wg.Wait()
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "records/s")
}

// Fill appends the records of burns burns, each with 13 small ones and a trace
// of 15 minutes at 1 Hz, as a bench of many seasons would hold.
func Fill(b testing.TB, s journal.Store, burns int) {
	m := NewMaker(1)
	var text strings.Builder
	for i := range 900 {
		fmt.Fprintf(&text, ",[%d,%.1f]", i, 18+0.09*float64(i))
	}
	trace := `{"unit":"°C","readings":[` + text.String()[1:] + `]}`
	for n := range burns {
		var batch journal.Batch
		for i := range 13 {
			batch.Records = append(batch.Records, m.Make(fmt.Sprintf("burn %d/%d", n, i), `{"mark":"boil","at_s":312.4}`))
		}
		subject := fmt.Sprintf("burn %d/trace", n)
		batch.Records = append(batch.Records, m.Seal(journal.Record{Kind: "trace", Version: 1, Subject: subject, Body: []byte(trace)}))
		add(b, s, batch.Records...)
	}
}

func report(b *testing.B, what string, took []time.Duration) {
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds()), what+"-p50-µs")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), what+"-p99-µs")
}

func fsyncs(b *testing.B, n int) []time.Duration {
	f, err := os.Create(filepath.Join(b.TempDir(), "raw"))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	page, took := make([]byte, 4096), make([]time.Duration, n)
	for i := range took {
		from := time.Now()
		if _, err := f.Write(page); err != nil {
			b.Fatal(err)
		}
		if err := f.Sync(); err != nil {
			b.Fatal(err)
		}
		took[i] = time.Since(from)
	}
	return took
}
