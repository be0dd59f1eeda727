package listen

import (
	"cmp"
	"fmt"
	"maps"
	"net/netip"
	"slices"
	"strings"
)

// senders counts the packets of whoever sent them.
type senders map[netip.AddrPort]uint64

// mostSenders bounds what a sender of forged packets can fill.
const mostSenders = 64

func (s senders) count(from netip.AddrPort) {
	if _, known := s[from]; from.IsValid() && (known || len(s) < mostSenders) {
		s[from]++
	}
}

// busiest lists them, the busiest first.
func (s senders) busiest() []netip.AddrPort {
	return slices.SortedFunc(maps.Keys(s), func(a, b netip.AddrPort) int {
		return cmp.Or(cmp.Compare(s[b], s[a]), a.Compare(b))
	})
}

// port is that of the busiest, 0 if nobody sent anything.
func (s senders) port() int {
	if len(s) == 0 {
		return 0
	}
	return int(s.busiest()[0].Port())
}

// lines says who sent how much, the busiest first, and of very many only a few.
func (s senders) lines() (all []string) {
	for i, from := range s.busiest() {
		if i == 4 {
			return append(all, fmt.Sprintf("%d more", len(s)-i))
		}
		all = append(all, fmt.Sprintf("%v (%d packets)", from, s[from]))
	}
	return all
}

// String is the lines in one.
func (s senders) String() string { return strings.Join(s.lines(), ", ") }
