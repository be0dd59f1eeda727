package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/link"
	"pawl/daemon/practice"
)

// deskOfTheDemo is Harbour Hall's desk, so many times as fast as life until the test ends.
func deskOfTheDemo(t *testing.T, speed float64) (address string) {
	t.Helper()
	d, err := practice.New(practice.Options{Clock: link.Clock{Started: time.Now(), Speed: speed}, Loop: true})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	var run sync.WaitGroup
	run.Go(func() {
		if err := d.Run(ctx); err != nil {
			t.Errorf("practice desk: %v", err)
		}
	})
	t.Cleanup(func() {
		stop()
		run.Wait()
	})
	return d.Addr().String()
}

// harbourHall writes the practice desk's house, and gives its file.
func harbourHall(t *testing.T, desk, name string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "house.yaml")
	if err := os.WriteFile(filepath.Join(filepath.Dir(file), "harbour-hall.map.yaml"), practice.MapFile(), 0o644); err != nil {
		t.Fatal(err)
	}
	writeHouse(t, file, desk, name)
	return file
}

// writeHouse writes it anew, under another name. Like an editor, it puts the whole file in the
// place of the old one.
func writeHouse(t *testing.T, file, desk, name string) {
	t.Helper()
	text := strings.NewReplacer("127.0.0.1:10700", desk, "127.0.0.1:10780", "127.0.0.1:0", "house: Harbour Hall", "house: "+name).Replace(string(practice.House()))
	if err := os.WriteFile(file+".new", []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(file+".new", file); err != nil {
		t.Fatal(err)
	}
}

// packetsIn is how many packets a capture has; it wants one that ends well, or as one does
// whose writer was killed.
func packetsIn(t *testing.T, file string) (n int) {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	in, err := capture.NewReader(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	for in.Next() {
		n++
	}
	return n
}

// TestStormOfHangups has the house file read again as often as signals can be sent, while it is
// rewritten, broken and mended: watching goes on by the last one, in the same service, and
// SIGTERM then ends it with everything written.
func TestStormOfHangups(t *testing.T) {
	desk := deskOfTheDemo(t, 8)
	house := harbourHall(t, desk, "Harbour Hall 0")
	file := filepath.Join(filepath.Dir(house), "service.pcapng")
	p := startPawl(t, "capture", house, "-o", file, "--log-level", "error")
	page := p.page()
	for !strings.Contains(body(t, page+"api/state"), `"phase":"hearing"`) {
	}
	const storm = 500
	for i := range storm {
		switch i % 50 {
		case 10:
			if err := os.WriteFile(house, []byte("house: [broken"), 0o644); err != nil {
				t.Fatal(err)
			}
		case 30:
			writeHouse(t, house, desk, fmt.Sprint("Harbour Hall ", i))
		}
		if err := p.cmd.Process.Signal(syscall.SIGHUP); err != nil {
			t.Fatal(err)
		}
	}
	writeHouse(t, house, desk, "Harbour Hall, the last")
	if err := p.cmd.Process.Signal(syscall.SIGHUP); err != nil {
		t.Fatal(err)
	}
	for state := ""; !strings.Contains(state, `"house":"Harbour Hall, the last"`) || !strings.Contains(state, `"phase":"hearing"`) || strings.Contains(state, `"kind":"house"`); {
		state = body(t, page+"api/state")
	}
	if n := counted(t, page, "pawl_packets_dropped_total"); n != 0 {
		t.Errorf("%v packets were dropped", n)
	}
	if err := p.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	said, err := io.ReadAll(p.stderr)
	if err != nil {
		t.Fatal(err)
	}
	io.Copy(io.Discard, p.stdout)
	if err := p.cmd.Wait(); err != nil {
		t.Errorf("SIGTERM: %v\n%s", err, said)
	}
	if n := packetsIn(t, file); !strings.Contains(string(said), fmt.Sprintf(": %s packets\n", grouped(uint64(n)))) {
		t.Errorf("%d packets in the capture, and it said %s", n, said)
	}
}

// TestLittleMemory runs the demo with the least memory that Go may be told to keep to: the
// ratchet is found as always, and nothing is dropped.
func TestLittleMemory(t *testing.T) {
	t.Setenv("GOMEMLIMIT", "32MiB")
	p := startPawl(t, "demo", "--port", "0", "--speed", "20", "--json", "--log-level", "error")
	page := p.page()
	for f := p.finding(); f.Rule != "ratchet"; f = p.finding() {
	}
	for _, never := range []string{"pawl_packets_dropped_total", "pawl_record_rows_missing_total", "pawl_page_clients_dropped_total"} {
		if n := counted(t, page, never); n != 0 {
			t.Errorf("%s is %v", never, n)
		}
	}
	t.Logf("%.0f MiB resident, %.0f MiB of them Go's, %.1f s of a core", counted(t, page, "process_resident_memory_bytes")/(1<<20), counted(t, page, "go_memstats_sys_bytes")/(1<<20), counted(t, page, "process_cpu_seconds_total"))
	p.stop()
}
