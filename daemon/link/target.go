package link

import (
	"cmp"
	"context"
	"fmt"
	"net"
	"net/netip"
	"slices"
	"strconv"
	"time"

	"pawl/oscmap"
)

// target is where a desk is said to be. The zero value is nowhere.
type target struct {
	host string
	addr netip.Addr // valid if host is an address and not a name
	port uint16
}

func parseTarget(s string) (target, error) {
	host, port, err := net.SplitHostPort(s)
	if err != nil || host == "" {
		return target{}, fmt.Errorf("the desk's address %q; want host:port, as in 192.0.2.10:10700", s)
	}
	n, err := strconv.ParseUint(port, 10, 16)
	if err != nil || n == 0 {
		return target{}, fmt.Errorf("the desk's port %q; want a number from 1 to 65535", port)
	}
	t := target{host: host, port: uint16(n)}
	if addr, err := netip.ParseAddr(host); err == nil {
		t.addr = addr.Unmap()
		if !oscmap.OneMachine(t.addr) { // the network's own such address the system refuses, see prepareSocket
			return target{}, fmt.Errorf("the desk's address %q is no one machine's; want the desk's own, as in 192.0.2.10:10700", s)
		}
	}
	return t, nil
}

// named reports whether the host must be looked up.
func (t target) named() bool { return t.host != "" && !t.addr.IsValid() }

// lookUpWithin bounds one look-up, in wall time.
const lookUpWithin = 10 * time.Second

// find gives all addresses of the desk, IPv4 first: few desks speak anything
// else. It notes a failure as trouble.
func (l *Link) find(ctx context.Context) ([]netip.Addr, error) {
	if l.desk.addr.IsValid() {
		return []netip.Addr{l.desk.addr}, nil
	}
	ctx, cancel := context.WithTimeout(ctx, lookUpWithin)
	defer cancel()
	addrs, err := l.lookUp(ctx, l.desk.host)
	for i := range addrs {
		addrs[i] = addrs[i].Unmap() // as receive has the senders
	}
	addrs = slices.DeleteFunc(addrs, func(a netip.Addr) bool { return !oscmap.OneMachine(a) })
	if err == nil && len(addrs) == 0 {
		err = fmt.Errorf("look up %s: no address of a machine", l.desk.host)
	}
	if err != nil {
		l.note(Problem{Kind: NameUnknown, At: l.desk.host, More: err.Error()})
		return nil, err
	}
	slices.SortStableFunc(addrs, func(a, b netip.Addr) int { return cmp.Compare(a.BitLen(), b.BitLen()) })
	return addrs, nil
}

// lookUp asks the system.
func lookUp(ctx context.Context, host string) ([]netip.Addr, error) {
	return net.DefaultResolver.LookupNetIP(ctx, "ip", host)
}

// moveTo believes these addresses from now on and reports whether the first is
// another than before.
func (l *Link) moveTo(addrs []netip.Addr) (to netip.AddrPort, moved bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	// All are believed, since a desk of two addresses may answer from the other one;
	// only the first is asked.
	l.believe = addrs
	to = netip.AddrPortFrom(addrs[0], l.desk.port)
	if moved = to != l.deskAt; moved {
		l.deskAt = to
		l.notify()
	}
	return to, moved
}
