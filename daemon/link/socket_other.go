//go:build !linux

package link

import (
	"net"
	"syscall"
)

// prepareSocket asks for a large receive buffer. What was granted is not known
// here.
func prepareSocket(conn *net.UDPConn) (granted int) {
	_ = conn.SetReadBuffer(askedBuffer)
	return 0
}

func emptyErrorQueue(*net.UDPConn) {}

func dropCount([]byte) (uint32, bool) { return 0, false }

func prepareStream(_, _ string, _ syscall.RawConn) error { return nil }
