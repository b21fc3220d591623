package journal

import (
	"context"
	"sync"
)

// Hub tells watchers of a store how far it has come. The zero value is ready.
type Hub struct {
	mu       sync.Mutex
	watchers map[chan int64]struct{}
	closed   bool
}

// Publish sends seq to every watcher. It never waits: a watcher that has not
// taken the last number gets this one in its place.
func (h *Hub) Publish(seq int64) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for ch := range h.watchers {
		select {
		case <-ch:
		default:
		}
		ch <- seq
	}
}

// Watch returns a channel that closes when ctx ends or the hub closes.
func (h *Hub) Watch(ctx context.Context) <-chan int64 {
	ch := make(chan int64, 1)
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		close(ch)
		return ch
	}
	if h.watchers == nil {
		h.watchers = map[chan int64]struct{}{}
	}
	h.watchers[ch] = struct{}{}
	context.AfterFunc(ctx, func() {
		h.mu.Lock()
		defer h.mu.Unlock()
		h.remove(ch)
	})
	return ch
}

// Close closes every watcher's channel.
func (h *Hub) Close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.closed = true
	for ch := range h.watchers {
		h.remove(ch)
	}
}

func (h *Hub) remove(ch chan int64) {
	if _, here := h.watchers[ch]; here {
		delete(h.watchers, ch)
		close(ch)
	}
}
