package guard

import (
	"errors"
	"fmt"
	"net"
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

// callers is a listener to which these addresses connect, one after the other.
type callers []string

func (c *callers) Accept() (net.Conn, error) {
	if len(*c) == 0 {
		return nil, errors.New("nobody else")
	}
	from := (*c)[0]
	*c = (*c)[1:]
	return &caller{from: net.TCPAddrFromAddrPort(netip.MustParseAddrPort(from))}, nil
}
func (*callers) Close() error   { return nil }
func (*callers) Addr() net.Addr { return nil }

type caller struct {
	net.Conn
	from   net.Addr
	closed int
}

func (c *caller) RemoteAddr() net.Addr { return c.from }
func (c *caller) Close() error         { c.closed++; return nil }

func TestConnectionsOfOneAddress(t *testing.T) {
	var calls callers
	for i := range perAddress + 10 { // of one machine, under several addresses of its network
		calls = append(calls, fmt.Sprintf("[2001:db8::%x]:1", i+1), "192.0.2.77:1", "127.0.0.1:1")
	}
	f := newFair(&calls)
	by := map[string][]net.Conn{}
	for {
		c, err := f.Accept()
		if err != nil {
			break
		}
		network := networkOf(parseAddress(c.RemoteAddr().String())).String()
		by[network] = append(by[network], c)
	}
	if a, b, c := len(by["2001:db8::/64"]), len(by["192.0.2.77/32"]), len(by["127.0.0.1/32"]); a != perAddress || b != perAddress || c != perAddress+10 {
		t.Errorf("%d, %d and %d connections, expected %d, %d and %d", a, b, c, perAddress, perAddress, perAddress+10)
	}
	calls = append(calls, "192.0.2.77:2", "192.0.2.78:2", "192.0.2.77:3", "192.0.2.77:4")
	if c, err := f.Accept(); err != nil || c.RemoteAddr().String() != "192.0.2.78:2" {
		t.Error(c, err)
	}
	held := by["192.0.2.77/32"][0]
	held.Close()
	held.Close() // once is enough
	if c, err := f.Accept(); err != nil || c.RemoteAddr().String() != "192.0.2.77:3" {
		t.Error(c, err)
	}
	if c, err := f.Accept(); err == nil {
		t.Error("one more than may be:", c.RemoteAddr())
	}
	for _, all := range by {
		for _, c := range all {
			c.Close()
		}
	}
	if len(f.held) != 2 { // the two that came last
		t.Error(f.held)
	}
}
