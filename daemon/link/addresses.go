package link

import (
	"net"
	"net/netip"
	"slices"
)

// Addresses are this machine's own in its networks, those that others can reach it by, IPv4
// first; nil if the system does not tell.
func Addresses() (all []netip.Addr) {
	interfaces, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, a := range interfaces {
		if p, err := netip.ParsePrefix(a.String()); err == nil && !p.Addr().IsLoopback() && !p.Addr().IsLinkLocalUnicast() {
			all = append(all, p.Addr().Unmap())
		}
	}
	slices.SortStableFunc(all, func(a, b netip.Addr) int { return a.BitLen() - b.BitLen() })
	return all
}
