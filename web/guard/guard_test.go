package guard

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"time"
)

const (
	lanHost = "192.0.2.2:8080"
	lanAddr = "192.0.2.77:50000"
)

// counter is a reader of bytes that never repeat in a test.
type counter struct{ n uint64 }

func (c *counter) Read(p []byte) (int, error) {
	for i := range p {
		c.n = c.n*6364136223846793005 + 1442695040888963407
		p[i] = byte(c.n >> 56)
	}
	return len(p), nil
}

// bench is a guard on a clock that stands until it is set, in front of a page that
// writes who asks.
type bench struct {
	*testing.T
	now     time.Time
	devices *Devices
	config  Config
	handler http.Handler
	lines   []string
}

func newBench(t *testing.T) *bench {
	b := &bench{T: t, now: time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC)}
	b.devices = newDevices("", b.clock, &counter{})
	b.config = Config{
		Hosts: []string{lanHost, "bench.example"}, Devices: b.devices, LAN: true,
		Open: []string{"GET /style.css", "GET /static/"}, Large: []string{"POST /gear/{id}/photo"},
		Log: func(line string) { b.lines = append(b.lines, line) },
	}
	b.build()
	return b
}

func (b *bench) clock() time.Time { return b.now }

func (b *bench) build() {
	mux := http.NewServeMux()
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		if n, err := io.Copy(io.Discard, r.Body); err != nil {
			http.Error(w, fmt.Sprintf("after %d bytes: %v", n, err), http.StatusRequestEntityTooLarge)
			return
		}
		d, _ := DeviceOf(r.Context())
		fmt.Fprintf(w, "%s %q at %s", RoleOf(r.Context()), d.Name, r.URL.Path)
	})
	mux.Handle("/shun", OwnerOnly(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, "shunned") })))
	b.handler = New(b.config).Handler(mux)
}

