// Package postgres keeps a bench in a PostgreSQL database, for a club whose
// devices share one. Appends are on the server's disk when they return, and
// every device hears of them through Watch.
//
// It makes its own schema, named fairburn, and touches nothing else. It refuses
// servers that answer before their disk does, and schemas of a newer fairburn.
//
// Read postgres.go, then pool.go, write.go, read.go and listen.go.
package postgres

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"fairburn/journal"
)

// layout is the version of the tables below.
const layout = 1

// connectTime is how long a connection may take to come about where the address
// says nothing of it (connect_timeout).
const connectTime = 5 * time.Second

// turn is the number of the advisory lock that whoever changes the bench holds
// until its transaction ends. Sequence numbers then become visible in the order
// in which they are given; without it a reader that has seen 8 could miss 7.
const turn = 0x6662726e

const tables = `
CREATE SCHEMA fairburn;
CREATE TABLE fairburn.layout (version integer NOT NULL);
CREATE TABLE fairburn.record (
	seq       bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	id        bytea NOT NULL UNIQUE CHECK (length(id) = 32),
	signer    bytea NOT NULL,
	signature bytea NOT NULL,
	received  timestamptz NOT NULL,
	source    text NOT NULL,
	head      bytea NOT NULL, -- the stored bytes up to the body
	body      bytea NOT NULL  -- and from there; a large one lies apart from the row
);
CREATE TABLE fairburn.shunned (
	id  bytea PRIMARY KEY CHECK (length(id) = 32),
	at  timestamptz NOT NULL,
	why text NOT NULL
);
`

// Store is a bench in a database. It is a journal.Store.
type Store struct {
	name      string // of server and database, for messages; never with a password
	config    *pgconn.Config
	lines     chan line
	lost      atomic.Int64  // when a connection was last lost, in nanoseconds of Unix time
	patience  time.Duration // answerTime, and quiet; shorter in tests
	quiet     time.Duration
	committer *journal.Committer
	hub       journal.Hub
	own       context.Context    // ends with the Store
	stop      context.CancelFunc // ends own
	listening chan struct{}      // closes when the listener has ended
	closing   sync.Once
}

// Open connects to the bench at a PostgreSQL address, such as
// postgres://club@host/benches, and makes its schema where there is none.
func Open(ctx context.Context, address string) (*Store, error) {
	config, err := pgconn.ParseConfig(address)
	if err != nil {
		return nil, fmt.Errorf("opening a PostgreSQL bench: %w", err) // the driver leaves the password out
	}
	config.AfterConnect = durable
	if config.ConnectTimeout == 0 { // a network that swallows what is sent would hold every page up
		config.ConnectTimeout = connectTime
	}
	return start(ctx, config, answerTime, quiet)
}

func start(ctx context.Context, config *pgconn.Config, patience, quiet time.Duration) (*Store, error) {
	s := &Store{
		name:      fmt.Sprintf("%s on %s", config.Database, config.Host),
		config:    config,
		patience:  patience,
		quiet:     quiet,
		lines:     make(chan line, most),
		listening: make(chan struct{}),
	}
	for range most {
		s.lines <- line{}
	}
	s.own, s.stop = context.WithCancel(context.Background())
	if err := s.prepare(ctx); err != nil {
		s.stop()
		s.hangUp()
		return nil, s.explain(ctx, "opening", err)
	}
	s.committer = journal.NewCommitter(func(b []journal.Batch) ([][]journal.Outcome, error) { return s.commit(s.own, b) })
	go s.listen(s.own)
	return s, nil
}

// durable makes commits of a connection wait for the disk where the server's
// setting says they need not, and refuses a server that never waits. The turn of a
// device that vanished within it ends, so that it holds nobody up for long.
func durable(ctx context.Context, conn *pgconn.PgConn) error {
	row, err := one(ctx, conn, "SELECT current_setting('fsync'), current_setting('synchronous_commit')")
	if err != nil {
		return err
	}
	fsync, commits := string(row[0]), string(row[1])
	if fsync != "on" {
		return fmt.Errorf("the server runs with fsync = %s, expected on: a power cut would lose records that were acknowledged", fsync)
	}
	if commits == "off" {
		return conn.Exec(ctx, abandoned+"; SET synchronous_commit = on").Close()
	}
	return conn.Exec(ctx, abandoned).Close()
}

