package link

import (
	"net/netip"
	"slices"
	"time"
)

// receive takes one packet in, from the reader's goroutine only.
func (l *Link) receive(at time.Duration, from netip.AddrPort, data []byte) {
	// A socket for both kinds of address names an IPv4 sender in IPv6, which would be
	// equal to nothing that was looked up.
	from = netip.AddrPortFrom(from.Addr().Unmap(), from.Port())
	if !l.admit(at, from, len(data)) {
		return
	}
	if dropped := l.queue.put(at, from, data); dropped > 0 {
		l.mu.Lock()
		l.status.Dropped += dropped
		l.mu.Unlock()
	}
	select {
	case l.ready <- struct{}{}:
	default: // already said
	}
}

// admit counts a packet and reports whether it is the desk's.
func (l *Link) admit(at time.Duration, from netip.AddrPort, size int) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if !l.believed(from) {
		l.status.Strangers++
		l.status.LastStranger = from
		l.strangeAt = at
		l.notify()
		return false
	}
	l.status.Packets++
	l.status.Bytes += uint64(size)
	l.status.LastHeard = at
	l.since = at
	if l.status.Phase != Hearing {
		l.welcome()
	}
	return true
}

// believed reports whether a packet is from the desk. The caller holds mu.
func (l *Link) believed(from netip.AddrPort) bool {
	if l.opts.Desk == "" {
		return true // a desk that always sends to one port may come from anywhere
	}
	return slices.Contains(l.believe, from.Addr()) && (l.opts.AnyPort || from.Port() == l.desk.port)
}

// welcome begins to hear the desk. The caller holds mu.
func (l *Link) welcome() {
	switch {
	case l.greeted:
		// A new stream was asked everything when it was made.
		l.greeted = false
	case l.status.Phase == Quiet:
		l.owed = max(l.owed, owedReturn)
	case l.overdue:
		l.owed = owedAll
	}
	l.status.Phase = Hearing
	l.trouble = trouble{}
	l.notify()
	select {
	case l.back <- struct{}{}:
	default: // the keeper has not yet seen the last one
	}
}

// noticeSilence tells that the desk has been silent for too long, once.
func (l *Link) noticeSilence(now time.Duration) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if now-l.since < l.opts.StaleAfter {
		return
	}
	switch {
	case l.status.Phase == Hearing:
		l.fallQuiet()
	case l.status.Phase == Waiting && !l.overdue:
		l.overdue = true
		l.notify()
	}
}

// fallQuiet ends the hearing. The caller holds mu.
func (l *Link) fallQuiet() {
	l.status.Phase = Quiet
	l.status.WentQuiet++
	l.notify()
}

// lastHeard is when the desk was last heard, or when waiting for it began.
func (l *Link) lastHeard() (at time.Duration, hearing bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.since, l.status.Phase == Hearing
}

// takeOwed gives what a desk that was heard again is owed, once.
func (l *Link) takeOwed() greeting {
	l.mu.Lock()
	defer l.mu.Unlock()
	owed := l.owed
	l.owed = nothingOwed
	return owed
}
