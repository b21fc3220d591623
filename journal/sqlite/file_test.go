package sqlite

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"fairburn/journal"
	"fairburn/journal/journaltest"
)

var ctx = context.Background()

func add(t testing.TB, s *Store, records ...journal.Stored) {
	t.Helper()
	if _, err := s.Append(ctx, journal.Batch{Records: records}); err != nil {
		t.Fatal(err)
	}
}

// tamper changes a file behind our back.
func tamper(t testing.TB, path string, statements ...string) {
	t.Helper()
	db, err := handle(path, false)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, s := range statements {
		if _, err := db.Exec(s); err != nil {
			t.Fatal(err)
		}
	}
}

func refused(t *testing.T, path, want string) {
	t.Helper()
	s, err := Open(path)
	if err == nil {
		s.Close()
	}
	if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), path) {
		t.Errorf("got %v, expected %s and %q", err, path, want)
	}
}

func TestOpenRefusesWhatIsNoBenchAndLeavesItAlone(t *testing.T) {
	for _, test := range []struct {
		name, want string
		make       func(t *testing.T, path string)
	}{
		{"text", "it is not a bench, or its beginning is damaged", func(t *testing.T, path string) {
			write(t, path, []byte(strings.Repeat("a burner of two cans\n", 100)))
		}},
		{"another program's", "it is an SQLite file of another program (application id 0, expected 1717727854); choose another file", func(t *testing.T, path string) {
			tamper(t, path, "CREATE TABLE trip (name TEXT)")
		}},
		{"newer", "it has layout 2 and this program knows up to 1; use a newer fairburn", func(t *testing.T, path string) {
			open(t, path).Close()
			tamper(t, path, "PRAGMA user_version = 2")
		}},
		{"without a layout", "it has layout 0, expected 1 to 1; restore a backup", func(t *testing.T, path string) {
			open(t, path).Close()
			tamper(t, path, "PRAGMA user_version = 0")
		}},
	} {
		t.Run(test.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "x")
			test.make(t, path)
			before := read(t, path)
			refused(t, path, test.want)
			if !bytes.Equal(before, read(t, path)) {
				t.Error("the file was changed")
			}
		})
	}
	refused(t, filepath.Join(t.TempDir(), "no", "such", "folder"), "opening ")
	refused(t, t.TempDir(), "opening ")
}

func write(t testing.TB, path string, b []byte) {
	t.Helper()
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
}

func read(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestAnEmptyFileBecomesABench(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x")
	write(t, path, nil)
	add(t, open(t, path), journaltest.NewMaker(1).Make("a", `1`))
}

// Damage in the middle of a file must be told with its name, as soon as it is met.
// Other users of the machine read neither a bench nor what lies beside it, nor a copy.
func TestOthersMayNotReadABench(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("there, a folder says who may read")
	}
	dir := t.TempDir()
	s, err := Open(filepath.Join(dir, "bench.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := s.Append(ctx, journal.Batch{Records: []journal.Stored{journaltest.NewMaker(1).Make("a", `1`)}}); err != nil {
		t.Fatal(err)
	}
	if err := s.Backup(ctx, filepath.Join(dir, "copy.db")); err != nil {
		t.Fatal(err)
	}
	if err := journal.BackupText(ctx, s, filepath.Join(dir, "copy.txt")); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"bench.db", "bench.db-wal", "bench.db-shm", "copy.db", "copy.txt"} {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode().Perm() != 0o600 {
			t.Errorf("%s has %v, expected -rw-------", name, info.Mode())
		}
	}
}

func TestDamageNamesTheFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x")
	s, m := open(t, path), journaltest.NewMaker(1)
	for i := range 200 {
		add(t, s, m.Make(fmt.Sprint(i), journaltest.Blob(2000)))
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	whole := read(t, path)
	for _, page := range []int{1, 2, 3, 5, 40} {
		b := bytes.Clone(whole)
		for i := range 4096 {
			b[page*4096+i] = 0xa5
		}
		write(t, path, b)
		err := useAll(path)
		if err == nil || !strings.Contains(err.Error(), path+": the file is damaged; keep a copy, restore a backup") {
			t.Errorf("page %d: got %v", page, err)
		}
	}
	write(t, path, whole[:len(whole)/2])
	if err := useAll(path); err == nil || !strings.Contains(err.Error(), path+": the file is damaged") {
		t.Errorf("half a file: got %v", err)
	}
}

func useAll(path string) error {
	s, err := Open(path)
	if err != nil {
		return err
	}
	defer s.Close()
	for e, err := range s.Since(ctx, 0, journal.Whole) {
		if err != nil {
			return err
		}
		if _, err := s.Get(ctx, e.ID); err != nil {
			return err
		}
	}
	if _, err := s.Shunned(ctx); err != nil {
		return err
	}
	_, err = s.Append(ctx, journal.Batch{Records: []journal.Stored{journaltest.NewMaker(9).Make("z", `1`)}})
	return err
}

// fill appends until the store has no room and returns what was acknowledged.
func fill(t *testing.T, s *Store, m *journaltest.Maker) (kept []journal.Stored) {
	t.Helper()
	for i := range 10_000 {
		batch := []journal.Stored{m.Make(fmt.Sprint(i), journaltest.Blob(20_000)), m.Make(fmt.Sprint(i, "b"), `1`)}
		_, err := s.Append(ctx, journal.Batch{Records: batch})
		if err == nil {
			kept = append(kept, batch...)
			continue
		}
		if !errors.Is(err, journal.ErrFull) || !strings.Contains(err.Error(), s.path+": no space left; nothing of it was kept, what was there before is whole; make room and try again") {
			t.Fatalf("got %v", err)
		}
		return kept
	}
	t.Fatal("the disk never filled")
	return nil
}

