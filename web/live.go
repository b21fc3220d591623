package web

import (
	"context"
	"fmt"
	"net/http"
	"sync"
	"time"
)

// live tells open pages that something was recorded.
type live struct {
	mu      sync.Mutex
	waiting map[chan struct{}]bool
}

// again is how long after a change that could not be read it is tried anew.
const again = 500 * time.Millisecond

// run passes every change of the store on until it ends. One that cannot be read
// at once, because the store is away, is tried until it can: no other may follow.
func (l *live) run(ctx context.Context, changes <-chan int64, refresh func() error) {
	var retry <-chan time.Time
	for {
		select {
		case <-ctx.Done():
			return
		case _, open := <-changes:
			if !open {
				return
			}
		case <-retry:
		}
		if retry = nil; refresh() != nil {
			retry = time.After(again)
		}
		l.tell()
	}
}

// tell wakes every stream.
func (l *live) tell() {
	l.mu.Lock()
	defer l.mu.Unlock()
	for c := range l.waiting {
		select {
		case c <- struct{}{}:
		default: // it has one to come
		}
	}
}

func (l *live) join() chan struct{} {
	c := make(chan struct{}, 1)
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.waiting == nil {
		l.waiting = map[chan struct{}]bool{}
	}
	l.waiting[c] = true
	return c
}

func (l *live) leave(c chan struct{}) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.waiting, c)
}

// heartbeat is how often a quiet stream says that it is alive, so that a page
// notices a lost network.
const heartbeat = 10 * time.Second

// events is a stream of server-sent events: the version of a trial, or with "*"
// of the bench, at once and whenever it changes. Source: WHATWG HTML, Server-sent events.
func (s *Site) events(w http.ResponseWriter, r *http.Request) error {
	title := r.URL.Query().Get("trial")
	if title == "*" {
		title = "" // whatever changes; a trial of that name is among it
	}
	c := s.live.join()
	defer s.live.leave(c)
	out := http.NewResponseController(w)
	if err := out.SetWriteDeadline(time.Time{}); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for last, first := uint64(0), true; ; first = false {
		version := s.Bench.Version(title)
		line := ": still here\n\n"
		if first || version != last {
			line = fmt.Sprintf("event: version\ndata: %d\n\n", version)
		}
		last = version
		if _, err := fmt.Fprint(w, line); err != nil {
			return nil // the reader has left
		}
		if err := out.Flush(); err != nil {
			return nil
		}
		select {
		case <-r.Context().Done():
			return nil
		case <-c:
		case <-beat.C:
		}
	}
}
