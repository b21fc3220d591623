package guard

import (
	"fmt"
	"net/http"
	"net/netip"
	"testing"
	"time"
)

func TestRateOfOneAddress(t *testing.T) {
	b := newBench(t)
	for i := range burst {
		if w := b.ask("GET", "/style.css", nil); w.Code != http.StatusOK {
			t.Fatalf("request %d: %d", i+1, w.Code)
		}
	}
	w := b.ask("GET", "/style.css", nil)
	b.wants("one more", w, http.StatusTooManyRequests, "wait a second")
	if w.Header().Get("Retry-After") != "1" {
		t.Error("no Retry-After")
	}
	b.wants("another port of it", b.ask("GET", "/style.css", nil, from("192.0.2.77:1")), http.StatusTooManyRequests, "")
	b.wants("another address by header", b.ask("GET", "/style.css", nil, head("X-Forwarded-For", "192.0.2.1")), http.StatusTooManyRequests, "")
	b.wants("another address", b.ask("GET", "/style.css", nil, from("192.0.2.78:1")), http.StatusOK, "")
	b.wants("the owner", b.ask("GET", "/", nil, local), http.StatusOK, "owner")
	b.now = b.now.Add(time.Second / perSecond)
	b.wants("a fiftieth of a second later", b.ask("GET", "/style.css", nil), http.StatusOK, "")
	b.wants("and one more", b.ask("GET", "/style.css", nil), http.StatusTooManyRequests, "")
}

func TestAddressesKeptAreBounded(t *testing.T) {
	now := time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC)
	l := newLimits(func() time.Time { return now })
	for i := range maxTracked {
		l.allow(netip.AddrFrom4([4]byte{10, 0, byte(i >> 8), byte(i)}))
	}
	passed := 0
	for i := range 5000 {
		if l.allow(netip.AddrFrom4([4]byte{10, 1, byte(i >> 8), byte(i)})) {
			passed++
		}
	}
	if passed != burst || len(l.of) != maxTracked {
		t.Errorf("%d requests of 5000 further addresses passed and %d are kept, wanted %d and %d", passed, len(l.of), burst, maxTracked)
	}
	now = now.Add(filled)
	if !l.allow(netip.AddrFrom4([4]byte{10, 2, 0, 0})) || len(l.of) != 1 {
		t.Errorf("idle addresses were not forgotten: %d kept", len(l.of))
	}
	for i := range burst + 1 {
		ok := l.allow(netip.MustParseAddr(fmt.Sprintf("fd00::%x", i+1)))
		if ok != (i < burst) {
			t.Fatalf("address %d of one IPv6 network: %v", i+1, ok)
		}
	}
}
