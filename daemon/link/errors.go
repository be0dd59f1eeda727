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

// problemOf is what the network said of the way to an address.
func problemOf(err error, to netip.AddrPort) Problem {
	p := Problem{At: to.String()}
	switch {
	case errors.Is(err, syscall.ECONNREFUSED):
		p.Kind = Refused
	case errors.Is(err, syscall.ENETUNREACH), errors.Is(err, syscall.EHOSTUNREACH), errors.Is(err, syscall.ENETDOWN), errors.Is(err, syscall.EHOSTDOWN):
		p.Kind = NoWay
	case errors.Is(err, syscall.EPERM):
		p.Kind = Firewall
	case errors.Is(err, syscall.EACCES):
		p.Kind = NotOne
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, syscall.ECONNRESET), errors.Is(err, syscall.EPIPE):
		p.Kind = Hung
	case errors.Is(err, os.ErrDeadlineExceeded), errors.Is(err, syscall.ETIMEDOUT), isTimeout(err):
		p.Kind = NoAnswer
	default:
		p.Kind, p.More = OtherFault, err.Error()
	}
	return p
}

func isTimeout(err error) bool {
	var e net.Error
	return errors.As(err, &e) && e.Timeout()
}

// streamProblem adds what can only go wrong with a stream.
func streamProblem(err error, to netip.AddrPort, t oscmap.Transport, patience time.Duration) Problem {
	switch {
	case errors.Is(err, errSilent):
		return Problem{Kind: Reconnected, At: to.String(), For: patience}
	case errors.Is(err, wire.ErrFrameSize):
		return Problem{Kind: NotPackets, At: to.String(), More: t.String()}
	}
	return problemOf(err, to)
}

// ListenError is why a port could not be taken.
type ListenError struct {
	Kind   ListenKind
	Listen string // as the house file has it
	Err    error
}

// ListenKind tells the reasons apart.
type ListenKind string

// The reasons for which a port cannot be taken.
const (
	PortTaken     ListenKind = "taken"
	PortForbidden ListenKind = "forbidden"
	NoSuchAddress ListenKind = "no-address"
	PortOther     ListenKind = "other"
)

// Error says it with what to do, for whoever started Pawl.
func (e *ListenError) Error() string {
	why := "want a port from 1 to 65535, as in :10701"
	switch e.Kind {
	case PortTaken:
		why = "the port is taken, perhaps by another Pawl or by a remote control of the desk on this machine; " +
			"stop that one (ss -lunp shows who it is) or listen on another port"
	case PortForbidden:
		why = "not allowed; want a port above 1023"
	case NoSuchAddress:
		why = "this machine has no such address; write the port alone, as in :10701"
	case PortOther:
		noAddress, noName := (*net.AddrError)(nil), (*net.DNSError)(nil)
		if !errors.As(e.Err, &noAddress) && !errors.As(e.Err, &noName) { // which is no port either
			why = e.Err.Error()
		}
	}
	return fmt.Sprintf("listen on %s: %s", e.Listen, why)
}

// Unwrap is what the system said.
func (e *ListenError) Unwrap() error { return e.Err }

// listenError is why a port could not be taken.
func listenError(err error, listen string) error {
	kind := PortOther
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		kind = PortTaken
	case errors.Is(err, syscall.EACCES), errors.Is(err, syscall.EPERM):
		kind = PortForbidden
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		kind = NoSuchAddress
	}
	return &ListenError{kind, listen, err}
}
