package practice

import (
	"net/netip"
	"slices"
	"time"
)

// listeners is who has asked to be told, and until when on the desk's clock.
type listeners map[netip.AddrPort]time.Duration

// mostListeners is how many a desk puts up with. More are not answered.
const mostListeners = 16

// add has who told until then; asking again moves the end.
func (l listeners) add(who netip.AddrPort, until time.Duration) {
	if _, known := l[who]; known || len(l) < mostListeners {
		l[who] = until
	}
}

func (l listeners) has(who netip.AddrPort, now time.Duration) bool {
	until, ok := l[who]
	return ok && now < until
}

// at is who listens now, in a steady order. Those whose time is over are forgotten.
func (l listeners) at(now time.Duration) []netip.AddrPort {
	var all []netip.AddrPort
	for who, until := range l {
		if now >= until {
			delete(l, who)
			continue
		}
		all = append(all, who)
	}
	slices.SortFunc(all, netip.AddrPort.Compare)
	return all
}
