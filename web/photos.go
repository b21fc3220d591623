package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"fairburn/bench"
	"fairburn/journal"
	"fairburn/photo"
	"fairburn/web/guard"
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

// album collects the photos of a thing for the page at an address.
func (s *Site) album(ctx context.Context, kind, subject, to string) (album, error) {
	a := album{Kind: kind, Subject: subject, To: to}
	for _, p := range s.Bench.Photos(kind, subject) {
		caption, err := s.Bench.Caption(ctx, p.ID)
		if err != nil {
			return a, err
		}
		a.Photos = append(a.Photos, captioned{p, caption})
	}
	return a, nil
}

const maxCaption = 1000 // bytes

// photosAtOnce is how many photos are taken in at a time; others wait with theirs on
// the line, so that many large ones do not fill the memory.
const photosAtOnce = 4

// addPhoto keeps a photo of a thing: only its pixels. All that the guard lets
// through is held in memory, so that a photo with its place in it is never on the
// disk.
func (s *Site) addPhoto(w http.ResponseWriter, r *http.Request) error {
	kind, subject := r.PathValue("kind"), r.PathValue("subject")
	if _, stands, _ := s.Bench.Thing(kind, subject); len(stands) == 0 {
		return bench.ErrUnknown
	}
	select {
	case s.photos <- struct{}{}:
		defer func() { <-s.photos }()
	case <-r.Context().Done():
		return r.Context().Err()
	}
	if err := r.ParseMultipartForm(guard.MaxLargeBody); err != nil {
		return misuse{fmt.Errorf("the photo did not come whole: %w", err)}
	}
	file, _, err := r.FormFile("photo")
	if err != nil {
		return refuse("no photo was sent: choose one first")
	}
	defer file.Close()
	caption := strings.TrimSpace(strings.ToValidUTF8(r.PostFormValue("caption"), ""))
	if len(caption) > maxCaption {
		return refuse("what the photo shows, in %d bytes: expected at most %d", len(caption), maxCaption)
	}
	clean, err := photo.Clean(file)
	if err != nil {
		return misuse{err}
	}
	kept, err := s.Bench.AddPhoto(r.Context(), bench.Shot{Kind: kind, Subject: subject, Caption: caption, JPEG: clean.JPEG})
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