// ask sends a request from the local network; changes make it another.
func (b *bench) ask(method, target string, body io.Reader, changes ...func(*http.Request)) *httptest.ResponseRecorder {
	b.Helper()
	r := httptest.NewRequest(method, target, body)
	r.Host, r.RemoteAddr = lanHost, lanAddr
	if method == http.MethodPost {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	for _, change := range changes {
		change(r)
	}
	w := httptest.NewRecorder()
	b.handler.ServeHTTP(w, r)
	return w
}

func host(h string) func(*http.Request) { return func(r *http.Request) { r.Host = h } }
func from(a string) func(*http.Request) { return func(r *http.Request) { r.RemoteAddr = a } }
func head(k, v string) func(*http.Request) {
	return func(r *http.Request) { r.Header.Set(k, v) }
}
func token(t string) func(*http.Request) {
	return func(r *http.Request) { r.AddCookie(&http.Cookie{Name: cookieName(false), Value: t}) }
}

// local makes a request as the machine itself sends it.
func local(r *http.Request) { r.Host, r.RemoteAddr = "localhost:8080", "127.0.0.1:50000" }

// paired pairs a device past the pages and gives its token.
func (b *bench) paired(name string) (string, Device) {
	b.Helper()
	k, err := b.devices.NewKey()
	if err != nil {
		b.Fatal(err)
	}
	text, d, err := b.devices.Pair(k.Text, name)
	if err != nil {
		b.Fatal(err)
	}
	return text, d
}

func (b *bench) wants(what string, w *httptest.ResponseRecorder, status int, text string) {
	b.Helper()
	if w.Code != status || !strings.Contains(w.Body.String(), text) {
		b.Errorf("%s: %d %q, wanted %d with %q", what, w.Code, w.Body, status, text)
	}
	if w.Header().Get("Content-Security-Policy") == "" || w.Header().Get("X-Content-Type-Options") != "nosniff" {
		b.Errorf("%s: the answer lacks its headers: %v", what, w.Header())
	}
}

func TestWhoIsTheOwner(t *testing.T) {
	b := newBench(t)
	phone, _ := b.paired("phone")
	for _, row := range []struct {
		name    string
		changes []func(*http.Request)
		want    string
	}{
		{"machine itself by name", []func(*http.Request){local}, "owner"},
		{"by IPv4", []func(*http.Request){local, host("127.0.0.1:8080")}, "owner"},
		{"by IPv6", []func(*http.Request){host("[::1]:8080"), from("[::1]:5000")}, "owner"},
		{"by another of 127/8, upper case name", []func(*http.Request){from("127.9.9.9:1"), host("LOCALHOST")}, "owner"},
		{"IPv4 written as IPv6", []func(*http.Request){host("127.0.0.1:8080"), from("[::ffff:127.0.0.1]:5000")}, "owner"},
		{"with a device's cookie", []func(*http.Request){local, token(phone)}, "owner"},
		{"loopback by its LAN name", []func(*http.Request){local, host(lanHost)}, ""},
		{"LAN asks for localhost", []func(*http.Request){host("localhost:8080")}, ""},
		{"LAN says it is forwarded from loopback", []func(*http.Request){host("localhost"), head("X-Forwarded-For", "127.0.0.1")}, ""},
		{"proxy on loopback", []func(*http.Request){local, head("X-Forwarded-For", "127.0.0.1")}, ""},
		{"proxy, empty header", []func(*http.Request){local, head("X-Forwarded-For", "")}, ""},
		{"proxy, RFC 7239", []func(*http.Request){local, head("Forwarded", "for=127.0.0.1")}, ""},
		{"proxy, host only", []func(*http.Request){local, head("X-Forwarded-Host", "localhost")}, ""},
		{"proxy, Via", []func(*http.Request){local, head("Via", "1.1 x")}, ""},
		{"proxy, X-Real-IP", []func(*http.Request){local, head("X-Real-IP", "127.0.0.1")}, ""},
		{"no address", []func(*http.Request){local, from("@")}, ""},
		{"paired phone", []func(*http.Request){token(phone)}, "paired"},
		{"paired phone through a proxy", []func(*http.Request){local, head("Via", "1.1 x"), token(phone)}, "paired"},
		{"paired phone asks for localhost", []func(*http.Request){host("localhost"), token(phone)}, "paired"},
		{"token of another cookie", []func(*http.Request){head("Cookie", "other="+phone)}, ""},
		{"token with a letter more", []func(*http.Request){token(phone + "a")}, ""},
		{"digest instead of the token", []func(*http.Request){token(fmt.Sprintf("%x", b.devices.all[0].token))}, ""},
		{"empty token", []func(*http.Request){token("")}, ""},
		{"token in the query", []func(*http.Request){func(r *http.Request) { r.URL.RawQuery = "paired-device=" + phone }}, ""},
	} {
		w := b.ask("GET", "/", nil, row.changes...)
		if row.want == "" {
			b.wants(row.name, w, http.StatusForbidden, "not paired")
		} else {
			b.wants(row.name, w, http.StatusOK, row.want)
		}
		shun := b.ask("GET", "/shun", nil, row.changes...)
		if got := shun.Code == http.StatusOK; got != (row.want == "owner") {
			t.Errorf("%s: only the owner may shun; got %d", row.name, shun.Code)
		}
	}
	if got := fmt.Sprint(Stranger, Paired, Owner); got != "stranger paired owner" {
		t.Error(got)
	}
}

func TestOwnerOnlyWithoutGuardRefuses(t *testing.T) {
	w := httptest.NewRecorder()
	r := httptest.NewRequest("GET", "/", nil)
	local(r)
	OwnerOnly(http.NotFoundHandler()).ServeHTTP(w, r)
	if w.Code != http.StatusForbidden || RoleOf(r.Context()) != Stranger {
		t.Error(w.Code)
	}
}

func TestRefusalsAreToldSparingly(t *testing.T) {
	b := newBench(t)
	flood := func(n int) {
		for i := range n {
			b.ask("GET", "/", nil, from(fmt.Sprintf("192.0.2.%d:1", i%200)), host("evil\nexample\x1b[31m"))
		}
	}
	flood(refusals + 100)
	if len(b.lines) != refusals {
		t.Errorf("%d lines, expected %d", len(b.lines), refusals)
	}
	key, err := b.devices.NewKey()
	if err != nil {
		t.Fatal(err)
	}
	b.ask("POST", "/pair/"+key.Text, strings.NewReader("name=phone+in+between"), from("192.0.2.250:1")) // is told, whatever else goes on
	if last := b.lines[len(b.lines)-1]; !strings.Contains(last, "phone in between") {
		t.Errorf("%q", last)
	}
	b.now = b.now.Add(time.Minute)
	flood(1)
	if said := strings.Join(b.lines[len(b.lines)-2:], "; "); !strings.Contains(said, "100 refusals were not told one by one; refused a request from 192.0.2.0") {
		t.Errorf("%q", said)
	}
	if all := strings.Join(b.lines, ""); strings.ContainsAny(all, "\n\x1b") {
		t.Errorf("a stranger writes lines and colours into the log: %q", all)
	}
}

func TestOtherSitesPages(t *testing.T) {
	b := newBench(t)
	phone, _ := b.paired("phone")
	followed := []func(*http.Request){head("Sec-Fetch-Site", "cross-site"), head("Sec-Fetch-Mode", "navigate"), head("Sec-Fetch-Dest", "document")}
	for _, row := range []struct {
		name, method string
		changes      []func(*http.Request)
		ok           bool
	}{
		{"own form", "POST", []func(*http.Request){head("Origin", "http://"+lanHost)}, true},
		{"own form, fetch metadata", "POST", []func(*http.Request){head("Sec-Fetch-Site", "same-origin"), head("Origin", "http://"+lanHost)}, true},
		{"no browser", "POST", nil, true},
		{"foreign origin", "POST", []func(*http.Request){head("Origin", "http://evil.example")}, false},
		{"same machine, other port", "POST", []func(*http.Request){head("Origin", "http://192.0.2.2:1")}, false},
		{"no origin told", "POST", []func(*http.Request){head("Origin", "null")}, false},
		{"cross-site form", "POST", []func(*http.Request){head("Sec-Fetch-Site", "cross-site")}, false},
		{"same-site form", "POST", []func(*http.Request){head("Sec-Fetch-Site", "same-site")}, false},
		{"cross-site form that navigates", "POST", followed, false},
		{"cross-site DELETE", "DELETE", []func(*http.Request){head("Sec-Fetch-Site", "cross-site")}, false},
		{"link followed", "GET", followed, true},
		{"address typed", "GET", []func(*http.Request){head("Sec-Fetch-Site", "none")}, true},
		{"picture on a foreign page", "GET", []func(*http.Request){head("Sec-Fetch-Site", "cross-site"), head("Sec-Fetch-Mode", "no-cors"), head("Sec-Fetch-Dest", "image")}, false},
		{"foreign frame", "GET", []func(*http.Request){head("Sec-Fetch-Site", "cross-site"), head("Sec-Fetch-Mode", "navigate"), head("Sec-Fetch-Dest", "iframe")}, false},
	} {
		w := b.ask(row.method, "/", nil, append([]func(*http.Request){token(phone)}, row.changes...)...)
		if row.ok {
			b.wants(row.name, w, http.StatusOK, "paired")
			continue
		}
		b.wants(row.name, w, http.StatusForbidden, "Nothing was changed")
		own := b.ask(row.method, "/", nil, append([]func(*http.Request){local}, row.changes...)...)
		b.wants(row.name+" to the owner's server", own, http.StatusForbidden, "Nothing was changed")
	}
	b.wants("owner's own form", b.ask("POST", "/", nil, local, head("Origin", "http://localhost:8080")), http.StatusOK, "owner")
}

func TestStrangersSeeOpenFilesOnly(t *testing.T) {
	b := newBench(t)
	for target, ok := range map[string]bool{
		"/style.css": true, "/static/a.js": true, "/style.css?x=1": true,
		"/": false, "/style.css/": false, "/style.cssx": false, "/burns": false,
		"/static/../shun": false, "/static/%2e%2e/shun": false, "/static/..%2fshun": false,
		"//style.css": false, "/./style.css": false, "/x/../style.css": false,
		"/static%2Fa.js": false, "/static//a.js": false, "/static/..": false,
		"/pair": false, "/pairing/x": false, "/PAIR/x": false,
	} {
		w := b.ask("GET", target, nil)
		if ok && w.Code != http.StatusOK || !ok && w.Code != http.StatusForbidden {
			t.Errorf("%s: %d %s", target, w.Code, w.Body)
		}
	}
	b.wants("POST to an open file", b.ask("POST", "/style.css", nil), http.StatusForbidden, "not paired")
	b.wants("TRACE", b.ask("TRACE", "/", nil), http.StatusForbidden, "not paired")
}

func TestOnlyLoopbackWithoutLAN(t *testing.T) {
	b := newBench(t)
	phone, _ := b.paired("phone")
	b.config.LAN = false
	b.build()
	b.wants("LAN", b.ask("GET", "/", nil, token(phone)), http.StatusForbidden, "only on its own machine")
	b.wants("LAN's pairing", b.ask("GET", "/pair/x", nil), http.StatusForbidden, "only on its own machine")
	b.wants("owner", b.ask("GET", "/", nil, local), http.StatusOK, "owner")
}

func TestHeaders(t *testing.T) {
	b := newBench(t)
	h := b.ask("GET", "/", nil, local).Header()
	for name, want := range map[string]string{
		"Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; " +
			"form-action 'self'; base-uri 'none'; frame-ancestors 'none'; manifest-src 'self'",
		"X-Content-Type-Options":       "nosniff",
		"Referrer-Policy":              "same-origin",
		"Cross-Origin-Opener-Policy":   "same-origin",
		"Cross-Origin-Resource-Policy": "same-origin",
		"Permissions-Policy":           "camera=(), microphone=(), geolocation=()",
		"Cache-Control":                "no-store",
	} {
		if got := h.Get(name); got != want {
			t.Errorf("%s: %q, wanted %q", name, got, want)
		}
	}
	w := httptest.NewRecorder()
	r := httptest.NewRequest("GET", "/", nil)
	local(r)
	New(Config{}).Handler(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Cache-Control", "max-age=60")
	})).ServeHTTP(w, r)
	if got := w.Header()["Cache-Control"]; len(got) != 1 || got[0] != "max-age=60" {
		t.Errorf("a handler's own Cache-Control became %q", got)
	}
}

