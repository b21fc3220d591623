package sqlite

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"fairburn/finding"
	"fairburn/journal"
	"fairburn/journal/journaltest"
)

var noteKinds = map[string]journal.Kind{"note": {Newest: 1, Read: func(int, json.RawMessage) (any, error) { return nil, nil }}}

// verify opens the bench at path and returns what was found and how many
// records are whole.
func verify(t *testing.T, path string) (found []finding.Finding, whole int) {
	t.Helper()
	s := open(t, path)
	defer s.Close()
	v, err := journal.Verify(ctx, s, noteKinds)
	if err != nil {
		t.Fatal(err)
	}
	fold := journal.NewFold(noteKinds)
	for _, e := range journaltest.All(t, s, 0) {
		if fold.Add(e) == nil {
			whole++
		}
	}
	if len(fold.Subjects("note")) != whole {
		t.Errorf("%d subjects of %d whole records", len(fold.Subjects("note")), whole)
	}
	add(t, s, journaltest.NewMaker(99).Make("still usable", `1`))
	return v.Findings, whole
}

// Bytes that flip where SQLite does not look: each spoils its own record alone.
func TestFlippedBytesSpoilTheirRecordAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x")
	s, m := open(t, path), journaltest.NewMaker(1)
	var spoilt journal.Stored
	for i := range 50 {
		r := m.Make(fmt.Sprintf("burn %d", i), fmt.Sprintf(`"the body of %d"`, i))
		if add(t, s, r); i == 25 {
			spoilt = r
		}
	}
	s.Close()
	sound := read(t, path)
	for _, test := range []struct{ name, at, code string }{
		{"body", "the body of 25", "record_altered"},
		{"head", `"subject":"burn 25"`, "record_altered"},
		{"signature", string(spoilt.Signature), "signature_wrong"},
		{"signer", string(spoilt.Signer) + string(spoilt.Signature), "signer_differs"},
	} {
		t.Run(test.name, func(t *testing.T) {
			b := bytes.Clone(sound)
			if bytes.Count(b, []byte(test.at)) != 1 {
				t.Fatalf("%q stands %d times in the file", test.at, bytes.Count(b, []byte(test.at)))
			}
			b[bytes.Index(b, []byte(test.at))+1] ^= 0x01
			write(t, path, b)
			found, whole := verify(t, path)
			if len(found) != 1 || found[0].Code != test.code || found[0].Where.Subject != "record "+spoilt.ID.String() {
				t.Errorf("found %v, expected one %s of record %v", found, test.code, spoilt.ID)
			}
			// A fold trusts signatures: whoever brought the record in checked them.
			if altered := test.code == "record_altered"; altered && whole != 49 || !altered && whole != 50 {
				t.Errorf("%d whole records", whole)
			}
		})
	}
}

// killed copies the files of an open bench, as a kill would leave them: all that
// was appended is still in the write-ahead log.
func killed(t *testing.T) (path string, kept []journal.Stored) {
	from, m := filepath.Join(t.TempDir(), "x"), journaltest.NewMaker(1)
	s := open(t, from)
	for i := range 20 {
		r := m.Make(fmt.Sprint(i), journaltest.Blob(3000))
		add(t, s, r)
		kept = append(kept, r)
	}
	path = filepath.Join(t.TempDir(), "x")
	write(t, path, read(t, from))
	write(t, path+"-wal", read(t, from+"-wal"))
	return path, kept
}

func TestALogLeftByAKillIsTakenUp(t *testing.T) {
	path, kept := killed(t)
	s := open(t, path)
	holds(t, s, kept)
	s.Close()
	if info, err := os.Stat(path + "-wal"); err == nil && info.Size() > 0 {
		t.Errorf("the log still has %d bytes after closing", info.Size())
	}
}

// Of a log that broke off, or with a byte flipped, the transactions before that
// place are whole and the rest is not there: never half of one.
func TestADamagedLogKeepsWhatStandsBefore(t *testing.T) {
	path, kept := killed(t)
	sound, log := read(t, path), read(t, path+"-wal")
	flip := bytes.Clone(log)
	flip[len(flip)/2] ^= 0x01
	for name, b := range map[string][]byte{"broken off": log[:len(log)/2], "flipped": flip, "only begun": log[:10]} {
		t.Run(name, func(t *testing.T) {
			write(t, path, sound)
			write(t, path+"-wal", b)
			_ = os.Remove(path + "-shm")
			s := open(t, path)
			n := len(journaltest.All(t, s, 0))
			holds(t, s, kept[:n])
			if n == len(kept) || name != "only begun" && n == 0 {
				t.Errorf("%d records, expected a beginning of the %d", n, len(kept))
			}
			s.Close()
			if found, whole := verify(t, path); len(found) > 0 || whole != n {
				t.Errorf("%d whole, found %v", whole, found)
			}
		})
	}
}

func TestBackupToARelativePath(t *testing.T) {
	s, m := open(t, filepath.Join(t.TempDir(), "x")), journaltest.NewMaker(1)
	r := m.Make("a", `1`)
	add(t, s, r)
	t.Chdir(t.TempDir())
	if err := s.Backup(ctx, "copy.bench"); err != nil {
		t.Fatal(err)
	}
	holds(t, open(t, "copy.bench"), []journal.Stored{r})
}
