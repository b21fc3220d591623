//go:build unix

package postgres

import (
	"context"
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

// server is a PostgreSQL of our own in a temporary folder, reached by a socket in it.
type server struct {
	dir  string
	bin  string
	cred *syscall.Credential // PostgreSQL refuses to run as root
	cmd  *exec.Cmd
}

var (
	local *server  // nil when PostgreSQL is missing and that is allowed
	free  []string // databases without a schema of ours; making one takes half a second
	made  int
)

func TestMain(m *testing.M) {
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin")
	if err != nil || len(found) == 0 {
		fmt.Fprintln(os.Stderr, "!! PostgreSQL is MISSING (/usr/lib/postgresql/*/bin, Debian package postgresql)")
		if os.Getenv("FAIRBURN_ALLOW_MISSING") != "1" {
			os.Exit(1)
		}
		os.Exit(m.Run())
	}
	local = &server{bin: found[len(found)-1]}
	code := 1
	if err := local.start(); err != nil {
		fmt.Fprintln(os.Stderr, "starting PostgreSQL:", err)
	} else {
		code = m.Run()
	}
	local.stop()
	os.Exit(code)
}

func (s *server) start() error {
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
	return s.run()
}

// run starts the server and waits until it answers.
func (s *server) run() error {
	s.cmd = s.command("postgres", "-D", filepath.Join(s.dir, "data"), "-k", s.dir, "-c", "listen_addresses=")
	var err error
	s.cmd.Stderr, err = os.Create(filepath.Join(s.dir, "log"))
	if err != nil {
		return err
	}
	if err := s.cmd.Start(); err != nil {
		return err
	}
	for range 200 {
		var conn *pgconn.PgConn
		if conn, err = pgconn.Connect(context.Background(), s.address("postgres")); err == nil {
			return conn.Close(context.Background())
		}
		time.Sleep(50 * time.Millisecond)
	}
	return err
}

// halt ends the server: SIGINT as an orderly shutdown, SIGQUIT at once.
func (s *server) halt(how os.Signal) {
	if s.cmd != nil && s.cmd.Process != nil {
		_ = s.cmd.Process.Signal(how)
		_ = s.cmd.Wait()
	}
}

// leaveRoot gives the folder to the user that Debian's package made.
func (s *server) leaveRoot() error {
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

func (s *server) command(name string, args ...string) *exec.Cmd {
	cmd := exec.Command(filepath.Join(s.bin, name), args...)
	cmd.Dir = s.dir
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: s.cred}
	return cmd
}

// stop ends the server at once; its folder goes with it.
func (s *server) stop() {
	s.halt(syscall.SIGQUIT)
	_ = os.RemoveAll(s.dir)
}

func (s *server) address(database string) string {
	return "postgres:///" + database + "?user=postgres&host=" + url.QueryEscape(s.dir)
}

// sql runs statements in a database, each on its own.
func sql(t testing.TB, address string, statements ...string) {
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

// database returns the address of a database that holds no bench, until t ends.
func database(t testing.TB) string {
	t.Helper()
	if local == nil {
		t.Skip("!! NOT TESTED: PostgreSQL is missing")
	}
	if len(free) == 0 {
		made++
		name := fmt.Sprintf("bench%d", made)
		sql(t, local.address("postgres"), "CREATE DATABASE "+name)
		free = append(free, name)
	}
	name := free[len(free)-1]
	free = free[:len(free)-1]
	address := local.address(name)
	t.Cleanup(func() {
		sql(t, address, "DROP SCHEMA IF EXISTS fairburn CASCADE", "ALTER DATABASE "+name+" RESET ALL")
		free = append(free, name)
	})
	return address
}
