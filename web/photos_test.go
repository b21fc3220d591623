package web

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"fairburn/bench"
	"fairburn/journal"
	"fairburn/journal/journaltest"
	"fairburn/web/guard"
)

// sendPhoto sends a file as a phone's browser does.
func sendPhoto(t *testing.T, s *Site, path string, file []byte) *httptest.ResponseRecorder {
	t.Helper()
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	part, err := m.CreateFormFile("photo", "burner.jpg")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := part.Write(file); err != nil {
		t.Fatal(err)
	}
	for name, value := range map[string]string{"caption": `<b>"rim"</b>`, "to": "/shelf/burner/Tansy"} {
		if err := m.WriteField(name, value); err != nil {
			t.Fatal(err)
		}
	}
	if err := m.Close(); err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, path, &body)
	r.Header.Set("Content-Type", m.FormDataContentType())
	return ask(s, r)
}

// jpegWith is a small picture with something written into its metadata.
func jpegWith(t *testing.T, secret string) []byte {
	t.Helper()
	im := image.NewRGBA(image.Rect(0, 0, 24, 16))
	im.Set(3, 3, color.White)
	var b bytes.Buffer
	if err := jpeg.Encode(&b, im, nil); err != nil {
		t.Fatal(err)
	}
	comment := append([]byte{0xff, 0xfe, 0, byte(len(secret) + 2)}, secret...)
	return append(append(append([]byte{}, b.Bytes()[:2]...), comment...), b.Bytes()[2:]...)
}

func TestPhotos(t *testing.T) {
	s := newSite(t)
	w := sendPhoto(t, s, photoPath("burner", "Tansy"), jpegWith(t, "N 46.5 E 7.9"))
	if w.Code != http.StatusSeeOther {
		t.Fatalf("upload: %d %s", w.Code, w.Body)
	}
	body := page(t, s, "/shelf/burner/Tansy")
	_, rest, found := strings.Cut(body, `<img src="`)
	src, _, _ := strings.Cut(rest, `"`)
	if !found || strings.Contains(body, "<b>") {
		t.Fatal("no photo on the page, or its caption is markup")
	}
	shown := get(t, s, src)
	if shown.Code != http.StatusOK || shown.Header().Get("Content-Type") != "image/jpeg" || bytes.Contains(shown.Body.Bytes(), []byte("46.5")) {
		t.Errorf("photo: %d %v, or the place is still in it", shown.Code, shown.Header())
	}
	photos := s.Bench.Photos("burner", "Tansy")
	sent(t, s, "/undo", url.Values{"kind": {"photo"}, "subject": {photos[0].Subject}, "to": {"/shelf"}})
	if n := len(s.Bench.Photos("burner", "Tansy")); n != 0 {
		t.Errorf("%d photos after undo", n)
	}
}

func TestHostileUploads(t *testing.T) {
	s := newSite(t)
	for name, file := range map[string][]byte{
		"an SVG with script": []byte(`<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`),
		"a page":             []byte("<html><script>alert(1)</script>"),
		"nothing":            {},
		"half a JPEG":        jpegWith(t, "x")[:40],
		"a huge PNG":         []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x0f\x42\x40\x00\x0f\x42\x40\x08\x02\x00\x00\x00\x00\x00\x00\x00"),
	} {
		if w := sendPhoto(t, s, photoPath("burner", "Tansy"), file); w.Code != http.StatusBadRequest {
			t.Errorf("%s: %d, expected 400", name, w.Code)
		}
	}
	if w := sendPhoto(t, s, photoPath("burner", "Nettle"), jpegWith(t, "x")); w.Code != http.StatusNotFound {
		t.Errorf("a photo of nothing: %d, expected 404", w.Code)
	}
	if n := len(s.Bench.Photos("burner", "Tansy")); n != 0 {
		t.Errorf("%d photos were kept", n)
	}
}

