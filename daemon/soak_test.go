package daemon

import (
	"bufio"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/daemon/store"
	"pawl/dashboard"
	"pawl/rules"
)

var (
	soakFor   = flag.Duration("soak", 24*time.Minute, "how much of a service TestSoak watches")
	soakSpeed = flag.Float64("soakspeed", 50, "how many times faster than life")
)

// barnService is a service of Long Barn's sixty-four inputs: six minutes with a band in which
// four are raised in turns and put back, a choir and a reading, again and again.
func barnService(t *testing.T, length time.Duration) *practice.Script {
	t.Helper()
	const band = "cajon, upright bass, piano low, piano high, accordion, guitar, harp, first fiddle, second fiddle, flute, first trumpet, first horn, tuba, lead voice, harmony high, harmony low"
	const choir = "sopranos left, sopranos right, altos left, altos right, tenors left, tenors right, basses left, basses right"
	var b strings.Builder
	fmt.Fprintf(&b, "length %v\nhall Long Barn\nexpect elsewhere\n", length)
	for at := time.Duration(0); at+6*time.Minute <= length; at += 6 * time.Minute {
		for _, line := range []struct {
			after time.Duration
			what  string
		}{
			{0, "play " + band}, {30, "raise accordion, guitar 5 dB over 1.5s"}, {45, "raise piano low, piano high 5 dB over 1.5s"}, {60, "raise first fiddle, second fiddle, flute 5 dB over 1.5s"},
			{75, "raise first trumpet, harp 5 dB over 1.5s"}, {85, "stage guitar louder 2 dB over 10s"}, {120, "play " + choir}, {150, "lower accordion, guitar, piano low, piano high, first fiddle, second fiddle, flute 5 dB over 1.5s"},
			{156, "lower first trumpet, harp 5 dB over 1.5s"}, {180, "dca choir +2 dB over 2s"}, {200, "dca choir -2 dB over 2s"}, {210, "stage guitar softer 2 dB over 10s"},
			{240, "rest " + band}, {241, "rest " + choir}, {250, "play reader's mic"}, {340, "rest reader's mic"},
		} {
			fmt.Fprintf(&b, "%v %s\n", at+line.after*time.Second, line.what)
		}
	}
	s, err := practice.ParseScript("barn.txt", []byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// barn is Long Barn's house.
func barn(t *testing.T) *house.House {
	t.Helper()
	for _, hall := range practice.Halls() {
		if hall.Name() == "Long Barn" {
			file, files := practicetest.House(hall)
			h, faults := house.Files(files).Load(file)
			if h == nil {
				t.Fatal(faults)
			}
			return h
		}
	}
	t.Fatal("no Long Barn")
	return nil
}

// stranded reads a page's frames until the connection ends.
func stranded(conn *websocket.Conn) {
	for {
		if _, r, err := conn.NextReader(); err != nil {
			return
		} else if _, err := io.Copy(io.Discard, r); err != nil {
			return
		}
	}
}

// TestSoak watches a long service of sixty-four inputs over a real socket, with the record, a
// capture and ten pages: what is in use after its first part is in use at its end, and the
// capture judged again says what was said. A part of it is played here; all four hours with
//
//	go test ./daemon -run Soak -soak 4h -timeout 20m -v
func TestSoak(t *testing.T) {
	practicetest.SkipRaced(t)
	const parts = 4
	folder := t.TempDir()
	clock := link.Clock{Started: time.Now(), Speed: *soakSpeed}
	h := barn(t)
	desk := playScript(t, practice.Options{Clock: clock, Service: barnService(t, *soakFor)})
	h.Desk = desk.Addr().String()
	said, captured := create(t, folder, "said.json"), create(t, folder, "service.pcapng")
	record := filepath.Join(folder, "service.record")
	d, stop := stoppable(t, h, Options{Clock: clock, Lines: Lines{W: said, JSON: true}, Capture: captured, Record: record, Version: "1.2.3"})
	for i := range 10 {
		as := "live"
		if i >= 8 {
			as = "live?as=coach"
		}
		conn, _, err := websocket.DefaultDialer.Dial(strings.Replace(d.Page(), "http", "ws", 1)+as, nil)
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		go stranded(conn)
	}
	page := openTablet(t, d.Page())
	var first, last used
	findings := 0
	for part := 1; part <= parts; part++ {
		end := time.Duration(part) * (*soakFor - 10*time.Second) / parts
		page.until("a part of the service", func(s dashboard.Now) bool { return s.T >= rules.Moment(end) && s.Link.Phase == "hearing" })
		m := metricsOf(t, d)
		last = inUse()
		last.pages, last.dropped = m["pawl_page_clients"], m["pawl_packets_dropped_total"]
		for name, n := range m {
			if strings.HasPrefix(name, "pawl_findings_total{") {
				last.findings += n
			}
		}
		if part == 1 {
			first = last
		}
		t.Logf("after %v: %v; %v packets, %v of them dropped, %v lost in the system, %v rows of the record, capture of %.0f MB", end.Round(time.Second), last,
			m["pawl_packets_total"], m["pawl_packets_dropped_total"], m["pawl_packets_lost_in_kernel_total"], m["pawl_record_rows_total"], m["pawl_capture_bytes"]/1e6)
		if missing := m["pawl_capture_packets_missing_total"] + m["pawl_record_rows_missing_total"]; missing > 0 {
			t.Errorf("%v are missing from the capture or the record", missing)
		}
	}
	// Queues keep the room that they once needed, and each has an end; the link's, which is the
	// largest, 4 MiB on either side, and whoever had packets dropped has been there. The coach's
	// book keeps the newest 120 findings, of which one with all its movers has 20 kB.
	most := int64(6<<20) + int64(20e3*min(120, last.findings-first.findings))
	if last.dropped > first.dropped {
		most += 8 << 20
	}
	if grown := last.heap - first.heap; grown > most {
		t.Errorf("%.1f MiB more are in use at the end than after the first part, want %.1f at most", float64(grown)/(1<<20), float64(most)/(1<<20))
	}
	if last.goroutines > first.goroutines+3 {
		t.Errorf("%d goroutines at the end, %d after the first part", last.goroutines, first.goroutines)
	}
	stop()
	replayed := create(t, folder, "replayed.json")
	if _, err := captured.Seek(0, io.SeekStart); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	sum, err := Replay{House: h, Lines: Lines{W: replayed, JSON: true}}.Run(captured)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range sum.Findings {
		findings += n
	}
	lines := sameFiles(t, replayed, said)
	t.Logf("%d lines said and judged again alike, %d findings opened, %d of them ratchets; judged again in %v", lines, findings, sum.Findings["ratchet"], time.Since(began).Round(time.Millisecond))
	if sum.Findings["ratchet"] == 0 || sum.Unmapped > 0 {
		t.Errorf("%d ratchets and %d messages unmapped; want some and none", sum.Findings["ratchet"], sum.Unmapped)
	}
	s, err := store.Open(record)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Check(); err != nil {
		t.Error(err)
	}
}

// used is what a process has in use.
type used struct {
	heap       int64
	goroutines int
	pages      float64
	findings   float64 // so far
	dropped    float64 // packets, so far
}

func inUse() used { return used{heap: heap(), goroutines: runtime.NumGoroutine()} }

func (u used) String() string {
	return fmt.Sprintf("%.1f MiB in use, %d goroutines, %.0f pages, %.0f findings", float64(u.heap)/(1<<20), u.goroutines, u.pages, u.findings)
}

func create(t *testing.T, folder, name string) *os.File {
	t.Helper()
	f, err := os.Create(filepath.Join(folder, name))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// sameFiles is sameEntries for what no memory should hold, and gives how many lines are in both.
func sameFiles(t *testing.T, a, b *os.File) (both int) {
	t.Helper()
	read := func(f *os.File) *bufio.Scanner {
		if _, err := f.Seek(0, io.SeekStart); err != nil {
			t.Fatal(err)
		}
		s := bufio.NewScanner(f)
		s.Buffer(nil, 1<<20)
		return s
	}
	got, want := read(a), read(b)
	for {
		one, other := got.Scan(), want.Scan()
		switch {
		case one && other:
			if both++; got.Text() != want.Text() {
				t.Fatalf("line %d:\ngot  %s\nwant %s", both, got.Text(), want.Text())
			}
			continue
		case !one && !other:
			return both
		}
		for more := got; one || other; one, other = more.Scan(), false {
			if other {
				more = want
			}
			if !strings.Contains(more.Text(), `"entry":"second"`) {
				t.Errorf("only one of them says %s", more.Text())
			}
		}
		return both
	}
}
