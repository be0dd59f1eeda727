package link

import (
	"context"
	"fmt"
	"net"
	"net/netip"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"pawl/oscmap"
)

// fakeSocket is a UDP socket in memory, with the desk's end in the test's hands.
type fakeSocket struct {
	in     chan fakeRead // unbuffered: a packet put in has been read
	closed chan struct{}
	once   sync.Once

	mu    sync.Mutex
	sent  []string // "8s /listen", and "to" whom if not the usual desk
	fail  []error  // of the next sends
	clock Clock
}

type fakeRead struct {
	from netip.AddrPort
	data string
	err  error
}

func (f *fakeSocket) read(buf []byte) (int, netip.AddrPort, error) {
	select {
	case r := <-f.in:
		return copy(buf, r.data), r.from, r.err
	case <-f.closed:
		return 0, netip.AddrPort{}, net.ErrClosed
	}
}

func (f *fakeSocket) close() error {
	f.once.Do(func() { close(f.closed) })
	return nil
}

func (f *fakeSocket) WriteToUDPAddrPort(b []byte, to netip.AddrPort) (int, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(f.fail) > 0 {
		err := f.fail[0]
		f.fail = f.fail[1:]
		if err != nil {
			return 0, err
		}
	}
	line := fmt.Sprintf("%v %s", f.clock.Now(), address(b))
	if to != desk {
		line += fmt.Sprintf(" to %v", to)
	}
	f.sent = append(f.sent, line)
	return len(b), nil
}

// rig is a Link that runs inside a synctest bubble.
type rig struct {
	t    *testing.T
	link *Link
	sock *fakeSocket
}

// withRig runs test in a bubble with a running Link, and stops it afterwards.
func withRig(t *testing.T, o Options, test func(*rig)) {
	asks := o.Asks
	synctest.Test(t, func(t *testing.T) {
		o.Asks = asks
		withRunning(t, o, nil, test)
	})
}

// withRunning is withRig for those that must prepare the Link first.
func withRunning(t *testing.T, o Options, prepareLink func(*Link), test func(*rig)) {
	t.Helper()
	if o.Desk == "" {
		o.Desk = desk.String()
	}
	o.Clock.Started = time.Now()
	l, err := prepare(o)
	if err != nil {
		t.Fatal(err)
	}
	sock := &fakeSocket{in: make(chan fakeRead), closed: make(chan struct{}), clock: o.Clock}
	if o.Transport == oscmap.UDP {
		l.in, l.out = sock, outlet{datagrams: sock}
	}
	if prepareLink != nil {
		prepareLink(l)
	}
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error)
	go func() { ended <- l.Run(ctx) }()
	synctest.Wait()
	test(&rig{t, l, sock})
	cancel()
	if err := <-ended; err != nil {
		t.Errorf("Run: %v", err)
	}
}

// pass lets time go by and everything due be done.
func (r *rig) pass(d time.Duration) {
	<-time.After(d)
	synctest.Wait()
}

// says has somebody send a packet.
func (r *rig) says(from netip.AddrPort, data string) {
	r.sock.in <- fakeRead{from: from, data: data}
	synctest.Wait()
}

// wantSent compares what has been sent so far, and forgets it.
func (r *rig) wantSent(want ...string) {
	r.t.Helper()
	r.sock.mu.Lock()
	got := r.sock.sent
	r.sock.sent = nil
	r.sock.mu.Unlock()
	if fmt.Sprint(got) != fmt.Sprint(want) {
		r.t.Errorf("sent %v, want %v", got, want)
	}
}

func (r *rig) wantPhase(want Phase, problem string) {
	r.t.Helper()
	s := r.link.Status()
	if s.Phase != want || s.Problem.String() != problem {
		r.t.Errorf("%v, %q; want %v, %q", s.Phase, s.Problem, want, problem)
	}
}
