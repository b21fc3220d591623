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

// quiet is after how long without a word the server is asked: a line that was cut
// somewhere between says nothing either.
const quiet = 30 * time.Second

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
	w := s.watch(ctx, 0)
	defer w.stop()
	conn, err := pgconn.ConnectConfig(w, config)
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if err := conn.Exec(w, "LISTEN "+channel).Close(); err != nil {
		return err
	}
	for last := ""; ; w.again() {
		if told == "" {
			row, err := one(w, conn, newest)
			if err != nil {
				return err
			}
			if told == "" && string(row[0]) != last { // what was told meanwhile is newer
				told = string(row[0])
			}
		}
		w.pause()
		if told != "" {
			seq, err := strconv.ParseInt(told, 10, 64)
			if err != nil {
				return err
			}
			s.hub.Publish(seq)
			last, told = told, ""
		}
		if err := s.news(ctx, conn); err != nil {
			return err
		}
	}
}

// news waits until the server says something, or has been quiet for so long that it
// is asked.
func (s *Store) news(ctx context.Context, conn *pgconn.PgConn) error {
	waiting, cancel := context.WithTimeout(ctx, s.quiet)
	defer cancel()
	err := conn.WaitForNotification(waiting)
	if err != nil && waiting.Err() != nil && ctx.Err() == nil && !conn.IsClosed() {
		return nil
	}
	return err
}
