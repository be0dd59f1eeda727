package practice

import (
	"errors"
	"fmt"
	"net"
	"net/netip"

	"pawl/oscmap/wire"
)

// Socket is how a desk reaches those who ask of it. Send, HangUp and Close may
// be called while Serve runs.
type Socket interface {
	// Addr is the address the desk answers on.
	Addr() netip.AddrPort

	// Serve hands on each packet with its sender, perhaps from several goroutines
	// at once; the packet is valid until heard returns. It returns once Close was
	// called and nothing of it runs any more. The error is nil unless the socket failed.
	Serve(heard func(from netip.AddrPort, packet []byte)) error

	// Send drops what cannot be sent.
	Send(to netip.AddrPort, packet []byte)

	// HangUp ends every conversation, as a desk does that loses power.
	HangUp()

	// Close gives the port back.
	Close()
}

// packetConn is the part of a UDP socket the desk uses.
type packetConn interface {
	ReadFromUDPAddrPort([]byte) (int, netip.AddrPort, error)
	WriteToUDPAddrPort([]byte, netip.AddrPort) (int, error)
	LocalAddr() net.Addr
	Close() error
}

type udpSocket struct{ conn packetConn }

func openUDP(address string) (Socket, error) {
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

func (s *udpSocket) Addr() netip.AddrPort {
	return s.conn.LocalAddr().(*net.UDPAddr).AddrPort()
}

func (s *udpSocket) Serve(heard func(netip.AddrPort, []byte)) error {
	buf := make([]byte, wire.MaxPacket)
	for {
		n, from, err := s.conn.ReadFromUDPAddrPort(buf)
		if errors.Is(err, net.ErrClosed) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("practice desk: read: %w", err)
		}
		heard(from, buf[:n])
	}
}

// Send ignores errors because UDP promises no more.
func (s *udpSocket) Send(to netip.AddrPort, packet []byte) { s.conn.WriteToUDPAddrPort(packet, to) }

// HangUp does nothing: UDP has no conversations.
func (s *udpSocket) HangUp() {}

func (s *udpSocket) Close() { s.conn.Close() }
