package practicetest

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"sync"

	"pawl/daemon/practice"
	"pawl/oscmap/wire"
)

// tcpSocket is a desk's port for streams: any number of conversations, each
// with a goroutine that reads and one that writes. Serve waits for them all.
type tcpSocket struct {
	listener net.Listener
	framing  wire.Framing

	mu    sync.Mutex
	talks map[netip.AddrPort]*talk // guarded by mu
	ended bool                     // guarded by mu
}

// most is how many conversations a desk puts up with.
const most = 16

// talk is one conversation.
type talk struct {
	conn net.Conn
	// Full, the other side is not reading, and the desk hangs up on it.
	out chan []byte
}

func openTCP(address string, framing wire.Framing) (practice.Socket, error) {
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("practice desk: listen on %s: %w; another desk may be running: use a free port, or 0 for any", address, err)
	}
	return &tcpSocket{listener: l, framing: framing, talks: map[netip.AddrPort]*talk{}}, nil
}

func (s *tcpSocket) Addr() netip.AddrPort { return s.listener.Addr().(*net.TCPAddr).AddrPort() }

func (s *tcpSocket) Serve(heard func(netip.AddrPort, []byte)) error {
	var talking sync.WaitGroup
	defer talking.Wait()
	for {
		conn, err := s.listener.Accept()
		if errors.Is(err, net.ErrClosed) {
			return nil
		}
		if err != nil {
			s.Close()
			return fmt.Errorf("practice desk: accept: %w", err)
		}
		t := &talk{conn, make(chan []byte, 4096)}
		from := conn.RemoteAddr().(*net.TCPAddr).AddrPort()
		if !s.begin(from, t) {
			continue // and begin has hung up
		}
		talking.Go(func() { s.read(from, t, heard) })
		talking.Go(t.write)
	}
}

// begin takes a conversation on, unless the desk is closing or has enough.
func (s *tcpSocket) begin(from netip.AddrPort, t *talk) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.ended || len(s.talks) == most {
		t.conn.Close()
		return false
	}
	s.talks[from] = t
	return true
}

// read hands packets on until the conversation is over, and then ends its writing.
func (s *tcpSocket) read(from netip.AddrPort, t *talk, heard func(netip.AddrPort, []byte)) {
	for split := wire.NewSplitter(t.conn, s.framing, 0); ; {
		packet, err := split.Next()
		if err != nil {
			break
		}
		heard(from, packet)
	}
	t.conn.Close()
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.talks, from)
	close(t.out)
}

func (t *talk) write() {
	for frame := range t.out {
		if _, err := t.conn.Write(frame); err != nil {
			t.conn.Close()
		}
	}
}

func (s *tcpSocket) Send(to netip.AddrPort, packet []byte) {
	frame := wire.AppendFrame(nil, packet, s.framing)
	s.mu.Lock()
	defer s.mu.Unlock()
	t := s.talks[to]
	if t == nil {
		return
	}
	select {
	case t.out <- frame:
	default:
		// Waiting here would let one listener who does not read stop the desk for all.
		t.conn.Close()
	}
}

func (s *tcpSocket) HangUp() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, t := range s.talks {
		t.conn.Close()
	}
}

func (s *tcpSocket) Close() {
	s.listener.Close()
	s.mu.Lock()
	s.ended = true
	s.mu.Unlock()
	s.HangUp()
}