// placed is a picture whose Exif data tells where it was taken.
// Source: CIPA DC-008-2019 (Exif 2.32): APP1 section 4.7.2, tag 0x8825 GPSInfo
// section 4.6.3, tag 2 GPSLatitude section 4.6.6.
func placed(t *testing.T) []byte {
	t.Helper()
	le := binary.LittleEndian
	tiff := append([]byte("II"), 42, 0, 8, 0, 0, 0)
	entry := func(tag, kind uint16, count, value uint32) {
		tiff = le.AppendUint32(le.AppendUint32(le.AppendUint16(le.AppendUint16(tiff, tag), kind), count), value)
	}
	tiff = le.AppendUint16(tiff, 1)
	entry(0x8825, 4, 1, 26)
	tiff = append(tiff, 0, 0, 0, 0, 1, 0) // no more directories; one entry in that of the place
	entry(2, 5, 3, 44)
	tiff = append(tiff, 0, 0, 0, 0)
	for _, n := range []uint32{46, 1, 30, 1, 123456789, 1000000} {
		tiff = le.AppendUint32(tiff, n)
	}
	body := append([]byte("Exif\x00\x00"), tiff...)
	plain := jpegWith(t, "x")
	segment := binary.BigEndian.AppendUint16([]byte{0xff, 0xe1}, uint16(len(body)+2))
	return append(append(append([]byte{}, plain[:2]...), append(segment, body...)...), plain[2:]...)
}

func TestPhotoKeepsNoPlace(t *testing.T) {
	s := newSite(t)
	file := placed(t)
	if _, err := jpeg.Decode(bytes.NewReader(file)); err != nil || !bytes.Contains(file, []byte("Exif")) {
		t.Fatal("the test's own file is no photo with a place", err)
	}
	if w := sendPhoto(t, s, photoPath("burner", "Tansy"), file); w.Code != http.StatusSeeOther {
		t.Fatalf("upload: %d %s", w.Code, w.Body)
	}
	kept, _, err := s.Bench.Photo(t.Context(), s.Bench.Photos("burner", "Tansy")[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	for _, secret := range [][]byte{[]byte("Exif"), {0x25, 0x88}, binary.LittleEndian.AppendUint32(nil, 123456789), {0xff, 0xe1}, {0xff, 0xfe}} {
		if bytes.Contains(kept, secret) {
			t.Errorf("% x is in what is kept", secret)
		}
	}
}

func TestPhotoIsSentAsAPictureOnly(t *testing.T) {
	s := newSite(t)
	sendPhoto(t, s, photoPath("burner", "Tansy"), jpegWith(t, "x"))
	w := get(t, s, at("photo", s.Bench.Photos("burner", "Tansy")[0].ID.String()))
	for key, want := range map[string]string{
		"Content-Type": "image/jpeg", "X-Content-Type-Options": "nosniff", "Content-Disposition": "inline",
		"Cache-Control": "private, max-age=31536000, immutable",
	} {
		if got := w.Header().Get(key); got != want {
			t.Errorf("%s is %q, expected %q", key, got, want)
		}
	}
	for _, id := range []string{"0", "x", strings.Repeat("0", 64), "../../x"} {
		if w := get(t, s, at("photo", id)); w.Code != http.StatusNotFound {
			t.Errorf("photo %q: %d, expected 404", id, w.Code)
		}
	}
}

// captionedPhoto is a form with a photo and the words to it.
func captionedPhoto(t *testing.T, caption string, file []byte) (body *bytes.Buffer, kind string) {
	t.Helper()
	body = new(bytes.Buffer)
	m := multipart.NewWriter(body)
	part, err := m.CreateFormFile("photo", "../../<b>.jpg")
	if err == nil {
		_, err = part.Write(file)
	}
	if err == nil {
		err = m.WriteField("caption", caption)
	}
	if err == nil {
		err = m.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return body, m.FormDataContentType()
}

func TestCaptions(t *testing.T) {
	s := newSite(t)
	for caption, want := range map[string]int{strings.Repeat("छ", 200): http.StatusSeeOther, strings.Repeat("छ", 334): http.StatusBadRequest, "\xff": http.StatusSeeOther} {
		body, kind := captionedPhoto(t, caption, jpegWith(t, "x"))
		r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, photoPath("burner", "Tansy"), body)
		r.Header.Set("Content-Type", kind)
		if w := ask(s, r); w.Code != want {
			t.Errorf("a caption of %d bytes: %d, expected %d", len(caption), w.Code, want)
		}
	}
	if !strings.Contains(page(t, s, "/shelf/burner/Tansy"), strings.Repeat("छ", 200)) {
		t.Error("a caption of 200 letters is cut")
	}
}

// More than the guard lets through is refused in words, whether its length is
// told or not, and so is more than a photo may have.
func TestPhotosTooLarge(t *testing.T) {
	s := newSite(t)
	for _, row := range []struct {
		size   int
		told   bool
		status int
		want   string
	}{
		{guard.MaxLargeBody, true, http.StatusRequestEntityTooLarge, "20"},
		{guard.MaxLargeBody, false, http.StatusRequestEntityTooLarge, "more than 20480 kB came"},
		{17 << 20, true, http.StatusBadRequest, "expected at most"},
	} {
		body, kind := captionedPhoto(t, "", make([]byte, row.size))
		r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, photoPath("burner", "Tansy"), io.NopCloser(body))
		r.Header.Set("Content-Type", kind)
		r.ContentLength = -1
		if row.told {
			r.ContentLength = int64(body.Len())
		}
		if w := ask(s, r); w.Code != row.status || !strings.Contains(w.Body.String(), row.want) {
			t.Errorf("%d bytes, length told %v: %d, expected %d with %q: %s", row.size, row.told, w.Code, row.status, row.want, w.Body)
		}
	}
}

// A form that is none, or of another kind, is refused in words.
func TestPhotoFormsThatAreNone(t *testing.T) {
	s := newSite(t)
	path := photoPath("burner", "Tansy")
	if w := post(t, s, path, url.Values{"photo": {"x"}}); w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "did not come whole") {
		t.Errorf("no file: %d %s", w.Code, w.Body)
	}
	body, kind := captionedPhoto(t, "", jpegWith(t, "x"))
	r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, path, io.LimitReader(body, 300))
	r.Header.Set("Content-Type", kind)
	if w := ask(s, r); w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "did not come whole") {
		t.Errorf("half a form: %d %s", w.Code, w.Body)
	}
}

