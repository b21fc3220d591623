// Package guard stands between a network and the pages of a server that belongs to
// one person at one machine. It knows three roles: the owner (whoever sits at the
// machine itself), paired devices (which hold a token got for a one-time key), and
// strangers, who see the pairing page and a few static files.
//
// It refuses names it is not called by (so that no foreign page can reach the server
// by rebinding its own name), requests made by other sites' pages, bodies too large,
// and addresses that ask too often; and it gives every answer the headers that keep
// foreign script, frames and readers out.
//
// What it does not do. Without TLS whoever listens on the network reads what passes,
// tokens too; TLS is for networks with strangers in them. Every program and every
// user of the machine itself counts as the owner. A device keeps its role in spite
// of a change of network or hands, until it is revoked or its time is up.
//
// Read Config and Handler first, then access.go (who asks), device.go and register.go
// (what is paired), pair.go (the two pairing pages), server.go.
package guard

import (
	"html/template"
	"net/http"
	"net/netip"
	"path"
	"strings"
	"sync/atomic"
	"time"

	"golang.org/x/time/rate"
)

// Limits of a request. Common practice, no source.
const (
	MaxBody      = 1 << 20  // bytes of an ordinary request's body
	MaxLargeBody = 20 << 20 // bytes where Config.Large allows it
	refusals     = 30       // told in a minute: nobody fills a disk by being refused
)

// largeTime is how long a large body and its answer may take: the server's
// WriteTimeout counts from the head of the request, so a slow upload would have no
// time left to be answered.
const largeTime = readTime + writeTime

// Config says what a Guard lets pass. The zero Config serves the machine itself.
type Config struct {
	// Hosts are the names this server answers to beside the loopback names: "host"
	// at any port or "host:port" exactly (browsers leave out 80 and 443, so such a
	// name stands without it). An IPv6 address may stand bare. The very address at
	// which a request arrives need not be among them, whatever network that is in.
	Hosts []string
	// Devices holds what is paired; nil keeps a register in memory.
	Devices *Devices
	// LAN lets other machines in; without it only loopback addresses are answered.
	LAN bool
	// TLS marks cookies so that they never travel unencrypted.
	TLS bool
	// Open lists what a stranger may see, as http.ServeMux patterns such as
	// "GET /style.css". They must be public files.
	Open []string
	// Large lists where a body may have MaxLargeBody, as http.ServeMux patterns such
	// as "POST /gear/{id}/photo".
	Large []string
	// Render wraps a page of the guard in the site's own layout; nil gives a bare
	// page that links /style.css. RoleOf and DeviceOf work on its request. A Stranger
	// may be shown what Render writes, so it must hold nothing of the site's content.
	Render func(w http.ResponseWriter, r *http.Request, status int, title string, body template.HTML)
	// Log is told, one line each, what was paired and refused; nil is silent.
	Log func(line string)
}

// Guard lets requests pass by the rules of its Config.
type Guard struct {
	config  Config
	hosts   hosts
	open    *http.ServeMux
	large   *http.ServeMux
	limits  *limits
	origins *http.CrossOriginProtection
	lines   *rate.Limiter // of refusals in the log
	unsaid  atomic.Int64  // refusals that were left out
}

// New makes a Guard. It panics on a pattern that http.ServeMux would not take.
func New(c Config) *Guard {
	if c.Devices == nil {
		c.Devices = newDevices("", time.Now, defaultRandom)
	}
	if c.Render == nil {
		c.Render = bare
	}
	if c.Log == nil {
		c.Log = func(string) {}
	}
	return &Guard{
		config:  c,
		hosts:   hostsOf(c.Hosts),
		open:    matcher(c.Open),
		large:   matcher(c.Large),
		limits:  newLimits(c.Devices.now),
		origins: http.NewCrossOriginProtection(),
		lines:   rate.NewLimiter(rate.Every(time.Minute/refusals), refusals),
	}
}

// matcher is a mux asked only whether a pattern fits.
func matcher(patterns []string) *http.ServeMux {
	m := http.NewServeMux()
	for _, p := range patterns {
		m.Handle(p, http.NotFoundHandler())
	}
	return m
}

func matches(m *http.ServeMux, r *http.Request) bool {
	_, pattern := m.Handler(r)
	return pattern != ""
}

