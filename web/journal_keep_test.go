package web

import (
	"bytes"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestRecordsGoOutAndComeIn(t *testing.T) {
	s := emptySite(t)
	take(t, s, small)
	w := get(t, s, "/journal/records.txt")
	if got := w.Header().Get("Content-Disposition"); !strings.HasPrefix(got, "attachment; filename=records-") {
		t.Error(got)
	}
	other := emptySite(t)
	answer := uploadRecords(t, other, `<b>x.txt`, w.Body.String())
	contains(t, answer.Body.String(), "new here</dt><dd>5</dd>", "&lt;b&gt;x.txt")
	if boil(t, other, "1") != "6:33" {
		t.Error("not merged")
	}
	contains(t, uploadRecords(t, other, "again.txt", w.Body.String()).Body.String(), "new here</dt><dd>0</dd>", "were here already</dt><dd>5</dd>")
	broken := strings.Replace(w.Body.String(), "6:33", "6:32", 1)
	answer = uploadRecords(t, emptySite(t), "broken.txt", broken)
	contains(t, answer.Body.String(), "refused</dt><dd>1</dd>", "new here</dt><dd>4</dd>", "signature_wrong")
	for _, text := range []string{"", "what is this", "PK\x03\x04", `{"fairburn_exchange":99}` + "\n"} {
		if w := uploadRecords(t, other, "x.txt", text); w.Code != http.StatusBadRequest {
			t.Errorf("%q: %d", text, w.Code)
		}
	}
	if w := post(t, other, "/journal/merge", url.Values{}); w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "no file was chosen") {
		t.Error(w.Code, w.Body)
	}
}

func TestBackupNeverReplacesAFile(t *testing.T) {
	s := newSite(t)
	path := filepath.Join(t.TempDir(), "copy.db")
	to := sent(t, s, "/journal/backup", url.Values{"path": {path}})
	contains(t, page(t, s, to), "backed up to "+path)
	before, err := os.ReadFile(path)
	if err != nil || len(before) == 0 {
		t.Fatal(err)
	}
	w := post(t, s, "/journal/backup", url.Values{"path": {path}})
	if w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "is there already and was left alone") {
		t.Error(w.Code, w.Body)
	}
	if after, err := os.ReadFile(path); err != nil || !bytes.Equal(before, after) {
		t.Error("the first backup was changed")
	}
	for _, bad := range []string{"", "  ", "a\x00b", filepath.Join(path, "below a file"), filepath.Join(t.TempDir(), "no", "folder", "x.db")} {
		if w := post(t, s, "/journal/backup", url.Values{"path": {bad}}); w.Code != http.StatusBadRequest {
			t.Errorf("%q: %d %s", bad, w.Code, w.Body)
		}
	}
}

func TestBackupStandsBesideTheBench(t *testing.T) {
	s := newSite(t)
	folder := t.TempDir()
	s.Place = filepath.Join(folder, "club.db")
	s.Now = func() time.Time { return time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC) }
	contains(t, page(t, s, "/journal"), filepath.Join(folder, "bench-2026-05-01.db"))
	sent(t, s, "/journal/backup", url.Values{"path": {"mine.db"}})
	if _, err := os.Stat(filepath.Join(folder, "mine.db")); err != nil {
		t.Error(err)
	}
	s.Place = "postgres://club@server/bench"
	contains(t, page(t, s, "/journal"), `value="bench-2026-05-01.txt"`)
}

func TestShunningAsksTwice(t *testing.T) {
	s := emptySite(t)
	take(t, s, small)
	take(t, s, boils("6:34"))
	h, err := s.Bench.History(t.Context(), "burn", "Ring/1")
	if err != nil {
		t.Fatal(err)
	}
	id := h[1].ID.String()
	page(t, s, "/journal") // kept until something is recorded
	form := url.Values{"id": {id}, "why": {"a stranger's <data>"}}
	w := post(t, s, "/journal/shun", form)
	contains(t, w.Body.String(), "This cannot be undone", "a stranger&#39;s &lt;data&gt;", `name="sure" value="yes"`, "burn 1 of Ring")
	if boil(t, s, "1") != "6:34" {
		t.Error("shunned before it was asked twice")
	}
	form.Set("sure", "yes")
	body := page(t, s, sent(t, s, "/journal/shun", form))
	contains(t, body, "erased here and is kept out")
	if boil(t, s, "1") != "6:33" || strings.Contains(body, id) {
		t.Error("what it replaced does not stand again, or the journal still lists it")
	}
	list, err := s.Store.Shunned(t.Context())
	if err != nil || len(list) != 1 || list[0].Why != "a stranger's <data>" {
		t.Error(err, list)
	}
	for name, form := range map[string]url.Values{"no reason": {"id": {id}, "why": {" "}}, "long": {"id": {id}, "why": {strings.Repeat("x", 1001)}}, "no id": {"why": {"x"}, "sure": {"yes"}}} {
		if w := post(t, s, "/journal/shun", form); w.Code != http.StatusBadRequest {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
	absent := url.Values{"id": {strings.Repeat("0", 64)}, "why": {"never seen"}}
	contains(t, post(t, s, "/journal/shun", absent).Body.String(), "is not here. It would be kept out")
}
