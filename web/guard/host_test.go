package guard

import (
	"context"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"testing"
)

func TestForeignHosts(t *testing.T) {
	b := newBench(t)
	b.config.Hosts = append(b.config.Hosts, "fd00::2", "[fd00::3]:8080")
	b.build()
	phone, _ := b.paired("phone")
	for _, row := range []struct {
		host string
		ok   bool
	}{
		{lanHost, true}, {"192.0.2.2:9999", false}, {"192.0.2.2", false},
		{"bench.example", true}, {"BENCH.example:8080", true}, {"bench.example:1", true},
		{"[fd00::2]", true}, {"[fd00::2]:8080", true}, {"[FD00::2]:1", true},
		{"[fd00::3]:8080", true}, {"[fd00::3]:8081", false}, {"[fd00::3]", false},
		{"localhost:1", true}, {"127.0.0.1", true},
		{"evil.example", false}, {"evil.example:8080", false}, {"localhost.evil.example", false},
		{"bench.example.evil.example", false}, {"evilbench.example", false}, {"192.0.2.2:8080.evil.example", false},
		{"192.0.2.2:8080@evil.example", false}, {"bench.example:8080:8080", false}, {"bench.example/", false},
		{"127.0.0.1.evil.example", false}, {"0.0.0.0", false}, {"", false}, {":8080", false}, {"[", false}, {"[]", false},
	} {
		w := b.ask("GET", "/", nil, host(row.host), token(phone))
		if row.ok {
			b.wants(row.host, w, http.StatusOK, "paired")
			continue
		}
		b.wants(row.host, w, http.StatusMisdirectedRequest, "does not go by that name")
		if strings.Contains(w.Body.String(), "192.0.2.2") || strings.Contains(w.Body.String(), "<") {
			t.Errorf("%q: the refusal tells a foreign page too much: %s", row.host, w.Body)
		}
	}
	// A page that rebound its name to loopback gets no further on the machine itself.
	b.wants("rebound", b.ask("GET", "/", nil, local, host("evil.example:8080")), http.StatusMisdirectedRequest, "")
	if !strings.Contains(strings.Join(b.lines, "\n"), `refused a request from 127.0.0.1 for the host "evil.example:8080"`) {
		t.Errorf("log: %q", b.lines)
	}
}

// The machine may have come to another network since the start.
func TestTheAddressOfArrivalIsAName(t *testing.T) {
	b := newBench(t)
	phone, _ := b.paired("phone")
	arriving := func(at net.Addr) func(*http.Request) {
		return func(r *http.Request) {
			*r = *r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, at))
		}
	}
	tcp := func(ip string) net.Addr { return net.TCPAddrFromAddrPort(netip.MustParseAddrPort(ip)) }
	for _, row := range []struct {
		at   net.Addr
		host string
		ok   bool
	}{
		{tcp("198.51.100.9:8080"), "198.51.100.9:8080", true},
		{tcp("198.51.100.9:8080"), "198.51.100.9", true}, // passed on from port 80
		{tcp("[::ffff:198.51.100.9]:8080"), "198.51.100.9:8080", true},
		{tcp("[2001:db8::9]:8080"), "[2001:db8::9]:8080", true},
		{tcp("198.51.100.9:8080"), "198.51.100.8:8080", false},
		{tcp("198.51.100.9:8080"), "evil.example:8080", false},
		{tcp("198.51.100.9:8080"), "198.51.100.9.evil.example:8080", false},
		{tcp("0.0.0.0:8080"), "", false},
		{&net.UnixAddr{Name: "198.51.100.9"}, "198.51.100.9", false},
	} {
		w := b.ask("GET", "/", nil, host(row.host), token(phone), arriving(row.at))
		if row.ok {
			b.wants(row.host, w, http.StatusOK, "paired")
			continue
		}
		b.wants(row.host, w, http.StatusMisdirectedRequest, "the one that its page Phones shows")
	}
	if w := b.ask("GET", "/", nil, local, host("198.51.100.9:8080"), arriving(tcp("198.51.100.9:8080"))); strings.Contains(w.Body.String(), "owner") {
		t.Error("an address that is no loopback name makes an owner")
	}
}
