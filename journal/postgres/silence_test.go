//go:build unix

package postgres

import (
	"context"
	"errors"
	"io"
	"net"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"fairburn/journal"
	"fairburn/journal/journaltest"
)

// gate lets a server be heard, or not: what it says stays on the way.
type gate struct {
	mu   sync.Mutex
	open chan struct{} // closed where it is
}

func newGate() *gate {
	g := &gate{open: make(chan struct{})}
	close(g.open)
	return g
}

func (g *gate) shut() {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.open = make(chan struct{})
}

func (g *gate) reopen() {
	g.mu.Lock()
	defer g.mu.Unlock()
	close(g.open)
}

func (g *gate) pass() {
	g.mu.Lock()
	open := g.open
	g.mu.Unlock()
	<-open
}

// dial connects through the gate.
func (g *gate) dial(ctx context.Context, network, address string) (net.Conn, error) {
	server, err := (&net.Dialer{}).DialContext(ctx, network, address)
	if err != nil {
		return nil, err
	}
	near, far := net.Pipe()
	go func() {
		_, _ = io.Copy(server, far)
		_ = server.Close()
	}()
	go func() {
		defer far.Close()
		said := make([]byte, 4096)
		for {
			n, err := server.Read(said)
			if err != nil {
				return
			}
			g.pass()
			if _, err := far.Write(said[:n]); err != nil {
				return
			}
		}
	}()
	return near, nil
}

// through opens a bench behind a gate, with little patience.
func through(t *testing.T, g *gate, address string, patience time.Duration) *Store {
	t.Helper()
	config, err := pgconn.ParseConfig(address)
	if err != nil {
		t.Fatal(err)
	}
	config.AfterConnect, config.DialFunc = durable, g.dial
	s, err := start(ctx, config, patience, patience)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// A server that says nothing more is given up in words, by everybody who waits for
// it, and used again once it answers; what was told meanwhile is made up for.
func TestASilentServerIsGivenUp(t *testing.T) {
	g, address, m := newGate(), database(t), journaltest.NewMaker(1)
	s := through(t, g, address, 2*time.Second)
	first, other := m.Make("a", `1`), m.Make("b", `2`)
	heard := s.Watch(ctx)
	if _, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{first}}); err != nil {
		t.Fatal(err)
	}
	hear(t, heard, 1)
	g.shut()
	const want = "the server did not answer within 2s; try again when it does"
	var all sync.WaitGroup
	for what, ask := range map[string]func() error{
		"get":       func() error { _, err := s.Get(ctx, first.ID); return err },
		"beginning": func() error { _, err := s.Beginning(ctx, first.ID, 10); return err },
		"shunned":   func() error { _, err := s.Shunned(ctx); return err },
		"shun":      func() error { return s.Shun(ctx, []journal.Shunned{{ID: journal.ID{1}, At: time.Now(), Why: "test"}}) },
		"since": func() error {
			for _, err := range s.Since(ctx, 0, 0) {
				return err
			}
			return nil
		},
		"append": func() error {
			_, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{m.Make("c", `3`)}})
			return err
		},
	} {
		all.Go(func() {
			if err := ask(); !errors.Is(err, journal.ErrAway) || !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v, expected %q", what, err, want)
			}
		})
	}
	all.Wait()
	ended, end := context.WithCancel(ctx)
	end()
	if _, err := s.Get(ended, first.ID); !errors.Is(err, context.Canceled) || errors.Is(err, journal.ErrAway) {
		t.Errorf("who leaves is told %v", err)
	}
	direct := open(t, address)
	if _, err := direct.Append(ctx, journal.Batch{Records: []journal.Stored{other}}); err != nil {
		t.Fatal(err)
	}
	newest := journaltest.All(t, direct, 0)
	g.reopen()
	hear(t, heard, newest[len(newest)-1].Seq)
	if _, err := s.Get(ctx, other.ID); err != nil {
		t.Error(err)
	}
}

// However many wait to append, a server that is away is waited for once.
func TestThoseWhoWaitToAppendAreToldAtOnce(t *testing.T) {
	tried := 0
	c := journal.NewCommitter(func([]journal.Batch) ([][]journal.Outcome, error) {
		tried++
		return nil, away{errors.New("silent")}
	})
	defer c.Close()
	var all sync.WaitGroup
	for range 50 {
		all.Go(func() {
			if _, err := c.Append(ctx, journal.Batch{}); !errors.Is(err, journal.ErrAway) {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if tried > 50 {
		t.Errorf("the server was tried %d times for 50 batches", tried)
	}
}

// A reader may take longer over an entry than the server may over an answer.
func TestASlowReaderIsNoSilence(t *testing.T) {
	s, m := through(t, newGate(), database(t), time.Second), journaltest.NewMaker(1)
	if _, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{m.Make("a", `1`), m.Make("b", journaltest.Blob(1_000_000)), m.Make("c", `3`)}}); err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, err := range s.Since(ctx, 0, journal.Whole) {
		if n++; err != nil {
			t.Fatal(err)
		}
		if n == 2 {
			time.Sleep(1200 * time.Millisecond) // longer than the server's time
		}
	}
	if n != 3 {
		t.Errorf("%d entries, expected 3", n)
	}
}
