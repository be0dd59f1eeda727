package link

import (
	"errors"
	"net"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"
)

// TestErrorsDoNotStay: the system keeps each refused packet in the receive
// buffer until somebody reads it. Nobody would, and a desk left switched off for
// days would fill it.
func TestErrorsDoNotStay(t *testing.T) {
	closed, at := practice(t)
	closed.Close()
	l, err := Open(Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	conn := l.in.(*udpReader).conn
	for range 3 {
		if _, err := conn.WriteToUDPAddrPort([]byte("/a\x00\x00"), at); err != nil {
			t.Fatal(err)
		}
		if _, _, err := l.in.read(make([]byte, 10)); !errors.Is(err, syscall.ECONNREFUSED) {
			t.Fatalf("got %v, want refused", err)
		}
	}
	if n := errorsKept(t, conn); n != 0 {
		t.Errorf("%d refused packets kept, want 0", n)
	}
}

func errorsKept(t *testing.T, conn *net.UDPConn) (n int) {
	t.Helper()
	raw, err := conn.SyscallConn()
	if err != nil {
		t.Fatal(err)
	}
	if err := raw.Control(func(fd uintptr) {
		for {
			if _, _, _, _, err := unix.Recvmsg(int(fd), make([]byte, 10), make([]byte, 512), unix.MSG_ERRQUEUE|unix.MSG_DONTWAIT); err != nil {
				return
			}
			n++
		}
	}); err != nil {
		t.Fatal(err)
	}
	return n
}
