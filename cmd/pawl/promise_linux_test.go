package main

import (
	"encoding/binary"
	"net"
	"os"
	"os/exec"
	"strings"
	"sync"
	"syscall"
	"testing"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"
	"golang.org/x/sys/unix"
)

// alone tells this test's second process that it is in a network of its own.
const alone = "PAWL_TEST_ALONE"

// TestNothingElseLeaves runs the tests above once more in a network of their own, in which
// every address of the world is this machine's and all that is sent anywhere is seen:
// nothing is, but to the desk and between a page and its browser. No name is looked up,
// and nobody else is asked.
func TestNothingElseLeaves(t *testing.T) {
	if os.Getenv(alone) != "" {
		listenToEverything(t)
		return
	}
	cmd := exec.CommandContext(t.Context(), os.Args[0], "-test.run", "^TestNothingElseLeaves$", "-test.v")
	cmd.Env = append(os.Environ(), alone+"=yes")
	cmd.SysProcAttr = &syscall.SysProcAttr{
		Cloneflags:  unix.CLONE_NEWUSER | unix.CLONE_NEWNET,
		UidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}},
		GidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}},
	}
	out, err := cmd.CombinedOutput()
	if err != nil && cmd.Process == nil {
		t.Skipf("the kernel gives no network of one's own here: %v", err)
	}
	if err != nil || !strings.Contains(string(out), "packets seen") {
		t.Errorf("%v\n%s", err, out)
	}
}

func listenToEverything(t *testing.T) {
	const last = "the last of all"
	ownNetwork(t)
	fd, err := unix.Socket(unix.AF_PACKET, unix.SOCK_RAW|unix.SOCK_NONBLOCK, int(binary.BigEndian.Uint16(binary.NativeEndian.AppendUint16(nil, unix.ETH_P_ALL))))
	if err != nil {
		t.Fatal(err)
	}
	if err := unix.SetsockoptInt(fd, unix.SOL_SOCKET, unix.SO_RCVBUFFORCE, 64<<20); err != nil {
		_ = unix.SetsockoptInt(fd, unix.SOL_SOCKET, unix.SO_RCVBUF, 64<<20)
	}
	seen := os.NewFile(uintptr(fd), "network")
	var own sync.WaitGroup
	var packets, asks, pages int
	own.Go(func() {
		buf := make([]byte, 1<<17)
		for {
			n, err := seen.Read(buf)
			if err != nil {
				return
			}
			packets++
			p := gopacket.NewPacket(buf[:n], layers.LayerTypeEthernet, gopacket.NoCopy)
			if l := p.ApplicationLayer(); l != nil && string(l.Payload()) == last {
				return
			}
			if network := p.NetworkLayer(); network == nil || network.NetworkFlow().String() != "127.0.0.1->127.0.0.1" {
				t.Errorf("somebody else was sent a packet: %v", p)
				continue
			}
			switch of := p.TransportLayer().(type) {
			case *layers.UDP:
				if !isEar(uint16(of.DstPort)) {
					t.Errorf("a datagram to port %d, at which no desk is: %q", of.DstPort, of.Payload)
				} else if strings.HasPrefix(string(of.Payload), "/") {
					asks++
				}
			case *layers.TCP:
				pages++
			default:
				t.Errorf("a packet that is neither UDP nor TCP: %v", p)
			}
		}
	})
	t.Run("tests", func(t *testing.T) {
		t.Run("forbidden", TestForbiddenAsksSendNothing)
		t.Run("asks", TestNothingButAsksLeaves)
		t.Run("verbs", TestVerbsSendOnlyAsks)
	})
	// What goes elsewhere is seen: this is, or the test does not end.
	elsewhere, err := net.Dial("udp4", "192.0.2.1:9")
	if err != nil {
		t.Fatal(err)
	}
	defer elsewhere.Close()
	if _, err := elsewhere.Write([]byte(last)); err != nil {
		t.Fatal(err)
	}
	own.Wait()
	seen.Close()
	if asks < 1000 || pages < 100 {
		t.Errorf("%d asks and %d packets of pages were seen, want thousands and hundreds", asks, pages)
	}
	t.Logf("%d packets seen", packets)
}

// ownNetwork puts the network up: one interface that leads back here, and to which every
// address is this machine's.
func ownNetwork(t *testing.T) {
	t.Helper()
	fd, err := unix.Socket(unix.AF_INET, unix.SOCK_DGRAM, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer unix.Close(fd)
	lo, err := unix.NewIfreq("lo")
	if err != nil {
		t.Fatal(err)
	}
	lo.SetUint16(unix.IFF_UP | unix.IFF_RUNNING)
	if err := unix.IoctlIfreq(fd, unix.SIOCSIFFLAGS, lo); err != nil {
		t.Fatal(err)
	}
	index, err := net.InterfaceByName("lo")
	if err != nil {
		t.Fatal(err)
	}
	// As `ip route add local default dev lo`.
	route := binary.NativeEndian.AppendUint32(nil, unix.SizeofNlMsghdr+unix.SizeofRtMsg+unix.SizeofRtAttr+4)
	route = binary.NativeEndian.AppendUint16(route, unix.RTM_NEWROUTE)
	route = binary.NativeEndian.AppendUint16(route, unix.NLM_F_REQUEST|unix.NLM_F_CREATE|unix.NLM_F_ACK)
	route = append(route, make([]byte, 8)...)
	route = append(route, unix.AF_INET, 0, 0, 0, unix.RT_TABLE_LOCAL, unix.RTPROT_STATIC, unix.RT_SCOPE_HOST, unix.RTN_LOCAL, 0, 0, 0, 0)
	route = binary.NativeEndian.AppendUint16(route, unix.SizeofRtAttr+4)
	route = binary.NativeEndian.AppendUint16(route, unix.RTA_OIF)
	route = binary.NativeEndian.AppendUint32(route, uint32(index.Index))
	netlink, err := unix.Socket(unix.AF_NETLINK, unix.SOCK_RAW, unix.NETLINK_ROUTE)
	if err != nil {
		t.Fatal(err)
	}
	defer unix.Close(netlink)
	if err := unix.Sendto(netlink, route, 0, &unix.SockaddrNetlink{Family: unix.AF_NETLINK}); err != nil {
		t.Fatal(err)
	}
	answer := make([]byte, 1024)
	n, _, err := unix.Recvfrom(netlink, answer, 0)
	if err != nil || n < unix.SizeofNlMsghdr+4 || binary.NativeEndian.Uint32(answer[unix.SizeofNlMsghdr:]) != 0 {
		t.Fatalf("no route to everybody: %v, % x", err, answer[:n])
	}
}