func holds(t *testing.T, s *Store, want []journal.Stored) {
	t.Helper()
	all := journaltest.All(t, s, 0)
	if len(all) != len(want) {
		t.Fatalf("%d entries, expected the %d acknowledged", len(all), len(want))
	}
	for i, e := range all {
		if _, err := e.Check(); err != nil || e.ID != want[i].ID {
			t.Errorf("entry %d: %v", i, err)
		}
	}
}

func TestAFullFileRefusesAndKeepsWhatItHad(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x")
	s, m := open(t, path), journaltest.NewMaker(1)
	if _, err := s.write.Exec("PRAGMA max_page_count = 100"); err != nil {
		t.Fatal(err)
	}
	kept := fill(t, s, m)
	holds(t, s, kept)
	if _, err := s.write.Exec("PRAGMA max_page_count = 1000"); err != nil {
		t.Fatal(err)
	}
	more := m.Make("more", `1`)
	add(t, s, more)
	s.Close()
	holds(t, open(t, path), append(kept, more))
}

// The same on a real disk of 1 MB that is full, where that can be had.
func TestAFullDiskRefusesAndKeepsWhatItHad(t *testing.T) {
	dir := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=1m", "fairburn-test", dir).CombinedOutput(); runtime.GOOS != "linux" || err != nil {
		t.Skipf("no small disk can be mounted here (%v: %s); the test with a full file stands for it", err, out)
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", dir).CombinedOutput(); err != nil {
			t.Errorf("umount: %v: %s", err, out)
		}
	})
	path := filepath.Join(dir, "x")
	s, m := open(t, path), journaltest.NewMaker(1)
	kept := fill(t, s, m)
	holds(t, s, kept)
	if err := s.Backup(ctx, filepath.Join(dir, "backup")); err == nil {
		t.Error("a backup fitted on the full disk")
	}
	if _, err := os.Stat(filepath.Join(dir, "backup")); err == nil {
		t.Error("half a backup stands under its name")
	}
	s.Close()
	holds(t, open(t, path), kept)
}

func TestShunnedBytesLeaveTheFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "x")
	s, m := open(t, path), journaltest.NewMaker(1)
	secret := m.Seal(journal.Record{Kind: "note", Version: 1, Subject: "a", Name: "Rowan Unmistakable", Body: []byte(`"hidden words"`)})
	add(t, s, m.Make("b", journaltest.Blob(9000)), secret, m.Make("c", `1`))
	if err := s.Shun(ctx, []journal.Shunned{{ID: secret.ID, Why: "asked"}}); err != nil {
		t.Fatal(err)
	}
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		for _, word := range []string{"Unmistakable", "hidden words"} {
			if bytes.Contains(read(t, filepath.Join(dir, f.Name())), []byte(word)) {
				t.Errorf("%s still holds %q", f.Name(), word)
			}
		}
	}
}

// While somebody reads, the log cannot be emptied: that must be told.
func TestShunTellsWhenBytesMustStayForNow(t *testing.T) {
	s, m := open(t, filepath.Join(t.TempDir(), "x")), journaltest.NewMaker(1)
	first, second := m.Make("a", `1`), m.Make("b", `2`)
	add(t, s, first, second)
	if _, err := s.write.Exec("PRAGMA busy_timeout = 10"); err != nil {
		t.Fatal(err)
	}
	list := []journal.Shunned{{ID: first.ID}}
	for _, err := range s.Since(ctx, 0, journal.Whole) {
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Shun(ctx, list); err == nil || !strings.Contains(err.Error(), "the records are barred, but somebody still reads the file") {
			t.Errorf("got %v", err)
		}
		break
	}
	if err := s.Shun(ctx, list); err != nil {
		t.Error(err)
	}
}

func TestPragmasAreReadBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x")
	open(t, path)
	db, err := handle(path, true, "synchronous(OFF)")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.Exec("PRAGMA synchronous = NORMAL"); err != nil {
		t.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	want := "SQLite runs with synchronous 1, expected 2; a bench must lie on a local disk that can be locked"
	if err := checkPragmas(db); err == nil || err.Error() != want {
		t.Errorf("got %v, expected %q", err, want)
	}
}

// The driver is translated C and fits only the C library it was translated with.
func TestDriverRunsWithTheLibraryItNames(t *testing.T) {
	list := func(format string, module string) string {
		out, err := exec.Command("go", "list", "-m", "-f", format, module).Output()
		if err != nil {
			t.Fatal(err)
		}
		return strings.TrimSpace(string(out))
	}
	named := ""
	for line := range strings.Lines(string(read(t, filepath.Join(list("{{.Dir}}", "modernc.org/sqlite"), "go.mod")))) {
		if f := strings.Fields(line); len(f) >= 2 && f[0] == "modernc.org/libc" {
			named = f[1]
		}
	}
	if got := list("{{.Version}}", "modernc.org/libc"); named == "" || got != named {
		t.Errorf("modernc.org/libc is at %s, expected %q as modernc.org/sqlite names it", got, named)
	}
}
