package web

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
)

func TestVerdictShowsTheAnswerFirst(t *testing.T) {
	s := newSite(t)
	v, err := s.view(demoTitle)
	if err != nil {
		t.Fatal(err)
	}
	body := page(t, s, at("trial", demoTitle, "verdict"))
	sentence := strings.Index(body, `class="sentence"`)
	if chart := strings.Index(body, "<figure"); sentence < 0 || chart < sentence {
		t.Error("no sentence before the charts")
	}
	for _, want := range []string{demoTitle, "invented data", v.Verdict().Entries[0].Name, `href="/trial/Four%20burners%20for%20an%20autumn%20walk/report.html"`, `data-live="` + demoTitle} {
		if !strings.Contains(body, want) {
			t.Errorf("the page of the verdict lacks %q", want)
		}
	}
}

func TestVerdictInUSUnits(t *testing.T) {
	s := newSite(t)
	r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, at("trial", demoTitle, "verdict"), nil)
	r.AddCookie(&http.Cookie{Name: unitsCookie, Value: "us"})
	us, metric := ask(s, r).Body.String(), page(t, s, at("trial", demoTitle, "verdict"))
	if !strings.Contains(us, "°F") || strings.Contains(metric, "°F") {
		t.Error("units of the verdict do not follow the reader's choice")
	}
}

func TestVerdictFollowsTheBurns(t *testing.T) {
	s := newSite(t)
	before := page(t, s, at("trial", demoTitle, "verdict"))
	if page(t, s, at("trial", demoTitle, "verdict")) != before {
		t.Error("two readings differ")
	}
	sent(t, s, at("trial", demoTitle, "burn", "1", "void"), url.Values{"void": {"the lid slid off"}})
	if page(t, s, at("trial", demoTitle, "verdict")) == before {
		t.Error("the verdict did not change with a burn left out")
	}
}

func TestVerdictWithoutBurnsTeaches(t *testing.T) {
	s := emptySite(t)
	x := take(t, s, "fairburn = 1\ntitle = \"None yet\"\n[[entry]]\nname = \"A\"\n")
	body := page(t, s, at("trial", x.Title, "verdict"))
	for _, want := range []string{"No verdict yet", "at least three times", `href="/trial/None%20yet/bench"`, `href="/trial/None%20yet/plan"`, "This trial names 1."} {
		if !strings.Contains(body, want) {
			t.Errorf("lacks %q", want)
		}
	}
}

func TestVerdictAsFiles(t *testing.T) {
	s := newSite(t)
	w := get(t, s, at("trial", demoTitle, "report.html"))
	if got := w.Header().Get("Content-Disposition"); got != `attachment; filename="Four burners for an autumn walk.html"` {
		t.Error(got)
	}
	if body := w.Body.String(); !strings.HasPrefix(body, "<!DOCTYPE html>") || !strings.Contains(body, "Content-Security-Policy") || w.Header().Get("Content-Security-Policy") == "" {
		t.Errorf("not a page that stands alone: %.200s", body)
	}
	w = get(t, s, at("trial", demoTitle, "verdict.json"))
	var v struct{ Verdict struct{ Title string } }
	if err := json.Unmarshal(w.Body.Bytes(), &v); err != nil {
		t.Errorf("%v in %.200s", err, w.Body)
	}
	for _, page := range []string{"verdict", "report.html", "verdict.json"} {
		if w := get(t, s, at("trial", "none of this name", page)); w.Code != http.StatusNotFound {
			t.Error(page, w.Code)
		}
	}
}
