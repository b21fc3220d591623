package guard

import (
	"html/template"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"
)

// form is the body of a pairing form.
func form(name string) *strings.Reader { return strings.NewReader(url.Values{"name": {name}}.Encode()) }

func TestPairing(t *testing.T) {
	b := newBench(t)
	key := newKey(t, b.devices)
	for range 3 {
		b.wants("the form", b.ask("GET", "/pair/"+key, nil), http.StatusOK, `method="post"`)
	}
	if len(b.devices.List()) != 0 {
		t.Fatal("reading the form paired a device")
	}
	w := b.ask("POST", "/pair/"+key, form("phone at station 2"), head("Origin", "http://"+lanHost))
	if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/" {
		t.Fatalf("%d %v", w.Code, w.Header())
	}
	cookies := w.Result().Cookies()
	if len(cookies) != 1 {
		t.Fatal(cookies)
	}
	c := cookies[0]
	if c.Name != "paired-device" || !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Path != "/" || c.Domain != "" || c.Secure || c.MaxAge != 30*24*3600 {
		t.Errorf("%+v", c)
	}
	b.wants("its first page", b.ask("GET", "/", nil, token(c.Value)), http.StatusOK, `paired "phone at station 2" at /`)
	b.wants("the key again", b.ask("POST", "/pair/"+key, form("thief")), http.StatusForbidden, "unknown, used or too old")

	// Paired anew, the earlier pairing ends.
	w = b.ask("POST", "/pair/"+newKey(t, b.devices), form("phone"), token(c.Value))
	if w.Code != http.StatusSeeOther || len(b.devices.List()) != 1 || b.devices.List()[0].Name != "phone" {
		t.Errorf("%d, %v", w.Code, b.devices.List())
	}
	b.wants("the earlier token", b.ask("GET", "/", nil, token(c.Value)), http.StatusForbidden, "not paired")
}

func TestCookieUnderTLS(t *testing.T) {
	b := newBench(t)
	b.config.TLS = true
	b.build()
	w := b.ask("POST", "/pair/"+newKey(t, b.devices), form("phone"))
	c := w.Result().Cookies()
	if len(c) != 1 || c[0].Name != "__Host-paired-device" || !c[0].Secure || c[0].Path != "/" {
		t.Fatal(c)
	}
	b.wants("under its other name", b.ask("GET", "/", nil, token(c[0].Value)), http.StatusForbidden, "not paired")
	b.wants("under its name", b.ask("GET", "/", nil, func(r *http.Request) { r.AddCookie(c[0]) }), http.StatusOK, "paired")
}

func TestAttacksOnPairing(t *testing.T) {
	b := newBench(t)
	key := newKey(t, b.devices)
	post := func(key, name string, changes ...func(*http.Request)) int {
		return b.ask("POST", "/pair/"+key, form(name), changes...).Code
	}
	foreign := head("Origin", "http://evil.example")
	for _, row := range []struct {
		name      string
		got, want int
	}{
		{"by a foreign page", post(key, "x", foreign), 403},
		{"under a foreign name", post(key, "x", host("evil.example")), 421},
		{"without a name", post(key, ""), 400},
		{"with half the key", post(key[:13], "x"), 403},
		{"without a key", post("", "x"), 403},
		{"by a path", post(key+"/..", "x"), 403},
		{"by a longer path", post("x/"+key, "x"), 403},
		{"escaped", post("%2e%2e%2f"+key, "x"), 403},
		{"a broken form", b.ask("POST", "/pair/"+key, strings.NewReader("name=%zz")).Code, 400},
		{"a form too large", b.ask("POST", "/pair/"+key, form(strings.Repeat("x", MaxBody))).Code, 413},
		{"by PUT", b.ask("PUT", "/pair/"+key, form("x")).Code, 405},
		{"name in the address", b.ask("POST", "/pair/"+key+"?name=x", nil).Code, 400},
	} {
		if row.got != row.want {
			t.Errorf("%s: %d, wanted %d", row.name, row.got, row.want)
		}
	}
	if len(b.devices.List()) != 0 {
		t.Fatalf("paired: %v", b.devices.List())
	}
	b.now = b.now.Add(KeyLife + 1)
	if got := post(key, "too late"); got != 403 {
		t.Errorf("a key too old: %d", got)
	}
	for range wrongKeys {
		post("guess", "x")
	}
	b.wants("guessing", b.ask("POST", "/pair/guess", form("x")), http.StatusTooManyRequests, "wait a minute")
}

func TestStolenTokens(t *testing.T) {
	b := newBench(t)
	old, device := b.paired("lost phone")
	b.now = device.Until.Add(time.Second)
	b.wants("expired", b.ask("GET", "/", nil, token(old)), http.StatusForbidden, "not paired")
	fresh, device := b.paired("lost phone")
	b.wants("not yet revoked", b.ask("GET", "/", nil, token(fresh)), http.StatusOK, "paired")
	if err := b.devices.Revoke(device.ID); err != nil {
		t.Fatal(err)
	}
	b.wants("revoked", b.ask("GET", "/", nil, token(fresh)), http.StatusForbidden, "not paired")
}

func TestANameFullOfMarkup(t *testing.T) {
	b := newBench(t)
	name := `"><script>alert(1)</script>` + "\r\nSet-Cookie: owner=1"
	w := b.ask("POST", "/pair/wrong", form(name))
	if strings.Contains(w.Body.String(), "<script") || !strings.Contains(w.Body.String(), "&lt;script&gt;") {
		t.Errorf("%s", w.Body)
	}
	w = b.ask("POST", "/pair/"+newKey(t, b.devices), form(name))
	if got := w.Header()["Set-Cookie"]; w.Code != http.StatusSeeOther || len(got) != 1 || !strings.HasPrefix(got[0], "paired-device=") {
		t.Errorf("%d %q", w.Code, got)
	}
	for _, line := range b.lines {
		if strings.ContainsAny(line, "\r\n\x1b") {
			t.Errorf("log line %q", line)
		}
	}
}

func TestRenderSeesTheRole(t *testing.T) {
	b := newBench(t)
	phone, _ := b.paired("phone")
	b.config.Render = func(w http.ResponseWriter, r *http.Request, status int, title string, body template.HTML) {
		w.WriteHeader(status)
		w.Write([]byte(RoleOf(r.Context()).String() + ": " + title + string(body)))
	}
	b.build()
	b.wants("stranger", b.ask("GET", "/", nil), 403, "stranger: This device is not paired<p>")
	b.wants("phone", b.ask("GET", "/shun", nil, token(phone)), 403, "paired: Only on the machine itself<p>")
	b.wants("pairing", b.ask("GET", "/pair/x", nil, local), 200, "owner: Pair this device<form")
}
