package postgres

import (
	"context"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
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
		s.lost.Store(time.Now().UnixNano())
		select {
		case <-ctx.Done():
		case <-time.After(pause):
		}
	}
}

// hear listens until the connection is lost. It begins by telling how far the
// bench has come, since changes may have been missed before.
func (s *Store) hear(ctx context.Context) error {
	var told string
	config := s.config.Copy()
	config.OnNotification = func(_ *pgconn.PgConn, n *pgconn.Notification) { told = n.Payload }
	conn, err := pgconn.ConnectConfig(ctx, config)
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if err := conn.Exec(ctx, "LISTEN "+channel).Close(); err != nil {
		return err
	}
	row, err := one(ctx, conn, newest)
	if err != nil {
		return err
	}
	for told = string(row[0]); ; {
		seq, err := strconv.ParseInt(told, 10, 64)
		if err != nil {
			return err
		}
		s.hub.Publish(seq)
		if err := conn.WaitForNotification(ctx); err != nil {
			return err
		}
	}
}
