package link

import (
	"context"
	"errors"
	"net"
	"net/netip"
	"sync"
	"sync/atomic"
	"syscall"
	"time"
)

// askedBuffer is the receive buffer asked for. The usual one loses packets when
// a desk sends all it knows at once.
const askedBuffer = 4 << 20

// datagramReader is the half of a UDP socket that cannot send.
type datagramReader interface {
	read(buf []byte) (n int, from netip.AddrPort, err error)
	close() error
}

// bind takes the port.
func (l *Link) bind() error {
	listen := l.opts.Listen
	if listen == "" {
		listen = ":0"
	}
	addr, err := net.ResolveUDPAddr("udp", listen)
	if err != nil {
		return listenError(err, listen)
	}
	conn, err := net.ListenUDP("udp", addr)
	if err != nil {
		return listenError(err, listen)
	}
	l.status.ReadBuffer = prepareSocket(conn)
	l.status.Local = conn.LocalAddr().(*net.UDPAddr).AddrPort()
	// One socket for both directions, since a desk answers the port that asked; but
	// in two halves, since only outlet may write.
	l.in = &udpReader{conn: conn, lost: &l.lost}
	l.out = outlet{datagrams: conn}
	return nil
}

// runUDP keeps the one socket until ctx ends.
func (l *Link) runUDP(ctx context.Context) error {
	ctx, cancel := context.WithCancel(ctx)
	var own sync.WaitGroup
	k := &keeper{link: l, out: l.out}
	switch {
	case l.desk.named():
		k.lookups = newLookups()
		own.Go(func() { k.lookups.run(ctx, l.find) })
	case l.desk.addr.IsValid():
		to, _ := l.moveTo([]netip.Addr{l.desk.addr})
		k.meet(to)
	}
	own.Go(func() { l.readDatagrams(ctx) })
	err := k.run(ctx)
	cancel()
	err = errors.Join(err, l.Close())
	own.Wait()
	return err
}

// readDatagrams hears until the socket is closed.
func (l *Link) readDatagrams(ctx context.Context) {
	buf := make([]byte, maxPacket)
	for {
		n, from, err := l.in.read(buf)
		at := l.clock.Now() // before anything else, as in readStream
		switch {
		case err == nil:
			l.receive(at, from, buf[:n])
		case errors.Is(err, net.ErrClosed):
			return
		default:
			l.mu.Lock()
			to := l.deskAt
			l.mu.Unlock()
			l.note(problemOf(err, to))
			if !passing(err) && !l.wait(ctx, time.Second) {
				return
			}
		}
	}
}

// passing errors answer something we sent, and are each reported once. After
// any other the reader rests, or a socket that fails at every read would keep it
// busy.
func passing(err error) bool {
	return errors.Is(err, syscall.ECONNREFUSED) || errors.Is(err, syscall.EHOSTUNREACH) || errors.Is(err, syscall.ENETUNREACH)
}

// wait lets d of daemon time pass and reports whether ctx goes on.
func (l *Link) wait(ctx context.Context, d time.Duration) bool {
	timer := time.NewTimer(l.clock.Real(d))
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-timer.C:
		return true
	}
}

// udpReader reads from a real socket.
type udpReader struct {
	conn *net.UDPConn
	lost *atomic.Uint64
	oob  [64]byte // room for the kernel's count of drops, and no more
}

func (u *udpReader) read(buf []byte) (int, netip.AddrPort, error) {
	n, oobn, _, from, err := u.conn.ReadMsgUDPAddrPort(buf, u.oob[:])
	if err != nil {
		// An error that passes came with the packet that caused it.
		if passing(err) {
			emptyErrorQueue(u.conn)
		}
		return 0, from, err
	}
	if oobn > 0 {
		if lost, ok := dropCount(u.oob[:oobn]); ok {
			u.lost.Store(uint64(lost))
		}
	}
	return n, from, nil
}

func (u *udpReader) close() error { return u.conn.Close() }
