// Package sqlite keeps a bench in one SQLite file, which needs no server and no
// C compiler. Appends are on the disk when they return; several programs may
// have the file open, but Watch hears only of changes made through its own Store.
//
// It refuses files that are not benches, benches of a newer fairburn, and places
// where SQLite cannot keep its promises. Errors name the file.
//
// Read sqlite.go, then write.go and read.go.
package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"

	"fairburn/journal"
)

// applicationID marks the file as a bench: "fbrn" in ASCII, bytes 68 to 71.
const applicationID = 0x6662726e

// layout is the version of the tables below, kept as user_version.
const layout = 1

const tables = `
CREATE TABLE record (
	seq       INTEGER PRIMARY KEY AUTOINCREMENT, -- never given twice, not even after a record was shunned
	id        BLOB NOT NULL UNIQUE CHECK (length(id) = 32),
	signer    BLOB NOT NULL,
	signature BLOB NOT NULL,
	received  INTEGER NOT NULL, -- microseconds since 1970
	source    TEXT NOT NULL,
	head      BLOB NOT NULL,    -- the stored bytes up to the body
	body      BLOB NOT NULL     -- and from there; last, so that it is not read with the rest
) STRICT;
CREATE TABLE shunned (
	id  BLOB PRIMARY KEY CHECK (length(id) = 32),
	at  INTEGER NOT NULL,
	why TEXT NOT NULL
) STRICT, WITHOUT ROWID;
`

// pragmas are asked for in every connection and read back, because SQLite
// passes over what it does not know or cannot do without a word.
var pragmas = []struct{ name, ask, got string }{
	{"busy_timeout", "5000", "5000"},
	{"journal_mode", "WAL", "wal"},
	{"synchronous", "FULL", "2"}, // the WAL is synced at every commit
	{"foreign_keys", "1", "1"},
	{"secure_delete", "1", "1"}, // what is shunned is overwritten, not just unlinked
}

// Store is a bench in a file. It is a journal.Store.
type Store struct {
	path      string
	write     *sql.DB // one connection: SQLite has one writer, and waiting here is cheaper than there
	read      *sql.DB
	committer *journal.Committer
	hub       journal.Hub
}

// Open opens the bench at path, which is made when there is no file or an empty one.
func Open(path string) (*Store, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("opening %s: %w", path, err)
	}
	s := &Store{path: full}
	if err := s.open(); err != nil {
		return nil, errors.Join(s.explain("opening", err), s.closeHandles())
	}
	s.committer = journal.NewCommitter(s.commit)
	return s, nil
}

func (s *Store) open() error {
	if err := prepare(s.path); err != nil {
		return err
	}
	var err error
	if s.write, err = handle(s.path, true); err != nil {
		return err
	}
	s.write.SetMaxOpenConns(1)
	if err := checkPragmas(s.write); err != nil {
		return err
	}
	if s.read, err = handle(s.path, true, "query_only(1)"); err != nil {
		return err
	}
	return checkPragmas(s.read)
}

// handle opens a pool on the file; lasting asks for the pragmas of a bench, one
// of which changes the file, so it must be known to be a bench first.
func handle(full string, lasting bool, more ...string) (*sql.DB, error) {
	slashed := filepath.ToSlash(full)
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // file:///C:/...
	}
	query := url.Values{"_txlock": {"immediate"}, "_pragma": more}
	if lasting {
		for _, p := range pragmas {
			query.Add("_pragma", p.name+"("+p.ask+")")
		}
	}
	dsn := url.URL{Scheme: "file", Path: slashed, RawQuery: query.Encode()}
	return sql.Open("sqlite", dsn.String())
}

// prepare makes the tables in a new file and recognises an old one, touching
// nothing in a file that is something else.
func prepare(full string) error {
	info, err := os.Stat(full)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if info == nil {
		if err := private(full); err != nil {
			return err
		}
	}
	db, err := handle(full, false, "busy_timeout(5000)", "synchronous(FULL)")
	if err != nil {
		return err
	}
	defer db.Close()
	if info == nil || info.Size() == 0 {
		if err := create(db); err != nil {
			return err
		}
	}
	return recognise(db)
}

// private makes an empty file that nobody else may read; SQLite gives the files
// beside it the same permissions. Another program may make it meanwhile: closing a
// file here would take its locks away if this program had it open.
func private(full string) error {
	f, err := os.OpenFile(full, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	if err != nil {
		return err
	}
	return f.Close()
}

// create makes everything in one transaction, so that a file is a bench or
// still empty. Another program may have made it since we looked.
func create(db *sql.DB) error {
	tx, err := db.Begin()
	if err != nil {
		return err
	}
	defer tx.Rollback()
	var there int
	if err := tx.QueryRow("SELECT count(*) FROM sqlite_schema").Scan(&there); err != nil || there > 0 {
		return err
	}
	if _, err := tx.Exec(fmt.Sprintf("%s PRAGMA application_id = %d; PRAGMA user_version = %d;", tables, applicationID, layout)); err != nil {
		return err
	}
	return tx.Commit()
}

func recognise(db *sql.DB) error {
	var id, version int
	if err := db.QueryRow("PRAGMA application_id").Scan(&id); err != nil {
		return err
	}
	if err := db.QueryRow("PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	switch {
	case id != applicationID:
		return fmt.Errorf("it is an SQLite file of another program (application id %d, expected %d); choose another file", id, applicationID)
	case version > layout:
		return fmt.Errorf("it has layout %d and this program knows up to %d; use a newer fairburn", version, layout)
	case version < 1:
		return fmt.Errorf("it has layout %d, expected 1 to %d; restore a backup", version, layout)
	}
	return nil
}

func checkPragmas(db *sql.DB) error {
	for _, p := range pragmas {
		var got string
		if err := db.QueryRow("PRAGMA " + p.name).Scan(&got); err != nil {
			return err
		}
		if got != p.got {
			return fmt.Errorf("SQLite runs with %s %s, expected %s; a bench must lie on a local disk that can be locked", p.name, got, p.got)
		}
	}
	return nil
}

// explain puts the file and what it means for a person before an error of SQLite's.
func (s *Store) explain(doing string, err error) error {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return fmt.Errorf("%s %s: %w", doing, s.path, err)
	}
	switch e.Code() & 0xff { // the low byte is the primary code
	case lib.SQLITE_NOTADB:
		return fmt.Errorf("%s %s: it is not a bench, or its beginning is damaged; choose another file or restore a backup (%w)", doing, s.path, err)
	case lib.SQLITE_CORRUPT:
		return fmt.Errorf("%s %s: the file is damaged; keep a copy, restore a backup and merge what can still be read (%w)", doing, s.path, err)
	case lib.SQLITE_FULL:
		return fmt.Errorf("%s %s: %w; nothing of it was kept, what was there before is whole; make room and try again (%w)", doing, s.path, journal.ErrFull, err)
	case lib.SQLITE_BUSY:
		return fmt.Errorf("%s %s: another program has held it for more than five seconds; close that one or try again (%w)", doing, s.path, err)
	}
	return fmt.Errorf("%s %s: %w", doing, s.path, err)
}

// Close ends watches and appends under way and closes the file. Later calls of
// other methods fail.
func (s *Store) Close() error {
	s.hub.Close()
	s.committer.Close()
	return s.explain("closing", s.closeHandles())
}

func (s *Store) closeHandles() error {
	var errs []error
	for _, db := range []*sql.DB{s.read, s.write} {
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	return errors.Join(errs...)
}
