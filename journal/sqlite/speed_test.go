package sqlite

import (
	"encoding/json"
	"path/filepath"
	"runtime"
	"runtime/metrics"
	"testing"

	"fairburn/journal"
	"fairburn/journal/journaltest"
)

// BenchmarkDurableAppend measures an append beside a bare commit of the same row
// to a file of the same kind: what the store adds is the difference.
func BenchmarkDurableAppend(b *testing.B) {
	bare := open(b, filepath.Join(b.TempDir(), "bare")).write
	commit := journaltest.Way{Name: "commit", Keep: func(r journal.Stored) error {
		head, body := r.Split()
		_, err := bare.Exec("INSERT INTO record (id, signer, signature, received, source, head, body) VALUES (?, ?, ?, ?, ?, ?, ?)",
			r.ID[:], []byte(r.Signer), r.Signature, 0, "", head, body)
		return err
	}}
	journaltest.BenchmarkAppend(b, open(b, filepath.Join(b.TempDir(), "x")), commit)
}

func BenchmarkGroupCommit(b *testing.B) {
	journaltest.BenchmarkGroup(b, open(b, filepath.Join(b.TempDir(), "x")))
}

// BenchmarkOpenAndFold opens a bench of 2,000 burns, 28,000 records in all, and
// works out what stands: with every trace in memory, and with traces left behind.
func BenchmarkOpenAndFold(b *testing.B) {
	path := filepath.Join(b.TempDir(), "x")
	s := open(b, path)
	journaltest.Fill(b, s, 2000)
	s.Close()
	for _, test := range []struct {
		name    string
		largest int
	}{{"whole", journal.Whole}, {"traces on demand", 4096}} {
		b.Run(test.name, func(b *testing.B) {
			for b.Loop() {
				if live := liveIn(openAndFold(b, path, test.largest, nil), "note", "trace"); live != 28_000 {
					b.Fatalf("%d live", live)
				}
			}
		})
	}
}

// BenchmarkOpenBurns opens a bench of 100,000 burns, with -short of 10,000. No
// body is read, as when a person opens a bench to look at one trial. It reports
// the most that the program held at a time and what it still holds when open.
func BenchmarkOpenBurns(b *testing.B) {
	path, burns := filepath.Join(b.TempDir(), "x"), 100_000
	if testing.Short() {
		burns = 10_000
	}
	s := open(b, path)
	journaltest.FillBurns(b, s, burns)
	s.Close()
	runtime.GC()
	before, peak := held("/memory/classes/heap/objects:bytes"), 0.0
	var fold *journal.Fold
	for b.Loop() {
		fold = openAndFold(b, path, journal.Whole, &peak)
	}
	runtime.GC()
	b.ReportMetric((held("/memory/classes/heap/objects:bytes")-before)/1e6, "live-MB")
	b.ReportMetric(peak/1e6, "peak-MB")
	if live := liveIn(fold, "burn"); live != burns {
		b.Fatalf("%d live, expected %d", live, burns)
	}
}

// held reads a measure of memory; without released memory, which has gone back
// to the system.
func held(name string) float64 {
	sample := []metrics.Sample{{Name: name}, {Name: "/memory/classes/heap/released:bytes"}}
	metrics.Read(sample)
	if name == "/memory/classes/total:bytes" {
		return float64(sample[0].Value.Uint64() - sample[1].Value.Uint64())
	}
	return float64(sample[0].Value.Uint64())
}

// openAndFold reads a bench into a fold; peak, where given, rises to the most
// memory that was held on the way.
func openAndFold(b *testing.B, path string, largest int, peak *float64) *journal.Fold {
	s, err := Open(path)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	read := func(_ int, body json.RawMessage) (any, error) { return body, nil }
	kind := journal.Kind{Newest: 1, Read: read}
	fold := journal.NewFold(map[string]journal.Kind{"note": kind, "trace": kind, "burn": kind})
	records := 0
	for e, err := range s.Since(ctx, 0, largest) {
		if err == nil {
			err = fold.Add(e)
		}
		if err != nil {
			b.Fatal(err)
		}
		if records++; peak != nil && records%1000 == 0 {
			*peak = max(*peak, held("/memory/classes/total:bytes"))
		}
	}
	return fold
}

func liveIn(fold *journal.Fold, kinds ...string) (live int) {
	for _, kind := range kinds {
		for _, subject := range fold.Subjects(kind) {
			live += len(fold.State(kind, subject).Live)
		}
	}
	return live
}
