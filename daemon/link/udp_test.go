package link

import (
	"context"
	"net"
	"net/netip"
	"strings"
	"testing"
	"time"
)

// running opens and runs a Link on real sockets. Stop ends it and waits.
func running(t testing.TB, o Options) (l *Link, stop func()) {
	t.Helper()
	if o.Clock.Started.IsZero() {
		o.Clock.Started = time.Now()
	}
	l, err := Open(o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- l.Run(ctx) }()
	return l, func() {
		t.Helper()
		cancel()
		if err := <-ended; err != nil {
			t.Errorf("Run: %v", err)
		}
	}
}

// eventuallyAsks waits until the link knows that the desk is at an address.
func eventuallyAsks(t testing.TB, l *Link, at netip.AddrPort) {
	t.Helper()
	eventually(t, l, "the desk's address", func(Status) bool {
		l.mu.Lock()
		defer l.mu.Unlock()
		return l.deskAt == at
	})
}

// eventually waits for changes of the Status until it is as wanted.
func eventually(t testing.TB, l *Link, what string, is func(Status) bool) Status {
	t.Helper()
	deadline := time.NewTimer(20 * time.Second) // only ever reached by a failing test
	defer deadline.Stop()
	for {
		changed := l.Changed()
		st := l.Status()
		if is(st) {
			return st
		}
		select {
		case <-changed:
		case <-l.Ready():
		case <-deadline.C:
			t.Fatalf("%s: not so, but %+v", what, l.Status())
		}
	}
}

// practice is a UDP socket that plays the desk.
func practice(t testing.TB) (*net.UDPConn, netip.AddrPort) {
	t.Helper()
	conn, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	return conn, conn.LocalAddr().(*net.UDPAddr).AddrPort()
}

// here is how the desk reaches a Link that listens on every address.
func here(l *Link) netip.AddrPort {
	return netip.AddrPortFrom(netip.MustParseAddr("127.0.0.1"), l.Status().Local.Port())
}

func TestOneSocketBothWays(t *testing.T) {
	conn, at := practice(t)
	l, stop := running(t, Options{Desk: at.String(), Asks: mapped(t, "{send: /listen, on: connect}")})
	buf := make([]byte, 100)
	n, asker, err := conn.ReadFromUDPAddrPort(buf)
	if err != nil || address(buf[:n]) != "/listen" {
		t.Fatalf("the desk got %q, %v; want /listen", buf[:n], err)
	}
	if _, err := conn.WriteToUDPAddrPort([]byte("/a\x00\x00"), asker); err != nil {
		t.Fatal(err)
	}
	<-l.Ready()
	got := l.Take(nil)
	if len(got) != 1 || string(got[0].Data) != "/a\x00\x00" || got[0].From != at || got[0].At <= 0 {
		t.Errorf("got %v, want /a from %v", got, at)
	}
	if st := eventually(t, l, "hearing", func(st Status) bool { return st.Phase == Hearing }); st.ReadBuffer < 100<<10 {
		t.Errorf("a receive buffer of %d bytes, want at least what every system grants", st.ReadBuffer)
	}
	stop()
}

func TestStrangersOnARealSocket(t *testing.T) {
	_, at := practice(t)
	other, stranger := practice(t)
	l, stop := running(t, Options{Desk: at.String()})
	eventuallyAsks(t, l, at)
	if _, err := other.WriteToUDPAddrPort([]byte("/a\x00\x00"), here(l)); err != nil {
		t.Fatal(err)
	}
	st := eventually(t, l, "a stranger", func(st Status) bool { return st.Strangers == 1 })
	if st.LastStranger != stranger || st.Packets != 0 {
		t.Errorf("%v and %d packets, want %v and none", st.LastStranger, st.Packets, stranger)
	}
	stop()
}

func TestClosedPortIsNoticed(t *testing.T) {
	conn, at := practice(t)
	conn.Close()
	l, stop := running(t, Options{Desk: at.String(), Asks: mapped(t, "{send: /listen, every: 1s}"),
		Clock: Clock{Started: time.Now(), Speed: 100}})
	want := "nothing listens at " + at.String() + "; check that the desk is on, and its port"
	eventually(t, l, want, func(st Status) bool { return st.Problem.String() == want })
	// It goes on asking all the same.
	eventually(t, l, "more asks", func(st Status) bool { return st.Asked >= 20 })
	stop()
}

func TestPortTaken(t *testing.T) {
	_, at := practice(t)
	_, err := Open(Options{Listen: at.String()})
	want := "listen on " + at.String() + ": the port is taken, perhaps by another Pawl or by a remote control of the desk on this machine; stop that one"
	if err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want %s…", err, want)
	}
	_, err = Open(Options{Listen: "nonsense"})
	if want := "listen on nonsense: want a port from 1 to 65535, as in :10701"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// TestSystemDropsAreCounted fills the receive buffer before anything is read.
func TestSystemDropsAreCounted(t *testing.T) {
	conn, at := practice(t)
	l, err := Open(Options{Desk: at.String(), Clock: Clock{Started: time.Now()}})
	if err != nil {
		t.Fatal(err)
	}
	to, packet, sent := here(l), make([]byte, 60_000), uint64(0)
	for range 2*askedBuffer/len(packet) + 100 {
		if _, err := conn.WriteToUDPAddrPort(packet, to); err != nil {
			t.Fatal(err)
		}
		sent++
	}
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- l.Run(ctx) }()
	// The count comes with a packet that was let in after the drops.
	eventually(t, l, "the buffer is read", func(st Status) bool { return st.Packets > 10 })
	for eventually(t, l, "a packet more", func(st Status) bool { return st.Packets > 10 }).KernelDropped == 0 {
		if _, err := conn.WriteToUDPAddrPort(packet, to); err != nil {
			t.Fatal(err)
		}
		sent++
		<-l.Ready()
	}
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	if st := l.Status(); st.KernelDropped+st.Packets > sent {
		t.Errorf("%d dropped and %d heard of %d", st.KernelDropped, st.Packets, sent)
	}
}

func TestCloseWithoutRun(t *testing.T) {
	l, err := Open(Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Close(); err != nil {
		t.Error(err)
	}
	if err := l.Close(); err != nil {
		t.Errorf("twice: %v", err)
	}
}

func TestManyAtOnce(t *testing.T) {
	conn, at := practice(t)
	l, stop := running(t, Options{Desk: at.String()})
	eventuallyAsks(t, l, at)
	var all []Packet
	next := byte(0)
	// A hundred at a time fit into any receive buffer.
	for range 20 {
		for i := range byte(100) {
			if _, err := conn.WriteToUDPAddrPort([]byte{next + i}, here(l)); err != nil {
				t.Fatal(err)
			}
		}
		for end := next + 100; next != end; {
			<-l.Ready()
			all = l.Take(all[:0])
			for _, p := range all {
				if p.Data[0] != next {
					t.Fatalf("packet %d, want %d", p.Data[0], next)
				}
				next++
			}
		}
	}
	stop()
}
