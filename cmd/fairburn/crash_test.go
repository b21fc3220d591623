package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/rand"
	"encoding/json"
	"flag"
	"fmt"
	mathrand "math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/journal"
	"fairburn/journal/sqlite"
	"fairburn/sheet"
)

var (
	kills    = flag.Int("kills", 4, "how often the server is killed under load; 200 is the soak")
	killSeed = flag.Uint64("killseed", 0, "seed of the moments at which it is killed; 0 draws one")
)

const crashSheet = `fairburn = 1
title = "Killed again and again"
[[burner]]
name = "Sedge"
[[entry]]
name = "Sedge"
burner = "Sedge"
`

const phones = 8

// TestServerKilledUnderLoad kills the server at random moments while phones mark,
// as often as -kills says. Whatever was acknowledged is on the bench, once and at
// its time; what was not is delivered later, once; and the bench verifies.
func TestServerKilledUnderLoad(t *testing.T) {
	seed := *killSeed
	if seed == 0 {
		seed = mathrand.Uint64()
	}
	t.Logf("seed %d, %d kills: go test ./cmd/fairburn -run KilledUnderLoad -kills %d -killseed %d", seed, *kills, *kills, seed)
	random := mathrand.New(mathrand.NewPCG(seed, 1))
	place := filepath.Join(t.TempDir(), "bench.db")
	crashBench(t, place)
	address := freeAddress(t)
	load := newCrashLoad(address)
	for range *kills {
		server := startServer(t, place, address)
		time.Sleep(time.Duration(5+random.IntN(60)) * time.Millisecond) // the moment is what is tried, nothing waits for it
		if err := server.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		_ = server.Wait() // killed
	}
	server := startServer(t, place, address)
	load.finish()
	if err := server.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = server.Wait() // killed
	load.check(t, place)
}

// crashBench makes a bench with one burn for each phone.
func crashBench(t *testing.T, place string) {
	t.Helper()
	text := crashSheet
	for i := range phones {
		text += fmt.Sprintf("[[burn]]\nid = %d\nentry = \"Sedge\"\n", i+1)
	}
	x, _, err := sheet.Read("crash.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	b, store := openCrashBench(t, place)
	defer store.Close()
	if _, err := b.Take(context.Background(), x, bench.Refuse); err != nil {
		t.Fatal(err)
	}
}

func openCrashBench(t *testing.T, place string) (*bench.Bench, journal.Store) {
	t.Helper()
	store, err := sqlite.Open(place)
	if err != nil {
		t.Fatal(err)
	}
	key, err := journal.NewKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	b, err := bench.Open(context.Background(), store, bench.Tester{Key: key, Name: "Fern", Now: time.Now, Random: rand.Reader})
	if err != nil {
		t.Fatal(err)
	}
	return b, store
}

func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// startServer runs this test's program as fairburn open and waits until it says
// where it is.
func startServer(t *testing.T, place, address string) *exec.Cmd {
	t.Helper()
	c := &exec.Cmd{Path: os.Args[0], Args: []string{"fairburn", "open", "--bench", place, "--addr", address}, Env: append(os.Environ(), "HOME="+filepath.Dir(place)), Stderr: os.Stderr}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if strings.HasPrefix(lines.Text(), "open:") {
			return c
		}
	}
	t.Fatalf("the server ended before it served: %v", c.Wait())
	return nil
}

// crashLoad are phones that mark without a pause, each sending a mark until it
// is acknowledged, as a page does.
type crashLoad struct {
	address string
	stop    chan struct{}
	phones  sync.WaitGroup
	mu      sync.Mutex
	acked   map[string]time.Time // by nonce, the time that was marked
}

func newCrashLoad(address string) *crashLoad {
	l := &crashLoad{address: address, stop: make(chan struct{}), acked: map[string]time.Time{}}
	for i := range phones {
		l.phones.Go(func() { l.phone(i + 1) })
	}
	return l
}

// finish lets every phone deliver what it still has.
func (l *crashLoad) finish() {
	close(l.stop)
	l.phones.Wait()
}

func (l *crashLoad) phone(burn int) {
	client := &http.Client{Timeout: 2 * time.Second}
	for {
		nonce, err := journal.NewNonce(rand.Reader)
		if err != nil {
			panic(err)
		}
		at := time.Now().Round(time.Millisecond)
		for !l.deliver(client, burn, nonce, at) {
			time.Sleep(3 * time.Millisecond) // as long as the server is away
		}
		l.mu.Lock()
		l.acked[nonce] = at
		l.mu.Unlock()
		select {
		case <-l.stop:
			return
		default:
		}
	}
}

// deliver sends one mark and reports whether the bench said that it is kept.
func (l *crashLoad) deliver(client *http.Client, burn int, nonce string, at time.Time) bool {
	body, err := json.Marshal([]map[string]any{{"nonce": nonce, "title": "Killed again and again", "burn": fmt.Sprint(burn), "what": "not_boiling", "at": at.UnixMilli(), "pressed": at.UnixMilli()}})
	if err != nil {
		panic(err)
	}
	answer, err := client.Post("http://"+l.address+"/marks", "application/json", bytes.NewReader(body))
	if err != nil {
		return false
	}
	defer answer.Body.Close()
	var said struct{ Kept []string }
	return json.NewDecoder(answer.Body).Decode(&said) == nil && len(said.Kept) == 1 && said.Kept[0] == nonce
}

// check holds the bench to what was acknowledged.
func (l *crashLoad) check(t *testing.T, place string) {
	t.Helper()
	b, store := openCrashBench(t, place)
	defer store.Close()
	times := map[string]int{}
	for i := range phones {
		for _, m := range b.Moments("Killed again and again", fmt.Sprint(i+1)) {
			times[m.Nonce]++
			if at, acked := l.acked[m.Nonce]; acked && !m.At.Equal(at) {
				t.Errorf("mark %s is at %v, was made at %v", m.Nonce, m.At, at)
			}
		}
	}
	for nonce := range l.acked {
		if times[nonce] != 1 {
			t.Errorf("mark %s was acknowledged and is on the bench %d times", nonce, times[nonce])
		}
	}
	if len(times) != len(l.acked) {
		t.Errorf("%d marks on the bench, %d acknowledged", len(times), len(l.acked))
	}
	v, err := b.Verify(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range v.Findings {
		if f.Code == "light_not_marked" {
			continue // the phones press one kind of moment, and no light
		}
		t.Error(f)
	}
	t.Logf("%d marks acknowledged, none lost", len(l.acked))
}
