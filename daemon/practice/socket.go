package practice

import (
	"errors"
	"fmt"
	"net"
	"net/netip"

	"pawl/oscmap/wire"
)

// socket is how a desk reaches those who ask of it. send, hangUp and close may
// be called while serve runs, and serve returns once close was called.
type socket interface {
	addr() netip.AddrPort
	serve(d Dialect, asks chan<- asked) error
	send(to netip.AddrPort, packet []byte)
	hangUp() // end every conversation, as a desk does that loses power
	close()
}

// asked is one request and whom to answer.
type asked struct {
	from    netip.AddrPort
	request request
}

func openSocket(transport, address string) (socket, error) {
	switch transport {
	case "udp":
		return openUDP(address)
	case "tcp-slip":
		return openTCP(address, wire.SLIP)
	case "tcp-length":
		return openTCP(address, wire.LengthPrefix)
	}
	return nil, fmt.Errorf("practice desk: no transport %q; want udp, tcp-slip or tcp-length", transport)
}

// takeAsks hands on what a packet asks for. What cannot be read is nothing to
// this desk, and when the channel is full the ask is lost.
func takeAsks(r *wire.Reader, d Dialect, from netip.AddrPort, packet []byte, asks chan<- asked) {
	r.Reset(packet)
	for r.Next() {
		req := d.hear(r.Message())
		if req == (request{}) {
			continue
		}
		select {
		case asks <- asked{from, req}:
		default:
		}
	}
}

// packetConn is the part of a UDP socket the desk uses.
type packetConn interface {
	ReadFromUDPAddrPort([]byte) (int, netip.AddrPort, error)
	WriteToUDPAddrPort([]byte, netip.AddrPort) (int, error)
	LocalAddr() net.Addr
	Close() error
}

type udpSocket struct{ conn packetConn }

func openUDP(address string) (socket, error) {
	a, err := net.ResolveUDPAddr("udp", address)
	if err != nil {
		return nil, fmt.Errorf("practice desk: %w", err)
	}
	conn, err := net.ListenUDP("udp", a)
	if err != nil {
		return nil, fmt.Errorf("practice desk: listen on %s: %w; another desk may be running: use a free port, or 0 for any", address, err)
	}
	return &udpSocket{conn}, nil
}

func (s *udpSocket) addr() netip.AddrPort {
	return s.conn.LocalAddr().(*net.UDPAddr).AddrPort()
}

func (s *udpSocket) serve(d Dialect, asks chan<- asked) error {
	var r wire.Reader
	buf := make([]byte, wire.MaxPacket)
	for {
		n, from, err := s.conn.ReadFromUDPAddrPort(buf)
		if errors.Is(err, net.ErrClosed) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("practice desk: read: %w", err)
		}
		takeAsks(&r, d, from, buf[:n], asks)
	}
}

// send drops what cannot be sent: UDP promises no more.
func (s *udpSocket) send(to netip.AddrPort, packet []byte) { s.conn.WriteToUDPAddrPort(packet, to) }

func (s *udpSocket) hangUp() {}

func (s *udpSocket) close() { s.conn.Close() }
