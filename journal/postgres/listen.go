package postgres

import (
	"context"
	"strconv"
	"time"
)

// channel is where the server tells of changes, with the newest sequence number.
const channel = "fairburn"

// pause goes before each attempt to listen again after the server was lost.
const pause = 500 * time.Millisecond

// Watch tells of every change by any device, as the server tells of it.
func (s *Store) Watch(ctx context.Context) <-chan int64 { return s.hub.Watch(ctx) }

// listen keeps one connection for what the server tells, until ctx ends.
func (s *Store) listen(ctx context.Context) {
	defer close(s.listening)
	for ctx.Err() == nil {
		// An error here is a lost server: whoever reads or appends is told of it,
		// and after the pause listening begins again.
		_ = s.hear(ctx)
		select {
		case <-ctx.Done():
		case <-time.After(pause):
		}
	}
}

// hear listens until the connection is lost. It begins by telling how far the
// bench has come, since changes may have been missed before.
func (s *Store) hear(ctx context.Context) error {
	pooled, err := s.pool.Acquire(ctx)
	if err != nil {
		return err
	}
	conn := pooled.Hijack() // it is of no use to others while it listens
	defer conn.Close(context.WithoutCancel(ctx))
	if _, err := conn.Exec(ctx, "LISTEN "+channel); err != nil {
		return err
	}
	var seq int64
	if err := conn.QueryRow(ctx, newest).Scan(&seq); err != nil {
		return err
	}
	for {
		s.hub.Publish(seq)
		told, err := conn.WaitForNotification(ctx)
		if err != nil {
			return err
		}
		if seq, err = strconv.ParseInt(told.Payload, 10, 64); err != nil {
			return err
		}
	}
}
