//go:build unix

package postgres

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"fairburn/journal"
	"fairburn/journal/journaltest"
	"fairburn/journal/postgres/postgrestest"
)

var local *postgrestest.Server // nil where PostgreSQL is missing and that is allowed

func TestMain(m *testing.M) {
	var err error
	local, err = postgrestest.Start()
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		if !errors.Is(err, postgrestest.ErrMissing) || !postgrestest.MayMiss() {
			os.Exit(1)
		}
		os.Exit(m.Run())
	}
	code := m.Run()
	local.Stop()
	os.Exit(code)
}

// database returns the address of a database that holds no bench, until t ends.
func database(t testing.TB) string {
	t.Helper()
	if local == nil {
		t.Skip("!! NOT TESTED: PostgreSQL is missing")
	}
	return local.Database(t)
}

var ctx = context.Background()

func open(t testing.TB, address string) *Store {
	t.Helper()
	s, err := Open(ctx, address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func TestPostgreSQLKeepsTheContract(t *testing.T) {
	journaltest.Run(t, func(t testing.TB) journaltest.Bench {
		address := database(t)
		return journaltest.Bench{
			Open: func(t testing.TB) journal.Store { return open(t, address) },
			Restore: func(t testing.TB, path string) journal.Store {
				return journaltest.Unpack(open(t, database(t)))(t, path)
			},
			Heeds: true,
		}
	})
}

func TestManyOpenAnEmptyDatabaseAtOnce(t *testing.T) {
	address := database(t)
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			s, err := Open(ctx, address)
			if err != nil {
				t.Error(err)
				return
			}
			s.Close()
		})
	}
	wg.Wait()
}

func TestOpenRefusesInWords(t *testing.T) {
	for _, test := range []struct{ name, statement, want string }{
		{"newer", "UPDATE fairburn.layout SET version = 2", "has layout 2 and this program knows up to 1; use a newer fairburn"},
		{"foreign", "DROP TABLE fairburn.layout", "it has a schema named fairburn that is not a bench"},
	} {
		t.Run(test.name, func(t *testing.T) {
			address := database(t)
			open(t, address).Close()
			postgrestest.SQL(t, address, test.statement)
			if s, err := Open(ctx, address); err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("got %v, %v, expected %q", s, err, test.want)
			}
		})
	}
}

func TestAddressErrorsHideThePassword(t *testing.T) {
	for _, address := range []string{"postgres://u:geheim@[bad", "postgres://u:geheim@/x?host=/nowhere&sslmode=odd", "postgres://u:geheim@/x?host=/nowhere"} {
		if _, err := Open(ctx, address); err == nil || strings.Contains(err.Error(), "geheim") {
			t.Errorf("%q gave %v", address, err)
		}
	}
}

func TestCommitsWaitForTheDiskWhateverTheDatabaseSays(t *testing.T) {
	address := database(t)
	name := address[len("postgres:///"):strings.Index(address, "?")]
	postgrestest.SQL(t, address, "ALTER DATABASE "+name+" SET synchronous_commit = off")
	s := open(t, address)
	if rows, err := s.rows(ctx, "SHOW synchronous_commit"); err != nil || string(rows[0][0]) != "on" {
		t.Errorf("synchronous_commit is %q, expected on (%v)", rows, err)
	}
}

// A listener that was cut off must catch up by itself, with what it missed.
func TestWatchOutlivesALostConnection(t *testing.T) {
	address := database(t)
	s, m := open(t, address), journaltest.NewMaker(1)
	heard := s.Watch(ctx)
	hear(t, heard, 0)
	postgrestest.SQL(t, address, "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE query LIKE 'LISTEN%' OR pid IN (SELECT pid FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid())")
	other := open(t, address)
	if _, err := other.Append(ctx, journal.Batch{Records: []journal.Stored{m.Make("a", `1`)}}); err != nil {
		t.Fatal(err)
	}
	hear(t, heard, 1)
}

