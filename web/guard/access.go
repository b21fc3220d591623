package guard

import (
	"context"
	"fmt"
	"net/http"
	"strings"
)

// Role is what a request may do.
type Role int

// The roles, each of which may do more than the one before it.
const (
	Stranger Role = iota // sees the pairing page and open files
	Paired               // holds the token of a device
	Owner                // sits at the machine itself
)

func (r Role) String() string {
	switch r {
	case Paired:
		return "paired"
	case Owner:
		return "owner"
	}
	return "stranger"
}

// visit is what the guard knows about a request.
type visit struct {
	role   Role
	device Device
	guard  *Guard
}

type visitKey struct{}

func visitOf(ctx context.Context) visit {
	v, _ := ctx.Value(visitKey{}).(visit)
	return v
}

// RoleOf is the role of the request with this context; Stranger if no Guard saw it.
func RoleOf(ctx context.Context) Role { return visitOf(ctx).role }

// DeviceOf is the paired device of the request with this context. The owner at the
// machine itself has none.
func DeviceOf(ctx context.Context) (Device, bool) {
	v := visitOf(ctx)
	return v.device, v.role == Paired
}

// OwnerOnly passes only the owner's requests on and says to others, with status 403,
// that this is done on the machine itself. It stands behind a Guard's Handler;
// anywhere else it refuses everything.
func OwnerOnly(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		v := visitOf(r.Context())
		if v.role == Owner {
			next.ServeHTTP(w, r)
			return
		}
		render := bare
		if v.guard != nil {
			render = v.guard.config.Render
		}
		render(w, r, http.StatusForbidden, "Only on the machine itself", ownerOnlyText)
	})
}

// admit finds out who asks and writes it into the request's context. A paired
// device's context ends when the device is revoked, so that open event streams end
// with it; done releases that watch.
//
// The owner comes from a loopback address, asks for a loopback name and through no
// proxy: a proxy on this machine speaks for whoever is behind it. No header can make
// an owner.
func (g *Guard) admit(r *http.Request) (_ *http.Request, done func()) {
	v := visit{guard: g}
	ctx, cancel := context.WithCancel(r.Context())
	done = cancel
	if addressOf(r).IsLoopback() && loopbackName(r.Host) && !proxied(r) {
		v.role = Owner
	} else if c, err := r.Cookie(cookieName(g.config.TLS)); err == nil {
		device, revoked, ok := g.config.Devices.byToken(c.Value)
		if ok {
			v.role, v.device = Paired, device
			stop := context.AfterFunc(revoked, cancel)
			done = func() { stop(); cancel() }
		}
	}
	return r.WithContext(context.WithValue(ctx, visitKey{}, v)), done
}

// proxied tells whether a request carries a mark of having been passed on.
//
// Source: RFC 7239 (Forwarded), RFC 9110 section 7.6.3 (Via); the X- names are
// common practice, no source.
func proxied(r *http.Request) bool {
	for name := range r.Header {
		if name == "Forwarded" || name == "Via" || name == "X-Real-Ip" || strings.HasPrefix(name, "X-Forwarded") {
			return true
		}
	}
	return false
}

// cookieName is the name of the cookie with a device's token. Under TLS the prefix
// makes browsers refuse it from anyone but this very host.
//
// Source: RFC 6265bis (draft-ietf-httpbis-rfc6265bis) section 4.1.3.2, "__Host-".
func cookieName(tls bool) string {
	if tls {
		return "__Host-paired-device"
	}
	return "paired-device"
}

func (g *Guard) log(format string, args ...any) { g.config.Log(fmt.Sprintf(format, args...)) }

// refused logs a refusal unless there were many; then the next one says how many.
func (g *Guard) refused(format string, args ...any) {
	if !g.lines.AllowN(g.limits.now(), 1) {
		g.unsaid.Add(1)
		return
	}
	if n := g.unsaid.Swap(0); n > 0 {
		g.log("%d refusals were not told one by one", n)
	}
	g.log(format, args...)
}
