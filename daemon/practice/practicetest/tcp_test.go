package practicetest

import (
	"context"
	"net"
	"strings"
	"testing"
	"time"

	"pawl/daemon/link"
	"pawl/daemon/practice"
	"pawl/oscmap/wire"
)

// Over a real TCP socket, without waiting for anything but packets.
func TestStreamedDesk(t *testing.T) {
	d, conn, stop := streamedDesk(t, practice.Options{Clock: link.Clock{Started: time.Now()}})
	conn.SetDeadline(time.Now().Add(10 * time.Second))
	conn.Write(wire.AppendFrame(nil, practice.Message("/stay"), wire.SLIP))
	conn.Write(wire.AppendFrame(nil, practice.Message("/from/the/top"), wire.SLIP))
	seen := map[string]bool{}
	split := wire.NewSplitter(conn, wire.SLIP, 0)
	// 16 inputs of 2, 4 DCAs, 4 groups of 4, the main, 4 numbers of cuts, 5 meters.
	for len(seen) < 32+4+16+1+4+5 {
		p, err := split.Next()
		if err != nil {
			t.Fatalf("after %d addresses: %v", len(seen), err)
		}
		address, _, _ := strings.Cut(string(p), "\x00")
		seen[address] = true
	}

	d.Reboot(time.Hour)
	var err error
	for err == nil {
		_, err = split.Next()
	}
	if ne, ok := err.(net.Error); ok && ne.Timeout() {
		t.Error("a desk that loses power keeps its conversations")
	}
	stop()
}

// Somebody who never reads must not hold the desk up, nor keep it from ending.
func TestDeafListener(t *testing.T) {
	_, conn, stop := streamedDesk(t, practice.Options{Clock: link.Clock{Started: time.Now(), Speed: 2000}, Loop: true})
	conn.SetDeadline(time.Now().Add(3 * time.Minute))
	// Writing goes on until the desk has hung up.
	var err error
	for err == nil {
		_, err = conn.Write(wire.AppendFrame(nil, practice.Message("/stay"), wire.SLIP))
	}
	if ne, ok := err.(net.Error); ok && ne.Timeout() {
		t.Errorf("the desk has not hung up on somebody deaf: %v", err)
	}
	stop()
}

// streamedDesk runs a desk that speaks over TCP, with a conversation with it. The desk
// must end without an error when it is stopped.
func streamedDesk(t *testing.T, o practice.Options) (d *practice.Desk, conn net.Conn, stop func()) {
	t.Helper()
	d, err := NewDesk(o, streamed{}, "")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error)
	go func() { done <- d.Run(ctx) }()
	conn, err = net.Dial("tcp", d.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	return d, conn, func() {
		t.Helper()
		cancel()
		if err := <-done; err != nil {
			t.Errorf("Run: %v", err)
		}
	}
}
