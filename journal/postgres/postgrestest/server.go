//go:build unix

// Package postgrestest starts a PostgreSQL of the tests' own from Debian's
// package, with a fresh database for each bench that a test asks for.
//
// It refuses to use a server that it did not start: there is nothing to set up
// before the tests and nothing left after them. The disk is waited for as it is
// at a club, since that is what the tests are about.
package postgrestest

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
)

// ErrMissing is wrapped by Start where PostgreSQL is not installed.
var ErrMissing = errors.New("!! PostgreSQL is MISSING (/usr/lib/postgresql/*/bin, Debian package postgresql)")

// Server is a PostgreSQL in a temporary folder, reached by a socket in it.
type Server struct {
	dir  string
	bin  string
	cred *syscall.Credential // PostgreSQL refuses to run as root
	cmd  *exec.Cmd
	free []string // databases without a bench; making one takes half a second
	made int
}

// For starts a server that stops with t. Where PostgreSQL is missing t fails,
// or is passed over with FAIRBURN_ALLOW_MISSING=1.
func For(t testing.TB) *Server {
	t.Helper()
	s, err := Start()
	if errors.Is(err, ErrMissing) && MayMiss() {
		t.Skip("!! NOT TESTED: ", err)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Stop)
	return s
}

// MayMiss tells whether tests may be passed over where PostgreSQL is missing.
func MayMiss() bool { return os.Getenv("FAIRBURN_ALLOW_MISSING") == "1" }

// Start starts a server that answers when it returns.
func Start() (*Server, error) {
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin")
	if err != nil || len(found) == 0 {
		return nil, ErrMissing
	}
	s := &Server{bin: found[len(found)-1]}
	if err := s.start(); err != nil {
		s.Stop()
		return nil, fmt.Errorf("starting PostgreSQL: %w", err)
	}
	return s, nil
}

func (s *Server) start() error {
	var err error
	if s.dir, err = os.MkdirTemp("", "fbpg"); err != nil {
		return err
	}
	if os.Getuid() == 0 {
		if err := s.leaveRoot(); err != nil {
			return err
		}
	}
	data := filepath.Join(s.dir, "data")
	out, err := s.command("initdb", "-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync").CombinedOutput()
	if err != nil {
		return fmt.Errorf("initdb: %w: %s", err, out)
	}
	return s.Run()
}

// Run starts a server that was halted, with all that it held, and waits until
// it answers.
func (s *Server) Run() error {
	log, err := os.Create(filepath.Join(s.dir, "log"))
	if err != nil {
		return err
	}
	defer log.Close() // the server has its own
	s.cmd = s.command("postgres", "-D", filepath.Join(s.dir, "data"), "-k", s.dir, "-c", "listen_addresses=")
	s.cmd.Stderr = log
	if err := s.cmd.Start(); err != nil {
		return err
	}
	for range 600 {
		var conn *pgconn.PgConn
		if conn, err = pgconn.Connect(context.Background(), s.address("postgres")); err == nil {
			return conn.Close(context.Background())
		}
		time.Sleep(50 * time.Millisecond)
	}
	return err
}

// Halt ends the server: SIGINT as an orderly shutdown, SIGQUIT at once.
func (s *Server) Halt(how os.Signal) {
	if s.cmd != nil && s.cmd.Process != nil {
		_ = s.cmd.Process.Signal(how)
		_ = s.cmd.Wait()
	}
}

// leaveRoot gives the folder to the user that Debian's package made.
func (s *Server) leaveRoot() error {
	u, err := user.Lookup("postgres")
	if err != nil {
		return err
	}
	uid, err := strconv.Atoi(u.Uid)
	if err != nil {
		return err
	}
	gid, err := strconv.Atoi(u.Gid)
	if err != nil {
		return err
	}
	s.cred = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
	return os.Chown(s.dir, uid, gid)
}

func (s *Server) command(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(filepath.Join(s.bin, name), args...)
	cmd.Dir = s.dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: s.cred}
	return cmd
}

// Stop ends the server at once; its folder goes with it.
func (s *Server) Stop() {
	s.Halt(syscall.SIGQUIT)
	_ = os.RemoveAll(s.dir)
}

func (s *Server) address(database string) string {
	return "postgres:///" + database + "?user=postgres&host=" + url.QueryEscape(s.dir)
}

// Database returns the address of a database that holds no bench, until t ends.
// It is for one test at a time.
func (s *Server) Database(t testing.TB) string {
	t.Helper()
	if len(s.free) == 0 {
		s.made++
		name := fmt.Sprintf("bench%d", s.made)
		SQL(t, s.address("postgres"), "CREATE DATABASE "+name)
		s.free = append(s.free, name)
	}
	name := s.free[len(s.free)-1]
	s.free = s.free[:len(s.free)-1]
	t.Cleanup(func() {
		SQL(t, s.address(name), "DROP SCHEMA IF EXISTS fairburn CASCADE", "ALTER DATABASE "+name+" RESET ALL")
		s.free = append(s.free, name)
	})
	return s.address(name)
}

// SQL runs statements in a database, each on its own.
func SQL(t testing.TB, address string, statements ...string) {
	t.Helper()
	ctx := context.Background()
	conn, err := pgconn.Connect(ctx, address)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	for _, s := range statements {
		if err := conn.Exec(ctx, s).Close(); err != nil {
			t.Fatalf("%s: %v", s, err)
		}
	}
}
