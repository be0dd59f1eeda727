package practicetest

import (
	"fmt"

	"pawl/daemon/practice"
	"pawl/oscmap/wire"
)

// NewDesk is a practice desk that speaks d over a transport, in a map's words:
// "udp", "tcp-slip" or "tcp-length". "" is the dialect's own. The error says
// which address could not be had.
func NewDesk(o practice.Options, d Dialect, transport string) (*practice.Desk, error) {
	if transport == "" {
		transport = d.Transport()
	}
	o.Dialect = d
	switch transport {
	case "udp":
	case "tcp-slip":
		o.Open = func(address string) (practice.Socket, error) { return openTCP(address, wire.SLIP) }
	case "tcp-length":
		o.Open = func(address string) (practice.Socket, error) { return openTCP(address, wire.LengthPrefix) }
	default:
		return nil, fmt.Errorf("practice desk: no transport %q; want udp, tcp-slip or tcp-length", transport)
	}
	return practice.New(o)
}
