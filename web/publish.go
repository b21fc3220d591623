package web

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"strings"

	"fairburn/finding"
	"fairburn/pack"
	"fairburn/publish"
	"fairburn/report/dataset"
	"fairburn/report/paper"
)

// publishBody asks what is to be published.
type publishBody struct {
	Title    string
	Invented bool
	Burns    int
	Photos   bool
}

// askPublish says what lies in a pack and asks what may stand in it.
func (s *Site) askPublish(w http.ResponseWriter, r *http.Request) error {
	v, err := s.shown(r)
	if err != nil {
		return err
	}
	b := publishBody{Title: v.Title, Invented: v.Invented, Burns: len(v.Burns)}
	for _, x := range v.Shelf.Burners {
		b.Photos = b.Photos || len(s.Bench.Photos("burner", x.Name)) > 0
	}
	return s.show(w, r, "publish.html", frame{Title: "Publish: " + v.Title, Section: "trials", Units: v.Units().String(), Body: b})
}

// publish makes the pack and hands it over as one file. Packs are made one at a time,
// for each takes seconds.
func (s *Site) publish(w http.ResponseWriter, r *http.Request) error {
	v, err := s.shown(r)
	if err != nil {
		return err
	}
	if len(v.Burns) == 0 {
		return refuse("%s has no burns, so there is nothing to publish", v.Title)
	}
	patient(w)
	wish := publish.Wish{System: v.Units(), Made: s.Now(), Version: s.Version, Read: v.found}
	if wish.Earlier, err = earlierOf(r); err != nil {
		return err
	}
	wish.Names, wish.Places = r.PostFormValue("names") == "yes", r.PostFormValue("places") == "yes"
	wish.License = dataset.License{Name: strings.TrimSpace(r.PostFormValue("licence"))}
	if changed := strings.TrimSpace(r.PostFormValue("changed")); changed != "" && wish.Earlier != nil {
		wish.Changed = []string{changed}
	}
	if r.PostFormValue("paper") == "letter" {
		wish.Paper = paper.Letter
	}
	if r.PostFormValue("photos") == "yes" {
		if wish.Photos, err = publish.Photos(r.Context(), s.Bench, v.Trial); err != nil {
			return err
		}
	}
	s.packs.Lock()
	defer s.packs.Unlock()
	p, err := publish.Make(r.Context(), v.Trial, wish, nil)
	if err != nil {
		return misuse{err}
	}
	return attach(w, "application/zip", fmt.Sprintf("%s, edition %d.zip", v.Title, p.Edition), p.WriteZip)
}

// earlierOf is the edition that the new one takes the place of, nil where none came.
func earlierOf(r *http.Request) (*pack.Pack, error) {
	file, head, err := r.FormFile("earlier")
	switch {
	case errors.Is(err, http.ErrMissingFile), errors.Is(err, http.ErrNotMultipart):
		return nil, nil
	case err != nil:
		return nil, err
	}
	defer file.Close()
	p, found, err := pack.ReadZip(file, head.Size, pack.DefaultLimits())
	return p, usable(head, found, err)
}

// usable refuses a pack that cannot be read or is not as it was published.
func usable(head *multipart.FileHeader, found []finding.Finding, err error) error {
	if err != nil {
		return refuse("%s: %w. Expected a .zip that was published here or elsewhere", brief(head.Filename), err)
	}
	for _, f := range found {
		if f.Severity == finding.Fault {
			return refuse("%s is not as it was published: %s. Get it again from where it came from", brief(head.Filename), f.Sentence)
		}
	}
	return nil
}

// isZip tells a pack from a file of records.
func isZip(file io.ReadSeeker) (bool, error) {
	start := make([]byte, 4)
	n, err := io.ReadFull(file, start)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return false, err
	}
	_, err = file.Seek(0, io.SeekStart)
	return bytes.Equal(start[:n], []byte("PK\x03\x04")), err
}

// mergePack takes the trial of a pack as that of a tester of its own.
func (s *Site) mergePack(w http.ResponseWriter, r *http.Request, file multipart.File, head *multipart.FileHeader) error {
	p, found, err := pack.ReadZip(file, head.Size, pack.DefaultLimits())
	if err := usable(head, found, err); err != nil {
		return err
	}
	m, err := publish.Merge(r.Context(), s.Bench, s.Store, p, r.PostFormValue("replace") == "yes")
	switch {
	case errors.Is(err, publish.ErrEdition):
		return refuse("%s: %w. Compare its checksum with where it came from, then tick that it takes the place of the edition that is here; records of testers of your bench stay as they are", brief(head.Filename), err)
	case err != nil:
		return misuse{err}
	}
	said := fmt.Sprintf("%s is here as the trial of %s: %d added, %d corrected, %d there already", m.Title, m.Who, len(m.Added), len(m.Replaced), m.Kept)
	if n := len(m.Findings); n > 0 {
		said += "; " + counted(n, "finding") + ", the first: " + m.Findings[0].Sentence
	}
	return back(w, r, at("trial", m.Title), done{Said: said})
}