func TestBodies(t *testing.T) {
	b := newBench(t)
	phone, _ := b.paired("phone")
	size := func(n int) io.Reader { return io.LimitReader(endless{}, int64(n)) }
	declared := func(n int) func(*http.Request) {
		return func(r *http.Request) { r.ContentLength = int64(n) }
	}
	for _, row := range []struct {
		name, target string
		n            int
		declared     bool
		status       int
	}{
		{"as large as may be", "/marks", MaxBody, true, 200},
		{"declared a byte too large", "/marks", MaxBody + 1, true, 413},
		{"undeclared a byte too large", "/marks", MaxBody + 1, false, 413},
		{"photo", "/gear/7/photo", MaxLargeBody, true, 200},
		{"photo a byte too large", "/gear/7/photo", MaxLargeBody + 1, true, 413},
		{"photo undeclared a byte too large", "/gear/7/photo", MaxLargeBody + 1, false, 413},
		{"not quite the photo's path", "/gear/7/photo/x", MaxBody + 1, true, 413},
	} {
		length := declared(-1)
		if row.declared {
			length = declared(row.n)
		}
		if w := b.ask("POST", row.target, size(row.n), token(phone), length); w.Code != row.status {
			t.Errorf("%s: %d %s, wanted %d", row.name, w.Code, w.Body, row.status)
		}
	}
	b.wants("a stranger's photo", b.ask("POST", "/gear/7/photo", size(MaxBody+1), declared(MaxBody+1)), 413, "expected at most 1048576")
}