// Whoever uses a bench while its server is down must be told so, and go on with
// the same Store once it runs again.
func TestAStoreOutlivesItsServer(t *testing.T) {
	address := database(t)
	s, m := open(t, address), journaltest.NewMaker(1)
	first, second := m.Make("a", `1`), m.Make("b", `2`)
	heard := s.Watch(ctx)
	if _, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{first}}); err != nil {
		t.Fatal(err)
	}
	hear(t, heard, 1)
	local.Halt(syscall.SIGINT)
	const want = "there is no connection to the server; try again when it runs and can be reached"
	for range 2 { // with a connection that was lost, and without any
		if _, err := s.Get(ctx, first.ID); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Get: %v, expected %q", err, want)
		}
		if _, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{second}}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Append: %v, expected %q", err, want)
		}
	}
	if err := local.Run(); err != nil {
		t.Fatal(err)
	}
	if got, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{first, second}}); err != nil || !slices.Equal(got, []journal.Outcome{journal.Known, journal.Added}) {
		t.Errorf("after the restart: %v, %v", got, err)
	}
	hear(t, heard, 2)
}

// More readers than connections must wait for each other, not fail; one that
// stops in the middle must leave nothing behind for the next.
func TestReadersShareConnections(t *testing.T) {
	s, m := open(t, database(t)), journaltest.NewMaker(1)
	for range 3 {
		if _, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{m.Make("a", `1`), m.Make("b", journaltest.Blob(200_000))}}); err != nil {
			t.Fatal(err)
		}
	}
	var wg sync.WaitGroup
	for range 3 * most {
		wg.Go(func() {
			for e, err := range s.Since(ctx, 0, journal.Whole) {
				if err != nil {
					t.Error(err)
				} else if _, err := e.Check(); err != nil {
					t.Error(err)
				}
				break
			}
			if all := journaltest.All(t, s, 0); len(all) != 6 {
				t.Errorf("%d entries, expected 6", len(all))
			}
		})
	}
	wg.Wait()
}

// hear waits until a sequence number of at least want is told.
func hear(t *testing.T, heard <-chan int64, want int64) {
	t.Helper()
	for {
		select {
		case seq := <-heard:
			if seq >= want {
				return
			}
		case <-time.After(10 * time.Second):
			t.Fatalf("nothing heard of %d", want)
		}
	}
}

// BenchmarkDurableAppend measures an append beside a bare commit of the same row
// to a table of the same kind in another database of the same server, with the
// plan of the insert kept: what the store adds is the difference.
func BenchmarkDurableAppend(b *testing.B) {
	s, bare := open(b, database(b)), open(b, database(b))
	commit := journaltest.Way{Name: "commit", Keep: func(r journal.Stored) error {
		return bare.on(ctx, func(conn *pgconn.PgConn) error {
			const row = "INSERT INTO fairburn.record (id, signer, signature, received, source, head, body) VALUES ($1, $2, $3, $4, '', $5, $6)"
			if err := prepared(ctx, conn, "bare", row); err != nil {
				return err
			}
			head, body := r.Split()
			values := [][]byte{r.ID[:], r.Signer, r.Signature, moment(time.Now()), head, body}
			return conn.ExecPrepared(ctx, "bare", values, binaries, nil).Read().Err
		})
	}}
	journaltest.BenchmarkAppend(b, s, commit)
}

func BenchmarkGroupCommit(b *testing.B) { journaltest.BenchmarkGroup(b, open(b, database(b))) }

// BenchmarkNotice is from an append by one device to the news of it on another.
func BenchmarkNotice(b *testing.B) {
	address := database(b)
	writer, reader, m := open(b, address), open(b, address), journaltest.NewMaker(1)
	heard := reader.Watch(ctx)
	<-heard
	for b.Loop() {
		if _, err := writer.Append(ctx, journal.Batch{Records: []journal.Stored{m.Make("a", `1`)}}); err != nil {
			b.Fatal(err)
		}
		<-heard
	}
}
