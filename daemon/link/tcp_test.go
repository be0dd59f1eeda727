package link

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/netip"
	"sync"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"pawl/oscmap"
	"pawl/oscmap/wire"
)

// fakeDesk answers dials with the other end of a pipe, whose clock a bubble can
// advance.
type fakeDesk struct {
	framing wire.Framing
	clock   Clock

	mu    sync.Mutex
	off   bool
	dials []string // when
	heard []string // "0s /listen"
	conn  net.Conn // the desk's end of the last connection
	own   sync.WaitGroup
}

func (d *fakeDesk) dial(_ context.Context, _ netip.AddrPort) (net.Conn, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.dials = append(d.dials, d.clock.Now().String())
	if d.off {
		return nil, &net.OpError{Op: "dial", Err: syscall.ECONNREFUSED}
	}
	near, far := net.Pipe()
	d.conn = far
	d.own.Go(func() { d.listen(far) })
	return near, nil
}

func (d *fakeDesk) listen(conn net.Conn) {
	frames := wire.NewSplitter(conn, d.framing, 0)
	for {
		packet, err := frames.Next()
		if err != nil {
			return
		}
		d.mu.Lock()
		d.heard = append(d.heard, fmt.Sprintf("%v %s", d.clock.Now(), address(packet)))
		d.mu.Unlock()
	}
}

// turn switches the desk off or on. Off ends its connection.
func (d *fakeDesk) turn(off bool) {
	d.mu.Lock()
	d.off = off
	conn := d.conn
	d.mu.Unlock()
	if off && conn != nil {
		conn.Close()
	}
	synctest.Wait()
}

func (d *fakeDesk) says(t *testing.T, bytes ...byte) {
	t.Helper()
	d.mu.Lock()
	conn := d.conn
	d.mu.Unlock()
	if _, err := conn.Write(bytes); err != nil {
		t.Fatal(err)
	}
	synctest.Wait()
}

// want compares what was dialled and heard so far, and forgets it.
func (d *fakeDesk) want(t *testing.T, dials, heard string) {
	t.Helper()
	d.mu.Lock()
	defer d.mu.Unlock()
	if got := fmt.Sprint(d.dials); got != dials {
		t.Errorf("dialled at %v, want %v", got, dials)
	}
	if got := fmt.Sprint(d.heard); got != heard {
		t.Errorf("the desk heard %v, want %v", got, heard)
	}
	d.dials, d.heard = nil, nil
}

func withStream(t *testing.T, transport oscmap.Transport, asks []oscmap.Ask, test func(*testing.T, *rig, *fakeDesk)) {
	synctest.Test(t, func(t *testing.T) {
		d := &fakeDesk{framing: framing(transport)}
		withRunning(t, Options{Transport: transport, Asks: asks}, func(l *Link) {
			d.clock = l.clock
			l.dial = d.dial
		}, func(r *rig) { test(t, r, d) })
		d.own.Wait()
	})
}

var streams = []oscmap.Transport{oscmap.TCPSLIP, oscmap.TCPLength}

func TestStreamBothWays(t *testing.T) {
	asks := mapped(t, "{send: /listen, every: 4s}", "{send: /all, on: [connect, return]}")
	for _, transport := range streams {
		t.Run(transport.String(), func(t *testing.T) {
			withStream(t, transport, asks, func(t *testing.T, r *rig, d *fakeDesk) {
				d.want(t, "[0s]", "[0s /listen 0s /all]")
				packet := "/in/1/throw\x00,f\x00\x00\xc0\xdb\xdc\xdd" // every byte that SLIP escapes
				d.says(t, wire.AppendFrame(nil, []byte(packet), d.framing)...)
				r.wantPhase(Hearing, "")
				got := r.link.Take(nil)
				if len(got) != 1 || string(got[0].Data) != packet || got[0].From != desk {
					t.Errorf("got %v, want one packet from %v", got, desk)
				}
				r.pass(4 * s)
				d.want(t, "[]", "[4s /listen]")
			})
		})
	}
}

func TestStreamIsMadeAnew(t *testing.T) {
	asks := mapped(t, "{send: /hello, on: connect}", "{send: /all, on: return}")
	withStream(t, oscmap.TCPLength, asks, func(t *testing.T, r *rig, d *fakeDesk) {
		d.want(t, "[0s]", "[0s /hello]")
		d.says(t, wire.AppendFrame(nil, []byte("/a\x00\x00"), d.framing)...)
		r.pass(s)
		d.turn(true)
		r.wantPhase(Quiet, "the desk at 192.0.2.10:10700 closed the connection; it is tried again")
		r.pass(40 * s)
		// A quarter of a second, then twice as long each time, at most ten.
		d.want(t, "[1.25s 1.75s 2.75s 4.75s 8.75s 16.75s 26.75s 36.75s]", "[]")
		r.wantPhase(Quiet, "nothing listens at 192.0.2.10:10700; check that the desk is on, and its port")
		d.turn(false)
		r.pass(10 * s)
		d.want(t, "[46.75s]", "[46.75s /hello 46.75s /all]")
		d.says(t, wire.AppendFrame(nil, []byte("/a\x00\x00"), d.framing)...)
		r.wantPhase(Hearing, "")
		d.turn(true) // heard in between, so the pauses start again from the shortest
		r.pass(s)
		d.want(t, "[51.25s 51.75s]", "[]")
		if st := r.link.Status(); st.Connects != 2 || st.WentQuiet != 2 {
			t.Errorf("%d connections and %d silences, want 2 and 2", st.Connects, st.WentQuiet)
		}
	})
}

