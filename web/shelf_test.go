package web

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
)

func TestEmptyShelfTeaches(t *testing.T) {
	body := page(t, emptySite(t), "/shelf")
	for _, want := range []string{"The first burner", "A first trial needs a burner, a pot and the fuel", `href="/add/scale"`} {
		if !strings.Contains(body, want) {
			t.Errorf("an empty shelf does not say %q", want)
		}
	}
}

func TestThingsFromFormToPage(t *testing.T) {
	s := emptySite(t)
	for kind, form := range map[string]url.Values{
		"burner": {"name": {"Sedge"}, "family": {"side jets"}, "dry_mass": {"9.6 g"}, "jets.0.count": {"16"}, "jets.0.diameter": {"1.0 mm"}, "traits.0.what": {"simmers"}},
		"pot":    {"name": {"tall / pot"}, "mass": {"118 g"}, "material": {"aluminium"}},
		"fuel":   {"name": {"bottle 1"}, "strength": {"95 % vol"}},
		"scale":  {"name": {"pocket"}, "step": {"0.1 g"}},
	} {
		to := sent(t, s, "/add/"+kind, form)
		path, _, _ := strings.Cut(to, "?")
		if body := page(t, s, path); !strings.Contains(body, form.Get("name")) {
			t.Errorf("the page of the %s does not name it", kind)
		}
		if body := page(t, s, path+"/edit"); !strings.Contains(body, form.Get("name")) {
			t.Errorf("the form of the %s does not hold its name", kind)
		}
	}
	body := page(t, s, "/shelf/burner/Sedge")
	for _, want := range []string{"9.6 g", "1.0 mm", "simmers", "In none yet"} {
		if !strings.Contains(body, want) {
			t.Errorf("the burner's page does not say %q", want)
		}
	}
}

// What could not be taken stands in the form again with the reason beside it.
func TestThingsRefusedInWords(t *testing.T) {
	s := newSite(t)
	for _, row := range []struct {
		form url.Values
		want string
	}{
		{url.Values{"name": {""}, "notes": {"kept words"}}, "it needs a name of its own"},
		{url.Values{"name": {"Tansy"}, "notes": {"kept words"}}, "the shelf has one of this name already"},
		{url.Values{"name": {".."}, "notes": {"kept words"}}, "a name of dots cannot stand in an address"},
		{url.Values{"name": {"Sedge"}, "dry_mass": {"9.6"}, "notes": {"kept words"}}, "9.6"},
		{url.Values{"name": {"Sedge"}, "dry_mass": {"one ounce"}, "notes": {"kept words"}}, "one ounce"},
		{url.Values{"name": {"Sedge"}, "parent": {"Tansy"}, "notes": {"kept words"}}, "say what was changed"},
	} {
		w := post(t, s, "/add/burner", row.form)
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), row.want) || !strings.Contains(w.Body.String(), "kept words") {
			t.Errorf("%v: %d, no %q or what was typed is lost", row.form, w.Code, row.want)
		}
	}
	for _, path := range []string{"/add/spoon", "/shelf/burn/1", "/shelf/burner/Nettle", "/add/burner?parent=Nettle", "/photo/00"} {
		if w := get(t, s, path); w.Code != http.StatusNotFound {
			t.Errorf("GET %s: %d, expected 404", path, w.Code)
		}
	}
}

// An altered burner is a child with its own name; what the parent could do is
// to be seen anew.
func TestAlteredBurnerIsAChild(t *testing.T) {
	s := newSite(t)
	form := page(t, s, "/add/burner?parent=Tansy")
	for _, want := range []string{`value="66 mm"`, "Altered from Tansy", `name="parent" value="Tansy"`, "changed"} {
		if !strings.Contains(form, want) {
			t.Errorf("the form of a child lacks %q", want)
		}
	}
	if strings.Contains(form, "dies when choked") {
		t.Error("the child inherits what was seen of its parent")
	}
	sent(t, s, "/add/burner", url.Values{"name": {"Tansy bent"}, "parent": {"Tansy"}, "changed": {"rim bent in"}, "family": {"side jets"}})
	if body := page(t, s, "/shelf/burner/Tansy"); !strings.Contains(body, "Made from it") || !strings.Contains(body, "rim bent in") {
		t.Error("the parent does not show its child")
	}
	shelf, _ := s.Bench.Shelf()
	for _, b := range shelf.Burners {
		if b.Name == "Tansy bent" && b.Marker != 5 {
			t.Errorf("the child has marker %d, expected 5, the first that no burner has", b.Marker)
		}
	}
}

func TestParentsInACircleAreDrawnOnce(t *testing.T) {
	s := emptySite(t)
	take(t, s, "fairburn = 1\ntitle = \"x\"\n[[burner]]\nname = \"A\"\nparent = \"B\"\nchanged = \"x\"\n[[burner]]\nname = \"B\"\nparent = \"A\"\nchanged = \"x\"\n[[burner]]\nname = \"C\"\nparent = \"gone\"\nchanged = \"x\"\n[[burner]]\nname = \"D\"\nparent = \"A\"\nchanged = \"x\"\n")
	body := page(t, s, "/shelf")
	for _, name := range []string{"A", "B", "C", "D"} {
		if n := strings.Count(body, `href="/shelf/burner/`+name+`"`); n != 1 {
			t.Errorf("burner %s is drawn %d times", name, n)
		}
	}
}

func TestCorrectionAndTakingOff(t *testing.T) {
	s := newSite(t)
	pot := url.Values{"name": {"pot"}, "mass": {"121 g"}, "material": {"aluminium"}, "diameter": {"130 mm"}, "holds": {"0.9 L"}}
	sent(t, s, "/shelf/pot/pot/edit", pot)
	body := page(t, s, "/shelf/pot/pot")
	if !strings.Contains(body, "121 g") || !strings.Contains(body, "118 g") {
		t.Error("the page does not show what holds and what was")
	}
	pot.Set("name", "another")
	if w := post(t, s, "/shelf/pot/pot/edit", pot); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "a thing keeps its name") {
		t.Errorf("renaming: %d", w.Code)
	}
	sent(t, s, "/shelf/pot/pot/off", url.Values{})
	if strings.Contains(page(t, s, "/shelf"), `href="/shelf/pot/pot"`) {
		t.Error("the pot is still on the shelf")
	}
	sent(t, s, "/undo", url.Values{"kind": {"pot"}, "subject": {"pot"}, "to": {"/shelf"}})
	if !strings.Contains(page(t, s, "/shelf"), "121 g") {
		t.Error("undo does not bring the pot back")
	}
}

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
