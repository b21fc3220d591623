package guard

import (
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

// allow takes one request off an address's allowance. An IPv6 network of 64 bits
// counts as one address, since a machine may take any address in its own.
func (l *limits) allow(from netip.Addr) bool {
	bits := from.BitLen()
	if from.Is6() {
		bits = 64
	}
	network, _ := from.Prefix(bits) // the zero Addr gives the zero Prefix: one more key
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