// TestHalfOpenStream has the desk vanish without closing: what is left is a
// connection over which nothing comes.
func TestHalfOpenStream(t *testing.T) {
	withStream(t, oscmap.TCPSLIP, nil, func(t *testing.T, r *rig, d *fakeDesk) {
		d.says(t, wire.AppendFrame(nil, []byte("/a\x00\x00"), d.framing)...)
		d.want(t, "[0s]", "[]")
		r.pass(5 * s)
		r.wantPhase(Quiet, "nothing has come from 192.0.2.10:10700 for 5s; it is asked again until it answers")
		d.want(t, "[]", "[]")
		r.pass(5*s + 250*time.Millisecond)
		r.wantPhase(Quiet, "nothing has come from 192.0.2.10:10700 for 10s; it is connected again")
		d.want(t, "[10.25s]", "[]")
		d.says(t, wire.AppendFrame(nil, []byte("/a\x00\x00"), d.framing)...)
		r.wantPhase(Hearing, "")
	})
}

// TestStreamThatPauses has the desk fall silent and go on over the same
// connection. It is asked what a return asks, and nothing else.
func TestStreamThatPauses(t *testing.T) {
	asks := mapped(t, "{send: /hello, on: connect}", "{send: /all, on: return}")
	withStream(t, oscmap.TCPSLIP, asks, func(t *testing.T, r *rig, d *fakeDesk) {
		word := wire.AppendFrame(nil, []byte("/a\x00\x00"), d.framing)
		d.says(t, word...)
		r.pass(6 * s)
		d.says(t, word...)
		r.wantPhase(Hearing, "")
		d.want(t, "[0s]", "[0s /hello 6s /all]")
		r.pass(6 * s)
		d.says(t, word...)
		d.want(t, "[]", "[12s /all]")
	})
}

// TestStreamThatDoesNotRead has the desk stop reading: the ask does not go out,
// and after five seconds the connection is given up.
func TestStreamThatDoesNotRead(t *testing.T) {
	asks := mapped(t, "{send: /listen, every: 1h}")
	synctest.Test(t, func(t *testing.T) {
		var ends []net.Conn
		withRunning(t, Options{Transport: oscmap.TCPSLIP, Asks: asks, StaleAfter: time.Hour}, func(l *Link) {
			l.dial = func(context.Context, netip.AddrPort) (net.Conn, error) {
				near, far := net.Pipe()
				ends = append(ends, far)
				return near, nil
			}
		}, func(r *rig) {
			r.pass(5*s + 250*time.Millisecond)
			r.wantPhase(Waiting, "192.0.2.10:10700 does not answer; check that the desk is on, and its address")
			if st := r.link.Status(); st.Connects != 2 || st.AskFailed != 1 {
				t.Errorf("%d connections and %d asks failed, want 2 and 1", st.Connects, st.AskFailed)
			}
			for _, c := range ends {
				c.Close()
			}
		})
	})
}

func TestBadFrames(t *testing.T) {
	withStream(t, oscmap.TCPSLIP, nil, func(t *testing.T, r *rig, d *fakeDesk) {
		d.says(t, 0xc0, 'x', 0xdb, 'y', 0xc0, 0xc0, '/', 'a', 0, 0, 0xc0) // an escape that is none
		if st := r.link.Status(); st.BadFrames != 1 || st.Packets != 1 {
			t.Errorf("%d bad frames and %d packets, want 1 and 1", st.BadFrames, st.Packets)
		}
	})
	withStream(t, oscmap.TCPLength, nil, func(t *testing.T, r *rig, d *fakeDesk) {
		d.says(t, 0xc0, '/', 'a', 0)
		r.wantPhase(Waiting, "what comes from 192.0.2.10:10700 is not packets in transport tcp-length; try tcp-slip in the map")
	})
}

// TestRealStream is the same over a real socket: dialled, heard, lost, dialled
// again.
func TestRealStream(t *testing.T) {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer listener.Close()
	var own sync.WaitGroup
	defer own.Wait()
	own.Go(func() {
		for {
			conn, err := listener.Accept()
			if err != nil {
				return
			}
			// One word for one ask, and then it hangs up.
			if _, err := wire.NewSplitter(conn, wire.SLIP, 0).Next(); err == nil {
				_, _ = conn.Write(wire.AppendFrame(nil, []byte("/a\x00\x00"), wire.SLIP))
			}
			_, _ = io.CopyN(io.Discard, conn, 0)
			conn.Close()
		}
	})
	l, stop := running(t, Options{Desk: listener.Addr().String(), Transport: oscmap.TCPSLIP,
		Asks: mapped(t, "{send: /listen, on: connect}"), Clock: Clock{Started: time.Now(), Speed: 100}})
	eventually(t, l, "two connections and two packets", func(st Status) bool { return st.Connects >= 2 && st.Packets >= 2 })
	listener.Close()
	stop()
}
