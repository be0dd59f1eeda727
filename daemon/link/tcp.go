package link

import (
	"context"
	"net"
	"net/netip"
	"sync"
	"time"

	"pawl/oscmap"
	"pawl/oscmap/wire"
)

const (
	minPause   = 250 * time.Millisecond // daemon time before the first new attempt
	maxPause   = 10 * time.Second       // daemon time between attempts, at most
	dialWithin = 5 * time.Second        // wall time
	impatience = 2                      // times StaleAfter, until a silent connection is replaced

	// The system asks an idle connection whether it is there, after 5 s and then at
	// every 2 s, three times: 11 s until a cable that was pulled out is noticed.
	keepIdle    = 5 * time.Second
	keepBetween = 2 * time.Second
	keepTries   = 3
)

// runTCP connects again and again until ctx ends. The pauses double as long as
// nothing is heard, so that a desk that is off is not pestered.
func (l *Link) runTCP(ctx context.Context) error {
	pause := minPause
	for {
		before := l.Status().Packets
		err := l.connectOnce(ctx)
		if ctx.Err() != nil {
			return nil
		}
		l.broke(err)
		// A desk that takes connections and says nothing over them is as good as off:
		// only packets count.
		if l.Status().Packets > before {
			pause = minPause
		}
		if !l.wait(ctx, pause) {
			return nil
		}
		pause = min(2*pause, maxPause)
	}
}

// connectOnce is one connection, from looking the desk up until it breaks.
func (l *Link) connectOnce(ctx context.Context) error {
	addrs, err := l.find(ctx)
	if err != nil {
		return err
	}
	to, _ := l.moveTo(addrs)
	conn, err := l.dial(ctx, to)
	if err != nil {
		return err
	}
	again := l.connected(conn)
	ctx, cancel := context.WithCancel(ctx)
	var own sync.WaitGroup
	broken := make(chan error, 1) // the reader puts one error in and ends
	own.Go(func() { broken <- l.readStream(conn, to) })

	k := &keeper{
		link: l, broken: broken, patience: impatience * l.opts.StaleAfter,
		out:   outlet{stream: conn, framing: framing(l.opts.Transport)},
		times: l.timetable(again),
	}
	err = k.run(ctx)
	cancel()
	conn.Close() // whatever was not yet sent is an ask too late
	own.Wait()
	return err
}

// connected counts a connection and reports whether there was one before.
func (l *Link) connected(conn net.Conn) (again bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	again = l.status.Connects > 0
	l.status.Connects++
	if own, ok := conn.LocalAddr().(*net.TCPAddr); ok {
		l.status.Local = own.AddrPort()
	}
	l.owed, l.greeted = nothingOwed, true
	l.notify()
	return again
}

// broke notes that there is no connection any more, and why.
func (l *Link) broke(err error) {
	l.mu.Lock()
	to := l.deskAt
	if l.status.Phase == Hearing {
		l.fallQuiet()
	}
	l.mu.Unlock()
	if to.IsValid() {
		l.note(streamProblem(err, to, l.opts.Transport, impatience*l.opts.StaleAfter))
	}
}

// readStream hears until the connection breaks, and returns why it did.
func (l *Link) readStream(conn net.Conn, from netip.AddrPort) error {
	frames := wire.NewSplitter(conn, framing(l.opts.Transport), 0)
	bad := 0
	for {
		frame, err := frames.Next()
		// Before anything else is done, so that waiting for a lock does not make the
		// packet later than it was.
		at := l.clock.Now()
		if n := frames.Dropped(); n > bad {
			l.mu.Lock()
			l.status.BadFrames += uint64(n - bad)
			l.mu.Unlock()
			bad = n
		}
		if err != nil {
			return err
		}
		l.receive(at, from, frame)
	}
}

func framing(t oscmap.Transport) wire.Framing {
	if t == oscmap.TCPSLIP {
		return wire.SLIP
	}
	return wire.LengthPrefix
}

func dialTCP(ctx context.Context, to netip.AddrPort) (net.Conn, error) {
	d := net.Dialer{
		Timeout:         dialWithin,
		KeepAliveConfig: net.KeepAliveConfig{Enable: true, Idle: keepIdle, Interval: keepBetween, Count: keepTries},
		Control:         prepareStream,
	}
	return d.DialContext(ctx, "tcp", to.String())
}
