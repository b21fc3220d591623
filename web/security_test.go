package web

import (
	"bufio"
	"context"
	"io"
	"maps"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/journal"
)

// What follows is what somebody tries who is not wanted: from another site, from
// the same network, with a phone that was lost, or by what they write into records.

const root = "http://192.168.1.7:8417"

// lan is a site with a part of the demo trial that phones may reach.
func lan(t testing.TB) *Site {
	t.Helper()
	s := titled(t, demoTitle)
	s.LAN, s.Root, s.Hosts = true, func() string { return root }, []string{"192.168.1.7"}
	return s
}

// asker sends a request and returns the answer.
type asker func(method, path string, form url.Values) *httptest.ResponseRecorder

// from asks from another machine with the headers given, over and over.
func from(t testing.TB, s *Site, header http.Header) asker {
	h := s.Handler()
	address := 0
	return func(method, path string, form url.Values) *httptest.ResponseRecorder {
		t.Helper()
		r := httptest.NewRequestWithContext(t.Context(), method, path, strings.NewReader(form.Encode()))
		address++ // one address may not ask this often
		r.Host, r.RemoteAddr = "192.168.1.7:8417", "192.168.1."+string(rune('0'+address%10))+":40000"
		maps.Copy(r.Header, header)
		if method == http.MethodPost {
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		return w
	}
}

// pairedAs pairs a phone by the form and asks with the cookie that it got.
func pairedAs(t testing.TB, s *Site, key, name string) asker {
	t.Helper()
	w := from(t, s, nil)(http.MethodPost, "/pair/"+key, url.Values{"name": {name}})
	if w.Code != http.StatusSeeOther || len(w.Result().Cookies()) != 1 {
		t.Fatalf("not paired: %d %s", w.Code, w.Body)
	}
	c := w.Result().Cookies()[0]
	if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode {
		t.Error("a script or another site gets at the cookie:", c)
	}
	return from(t, s, http.Header{"Cookie": {c.Name + "=" + c.Value}})
}

func phoneOf(t testing.TB, s *Site) asker {
	t.Helper()
	key, err := s.Devices.NewKey()
	if err != nil {
		t.Fatal(err)
	}
	return pairedAs(t, s, key.Text, "phone")
}

// addressed is a pattern with something of the bench in place of its names.
func addressed(s *Site, pattern, title string) (method, path string) {
	method, path, _ = strings.Cut(pattern, " ")
	fill := map[string]string{"{$}": "", "{title}": url.PathEscape(title), "{kind}": "burner", "{name}": "Tansy", "{subject}": "Tansy", "{id}": "1"}
	if title != demoTitle {
		fill["{name}"], fill["{subject}"] = url.PathEscape(title), url.PathEscape(title)
	}
	if strings.HasPrefix(path, "/journal/record/") || strings.HasPrefix(path, "/photo/") {
		fill["{id}"] = strings.Repeat("0", 64)
		for e := range s.Store.Since(context.Background(), 0, journal.Whole) {
			fill["{id}"] = e.ID.String()
		}
	}
	for name, with := range fill {
		path = strings.ReplaceAll(path, name, with)
	}
	return method, path
}

// reachable are all patterns, those of files as well.
func reachable(s *Site) []string {
	all := slices.Collect(maps.Keys(s.pages()))
	all = slices.AppendSeq(all, maps.Keys(s.ownerPages()))
	slices.Sort(all)
	return append(all, "GET /timing/page.js", "GET /carry.js", "GET /nowhere")
}

// recordsOf counts what the bench holds.
func recordsOf(t testing.TB, s *Site) int {
	t.Helper()
	_, n := s.Bench.Log(0, 0)
	return n
}

func TestStrangersSeeNothingOfTheBench(t *testing.T) {
	s := lan(t)
	s.Place = "a-place-of-its-own.db"
	before := recordsOf(t, s)
	for name, ask := range map[string]asker{
		"no cookie":     from(t, s, nil),
		"a made-up one": from(t, s, http.Header{"Cookie": {"paired-device=" + strings.Repeat("a", 43) + "; __Host-paired-device=x"}}),
		"forwarded":     from(t, s, http.Header{"X-Forwarded-For": {"127.0.0.1"}, "Forwarded": {"for=127.0.0.1;host=localhost"}, "X-Real-Ip": {"127.0.0.1"}}),
	} {
		for _, pattern := range reachable(s) {
			method, path := addressed(s, pattern, demoTitle)
			w := ask(method, path, url.Values{"why": {"x"}, "sure": {"yes"}})
			if w.Code != http.StatusForbidden {
				t.Errorf("%s: %s: %d", name, pattern, w.Code)
			}
			for _, secret := range []string{demoTitle, "Tansy", "Hazel", s.Place, "/journal", "/shelf"} {
				if strings.Contains(w.Body.String(), secret) {
					t.Errorf("%s: %s tells %q", name, pattern, secret)
				}
			}
		}
		for _, file := range []string{"/style.css", "/script.js", "/icon.svg"} {
			if w := ask(http.MethodGet, file, nil); w.Code != http.StatusOK || strings.Contains(w.Body.String(), demoTitle) {
				t.Errorf("%s: %s: %d", name, file, w.Code)
			}
		}
		for _, path := range []string{"/style.css/../", "/style.css/../journal", "//journal", "/pair/../journal", "/pair/x/../../devices", "/%2e%2e/devices", "/style.css%2f..%2fdevices"} {
			if w := ask(http.MethodGet, path, nil); w.Code == http.StatusOK && strings.Contains(w.Body.String(), "Hazel") {
				t.Errorf("%s: %s: shown", name, path)
			}
		}
	}
	if recordsOf(t, s) != before || len(s.Devices.List()) > 0 {
		t.Error("a stranger changed something")
	}
}

func TestWithoutLANOtherMachinesGetNothing(t *testing.T) {
	s := newSite(t)
	for _, pattern := range append(reachable(s), "GET /style.css", "GET /pair/x") {
		method, path := addressed(s, pattern, demoTitle)
		if w := from(t, s, nil)(method, path, nil); w.Code != http.StatusForbidden || strings.Contains(w.Body.String(), "<") {
			t.Errorf("%s: %d", pattern, w.Code)
		}
	}
}

func TestAPairedPhoneIsNotTheOwner(t *testing.T) {
	s := lan(t)
	ask := phoneOf(t, s)
	before, devices := recordsOf(t, s), len(s.Devices.List())
	for pattern := range s.ownerPages() {
		method, path := addressed(s, pattern, demoTitle)
		_, id := addressed(s, "GET /journal/record/{id}", demoTitle)
		w := ask(method, path, url.Values{"id": {id[len("/journal/record/"):]}, "why": {"x"}, "sure": {"yes"}, "path": {t.TempDir() + "/x.db"}})
		if w.Code != http.StatusForbidden || !strings.Contains(w.Body.String(), "Only on the machine itself") {
			t.Errorf("%s: %d", pattern, w.Code)
		}
	}
	if recordsOf(t, s) != before || len(s.Devices.List()) != devices {
		t.Error("a paired phone did what is the owner's")
	}
	for pattern := range s.pages() {
		if method, path := addressed(s, pattern, demoTitle); method == http.MethodGet && path != "/events" {
			if w := ask(method, path, nil); w.Code >= 400 && w.Code != http.StatusNotFound {
				t.Errorf("%s: %d %s", pattern, w.Code, w.Body)
			}
		}
	}
	body := ask(http.MethodGet, "/journal", nil).Body.String()
	for _, owners := range []string{"/journal/backup", "/journal/merge", "/journal/records.txt", "/devices"} {
		if strings.Contains(body, owners) {
			t.Errorf("the phone's journal offers %s", owners)
		}
	}
	contains(t, body, "Verify", "are done at the machine itself")
}

func TestOtherNamesAndOtherSitesAreRefused(t *testing.T) {
	s := newSite(t)
	h, before := s.Handler(), recordsOf(t, s)
	send := func(method, path, host string, header map[string]string) *httptest.ResponseRecorder {
		r := httptest.NewRequestWithContext(t.Context(), method, path, strings.NewReader("kind=trial&subject="+url.QueryEscape(demoTitle)))
		r.Host, r.RemoteAddr = host, "127.0.0.1:50000"
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		for k, v := range header {
			r.Header.Set(k, v)
		}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		return w
	}
	for _, pattern := range reachable(s) {
		method, path := addressed(s, pattern, demoTitle)
		for _, host := range []string{"evil.example", "localhost.evil.example", "127.0.0.1.evil.example:8417", "192.168.1.7", ""} {
			if w := send(method, path, host, nil); w.Code != http.StatusMisdirectedRequest || strings.Contains(w.Body.String(), demoTitle) {
				t.Errorf("%s as %q: %d", pattern, host, w.Code)
			}
		}
		foreign := []map[string]string{{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors", "Sec-Fetch-Dest": "script"}, {"Sec-Fetch-Site": "same-site", "Sec-Fetch-Mode": "cors"}}
		if method == http.MethodPost {
			foreign = append(foreign, map[string]string{"Origin": "https://evil.example"}, map[string]string{"Origin": "null"}, map[string]string{"Origin": "http://localhost:9999"},
				map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "document"})
		}
		for _, header := range foreign {
			if w := send(method, path, "localhost:8417", header); w.Code != http.StatusForbidden || strings.Contains(w.Body.String(), "half a litre") {
				t.Errorf("%s with %v: %d", pattern, header, w.Code)
			}
		}
	}
	if recordsOf(t, s) != before {
		t.Error("another site changed something")
	}
}

func TestFormsLeadNowhereElse(t *testing.T) {
	s := newSite(t)
	for _, to := range []string{"//evil.example", "///evil.example", "https://evil.example/", `\\evil.example`, `/\evil.example`, "/\t/evil.example", "javascript:alert(1)", "evil.example", "http:evil.example", " //evil.example", "/\r\nSet-Cookie: x=1", ""} {
		for path, form := range map[string]url.Values{"/units": {"units": {"us"}}, "/undo": {"kind": {"trial"}, "subject": {demoTitle}}} {
			form.Set("to", to)
			w := post(t, s, path, form)
			if w.Code != http.StatusSeeOther {
				continue // nothing is left to undo
			}
			u, err := url.Parse(w.Header().Get("Location"))
			if err != nil || u.Path != "/" || u.Host != "" || u.Scheme != "" {
				t.Errorf("%s to %q leads to %q", path, to, w.Header().Get("Location"))
			}
			if w.Header().Get("Set-Cookie") == "x=1" {
				t.Errorf("%s to %q sets a cookie", path, to)
			}
		}
	}
	if to := sent(t, s, "/units", url.Values{"units": {"us"}, "to": {at("trial", "a/b?c", "verdict")}}); to != "/trial/a%2Fb%3Fc/verdict" {
		t.Error("a page of ours is not found again:", to)
	}
}

func TestReadingChangesNothing(t *testing.T) {
	s := lan(t)
	phone, before := phoneOf(t, s), recordsOf(t, s)
	for _, pattern := range reachable(s) {
		method, path := addressed(s, pattern, demoTitle)
		if path == "/events" {
			continue
		}
		for _, m := range []string{http.MethodGet, http.MethodHead} {
			form := "?sure=yes&why=x&units=us&void=x&kind=trial&id=1&path=x.db&subject=" + url.QueryEscape(demoTitle)
			r := httptest.NewRequestWithContext(t.Context(), m, path+form, nil)
			w := ask(s, r)
			if method == http.MethodPost && !slices.Contains(reachable(s), "GET "+strings.TrimPrefix(pattern, "POST ")) && w.Code != http.StatusMethodNotAllowed && w.Code != http.StatusNotFound {
				t.Errorf("%s %s: %d", m, path, w.Code)
			}
			phone(m, path, nil)
		}
	}
	if recordsOf(t, s) != before || len(s.Devices.List()) != 1 {
		t.Error("reading changed something")
	}
}

func TestBodiesThatAreTooLarge(t *testing.T) {
	s := newSite(t)
	before := recordsOf(t, s)
	large := url.Values{"void": {strings.Repeat("x", 1<<20)}, "why": {strings.Repeat("x", 1<<20)}, "title": {strings.Repeat("x", 1<<20)}}
	for _, pattern := range reachable(s) {
		method, path := addressed(s, pattern, demoTitle)
		if method != http.MethodPost || strings.HasPrefix(path, "/photo") || path == "/journal/merge" || strings.HasSuffix(path, "/publish") {
			continue // files come here
		}
		if w := post(t, s, path, large); w.Code != http.StatusRequestEntityTooLarge || !strings.Contains(w.Body.String(), "expected at most 1048576") {
			t.Errorf("%s: %d", pattern, w.Code)
		}
	}
	if w := uploadRecords(t, s, "x.txt", strings.Repeat("x", 20<<20)); w.Code != http.StatusRequestEntityTooLarge {
		t.Error("merge:", w.Code)
	}
	if w := uploadRecords(t, s, "x.txt", strings.Repeat("x", 2<<20)); w.Code != http.StatusBadRequest {
		t.Error("merge of a file within the limit:", w.Code)
	}
	if w := post(t, s, at("trial", demoTitle, "publish"), url.Values{"changed": {strings.Repeat("x", 21<<20)}}); w.Code != http.StatusRequestEntityTooLarge {
		t.Error("publish:", w.Code)
	}
	if recordsOf(t, s) != before {
		t.Error("something was kept")
	}
}

// A phone that was lost may have a page open.
func TestTheStreamOfARevokedPhoneEnds(t *testing.T) {
	s := lan(t)
	server := httptest.NewServer(s.Handler())
	defer server.Close()
	key, err := s.Devices.NewKey()
	if err != nil {
		t.Fatal(err)
	}
	token, device, err := s.Devices.Pair(key.Text, "lost")
	if err != nil {
		t.Fatal(err)
	}
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, server.URL+"/events?trial=*", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Host = "192.168.1.7:8417"
	r.Header.Set("Cookie", "paired-device="+token)
	answer, err := server.Client().Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	stream := bufio.NewReader(answer.Body)
	if line, err := stream.ReadString('\n'); err != nil || line != "event: version\n" {
		t.Fatalf("%q %v", line, err)
	}
	ended := make(chan error, 1)
	go func() {
		_, err := io.Copy(io.Discard, stream)
		ended <- err
	}()
	if err := s.Devices.Revoke(device.ID); err != nil {
		t.Fatal(err)
	}
	select {
	case <-ended:
	case <-time.After(heartbeat / 2):
		t.Error("the stream goes on")
	}
}