// A handler that reads a form into files leaves none of them behind, and none
// either when it breaks its answer off.
func TestFormsLeaveNoFiles(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	files := func() int {
		all, err := os.ReadDir(os.TempDir())
		if err != nil {
			t.Error(err)
		}
		return len(all)
	}
	server := httptest.NewServer(New(Config{}).Handler(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		if err := r.ParseMultipartForm(0); err != nil || files() == 0 {
			t.Errorf("%d files, %v: expected one for this test to mean something", files(), err)
		}
		panic(http.ErrAbortHandler)
	})))
	const form = "--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"x.jpg\"\r\n\r\npixels\r\n--x--\r\n"
	if answer, err := http.Post(server.URL, "multipart/form-data; boundary=x", strings.NewReader(form)); err == nil {
		answer.Body.Close()
	}
	server.Close()
	if n := files(); n != 0 {
		t.Errorf("%d files were left", n)
	}
}

type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

func TestRevokingEndsOpenRequests(t *testing.T) {
	b := newBench(t)
	phone, device := b.paired("phone")
	began, ended := make(chan bool), make(chan error)
	h := New(b.config).Handler(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		began <- true
		<-r.Context().Done()
		ended <- r.Context().Err()
	}))
	r := httptest.NewRequest("GET", "/stream", nil)
	r.Host, r.RemoteAddr = lanHost, lanAddr
	token(phone)(r)
	go h.ServeHTTP(httptest.NewRecorder(), r)
	<-began
	if err := b.devices.Revoke(device.ID); err != nil {
		t.Fatal(err)
	}
	select {
	case err := <-ended:
		if err != context.Canceled {
			t.Error(err)
		}
	case <-time.After(5 * time.Second):
		t.Fatal("the revoked device still listens")
	}
}
