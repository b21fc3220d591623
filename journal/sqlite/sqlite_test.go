package sqlite

import (
	"path/filepath"
	"testing"

	"fairburn/journal"
	"fairburn/journal/journaltest"
)

func open(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func TestSQLiteKeepsTheContract(t *testing.T) {
	journaltest.Run(t, func(t testing.TB) journaltest.Bench {
		path := filepath.Join(t.TempDir(), "a?b#c%41 é.bench")
		opener := func(t testing.TB, path string) journal.Store { return open(t, path) }
		return journaltest.Bench{Open: func(t testing.TB) journal.Store { return opener(t, path) }, Restore: opener}
	})
}
