package link

import (
	"errors"
	"fmt"
	"io"
	"net"
	"net/netip"
	"os"
	"syscall"
	"time"

	"pawl/oscmap"
	"pawl/oscmap/wire"
)

// inWords is what the network said, for a person who can walk to the desk and
// look.
func inWords(err error, to netip.AddrPort) string {
	switch {
	case errors.Is(err, syscall.ECONNREFUSED):
		return fmt.Sprintf("nothing listens at %v; check that the desk is on, and its port", to)
	case errors.Is(err, syscall.ENETUNREACH), errors.Is(err, syscall.EHOSTUNREACH), errors.Is(err, syscall.ENETDOWN), errors.Is(err, syscall.EHOSTDOWN):
		return fmt.Sprintf("the network has no way to %v; check the cable, and that this machine has an address in the desk's network", to)
	case errors.Is(err, syscall.EPERM), errors.Is(err, syscall.EACCES):
		return fmt.Sprintf("this machine's firewall lets nothing out to %v; allow it there", to)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, syscall.ECONNRESET), errors.Is(err, syscall.EPIPE):
		return fmt.Sprintf("the desk at %v closed the connection; it is tried again", to)
	case errors.Is(err, os.ErrDeadlineExceeded), errors.Is(err, syscall.ETIMEDOUT), isTimeout(err):
		return fmt.Sprintf("%v does not answer; check that the desk is on, and its address", to)
	}
	return fmt.Sprintf("the connection to %v: %v", to, err)
}

func isTimeout(err error) bool {
	var e net.Error
	return errors.As(err, &e) && e.Timeout()
}

// streamInWords adds what can only go wrong with a stream.
func streamInWords(err error, to netip.AddrPort, t oscmap.Transport, patience time.Duration) string {
	switch {
	case errors.Is(err, errSilent):
		return fmt.Sprintf("nothing has come from %v for %v; it is connected again", to, patience)
	case errors.Is(err, wire.ErrFrameSize):
		return fmt.Sprintf("what comes from %v is not packets in transport %v; try %v in the map", to, t, oscmap.TCPSLIP)
	}
	return inWords(err, to)
}

// listenInWords is why a port could not be taken.
func listenInWords(err error, listen string) error {
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return fmt.Errorf("listen on %s: the port is taken, perhaps by another Pawl or by a remote control of the desk on this machine; "+
			"stop that one (ss -lunp shows who it is) or listen on another port: %w", listen, err)
	case errors.Is(err, syscall.EACCES), errors.Is(err, syscall.EPERM):
		return fmt.Errorf("listen on %s: not allowed; want a port above 1023: %w", listen, err)
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		return fmt.Errorf("listen on %s: this machine has no such address; write the port alone, as in :10701: %w", listen, err)
	}
	return fmt.Errorf("listen on %s: want a port, as in :10701: %w", listen, err)
}
