package sqlite

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"fairburn/journal"
	"fairburn/journal/journaltest"
)

var (
	crashes   = flag.Int("crashes", 20, "how many times the writer is killed")
	crashSeed = flag.Uint64("crashseed", 0, "seed of the moments of killing; 0 draws one")
)

// childEnv names the bench that a child process of the crash test writes to.
const childEnv = "FAIRBURN_CRASH_BENCH"

func TestMain(m *testing.M) {
	if path := os.Getenv(childEnv); path != "" {
		writeUntilKilled(path)
	}
	os.Exit(m.Run())
}

// writeUntilKilled appends from four goroutines and prints each id once it was acknowledged.
func writeUntilKilled(path string) {
	s, err := Open(path)
	if err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	var mu sync.Mutex
	for w := range 4 {
		go func() {
			m := journaltest.NewMaker(uint64(time.Now().UnixNano()) + uint64(w))
			for i := 0; ; i++ {
				r := m.Make(fmt.Sprintf("burn %d", i), journaltest.Blob(100+i%5000))
				if _, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{r}}); err != nil {
					fmt.Println("error", err)
					os.Exit(1)
				}
				mu.Lock()
				fmt.Println(r.ID)
				mu.Unlock()
			}
		}()
	}
	select {}
}

func TestKillingTheWriterLosesNothingAcknowledged(t *testing.T) {
	seed := *crashSeed
	if seed == 0 {
		seed = rand.Uint64()
	}
	t.Logf("-crashseed=%d", seed)
	rnd := rand.New(rand.NewPCG(seed, 0))
	path := filepath.Join(t.TempDir(), "x")
	acknowledged := map[journal.ID]bool{}
	for n := range *crashes {
		kill(t, path, time.Duration(rnd.Int64N(int64(60*time.Millisecond))), acknowledged)
		if n%10 == 9 || n == *crashes-1 {
			whole(t, path, acknowledged)
		}
	}
	t.Logf("%d records were acknowledged in %d lives", len(acknowledged), *crashes)
}

// kill runs a writer, kills it a while after its first acknowledgement, and
// collects what it acknowledged.
func kill(t *testing.T, path string, after time.Duration, acknowledged map[journal.ID]bool) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childEnv+"="+path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var timer *time.Timer
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if timer == nil {
			timer = time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
		}
		var id journal.ID
		if err := id.UnmarshalText(lines.Bytes()); err != nil { // a line goes out whole or not at all
			t.Fatalf("the writer says %q", lines.Text())
		}
		acknowledged[id] = true
	}
	if err := cmd.Wait(); timer == nil {
		t.Fatalf("the writer ended by itself: %v", err)
	}
}

// whole opens the bench again: everything acknowledged is there and verifies.
func whole(t *testing.T, path string, acknowledged map[journal.ID]bool) {
	t.Helper()
	s := open(t, path)
	defer s.Close()
	kinds := map[string]journal.Kind{"note": {Newest: 1, Read: func(int, json.RawMessage) (any, error) { return nil, nil }}}
	v, err := journal.Verify(ctx, s, kinds)
	if err != nil || len(v.Findings) > 0 {
		t.Fatalf("verifying: %v, %v", v.Findings, err)
	}
	here := map[journal.ID]bool{}
	for _, e := range journaltest.All(t, s, 0) {
		here[e.ID] = true
	}
	for id := range acknowledged {
		if !here[id] {
			t.Errorf("acknowledged record %v is lost", id)
		}
	}
	var said string
	if err := s.read.QueryRow("PRAGMA integrity_check").Scan(&said); err != nil || said != "ok" {
		t.Errorf("integrity: %s, %v", said, err)
	}
}
