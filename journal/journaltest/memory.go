package journaltest

import (
	"cmp"
	"context"
	"fmt"
	"iter"
	"slices"
	"sync"

	"fairburn/journal"
)

// Memory is a store that forgets everything when the program ends: for tests of
// packages that need a store and not a disk. Make it with NewMemory.
type Memory struct {
	mu      sync.RWMutex
	entries []journal.Entry
	here    map[journal.ID]bool
	shunned map[journal.ID]journal.Shunned
	seq     int64
	closed  bool
	hub     journal.Hub
}

// NewMemory returns an empty store.
func NewMemory() *Memory {
	return &Memory{here: map[journal.ID]bool{}, shunned: map[journal.ID]journal.Shunned{}}
}

// Append keeps what is new.
func (m *Memory) Append(ctx context.Context, b journal.Batch) ([]journal.Outcome, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.closed {
		return nil, journal.ErrClosed
	}
	outcomes := make([]journal.Outcome, len(b.Records))
	for i, s := range b.Records {
		_, barred := m.shunned[s.ID]
		switch {
		case barred:
			outcomes[i] = journal.Barred
		case m.here[s.ID]:
			outcomes[i] = journal.Known
		default:
			m.seq++
			m.here[s.ID] = true
			m.entries = append(m.entries, journal.Entry{Seq: m.seq, Stored: s, Receipt: b.Receipt})
		}
	}
	m.hub.Publish(m.seq)
	return outcomes, ctx.Err()
}

// Since yields what was there when it was called.
func (m *Memory) Since(ctx context.Context, after int64, largest int) iter.Seq2[journal.Entry, error] {
	return func(yield func(journal.Entry, error) bool) {
		m.mu.RLock()
		entries, closed := slices.Clone(m.entries), m.closed
		m.mu.RUnlock()
		if closed {
			yield(journal.Entry{}, journal.ErrClosed)
			return
		}
		for _, e := range entries {
			if head, body := e.Split(); len(body)-1 > largest {
				e.Bytes, e.Cut = head, true
			}
			if e.Seq > after && !yield(e, ctx.Err()) {
				return
			}
		}
	}
}

// Get returns one record.
func (m *Memory) Get(_ context.Context, id journal.ID) (journal.Entry, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	for _, e := range m.entries {
		if e.ID == id {
			return e, nil
		}
	}
	return journal.Entry{}, fmt.Errorf("record %v: %w", id, journal.ErrAbsent)
}

// Beginning returns one record without most of a large body.
func (m *Memory) Beginning(ctx context.Context, id journal.ID, largest int) (journal.Entry, error) {
	e, err := m.Get(ctx, id)
	return e.Shortened(largest), err
}

// Shun forgets records and bars them.
func (m *Memory) Shun(_ context.Context, list []journal.Shunned) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, s := range list {
		if _, already := m.shunned[s.ID]; already {
			continue
		}
		m.shunned[s.ID] = s
		delete(m.here, s.ID)
		m.entries = slices.DeleteFunc(m.entries, func(e journal.Entry) bool { return e.ID == s.ID })
	}
	m.hub.Publish(m.seq)
	return nil
}

// Shunned returns the shun list in order of id.
func (m *Memory) Shunned(context.Context) ([]journal.Shunned, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	var list []journal.Shunned
	for _, s := range m.shunned {
		list = append(list, s)
	}
	slices.SortFunc(list, func(a, b journal.Shunned) int { return cmp.Compare(a.ID.String(), b.ID.String()) })
	return list, nil
}

// Backup writes an exchange file.
func (m *Memory) Backup(ctx context.Context, path string) error {
	return journal.BackupText(ctx, m, path)
}

// Watch tells of changes.
func (m *Memory) Watch(ctx context.Context) <-chan int64 { return m.hub.Watch(ctx) }

// Close ends every watch.
func (m *Memory) Close() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.closed = true
	m.hub.Close()
	return nil
}
