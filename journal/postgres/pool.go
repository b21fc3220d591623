package postgres

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"fairburn/journal"
)

const (
	// most is how many connections a Store holds beside the one that listens.
	// Reading of records and writing share them.
	most = 8
	// fresh is how long a connection is taken to be alive without asking.
	fresh = time.Second
)

const (
	// answerTime is how long the server may take to answer, a place in the pool and a
	// connection included, counted anew from each row of an answer. It grows by a
	// second for each slowest bytes that are sent. A page gives a bench up after eight
	// seconds, and should hear why.
	answerTime = 6 * time.Second
	slowest    = 256 << 10
)

// silence is why a question was given up.
type silence struct{ after time.Duration }

func (s silence) Error() string { return fmt.Sprintf("the server did not answer within %v", s.after) }

// watch is the context of one question to the server, which ends when the server
// keeps silent.
type watch struct {
	context.Context
	timer *time.Timer
	after time.Duration
	end   context.CancelCauseFunc
}

func (s *Store) watch(ctx context.Context, sent int) *watch {
	w := &watch{after: s.patience + time.Duration(sent/slowest)*time.Second}
	w.Context, w.end = context.WithCancelCause(ctx)
	w.timer = time.AfterFunc(w.after, func() { w.end(silence{w.after}) })
	return w
}

func (w *watch) pause() { w.timer.Stop() }
func (w *watch) again() { w.timer.Reset(w.after) }

func (w *watch) stop() {
	w.timer.Stop()
	w.end(nil)
}

// came puts the silence in the place of the error in which it was seen.
func (w *watch) came(err error) error {
	if silent := (silence{}); err != nil && errors.As(context.Cause(w), &silent) {
		return silent
	}
	return err
}

// line is a place in the pool: a connection, or room for one.
type line struct {
	conn *pgconn.PgConn // nil until it is first needed
	used time.Time
}

// on lends a connection to do. It connects anew where the connection was lost
// while nobody used it; one that is lost under do fails do.
func (s *Store) on(ctx context.Context, do func(*pgconn.PgConn) error) error {
	var l line
	select {
	case l = <-s.lines:
	case <-s.own.Done():
		return journal.ErrClosed
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { s.lines <- l }()
	if l.conn == nil || l.conn.IsClosed() || s.doubtful(l) && l.conn.Ping(ctx) != nil {
		var err error
		if l.conn, err = pgconn.ConnectConfig(ctx, s.config); err != nil {
			return err
		}
	}
	defer func() {
		l.used = time.Now()
		if l.conn.IsClosed() {
			s.lost.Store(l.used.UnixNano())
			return
		}
		// What was left within a transaction or an answer is of no use to the
		// next; the server rolls the transaction back.
		if l.conn.IsBusy() || l.conn.TxStatus() != 'I' {
			_ = l.conn.Close(ctx)
		}
	}()
	return do(l.conn)
}

// doubtful reports whether a connection is to be asked before it is used: it lay
// idle, or another one was lost since, and a server that stops takes all of them.
func (s *Store) doubtful(l line) bool {
	return time.Since(l.used) > fresh || l.used.UnixNano() <= s.lost.Load()
}

// binaries says that parameters and answers go over the line as the server
// holds them: bytes as they are, numbers with the highest byte first.
var binaries = []int16{1}

func number(n int64) []byte { return binary.BigEndian.AppendUint64(nil, uint64(n)) }

func asNumber(b []byte) int64 { return int64(binary.BigEndian.Uint64(b)) }

// epoch is where the server counts microseconds from.
var epoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).UnixMicro()

func moment(t time.Time) []byte { return number(t.UnixMicro() - epoch) }

func asMoment(b []byte) time.Time { return time.UnixMicro(asNumber(b) + epoch).UTC() }

// one asks for a single row of text, with a query that has no parameters.
func one(ctx context.Context, conn *pgconn.PgConn, query string) ([][]byte, error) {
	results, err := conn.Exec(ctx, query).ReadAll()
	if err != nil {
		return nil, err
	}
	if len(results) != 1 || len(results[0].Rows) != 1 {
		return nil, fmt.Errorf("the server did not answer %q with one row", query)
	}
	return results[0].Rows[0], nil
}
