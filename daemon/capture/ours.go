package capture

import "net/netip"

// The senders that stand in a capture for Pawl itself. Neither can be a desk's:
// 192.0.0.8 is the dummy address of IPv4, which no host may have (RFC 7600), and
// 100::/64 is set aside for packets that every router drops (RFC 6666). A
// loopback address would not do: a desk may be a program on the same machine.
var (
	ours4 = netip.MustParseAddrPort("192.0.0.8:7295")
	ours6 = netip.MustParseAddrPort("[100::8]:7295")
)

// Ours is the sender of what Pawl itself adds to a capture, such as presses of
// buttons: 192.0.0.8:7295, or [100::8]:7295 beside packets of IPv6. The argument
// is either end of the desk's packets; both ends of a record are of one family.
// An invalid one counts as IPv4.
func Ours(beside netip.AddrPort) netip.AddrPort {
	if beside.IsValid() && !beside.Addr().Unmap().Is4() {
		return ours6
	}
	return ours4
}

// IsOurs reports whether Pawl itself added p to the capture. A live link must
// believe no sender of which this is true.
func IsOurs(p Packet) bool { return p.From == ours4 || p.From == ours6 }
