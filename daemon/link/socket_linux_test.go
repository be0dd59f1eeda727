package link

import (
	"errors"
	"net"
	"net/netip"
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

// Everybody in the network is nobody's desk: the system sends nothing to the address of all,
// which nobody can tell from a machine's by its figures alone.
func TestNothingToEverybody(t *testing.T) {
	all, err := net.ListenUDP("udp4", nil)
	if err != nil {
		t.Fatal(err)
	}
	defer all.Close()
	port := all.LocalAddr().(*net.UDPAddr).AddrPort().Port()
	everybody := netip.AddrPortFrom(netip.MustParseAddr("127.255.255.255"), port)
	for _, listen := range []string{"", "127.0.0.1:0"} {
		l, stop := running(t, Options{Desk: everybody.String(), Listen: listen, Asks: mapped(t, "{send: /listen, every: 50ms}")})
		want := "nothing may be sent to " + everybody.String() + ", which is everybody's address in the network or forbidden here; write the desk's own"
		st := eventually(t, l, want, func(st Status) bool { return st.AskFailed > 0 && st.Problem.String() == want })
		if st.Asked > 0 {
			t.Errorf("%d asks were sent", st.Asked)
		}
		stop()
	}
	// What had been sent would wait before this.
	last, err := net.Dial("udp4", netip.AddrPortFrom(netip.MustParseAddr("127.0.0.1"), port).String())
	if err != nil {
		t.Fatal(err)
	}
	defer last.Close()
	if _, err := last.Write([]byte("last")); err != nil {
		t.Fatal(err)
	}
	buf := make([]byte, 100)
	if n, _, err := all.ReadFromUDPAddrPort(buf); err != nil || string(buf[:n]) != "last" {
		t.Errorf("everybody got %q, %v", buf[:n], err)
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
