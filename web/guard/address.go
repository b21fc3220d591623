package guard

import (
	"cmp"
	"net"
	"net/netip"
	"slices"
	"strings"
)

// Addresses lists the addresses other machines of the local network may reach this
// one by, likeliest first, without brackets or ports: private IPv4, other IPv4, then
// IPv6. Left out are loopback, link-local addresses (a browser takes no zone), tunnels
// and the inner networks of virtual machines, told by the interface's usual name. An
// interface that cannot be read gives none.
func Addresses() []string {
	interfaces, err := net.Interfaces()
	if err != nil {
		return nil
	}
	var found []netip.Addr
	for _, i := range interfaces {
		if i.Flags&net.FlagUp == 0 || i.Flags&(net.FlagLoopback|net.FlagPointToPoint) != 0 || inner(i.Name) {
			continue
		}
		all, err := i.Addrs()
		if err != nil {
			continue
		}
		for _, a := range all {
			if p, err := netip.ParsePrefix(a.String()); err == nil {
				found = append(found, p.Addr())
			}
		}
	}
	return worthPrinting(found)
}

// inner tells by name an interface that leads only into this machine. Common
// practice, no source.
func inner(name string) bool {
	for _, p := range []string{"docker", "br-", "veth", "virbr", "vmnet", "vboxnet", "vEthernet", "cni", "podman"} {
		if strings.HasPrefix(name, p) {
			return true
		}
	}
	return false
}

func worthPrinting(all []netip.Addr) []string {
	all = slices.DeleteFunc(slices.Clone(all), func(a netip.Addr) bool { return !a.IsGlobalUnicast() })
	rank := func(a netip.Addr) int {
		switch {
		case a.Is4() && a.IsPrivate():
			return 0
		case a.Is4():
			return 1
		}
		return 2
	}
	slices.SortStableFunc(all, func(a, b netip.Addr) int { return cmp.Compare(rank(a), rank(b)) })
	var text []string
	for _, a := range all {
		text = append(text, a.String())
	}
	return text
}
