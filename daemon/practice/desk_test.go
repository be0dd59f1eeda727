package practice

import (
	"context"
	"net"
	"net/netip"
	"testing"
	"testing/synctest"
	"time"

	"pawl/daemon/link"
)

var tablet = netip.MustParseAddrPort("192.0.2.1:10790")

// cable is a UDP socket in memory, so that time can be the test's own.
type cable struct {
	in     chan []byte // asks from the tablet
	out    chan packet // what the desk sent, with its time
	closed chan struct{}
	since  time.Time
}

func newCable() *cable {
	return &cable{in: make(chan []byte), out: make(chan packet, 1<<16), closed: make(chan struct{}), since: time.Now()}
}

func (c *cable) ReadFromUDPAddrPort(b []byte) (int, netip.AddrPort, error) {
	select {
	case p := <-c.in:
		return copy(b, p), tablet, nil
	case <-c.closed:
		return 0, netip.AddrPort{}, net.ErrClosed
	}
}

func (c *cable) WriteToUDPAddrPort(b []byte, _ netip.AddrPort) (int, error) {
	c.out <- packet{time.Since(c.since), b}
	return len(b), nil
}

func (c *cable) LocalAddr() net.Addr { return &net.UDPAddr{} }
func (c *cable) Close() error        { close(c.closed); return nil }

// heard is what the desk has sent since the last time.
func (c *cable) heard() (all []packet) {
	synctest.Wait()
	for len(c.out) > 0 {
		all = append(all, <-c.out)
	}
	return all
}

// withDesk runs a desk inside a bubble of its own time, and sees it end.
func withDesk(t *testing.T, speed float64, test func(t *testing.T, d *Desk, c *cable)) {
	synctest.Test(t, func(t *testing.T) {
		c := newCable()
		s := script(t, "ratchet")
		d := newDesk(Options{Clock: link.Clock{Started: time.Now(), Speed: speed}, Service: s, Dialect: harbour{}}, &udpSocket{c})
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan error)
		go func() { done <- d.Run(ctx) }()
		synctest.Wait()
		test(t, d, c)
		cancel()
		if err := <-done; err != nil {
			t.Errorf("Run: %v", err)
		}
	})
}

func TestTellsOnlyThoseWhoListen(t *testing.T) {
	withDesk(t, 1, func(t *testing.T, d *Desk, c *cable) {
		time.Sleep(time.Second)
		c.in <- Message("/tell/all")
		if got := c.heard(); len(got) != 0 {
			t.Fatalf("%d packets to somebody who never asked to listen, want none", len(got))
		}
		c.in <- Message("/listen", 60)
		c.in <- Message("/tell/all")
		if got := c.heard(); len(got) != 83 {
			t.Errorf("%d packets after asking for all, want 83", len(got))
		}
		time.Sleep(time.Second)
		if got := c.heard(); len(got) < 95 || len(got) > 105 {
			t.Errorf("%d packets in a second, want about 100 of meters", len(got))
		}
	})
}

func TestListeningEnds(t *testing.T) {
	withDesk(t, 1, func(t *testing.T, d *Desk, c *cable) {
		c.in <- Message("/listen", 5)
		time.Sleep(20 * time.Second)
		got := c.heard()
		if len(got) == 0 || got[len(got)-1].at >= 5*time.Second || got[len(got)-1].at < 4900*time.Millisecond {
			t.Fatalf("%d packets, want them to end just before 5 s", len(got))
		}
	})
}

func TestRebootForgetsWhoListens(t *testing.T) {
	withDesk(t, 1, func(t *testing.T, d *Desk, c *cable) {
		c.in <- Message("/listen", 600)
		time.Sleep(time.Second)
		d.Reboot(20 * time.Second)
		time.Sleep(time.Second)
		c.heard()
		c.in <- Message("/listen", 600)
		time.Sleep(30 * time.Second)
		if got := c.heard(); len(got) != 0 {
			t.Fatalf("%d packets from a desk that was off when it was asked, want none", len(got))
		}
		c.in <- Message("/listen", 600)
		time.Sleep(time.Second)
		if got := c.heard(); len(got) == 0 {
			t.Error("nothing from a desk that has come back")
		}
	})
}

func TestSpeed(t *testing.T) {
	withDesk(t, 4, func(t *testing.T, d *Desk, c *cable) {
		c.in <- Message("/listen", 60)
		time.Sleep(time.Second)
		if got := c.heard(); len(got) < 380 || len(got) > 420 {
			t.Errorf("%d packets in a second at four times the speed, want about 400", len(got))
		}
		time.Sleep(30 * time.Second)
		if got := c.heard(); got[len(got)-1].at > 15*time.Second {
			t.Errorf("listening for 60 s ends at %v on the wall, want 15 s", got[len(got)-1].at)
		}
	})
}

// A machine that was asleep for an hour wakes to no hour of packets.
func TestNoFloodAfterSleep(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := newCable()
		s := script(t, "ratchet")
		d := newDesk(Options{Clock: link.Clock{Started: time.Now()}, Service: s, Dialect: harbour{}}, &udpSocket{c})
		d.listeners.add(tablet, 2*time.Hour)
		time.Sleep(time.Hour)
		d.advance()
		if got := len(c.heard()); got < 150 || got > 250 {
			t.Errorf("%d packets at once, want those of two seconds", got)
		}
	})
}

func TestNonsenseIsNothingToTheDesk(t *testing.T) {
	withDesk(t, 1, func(t *testing.T, d *Desk, c *cable) {
		for _, p := range []string{"", "/", "/listen", "#bundle\x00", "/in/[", "/listen\x00,i\x00\x00", string(Message("/in/3/throw", float32(1)))} {
			c.in <- []byte(p)
		}
		c.in <- Message("/listen", 60)
		time.Sleep(time.Second)
		if got := c.heard(); len(got) == 0 {
			t.Error("nothing more from the desk after nonsense")
		}
		if got, want := d.playing.board[Inputs][2].step, newBoard(harbourHall)[Inputs][2].step; got != want {
			t.Errorf("the piano's fader is at step %d, want %d: a packet has moved it", got, want)
		}
	})
}

// The same over a real socket, without waiting for anything but packets.
func TestRealSocket(t *testing.T) {
	d, err := New(Options{Clock: link.Clock{Started: time.Now()}})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error)
	go func() { done <- d.Run(ctx) }()

	conn, err := net.DialUDP("udp", nil, net.UDPAddrFromAddrPort(d.Addr()))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	conn.SetDeadline(time.Now().Add(10 * time.Second))
	conn.Write(Message("/listen", 60))
	conn.Write(Message("/tell/all"))
	seen := map[string]bool{}
	for buf := make([]byte, 1<<16); len(seen) < 83; {
		n, err := conn.Read(buf)
		if err != nil {
			t.Fatalf("after %d addresses: %v", len(seen), err)
		}
		seen[parse(t, packet{data: buf[:n]}).Address] = true
	}
	cancel()
	if err := <-done; err != nil {
		t.Errorf("Run: %v", err)
	}
	if _, err := New(Options{Clock: link.Clock{Started: time.Now()}, Listen: d.Addr().String()}); err != nil {
		t.Errorf("the port is still held after Run: %v", err)
	}
}

func TestPortTaken(t *testing.T) {
	first, err := New(Options{Clock: link.Clock{Started: time.Now()}})
	if err != nil {
		t.Fatal(err)
	}
	defer first.socket.Close()
	if _, err := New(Options{Clock: link.Clock{Started: time.Now()}, Listen: first.Addr().String()}); err == nil {
		t.Error("two desks on one port")
	}
}
