// Package link is Pawl's one connection to the desk.
//
// It opens the socket, sends the asks that the map lists and nothing else, and
// hands on every packet from the desk with the time it arrived. It knows which
// sender to believe, notices when the desk falls silent or comes back, and says
// all of this in a Status. It does not look inside a packet.
//
// One function in the package writes to the desk, and what it takes is an
// oscmap.Ask, which only a checked map can make.
package link

import (
	"context"
	"errors"
	"net"
	"net/netip"
	"sync"
	"sync/atomic"
	"time"

	"pawl/oscmap"
)

// Options say which desk to listen to and how.
type Options struct {
	// Desk is the desk's host and port, as in "192.0.2.10:10700" or
	// "desk.example:10700". A name is looked up when Run begins and again
	// while nothing is heard. With UDP it may be empty: then every sender is
	// believed, and there may be no asks.
	Desk string

	// Listen is where the desk sends to, as in ":10701", if it always sends to
	// one port. Empty means any free port, for a desk that answers to the port
	// that asked. TCP does not use it.
	Listen string

	// AnyPort believes the desk's host whichever port it sends from. Some desks
	// listen on one port and send from another.
	AnyPort bool

	// Transport is how packets travel; the zero value is UDP.
	Transport oscmap.Transport

	// Asks are all that may ever be sent.
	Asks []oscmap.Ask

	// Clock is the daemon's.
	Clock Clock

	// StaleAfter is how long, in daemon time, the desk may be silent before it
	// counts as quiet. Zero means 5 s.
	StaleAfter time.Duration
}

const (
	defaultStale = 5 * time.Second

	// maxWaiting is how many packets may wait to be taken before the oldest are
	// dropped: several seconds of a busy desk. However many they are, no more than
	// maxWaitingBytes of them wait.
	maxWaiting      = 8192
	maxWaitingBytes = 4 << 20

	maxPacket = 1 << 16 // bytes; no datagram is larger
)

// Link is the connection. Open makes one; Run makes it work. Ready, Take,
// Status and Changed may be called from any goroutine, before, during and after
// Run, except that Take and the use of what it gave belong to one goroutine.
type Link struct {
	opts  Options
	clock Clock
	desk  target

	in  datagramReader // UDP only
	out outlet         // UDP only; each TCP connection has its own

	// Replaced in tests, as in and out are: a socket would not let their clock
	// advance.
	dial   func(ctx context.Context, to netip.AddrPort) (net.Conn, error)
	lookUp func(ctx context.Context, host string) ([]netip.Addr, error)

	ready chan struct{} // holds one; a full channel means that Ready has been said
	back  chan struct{} // holds one; a full channel means that the keeper has been told
	queue queue         // has its own lock

	mu        sync.Mutex
	status    Status
	believe   []netip.Addr   // the desk's addresses; none until they are known
	deskAt    netip.AddrPort // where it is asked; not valid until then
	since     time.Duration  // daemon time when Run began or the desk was last heard, for staleness
	strangeAt time.Duration  // when the last stranger's packet came
	overdue   bool           // nothing came for longer than StaleAfter from the beginning
	owed      greeting       // what a desk that is heard again must be asked
	greeted   bool           // the stream is new and was asked everything already
	trouble   trouble
	changed   chan struct{} // nil while nobody waits

	lost atomic.Uint64 // datagrams the system dropped, as it last reported
}

// greeting is which asks a desk that begins to talk is owed.
type greeting uint8

const (
	nothingOwed greeting = iota
	owedReturn           // it was heard before
	owedAll              // it was not there when Run began
)

// Open checks the options and, for UDP, takes the port. It sends nothing. The
// error is a sentence for people: what is wrong, and what to do about it. A
// Link that was opened must be Run or closed.
func Open(o Options) (*Link, error) {
	l, err := prepare(o)
	if err != nil {
		return nil, err
	}
	if o.Transport != oscmap.UDP {
		return l, nil
	}
	if err := l.bind(); err != nil {
		return nil, err
	}
	return l, nil
}

// prepare is Open without a socket.
func prepare(o Options) (*Link, error) {
	if o.StaleAfter <= 0 {
		o.StaleAfter = defaultStale
	}
	l := &Link{
		opts: o, clock: o.Clock,
		dial: dialTCP, lookUp: lookUp,
		ready: make(chan struct{}, 1), back: make(chan struct{}, 1),
	}
	l.queue.init(maxWaiting, maxWaitingBytes)
	if o.Desk == "" {
		if o.Transport != oscmap.UDP || len(o.Asks) > 0 {
			return nil, errors.New("the desk's address is missing; want host:port")
		}
		return l, nil
	}
	var err error
	l.desk, err = parseTarget(o.Desk)
	return l, err
}

// Run listens, asks, and keeps the connection until ctx ends. It may be called
// once. It returns nil when ctx ended, and has then stopped everything it
// started and closed the socket; trouble with the desk or the network is no
// reason to return, but is told in Status while Run goes on trying.
func (l *Link) Run(ctx context.Context) error {
	l.mu.Lock()
	l.since = l.clock.Now()
	l.mu.Unlock()
	if l.opts.Transport != oscmap.UDP {
		return l.runTCP(ctx)
	}
	return l.runUDP(ctx)
}

// Close gives back the port of a Link that will not be Run. It does nothing
// else, and does no harm at any other time.
func (l *Link) Close() error {
	if l.in == nil {
		return nil
	}
	if err := l.in.close(); !errors.Is(err, net.ErrClosed) {
		return err
	}
	return nil
}
