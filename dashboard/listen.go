package dashboard

import (
	"errors"
	"fmt"
	"net"
	"syscall"
)

// Listen opens the port of a page, or says why that cannot be and what to do.
func Listen(address string) (net.Listener, error) {
	l, err := net.Listen("tcp", address)
	var other syscall.Errno
	why := "want an address of this machine and a port from 1 to 65535, as 127.0.0.1:10780, or the port alone, as :10780"
	switch {
	case err == nil:
		return l, nil
	case errors.Is(err, syscall.EADDRINUSE):
		why = "the port is taken: another Pawl may be running, or some other web server; end that one, or choose another port"
	case errors.Is(err, syscall.EACCES), errors.Is(err, syscall.EPERM):
		why = "Pawl may not listen there; choose a port above 1023"
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		why = "this machine has no such address; write the port alone, as in :10780"
	case errors.As(err, &other):
		why = other.Error()
	}
	return nil, fmt.Errorf("the page at %s: %s (page.listen in a house file, --page of pawl start, --port of pawl demo)", address, why)
}