// Undone, a photo is away and its page is still there.
func TestPhotoTakenAwayLeadsBack(t *testing.T) {
	s := newSite(t)
	const here = "/shelf/burner/Tansy"
	for _, of := range [][2]string{{"burner", "Tansy"}, {"burn", demoTitle + "/3"}} {
		path := here
		if of[0] == "burn" {
			path = at("trial", demoTitle, "burn", "3")
		}
		sendPhoto(t, s, photoPath(of[0], of[1]), jpegWith(t, "x"))
		photos := s.Bench.Photos(of[0], of[1])
		if len(photos) != 1 {
			t.Fatalf("%v has %d photos", of, len(photos))
		}
		to := sent(t, s, "/undo", url.Values{"kind": {"photo"}, "subject": {photos[0].Subject}, "to": {path}})
		if got, _, _ := strings.Cut(to, "?"); got != path {
			t.Errorf("undo leads to %s, expected %s", got, path)
		}
	}
}

// full is a store without room.
type full struct{ journal.Store }

func (full) Append(context.Context, journal.Batch) ([]journal.Outcome, error) {
	return nil, fmt.Errorf("writing: %w", journal.ErrFull)
}

// A full disk is told in words by every form of the shelf.
func TestShelfOnAFullDisk(t *testing.T) {
	s := newSite(t)
	b, err := bench.Open(t.Context(), full{s.Store}, bench.Tester{Key: journaltest.NewMaker(1).Key, Name: "Hazel", Now: time.Now, Random: rand.NewChaCha8([32]byte{3})})
	if err != nil {
		t.Fatal(err)
	}
	s.Bench = b
	answers := map[string]*httptest.ResponseRecorder{
		"a new thing":  post(t, s, "/add/pot", url.Values{"name": {"wide"}}),
		"a correction": post(t, s, "/shelf/pot/pot/edit", url.Values{"name": {"pot"}, "mass": {"121 g"}}),
		"off":          post(t, s, "/shelf/pot/pot/off", url.Values{}),
		"a photo":      sendPhoto(t, s, photoPath("pot", "pot"), jpegWith(t, "x")),
	}
	for what, w := range answers {
		if w.Code != http.StatusInsufficientStorage || !strings.Contains(w.Body.String(), "make room on the disk") {
			t.Errorf("%s: %d, expected 507 with what to do", what, w.Code)
		}
	}
}
