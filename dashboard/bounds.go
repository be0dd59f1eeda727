package dashboard

import (
	"net"
	"net/netip"
	"sync"
	"time"

	"golang.org/x/time/rate"

	"pawl/rules"
)

// What one visitor may take of what is there for all. A hall has one Wi-Fi address for all
// its tablets, so an address may have most of it, and never the last.
const (
	mostConns         = 1024 // open at once, of browsers that hold some six each
	mostConnsFromOne  = 768
	mostClientsOfOne  = 96 // of mostClients
	readTimeout       = 20 * time.Second
	pressesEach       = 5 // a second, more than a hand makes; so many more at once:
	pressesEachBurst  = 32
	pressesInAll      = 60
	pressesInAllBurst = 200
	guessesEach       = 0.2 // wrong keys and codes a second
	guessesEachBurst  = 8
	guessesInAll      = 2
	guessesInAllBurst = 40
	mostAddresses     = 1024 // whose tries are counted apart
	mostOfHost        = 80   // bytes of a host name in the log
)

// errBusy is for one press too many.
var errBusy = rules.Refuse("refused.busy")

// refusals lets one refused host in a second into the log: a visitor may send thousands.
func refusals() *rate.Sometimes { return &rate.Sometimes{First: 8, Interval: time.Second} }

func pressesOfOne() *rate.Limiter { return rate.NewLimiter(pressesEach, pressesEachBurst) }
func pressesOfAll() *rate.Limiter { return rate.NewLimiter(pressesInAll, pressesInAllBurst) }

// limiters have one for each address that has done something of late. When there are too
// many they begin anew: what bounds a crowd is a limit for all.
type limiters struct {
	each  rate.Limit
	burst int

	mu   sync.Mutex
	from map[string]*rate.Limiter
}

func newLimiters(each rate.Limit, burst int) *limiters {
	return &limiters{each: each, burst: burst, from: map[string]*rate.Limiter{}}
}

// of is the limiter of a remote address. IPv6 counts by networks of 64 bits, of which every
// machine has all addresses.
func (l *limiters) of(remote string) *rate.Limiter {
	address := addressOf(remote)
	if ip, err := netip.ParseAddr(address); err == nil && ip.Is6() && !ip.Is4In6() {
		network, _ := ip.WithZone("").Prefix(64) // fails for no IPv6 address
		address = network.String()
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if len(l.from) >= mostAddresses {
		clear(l.from)
	}
	one := l.from[address]
	if one == nil {
		one = rate.NewLimiter(l.each, l.burst)
		l.from[address] = one
	}
	return one
}

// boundedListener closes at once what would be more than so many connections, in all and
// from one address.
type boundedListener struct {
	net.Listener
	inAll, fromOne int

	mu   sync.Mutex
	all  int
	from map[string]int // by the address without its port
}

func bounded(l net.Listener, inAll, fromOne int) *boundedListener {
	return &boundedListener{Listener: l, inAll: inAll, fromOne: fromOne, from: map[string]int{}}
}

// Accept waits for a connection that there is room for.
func (l *boundedListener) Accept() (net.Conn, error) {
	for {
		conn, err := l.Listener.Accept()
		if err != nil {
			return nil, err
		}
		address := addressOf(conn.RemoteAddr().String())
		if l.enter(address) {
			return &boundedConn{Conn: conn, leave: sync.OnceFunc(func() { l.leave(address) })}, nil
		}
		_ = conn.Close()
	}
}

func (l *boundedListener) enter(address string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.all >= l.inAll || l.from[address] >= l.fromOne {
		return false
	}
	l.all++
	l.from[address]++
	return true
}

func (l *boundedListener) leave(address string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.all--
	if l.from[address]--; l.from[address] == 0 {
		delete(l.from, address)
	}
}

type boundedConn struct {
	net.Conn
	leave func()
}

// Close gives its place to another.
func (c *boundedConn) Close() error {
	defer c.leave()
	return c.Conn.Close()
}

// addressOf is a host and port without the port.
func addressOf(hostPort string) string {
	host, _, err := net.SplitHostPort(hostPort)
	if err != nil {
		return hostPort
	}
	return host
}
