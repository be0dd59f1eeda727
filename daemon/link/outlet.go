package link

import (
	"net/netip"
	"time"

	"pawl/oscmap"
	"pawl/oscmap/wire"
)

// writeWithin is how long, in wall time, a stream may take an ask. One that
// takes longer leads to a desk that no longer reads.
const writeWithin = 5 * time.Second

// outlet is the way to the desk: a stream, or datagrams and where they go.
type outlet struct {
	stream  streamWriter // nil for datagrams
	framing wire.Framing

	datagrams datagramWriter
	to        netip.AddrPort // not valid until the desk's address is known
}

type streamWriter interface {
	Write(b []byte) (int, error)
	SetWriteDeadline(t time.Time) error
}

type datagramWriter interface {
	WriteToUDPAddrPort(b []byte, to netip.AddrPort) (int, error)
}

// send is the only function in Pawl that writes to the desk, and a test reads
// the source of this package to see that it stays so. It takes an Ask, not
// bytes: what no map lists cannot be sent.
func (o outlet) send(a oscmap.Ask) error {
	packet := a.Packet()
	if len(packet) == 0 {
		return nil
	}
	var err error
	if o.stream != nil {
		if err = o.stream.SetWriteDeadline(time.Now().Add(writeWithin)); err != nil {
			return err
		}
		_, err = o.stream.Write(wire.AppendFrame(nil, packet, o.framing))
	} else {
		_, err = o.datagrams.WriteToUDPAddrPort(packet, o.to)
	}
	return err
}
