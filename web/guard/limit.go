package guard

import (
	"net"
	"net/netip"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// Rate of requests from one address. Common practice, no source: a page with its
// files takes about ten, six running clocks a few each second.
const (
	perSecond = 50
	burst     = 200
	// maxTracked bounds the addresses kept apart; more share one allowance.
	maxTracked = 1024
	// filled is the time after which an idle address has its whole allowance back,
	// so that forgetting it changes nothing.
	filled = burst * time.Second / perSecond
)

// limits holds an allowance for each address.
type limits struct {
	now func() time.Time

	mu     sync.Mutex
	of     map[netip.Prefix]*allowance
	others *rate.Limiter // of all addresses beyond maxTracked together
}

type allowance struct {
	*rate.Limiter
	last time.Time
}

func newLimits(now func() time.Time) *limits {
	return &limits{now: now, of: map[netip.Prefix]*allowance{}, others: rate.NewLimiter(perSecond, burst)}
}

// networkOf is what counts as one address: of IPv6 64 bits, since a machine may take
// any address in its own network. The zero Addr gives the zero Prefix.
func networkOf(a netip.Addr) netip.Prefix {
	bits := a.BitLen()
	if a.Is6() {
		bits = 64
	}
	network, _ := a.Prefix(bits)
	return network
}

// allow takes one request off an address's allowance.
func (l *limits) allow(from netip.Addr) bool {
	network := networkOf(from)
	now := l.now()
	l.mu.Lock()
	defer l.mu.Unlock()
	a := l.of[network]
	if a == nil {
		if len(l.of) >= maxTracked {
			l.forget(now)
		}
		if len(l.of) >= maxTracked {
			return l.others.AllowN(now, 1)
		}
		a = &allowance{Limiter: rate.NewLimiter(perSecond, burst)}
		l.of[network] = a
	}
	a.last = now
	return a.AllowN(now, 1)
}

// forget drops the addresses idle long enough to have their whole allowance back.
func (l *limits) forget(now time.Time) {
	for network, a := range l.of {
		if now.Sub(a.last) >= filled {
			delete(l.of, network)
		}
	}
}

// perAddress is how many connections another machine may hold at a time. A browser
// takes six. Common practice, no source.
const perAddress = 64

// fair is a listener that hangs up on a machine that holds too many connections, so
// that one which opens them and says nothing leaves some for the others. Loopback
// addresses are not counted.
type fair struct {
	net.Listener

	mu   sync.Mutex
	held map[netip.Prefix]int
}

func newFair(l net.Listener) *fair { return &fair{Listener: l, held: map[netip.Prefix]int{}} }

// Accept waits for the next connection that may be.
func (f *fair) Accept() (net.Conn, error) {
	for {
		c, err := f.Listener.Accept()
		if err != nil {
			return nil, err
		}
		from := parseAddress(c.RemoteAddr().String())
		if from.IsLoopback() {
			return c, nil
		}
		if network := networkOf(from); f.hold(network) {
			return &counted{Conn: c, closed: sync.OnceFunc(func() { f.leave(network) })}, nil
		}
		_ = c.Close()
	}
}

func (f *fair) hold(network netip.Prefix) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.held[network] >= perAddress {
		return false
	}
	f.held[network]++
	return true
}

func (f *fair) leave(network netip.Prefix) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.held[network]--; f.held[network] == 0 {
		delete(f.held, network)
	}
}

// counted is a connection that is held until it is closed.
type counted struct {
	net.Conn
	closed func()
}

// Close closes the connection.
func (c *counted) Close() error {
	c.closed()
	return c.Conn.Close()
}
