package web

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

func TestPhonesOfABenchThatIsNotOnTheNetwork(t *testing.T) {
	s := newSite(t)
	contains(t, page(t, s, "/devices"), "No phone is paired", "fairburn open --lan", "answers only to this machine")
	if w := post(t, s, "/devices/key", nil); w.Code != http.StatusBadRequest || !strings.Contains(w.Body.String(), "fairburn open --lan") {
		t.Error(w.Code, w.Body)
	}
	s.LAN = true
	contains(t, page(t, s, "/devices"), "has no address in a local network now")
}

func TestPairingAPhone(t *testing.T) {
	s := lan(t)
	contains(t, page(t, s, "/devices"), "Pair a phone", "not encrypted", "counts as the owner")
	w := post(t, s, "/devices/key", nil)
	body := w.Body.String()
	contains(t, body, `<svg class="qr"`, `class="qr-light"`, `class="qr-dark"`, "Without TLS", "works until")
	if w.Header().Get("Cache-Control") != "no-store" {
		t.Error("a browser may keep the key")
	}
	key := regexp.MustCompile(`http://192\.168\.1\.7:8417/pair/([a-z0-9]{26})`).FindStringSubmatch(body)
	if key == nil {
		t.Fatal("no address on the page")
	}
	phone := pairedAs(t, s, key[1], `<b>"Rowan's"</b>`)
	if w := phone(http.MethodGet, "/", nil); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), demoTitle) {
		t.Fatal(w.Code)
	}
	body = page(t, s, "/devices")
	contains(t, body, "&lt;b&gt;&#34;Rowan&#39;s&#34;&lt;/b&gt;", `aria-label="Revoke `)
	id := s.Devices.List()[0].ID
	if w := post(t, s, "/devices/revoke", url.Values{"id": {"nobody"}}); w.Code != http.StatusBadRequest {
		t.Error(w.Code)
	}
	contains(t, page(t, s, sent(t, s, "/devices/revoke", url.Values{"id": {id}})), "revoked: &lt;b&gt;", "No phone is paired")
	if w := phone(http.MethodGet, "/", nil); w.Code != http.StatusForbidden {
		t.Error("a revoked phone reads on:", w.Code)
	}
}

func TestRevokingAllEndsOpenCodesToo(t *testing.T) {
	s := lan(t)
	key, err := s.Devices.NewKey()
	if err != nil {
		t.Fatal(err)
	}
	unused, err := s.Devices.NewKey()
	if err != nil {
		t.Fatal(err)
	}
	phone := pairedAs(t, s, key.Text, "phone")
	sent(t, s, "/devices/revoke-all", nil)
	if w := phone(http.MethodGet, "/", nil); w.Code != http.StatusForbidden {
		t.Error(w.Code)
	}
	if _, _, err := s.Devices.Pair(unused.Text, "late"); err == nil {
		t.Error("an open code still pairs")
	}
}

func TestTLSIsSaid(t *testing.T) {
	s := lan(t)
	s.TLS = true
	if body := page(t, s, "/devices"); !strings.Contains(body, "is encrypted (TLS)") || strings.Contains(body, "not encrypted") {
		t.Error("the page does not know that TLS is on")
	}
}