const abandoned = "SET idle_in_transaction_session_timeout = '15s'"

// prepare makes the schema, or looks whether this program knows it.
func (s *Store) prepare(ctx context.Context) error {
	return s.inTurn(ctx, 0, func(ctx context.Context, conn *pgconn.PgConn) error {
		row, err := one(ctx, conn, "SELECT count(*) FROM pg_namespace WHERE nspname = 'fairburn'")
		if err != nil {
			return err
		}
		if string(row[0]) == "0" {
			return conn.Exec(ctx, fmt.Sprintf("%s INSERT INTO fairburn.layout VALUES (%d)", tables, layout)).Close()
		}
		row, err = one(ctx, conn, "SELECT coalesce(max(version), 0) FROM fairburn.layout")
		if err != nil {
			return fmt.Errorf("it has a schema named fairburn that is not a bench: %w", err)
		}
		if version := string(row[0]); version != strconv.Itoa(layout) {
			return fmt.Errorf("it has layout %s and this program knows up to %d; use a newer fairburn", version, layout)
		}
		return nil
	})
}

// inTurn runs do in a transaction that no other change of a bench overlaps and that
// sends about so many bytes. Each of its statements must see what was committed
// before the turn came.
func (s *Store) inTurn(ctx context.Context, sent int, do func(context.Context, *pgconn.PgConn) error) error {
	w := s.watch(ctx, sent)
	defer w.stop()
	return w.came(s.on(w, func(conn *pgconn.PgConn) error {
		begin := fmt.Sprintf("BEGIN ISOLATION LEVEL READ COMMITTED; SELECT pg_advisory_xact_lock(%d)", turn)
		if err := conn.Exec(w, begin).Close(); err != nil {
			return err
		}
		if err := do(w, conn); err != nil {
			return err
		}
		return conn.Exec(w, "COMMIT").Close()
	}))
}

// away is an error that wraps journal.ErrAway in its own words.
type away struct{ error }

func (a away) Unwrap() error        { return a.error }
func (a away) Is(target error) bool { return target == journal.ErrAway }

// explain puts the place and what it means for a person before an error of the server's.
func (s *Store) explain(ctx context.Context, doing string, err error) error {
	var e *pgconn.PgError
	var silent silence
	switch {
	case err == nil || ctx.Err() != nil && errors.Is(err, ctx.Err()) || errors.Is(err, journal.ErrAway):
		return err
	case errors.As(err, &silent):
		return away{fmt.Errorf("%s %s: %w; try again when it does", doing, s.name, err)}
	case errors.As(err, &e) && e.Code == "53100": // disk_full
		return fmt.Errorf("%s %s: %w on the server; nothing of it was kept, what was there before is whole (%w)", doing, s.name, journal.ErrFull, err)
	case lost(err):
		return away{fmt.Errorf("%s %s: there is no connection to the server; try again when it runs and can be reached (%w)", doing, s.name, err)}
	}
	return fmt.Errorf("%s %s: %w", doing, s.name, err)
}

// lost tells whether an error is the line's or says that the server goes down
// or comes up, rather than the server's answer to what it was asked.
func lost(err error) bool {
	var e *pgconn.PgError
	if errors.As(err, &e) {
		return strings.HasPrefix(e.Code, "57P") // operator_intervention: shutdown, crash, cannot_connect_now
	}
	var line *net.OpError
	return errors.As(err, &line) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) || errors.Is(err, context.DeadlineExceeded)
}

// Close ends watches and appends under way and leaves the server. Later calls of
// other methods fail.
func (s *Store) Close() error {
	s.closing.Do(func() {
		s.hub.Close()
		s.committer.Close()
		s.stop()
		<-s.listening
		s.hangUp()
	})
	return nil
}

// hangUp closes each connection when it comes back.
func (s *Store) hangUp() {
	ctx, cancel := context.WithTimeout(context.Background(), s.patience)
	defer cancel()
	for range most {
		if l := <-s.lines; l.conn != nil {
			_ = l.conn.Close(ctx)
		}
	}
}
