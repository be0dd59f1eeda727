package link

import (
	"encoding/binary"
	"net"
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

// prepareSocket lets nothing out to everybody in the network, which Go allows every
// socket. It asks for a large receive buffer, for the count of what was
// dropped all the same, and to be told when a port turns out to be closed, which
// a socket that is not connected otherwise never hears. It returns how many
// bytes of buffer were granted. Only the buffer matters enough to be reported;
// without the rest, less is known.
func prepareSocket(conn *net.UDPConn) (granted int) {
	_ = conn.SetReadBuffer(askedBuffer)
	raw, err := conn.SyscallConn()
	if err != nil {
		return 0
	}
	_ = raw.Control(func(fd uintptr) {
		s := int(fd)
		if granted = readBuffer(s); granted < askedBuffer {
			// Past the system's limit, where the daemon has the right to.
			_ = unix.SetsockoptInt(s, unix.SOL_SOCKET, unix.SO_RCVBUFFORCE, askedBuffer)
			granted = readBuffer(s)
		}
		_ = unix.SetsockoptInt(s, unix.SOL_SOCKET, unix.SO_BROADCAST, 0)
		_ = unix.SetsockoptInt(s, unix.SOL_SOCKET, unix.SO_RXQ_OVFL, 1)
		_ = unix.SetsockoptInt(s, unix.IPPROTO_IP, unix.IP_RECVERR, 1)
		_ = unix.SetsockoptInt(s, unix.IPPROTO_IPV6, unix.IPV6_RECVERR, 1)
	})
	return granted
}

// readBuffer is the size of the receive buffer in the terms it was asked in:
// Linux sets aside twice as much, for its own headers, and reports that.
func readBuffer(fd int) int {
	n, err := unix.GetsockoptInt(fd, unix.SOL_SOCKET, unix.SO_RCVBUF)
	if err != nil {
		return 0
	}
	return n / 2
}

// emptyErrorQueue throws away the returned packets that came with errors. They
// would stay in the receive buffer and, over days with a desk switched off, fill
// it.
func emptyErrorQueue(conn *net.UDPConn) {
	raw, err := conn.SyscallConn()
	if err != nil {
		return
	}
	var data [1]byte
	var oob [512]byte
	_ = raw.Control(func(fd uintptr) {
		for err := error(nil); err == nil; {
			_, _, _, _, err = unix.Recvmsg(int(fd), data[:], oob[:], unix.MSG_ERRQUEUE|unix.MSG_DONTWAIT)
		}
	})
}

// dropCount finds the kernel's count of dropped datagrams in the control data of
// one packet: a header of the size of cmsghdr, then 32 bits.
func dropCount(oob []byte) (uint32, bool) {
	if len(oob) < unix.SizeofCmsghdr+4 {
		return 0, false
	}
	kind := oob[unix.SizeofCmsghdr-8:]
	level, typ := int32(binary.NativeEndian.Uint32(kind)), int32(binary.NativeEndian.Uint32(kind[4:]))
	if level != unix.SOL_SOCKET || typ != unix.SO_RXQ_OVFL {
		return 0, false
	}
	return binary.NativeEndian.Uint32(oob[unix.SizeofCmsghdr:]), true
}

// unheardWithin is how long the other end of a stream may leave what was sent to
// it unacknowledged, in wall time.
const unheardWithin = 10 * time.Second

// prepareStream makes a stream break when the other end has gone without a word.
func prepareStream(_, _ string, c syscall.RawConn) error {
	return c.Control(func(fd uintptr) {
		_ = unix.SetsockoptInt(int(fd), unix.IPPROTO_TCP, unix.TCP_USER_TIMEOUT, int(unheardWithin.Milliseconds()))
	})
}
