package guard

import (
	"net"
	"net/http"
	"net/netip"
	"strings"
)

// hosts are the names a server answers to: with a port exactly, else at any port.
type hosts map[string]bool

func hostsOf(names []string) hosts {
	h := hosts{}
	for _, n := range names {
		name, port := splitHost(n)
		h[joinHost(name, port)] = true
	}
	return h
}

// allow tells whether a request's Host header is one of the names or a loopback name.
// A page of a foreign site that has pointed its own name at this machine still sends
// that name here.
func (h hosts) allow(host string) bool {
	name, port := splitHost(host)
	return loopbackName(host) || name != "" && (h[name] || h[joinHost(name, port)])
}

// arrivedAt tells whether a Host header is the very address at which the request
// arrived. No foreign name is: a page that has pointed its own name at this machine
// sends that name. So the server follows its machine from network to network.
func arrivedAt(r *http.Request) bool {
	local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return false
	}
	name, _ := splitHost(r.Host)
	asked, err := netip.ParseAddr(name)
	return err == nil && parseAddress(local.String()) == asked.Unmap()
}

// loopbackName tells whether a Host header names this machine to itself.
//
// Source: RFC 6761 section 6.3 ("localhost"), RFC 1122 section 3.2.1.3 (127/8),
// RFC 4291 section 2.5.3 (::1).
func loopbackName(host string) bool {
	name, _ := splitHost(host)
	if name == "localhost" {
		return true
	}
	a, err := netip.ParseAddr(name)
	return err == nil && a.IsLoopback()
}

// splitHost is name and port of "name", "name:port", "[v6]", "[v6]:port" or a bare
// IPv6 address, in lower case; no port is "".
func splitHost(host string) (name, port string) {
	host = strings.ToLower(host)
	if name, port, err := net.SplitHostPort(host); err == nil {
		return name, port
	}
	if inner, ok := strings.CutPrefix(host, "["); ok {
		return strings.TrimSuffix(inner, "]"), ""
	}
	return host, ""
}

func joinHost(name, port string) string {
	if port == "" {
		return name
	}
	return net.JoinHostPort(name, port)
}
