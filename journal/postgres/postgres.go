// Package postgres keeps a bench in a PostgreSQL database, for a club whose
// devices share one. Appends are on the server's disk when they return, and
// every device hears of them through Watch.
//
// It makes its own schema, named fairburn, and touches nothing else. It refuses
// servers that answer before their disk does, and schemas of a newer fairburn.
//
// Read postgres.go, then write.go, read.go and listen.go.
package postgres

import (
	"context"
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	"fairburn/journal"
)

// layout is the version of the tables below.
const layout = 1

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
	pool      *pgxpool.Pool
	committer *journal.Committer
	hub       journal.Hub
	stop      context.CancelFunc // ends the listener and appends under way
	listening chan struct{}      // closes when the listener has ended
}

// Open connects to the bench at a PostgreSQL address, such as
// postgres://club@host/benches, and makes its schema where there is none.
func Open(ctx context.Context, address string) (*Store, error) {
	config, err := pgxpool.ParseConfig(address)
	if err != nil {
		return nil, fmt.Errorf("opening a PostgreSQL bench: %w", err) // the driver leaves the password out
	}
	s := &Store{name: fmt.Sprintf("%s on %s", config.ConnConfig.Database, config.ConnConfig.Host)}
	config.AfterConnect = durable
	if s.pool, err = pgxpool.NewWithConfig(ctx, config); err != nil {
		return nil, s.explain("opening", err)
	}
	if err := s.prepare(ctx); err != nil {
		s.pool.Close()
		return nil, s.explain("opening", err)
	}
	own, stop := context.WithCancel(context.Background())
	s.stop = stop
	s.committer = journal.NewCommitter(func(b []journal.Batch) ([][]journal.Outcome, error) { return s.commit(own, b) })
	s.listening = make(chan struct{})
	go s.listen(own)
	return s, nil
}

// durable makes commits of a connection wait for the disk where the server's
// setting says they need not, and refuses a server that never waits.
func durable(ctx context.Context, conn *pgx.Conn) error {
	var fsync, commits string
	row := conn.QueryRow(ctx, "SELECT current_setting('fsync'), current_setting('synchronous_commit')")
	if err := row.Scan(&fsync, &commits); err != nil {
		return err
	}
	if fsync != "on" {
		return fmt.Errorf("the server runs with fsync = %s, expected on: a power cut would lose records that were acknowledged", fsync)
	}
	if commits != "off" {
		return nil
	}
	_, err := conn.Exec(ctx, "SET synchronous_commit = on")
	return err
}

// prepare makes the schema, or looks whether this program knows it.
func (s *Store) prepare(ctx context.Context) error {
	return s.inTurn(ctx, func(tx pgx.Tx) error {
		var there bool
		err := tx.QueryRow(ctx, "SELECT EXISTS (SELECT 1 FROM pg_namespace WHERE nspname = 'fairburn')").Scan(&there)
		if err != nil {
			return err
		}
		if !there {
			_, err := tx.Exec(ctx, fmt.Sprintf("%s INSERT INTO fairburn.layout VALUES (%d)", tables, layout))
			return err
		}
		var version int
		err = tx.QueryRow(ctx, "SELECT max(version) FROM fairburn.layout").Scan(&version)
		if err != nil {
			return fmt.Errorf("it has a schema named fairburn that is not a bench: %w", err)
		}
		if version != layout {
			return fmt.Errorf("it has layout %d and this program knows up to %d; use a newer fairburn", version, layout)
		}
		return nil
	})
}

// inTurn runs do in a transaction that no other change of a bench overlaps. Each
// of its statements must see what was committed before the turn came.
func (s *Store) inTurn(ctx context.Context, do func(pgx.Tx) error) error {
	return pgx.BeginTxFunc(ctx, s.pool, pgx.TxOptions{IsoLevel: pgx.ReadCommitted}, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, "SELECT pg_advisory_xact_lock($1)", turn); err != nil {
			return err
		}
		return do(tx)
	})
}

// explain puts the place and what it means for a person before an error of the server's.
func (s *Store) explain(doing string, err error) error {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	var e *pgconn.PgError
	if errors.As(err, &e) && e.Code == "53100" { // disk_full
		return fmt.Errorf("%s %s: %w on the server; nothing of it was kept, what was there before is whole (%w)", doing, s.name, journal.ErrFull, err)
	}
	return fmt.Errorf("%s %s: %w", doing, s.name, err)
}

// Close ends watches and appends under way and leaves the server. Later calls of
// other methods fail.
func (s *Store) Close() error {
	s.hub.Close()
	s.committer.Close()
	s.stop()
	<-s.listening
	s.pool.Close()
	return nil
}
