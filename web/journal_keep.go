package web

import (
	"context"
	"errors"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"

	"fairburn/bench"
	"fairburn/journal"
	"fairburn/web/guard"
)

// What keeps a bench whole and passes its records on: the owner's part of the
// journal.

func isOwner(r *http.Request) bool { return guard.RoleOf(r.Context()) == guard.Owner }

// patient lets an answer take as long as a large bench needs. A recorder in a test
// has no deadline to lift; a connection always has.
func patient(w http.ResponseWriter) { _ = http.NewResponseController(w).SetWriteDeadline(time.Time{}) }

// records hands every record over as a file that another tester can merge. It
// streams: a bench may be larger than the memory.
func (s *Site) records(w http.ResponseWriter, r *http.Request) error {
	patient(w)
	name := "records-" + s.Now().Format(time.DateOnly) + ".txt"
	return attach(w, "text/plain; charset=utf-8", name, func(w io.Writer) error {
		_, err := journal.WriteExchange(w, s.Store.Since(r.Context(), 0, journal.Whole))
		if err != nil {
			s.failed(r, err) // the answer can no longer say so
		}
		return err
	})
}

// mergedBody is what became of the records of a file.
type mergedBody struct {
	Name string
	bench.Merged
	Faults template.HTML
	Look   template.HTML
}

// merge adds the records of a file that another tester's bench wrote.
func (s *Site) merge(w http.ResponseWriter, r *http.Request) error {
	file, head, err := r.FormFile("file")
	switch {
	case errors.Is(err, http.ErrMissingFile), errors.Is(err, http.ErrNotMultipart):
		return refuse("no file was chosen: expected one that another bench wrote as its records")
	case err != nil:
		return err
	}
	defer file.Close()
	if zip, err := isZip(file); err != nil {
		return err
	} else if zip {
		return s.mergePack(w, r, file, head)
	}
	m, err := s.Bench.Merge(r.Context(), file, brief(head.Filename))
	if err != nil {
		return refuse("%s: %w; %d records were taken in before that. Expected a file of records, as the page of the journal writes it", head.Filename, err, len(m.New))
	}
	b := mergedBody{Name: head.Filename, Merged: m}
	if b.Faults, err = findingsHTML(m.Merged.Faults); err != nil {
		return err
	}
	if b.Look, err = findingsHTML(m.Findings); err != nil {
		return err
	}
	return s.show(w, r, "journal_merged.html", frame{Title: "Merged", Section: "journal", Body: b})
}

// backupName is the file a backup goes to unless the owner says otherwise.
func (s *Site) backupName() string {
	name := "bench-" + s.Now().Format(time.DateOnly)
	if s.serverBench() {
		return name + ".txt"
	}
	return filepath.Join(filepath.Dir(s.Place), name+filepath.Ext(s.Place))
}

// serverBench tells a bench on a server, which is no file and has no folder.
func (s *Site) serverBench() bool { return strings.Contains(s.Place, "://") }

// backup writes all of the bench to a new file on this machine.
func (s *Site) backup(w http.ResponseWriter, r *http.Request) error {
	path := strings.TrimSpace(r.PostFormValue("path"))
	if path == "" || strings.ContainsRune(path, 0) {
		return refuse("no file was named: expected one such as %s", s.backupName())
	}
	if !filepath.IsAbs(path) && !s.serverBench() {
		path = filepath.Join(filepath.Dir(s.Place), path)
	}
	path, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	patient(w)
	err = s.Store.Backup(context.WithoutCancel(r.Context()), path)
	var trouble *fs.PathError
	switch {
	case errors.Is(err, fs.ErrExist):
		return refuse("%s is there already and was left alone: name another file", path)
	case errors.As(err, &trouble):
		return refuse("%s could not be written: %w", path, trouble.Err)
	case err != nil:
		return err
	}
	said := "backed up to " + path
	if info, err := os.Stat(path); err == nil {
		said += fmt.Sprintf(" (%.1f MB)", float64(info.Size())/1e6)
	}
	return back(w, r, "/journal", done{Said: said})
}

// shunBody asks once more.
type shunBody struct {
	bench.Recorded
	Words, When string
	Here        bool
	Why         string
}

// shun erases a record here and keeps it out, once that was asked twice.
func (s *Site) shun(w http.ResponseWriter, r *http.Request) error {
	id, err := recordID(r.PostFormValue("id"))
	if err != nil {
		return err
	}
	why := strings.TrimSpace(r.PostFormValue("why"))
	if n := len(why); n == 0 || n > 1000 {
		return refuse("a reason of %d bytes: expected 1 to 1000, such as “a stranger's data”", n)
	}
	if r.PostFormValue("sure") != "yes" {
		b := shunBody{Why: why, Here: true}
		b.Recorded, err = s.Bench.Record(r.Context(), id)
		if errors.Is(err, journal.ErrAbsent) {
			b.Recorded.ID, b.Here, err = id, false, nil
		}
		if err != nil {
			return err
		}
		b.Words, b.When = topicWords(b.About), dayTime(b.At)
		return s.show(w, r, "journal_shun.html", frame{Title: "Shun a record", Section: "journal", Body: b})
	}
	here, err := s.Bench.Shun(r.Context(), id, why)
	if err != nil {
		return err
	}
	said := fmt.Sprintf("record %.8v was erased here and is kept out from now on", id)
	if !here {
		said = fmt.Sprintf("record %.8v was not here; it is kept out from now on", id)
	}
	return back(w, r, "/journal", done{Said: said})
}