// Handler guards next, and serves GET and POST /pair/{key} itself.
//
// Refusals: 421 for a name not in Config.Hosts, 403 for an address, origin or role
// that may not, 413 for a body over the limit, 429 for an address that asks more
// than 50 times a second for long. All but the last hold for the owner too.
func (g *Guard) Handler(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		protect(w.Header())
		if !g.reachable(w, r) {
			return
		}
		r, done := g.admit(r)
		defer done()
		defer tidy(r)
		if !g.fromHere(w, r) || !g.bounded(w, r) {
			return
		}
		if key, ok := strings.CutPrefix(r.URL.EscapedPath(), "/pair/"); ok {
			g.pair(w, r, key)
			return
		}
		if RoleOf(r.Context()) == Stranger && !g.isOpen(r) {
			g.config.Render(w, r, http.StatusForbidden, "This device is not paired", strangerText)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// tidy removes the files in which a large form lay while it was read. The server
// does so for the request it made itself, and admit's is another.
func tidy(r *http.Request) {
	if r.MultipartForm != nil {
		_ = r.MultipartForm.RemoveAll() // the answer stands, whatever the disk says
	}
}

// protect sets what every answer carries. A handler may set Cache-Control anew.
//
// Referrer-Policy is same-origin rather than no-referrer: with the latter a form's
// Origin header would be "null" and our own forms refused.
//
// Source of the headers: W3C Content Security Policy Level 3, WHATWG Fetch (nosniff,
// Cross-Origin-Resource-Policy), WHATWG HTML (Cross-Origin-Opener-Policy), W3C
// Referrer Policy and Permissions Policy, RFC 9111 (Cache-Control).
func protect(h http.Header) {
	h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "+
		"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; manifest-src 'self'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
	h.Set("Cache-Control", "no-store")
}

// reachable refuses foreign names, foreign machines and addresses that ask too often.
// It answers in plain text without the site's layout: under a rebound name the
// answer is read by the foreign page.
func (g *Guard) reachable(w http.ResponseWriter, r *http.Request) bool {
	from := addressOf(r)
	if !g.config.LAN && !from.IsLoopback() {
		http.Error(w, "this server answers only on its own machine", http.StatusForbidden)
		return false
	}
	if exempt := from.IsLoopback() && !proxied(r); !exempt && !g.limits.allow(from) {
		w.Header().Set("Retry-After", "1")
		http.Error(w, "too many requests from this address: wait a second", http.StatusTooManyRequests)
		return false
	}
	if !g.hosts.allow(r.Host) && !arrivedAt(r) {
		g.refused("refused a request from %s for the host %q", from, r.Host)
		http.Error(w, "this server does not go by that name: open the address printed when it was started, or the one that its page Phones shows on the machine itself", http.StatusMisdirectedRequest)
		return false
	}
	return true
}

// fromHere refuses what another site's page asks for: every change, by
// http.CrossOriginProtection, and every reading except that a link is followed.
//
// Source of the second rule: W3C Fetch Metadata Request Headers, section on resource
// isolation by Sec-Fetch-Site, Sec-Fetch-Mode and Sec-Fetch-Dest.
func (g *Guard) fromHere(w http.ResponseWriter, r *http.Request) bool {
	site := r.Header.Get("Sec-Fetch-Site")
	foreign := site == "cross-site" || site == "same-site"
	followed := r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document"
	if g.origins.Check(r) == nil && (!foreign || followed) {
		return true
	}
	g.refused("refused %s %q from %s: it was sent by a page of another site", r.Method, r.URL.Path, addressOf(r))
	g.config.Render(w, r, http.StatusForbidden, "Sent by another site", foreignText)
	return false
}

// bounded limits the body: by its declared length at once, else while it is read.
func (g *Guard) bounded(w http.ResponseWriter, r *http.Request) bool {
	limit := int64(MaxBody)
	if matches(g.large, r) && RoleOf(r.Context()) != Stranger {
		limit = MaxLargeBody
		// A recorder in a test has no deadline to set; a connection always has.
		_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(largeTime))
	}
	if r.ContentLength > limit {
		w.Header().Set("Connection", "close")
		g.config.Render(w, r, http.StatusRequestEntityTooLarge, "Too large", tooLarge(r.ContentLength, limit))
		return false
	}
	r.Body = http.MaxBytesReader(w, r.Body, limit)
	return true
}

// isOpen tells whether a stranger may see what is asked for. A path with ".." or "//"
// in it is not matched at all, so that no two readers of it can differ.
func (g *Guard) isOpen(r *http.Request) bool {
	p := r.URL.Path
	return (path.Clean(p) == p || path.Clean(p)+"/" == p) && matches(g.open, r)
}

// addressOf is the address a request came from, or the zero Addr if there is none;
// forwarding headers are not believed.
func addressOf(r *http.Request) netip.Addr { return parseAddress(r.RemoteAddr) }

func parseAddress(text string) netip.Addr {
	a, err := netip.ParseAddrPort(text)
	if err != nil {
		return netip.Addr{}
	}
	return a.Addr().Unmap().WithZone("")
}
