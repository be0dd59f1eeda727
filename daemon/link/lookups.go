package link

import (
	"context"
	"net/netip"
)

// lookups looks the desk's name up whenever it is asked to, in a goroutine of its
// own, since a look-up may take seconds and the asks must not wait for it. A nil
// lookups is for a desk whose address is known: it never finds anything.
type lookups struct {
	wanted  chan struct{}     // holds one; a full channel means that a look-up will follow
	results chan []netip.Addr // holds one; the finder waits for it to be read
}

func newLookups() *lookups {
	return &lookups{wanted: make(chan struct{}, 1), results: make(chan []netip.Addr, 1)}
}

// run looks up until ctx ends.
func (n *lookups) run(ctx context.Context, find func(context.Context) ([]netip.Addr, error)) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-n.wanted:
		}
		addrs, err := find(ctx)
		if err != nil {
			continue // it was noted
		}
		select {
		case <-ctx.Done():
			return
		case n.results <- addrs:
		}
	}
}

func (n *lookups) ask() {
	if n == nil {
		return
	}
	select {
	case n.wanted <- struct{}{}:
	default:
	}
}

func (n *lookups) found() <-chan []netip.Addr {
	if n == nil {
		return nil
	}
	return n.results
}
