package web

import (
	"net/http"
	"net/url"
	"strings"

	"fairburn/bench"
	"fairburn/journal"
	"fairburn/photo"
)

// album is what the template "photos" shows of a thing.
type album struct {
	Kind    string
	Subject string
	To      string // the page that it stands on
	Photos  []captioned
}

// captioned is a photo with what it shows.
type captioned struct {
	bench.Photo
	Caption string
}

func (s *Site) album(r *http.Request, kind, subject string) (album, error) {
	a := album{Kind: kind, Subject: subject, To: r.URL.EscapedPath()}
	for _, p := range s.Bench.Photos(kind, subject) {
		_, caption, err := s.Bench.Photo(r.Context(), p.ID)
		if err != nil {
			return a, err
		}
		a.Photos = append(a.Photos, captioned{p, caption})
	}
	return a, nil
}

// addPhoto keeps a photo of a thing: only its pixels.
func (s *Site) addPhoto(w http.ResponseWriter, r *http.Request) error {
	kind, subject := r.PathValue("kind"), r.PathValue("subject")
	if err := r.ParseMultipartForm(1 << 20); err != nil {
		return misuse{err}
	}
	if thing, _, _ := s.Bench.Thing(kind, subject); thing == nil {
		return bench.ErrUnknown
	}
	file, _, err := r.FormFile("photo")
	if err != nil {
		return refuse("no photo was sent: choose one first")
	}
	defer file.Close()
	clean, err := photo.Clean(file)
	if err != nil {
		return misuse{err}
	}
	kept, err := s.Bench.AddPhoto(r.Context(), kind, subject, strings.TrimSpace(brief(r.PostFormValue("caption"))), clean.JPEG)
	if err != nil {
		return err
	}
	return back(w, r, local(r.PostFormValue("to")), done{Said: "photo kept; place, time and camera are gone from it", Kind: "photo", Subject: kept.Subject})
}

// showPhoto is the picture itself. What a record holds never changes, so it may
// be kept by whoever asked.
func (s *Site) showPhoto(w http.ResponseWriter, r *http.Request) error {
	var id journal.ID
	if err := id.UnmarshalText([]byte(r.PathValue("id"))); err != nil {
		return bench.ErrUnknown
	}
	jpeg, _, err := s.Bench.Photo(r.Context(), id)
	if err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", "image/jpeg")
	h.Set("Content-Disposition", "inline")
	h.Set("Cache-Control", "private, max-age=31536000, immutable")
	_, _ = w.Write(jpeg) // a reader who has left is no error
	return nil
}

// photoPath is where photos of a thing are sent.
func photoPath(kind, subject string) string {
	return "/photo/" + url.PathEscape(kind) + "/" + url.PathEscape(subject)
}
