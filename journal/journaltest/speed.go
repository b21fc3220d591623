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

// Way is one way to bring one record onto the disk.
type Way struct {
	Name string
	Keep func(journal.Stored) error
}

// BenchmarkAppend appends one mark at a time and reports the middle and the
// slowest hundredth. So that a slow disk is told from a slow store, each mark is
// also brought to the disk by a bare write with fsync and by the other ways
// given, all in turn.
func BenchmarkAppend(b *testing.B, s journal.Store, others ...Way) {
	ways := append([]Way{{"append", func(r journal.Stored) error {
		_, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{r}, Receipt: receipt})
		return err
	}}, fsync(b)}, others...)
	m, took := NewMaker(1), make([][]time.Duration, len(ways))
	for b.Loop() {
		r := m.Make("burn 1/mark", mark)
		for i, way := range ways {
			from := time.Now()
			if err := way.Keep(r); err != nil {
				b.Fatal(err)
			}
			took[i] = append(took[i], time.Since(from))
		}
	}
	for i, way := range ways {
		report(b, way.Name, took[i])
	}
	b.ReportMetric(0, "ns/op") // would be of all ways together
}

// BenchmarkGroup has 20 writers append at once, reports what the slowest
// hundredth waits, and fails when an acknowledged record is not in the store.
func BenchmarkGroup(b *testing.B, s journal.Store) {
	const writers = 20
	records, took := make([][]journal.Stored, writers), make([][]time.Duration, writers)
	for w := range writers {
		m := NewMaker(uint64(w))
		for range b.N/writers + 1 {
			records[w] = append(records[w], m.Make("burn 1/mark", mark))
		}
	}
	b.ResetTimer()
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for _, r := range records[w] {
				from := time.Now()
				if _, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{r}, Receipt: receipt}); err != nil {
					b.Error(err)
				}
				took[w] = append(took[w], time.Since(from))
			}
		})
	}
	wg.Wait()
	b.StopTimer()
	all := slices.Concat(took...)
	b.ReportMetric(float64(len(all))/b.Elapsed().Seconds(), "records/s")
	report(b, "append", all)
	here := map[journal.ID]bool{}
	for _, e := range All(b, s, 0) {
		here[e.ID] = true
	}
	for _, r := range slices.Concat(records...) {
		if !here[r.ID] {
			b.Errorf("acknowledged record %v is lost", r.ID)
		}
	}
}

// mark is the body of a mark, the record that is appended most.
const mark = `{"mark":"boil","at_s":312.4}`

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
			batch.Records = append(batch.Records, m.Make(fmt.Sprintf("burn %d/%d", n, i), mark))
		}
		subject := fmt.Sprintf("burn %d/trace", n)
		batch.Records = append(batch.Records, m.Seal(journal.Record{Kind: "trace", Version: 1, Subject: subject, Body: []byte(trace)}))
		add(b, s, batch.Records...)
	}
}

// FillBurns appends n records of the size of a burn in a trial: 0.5 kB of body,
// a small sheet, behind a head of half that.
func FillBurns(b testing.TB, s journal.Store, n int) {
	m := NewMaker(1)
	body := `{"sheet":"` + strings.Repeat(`boil = \"5:22\"\n`, 25) + `"}`
	for done := 0; done < n; {
		var records []journal.Stored
		for ; len(records) < 1000 && done < n; done++ {
			subject := fmt.Sprintf("an invented trial %d/burn %d", done/40, done%40)
			records = append(records, m.Seal(journal.Record{Kind: "burn", Version: 1, Subject: subject, Body: []byte(body)}))
		}
		add(b, s, records...)
	}
}

func report(b *testing.B, what string, took []time.Duration) {
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds()), what+"-p50-µs")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), what+"-p99-µs")
}

// fsync is the least that durable means: one page written and synced.
func fsync(b *testing.B) Way {
	f, err := os.Create(filepath.Join(b.TempDir(), "raw"))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { f.Close() })
	page := make([]byte, 4096)
	return Way{"fsync", func(journal.Stored) error {
		if _, err := f.Write(page); err != nil {
			return err
		}
		return f.Sync()
	}}
}
