package web

import (
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"

	dom "golang.org/x/net/html"

	"fairburn/bench"
	"fairburn/sheet"
)

// What people write into records may be anything; it stays text on every page.

// meanTitles mean something to a page, an address, a file or a log.
var meanTitles = []string{
	`"><script>alert(1)</script>'onload=alert(1) x="` + "`javascript:alert(1)",
	`../../etc/passwd\..\x?y=1#z%2e%2e%2f%00{{.Title}}${1}`, `*`, "日本 العربية \u202egnp.exe", `& <b>`,
}

// titled is a site with a part of the demo trial under a title, after which the
// notes, the testers, a burner and the reason to leave a burn out are named as well.
func titled(t testing.TB, title string) *Site {
	t.Helper()
	s := emptySite(t)
	text, err := os.ReadFile("../cmd/fairburn/demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	x, _, err := sheet.Read("demo.toml", text)
	if err != nil {
		t.Fatal(err)
	}
	x.Burns = x.Burns[:8] // a verdict on more takes time and tells no more
	if x.Title != title {
		x.Title, x.Question, x.Notes, x.Burns[0].Void = title, title, title, title
		for i := range x.Burns {
			x.Burns[i].Notes, x.Burns[i].Tester = title, title
		}
		x.Shelf.Burners = append(x.Shelf.Burners, x.Shelf.Burners[0])
		odd := &x.Shelf.Burners[len(x.Shelf.Burners)-1]
		odd.Name, odd.Parent, odd.Changed, odd.Notes = title, x.Shelf.Burners[0].Name, title, title
	}
	if _, err := s.Bench.Take(t.Context(), x, bench.Refuse); err != nil {
		t.Fatalf("%q: %v", title, err)
	}
	walkTo(t, s, title)
	return s
}

// walkTo puts a trip on the bench whose every name is a title.
func walkTo(t testing.TB, s *Site, title string) {
	t.Helper()
	text, err := os.ReadFile("../docs/examples/ten-days.toml")
	if err != nil {
		t.Fatal(err)
	}
	x, _, err := sheet.ReadTrip("ten-days.toml", text)
	if err != nil {
		t.Fatal(err)
	}
	x.Title, x.Notes, x.Currency, x.Draws = title, title, title, 1_000
	for i := range x.Legs {
		x.Legs[i].Name, x.Legs[i].Boils[0].Name = title, title
	}
	x.Rules[0].Place, x.Rules[0].Text, x.Rules[0].Checked, x.Rules[0].Link = title, title, title, title
	x.Shelf.Stoves[0].Name, x.Shelf.Vessels[0].Name, x.Shelf.Parts[0].Name = title, title, title
	x.Past[0].Trip, x.Past[0].Stove = title, title
	if _, _, err := s.Bench.PutTrip(t.Context(), x, nil); err != nil {
		t.Fatalf("%q: %v", title, err)
	}
}

func TestWhatPeopleWroteStaysTextOnEveryPage(t *testing.T) {
	for _, title := range meanTitles {
		s := titled(t, title)
		for _, pattern := range reachable(s) {
			method, path := addressed(s, pattern, title)
			if method != http.MethodGet || path == "/events" {
				continue
			}
			w := get(t, s, path)
			if (strings.Contains(pattern, "{title}") || strings.HasPrefix(pattern, "GET /shelf/")) && w.Code != http.StatusOK && !strings.HasSuffix(pattern, "/after") {
				t.Errorf("%s of %q: %d %.300s", pattern, title, w.Code, w.Body)
			}
			harmless(t, pattern, w)
		}
		harmless(t, "journal", get(t, s, "/journal?said="+url.QueryEscape(title)+"&kind="+url.QueryEscape(title)+"&subject="+url.QueryEscape(title)))
		harmless(t, "an error", get(t, s, at("trial", title+"x", "verdict")))
		harmless(t, "verified", post(t, s, "/journal/verify", nil))
		harmless(t, "merged", uploadRecords(t, s, title, "no records"))
	}
}

// harmless reads an answer as a browser does: no script but our files, no style
// but our sheet, nothing that runs, and the policy that forbids it.
func harmless(t *testing.T, page string, w *httptest.ResponseRecorder) {
	t.Helper()
	for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Referrer-Policy": "same-origin", "Cross-Origin-Opener-Policy": "same-origin"} {
		if got := w.Header().Get(name); got != want {
			t.Errorf("%s: %s is %q", page, name, got)
		}
	}
	if p := w.Header().Get("Content-Security-Policy"); !strings.HasPrefix(p, "default-src 'none'; script-src 'self'; style-src 'self';") || strings.Contains(p, "unsafe") {
		t.Errorf("%s: policy %q", page, p)
	}
	for name, values := range w.Header() {
		if strings.ContainsAny(strings.Join(values, ""), "\r\n") {
			t.Errorf("%s: header %s breaks", page, name)
		}
	}
	if !strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") || strings.HasPrefix(w.Header().Get("Content-Disposition"), "attachment") {
		return
	}
	for z := dom.NewTokenizer(w.Body); ; {
		switch z.Next() {
		case dom.ErrorToken:
			return
		case dom.StartTagToken, dom.SelfClosingTagToken:
			for _, wrong := range wrongOf(z.Token()) {
				t.Errorf("%s: %s", page, wrong)
			}
		}
	}
}

var ownFile = regexp.MustCompile(`^/(timing/)?[a-z]+\.(js|css|svg)$`)

// wrongOf says what of a tag could run or be styled in line, or leads elsewhere.
func wrongOf(tag dom.Token) []string {
	var wrong []string
	src := ""
	for _, a := range tag.Attr {
		switch {
		case strings.HasPrefix(a.Key, "on"), a.Key == "style", a.Key == "srcdoc", a.Key == "formaction":
			wrong = append(wrong, tag.String())
		case a.Key == "href" || a.Key == "action":
			if !strings.HasPrefix(a.Val, "/") && !strings.HasPrefix(a.Val, "#") || strings.HasPrefix(a.Val, "//") || strings.Contains(a.Val, `\`) {
				wrong = append(wrong, "leads elsewhere: "+tag.String())
			}
		case a.Key == "src":
			src = a.Val
		}
	}
	switch tag.Data {
	case "style", "iframe", "object", "embed", "base", "meta":
		if tag.Data != "meta" || strings.Contains(tag.String(), "http-equiv") {
			wrong = append(wrong, tag.String())
		}
	case "script":
		if !ownFile.MatchString(src) {
			wrong = append(wrong, tag.String())
		}
	}
	return wrong
}

func TestTitlesThatBreakLinesAreRefused(t *testing.T) {
	s := newSite(t)
	for _, title := range []string{"a\nb", "a\r\nSet-Cookie: x=1", "a\x00b"} {
		x, err := s.view(demoTitle)
		if err != nil {
			t.Fatal(err)
		}
		y := *x.Trial
		y.Title = title
		if _, err := s.Bench.Take(t.Context(), &y, bench.Refuse); err == nil {
			t.Errorf("%q was taken", title)
		}
		w := get(t, s, at("trial", title, "verdict"))
		if w.Code != http.StatusNotFound {
			t.Errorf("%q: %d", title, w.Code)
		}
		harmless(t, title, w)
		w = httptest.NewRecorder()
		if err := attach(w, "text/plain", title+`"; filename="x.exe`, func(io.Writer) error { return nil }); err != nil || strings.ContainsAny(w.Header().Get("Content-Disposition"), "\r\n\x00") {
			t.Error(err, w.Header())
		}
	}
}
