package web

import (
	"bytes"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fairburn/pack"
)

// packed publishes the demo's trial by the page.
func packed(t testing.TB, s *Site, asked url.Values) (*pack.Pack, string) {
	t.Helper()
	w := post(t, s, at("trial", demoTitle, "publish"), asked)
	if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "application/zip" {
		t.Fatalf("publishing: %d %s %.300s", w.Code, w.Header(), w.Body)
	}
	data := w.Body.String()
	p, found, err := pack.ReadZip(strings.NewReader(data), int64(len(data)), pack.DefaultLimits())
	if err != nil || len(found) > 0 {
		t.Fatal(err, found)
	}
	return p, data
}

// A trial is published by the page, and taken into another bench by its page, as the
// trial of somebody else.
func TestATrialIsPublishedAndTaken(t *testing.T) {
	s := newSite(t)
	if p := page(t, s, at("trial", demoTitle, "verdict")); !strings.Contains(p, at("trial", demoTitle, "publish")) {
		t.Error("the verdict does not lead to publishing it")
	}
	if p := page(t, s, at("trial", demoTitle, "publish")); !strings.Contains(p, "names of testers") || !strings.Contains(p, "Make the pack") {
		t.Error("the page does not ask what may stand in a pack")
	}
	p, data := packed(t, s, url.Values{})
	const place = "open shed above the village"
	for _, f := range p.Files {
		if bytes.Contains(f.Data, []byte(place)) {
			t.Errorf("%s names the place, which nobody allowed", f.Path)
		}
	}
	named, _ := packed(t, s, url.Values{"names": {"yes"}, "places": {"yes"}, "paper": {"letter"}})
	if f, ok := named.File("trial.toml"); !ok || !bytes.Contains(f.Data, []byte(place)) {
		t.Error("the sheet does not name the place, which was allowed")
	}

	other := emptySite(t)
	for _, want := range []string{" 0 there already", ": 0 added"} {
		w := uploadRecords(t, other, "walk.zip", data)
		if said, _ := url.QueryUnescape(w.Header().Get("Location")); w.Code != http.StatusSeeOther || !strings.Contains(said, want) || !strings.Contains(said, "pack "+p.Sum()[:8]) {
			t.Errorf("%d: %s, wanted %q", w.Code, said, want)
		}
	}
	if l := other.Bench.Trials(); len(l) != 1 || l[0].Testers[0] != "pack "+p.Sum()[:8] {
		t.Errorf("the other bench holds %+v", l)
	}
}

func TestAPackThatWasChangedIsRefused(t *testing.T) {
	s := newSite(t)
	_, data := packed(t, s, url.Values{})
	broken := []byte(data)
	i := bytes.Index(broken, []byte("trial.toml"))
	broken[i+2000] ^= 1
	if w := uploadRecords(t, emptySite(t), "walk.zip", string(broken)); w.Code != http.StatusBadRequest {
		t.Errorf("%d: %.300s", w.Code, w.Body)
	}
	if w := uploadRecords(t, emptySite(t), "walk.zip", data[:len(data)/2]); w.Code != http.StatusBadRequest {
		t.Errorf("%d: %.300s", w.Code, w.Body)
	}
}

func TestNothingIsPublishedOfATrialWithoutBurns(t *testing.T) {
	s := emptySite(t)
	unburned(t, s)
	if p := page(t, s, at("trial", demoTitle, "publish")); !strings.Contains(p, "There is nothing to publish yet") {
		t.Error("the page does not say that there is nothing to publish")
	}
	if w := post(t, s, at("trial", demoTitle, "publish"), nil); w.Code != http.StatusBadRequest {
		t.Errorf("%d", w.Code)
	}
}
