package daemon

import (
	"bytes"
	"slices"
	"sync"
	"syscall"
	"testing"
	"time"

	"pawl/daemon/capture"
	"pawl/dashboard"
)

// disk is a file on a disk that a test fills and empties.
type disk struct {
	mu   sync.Mutex
	full bool
	data bytes.Buffer
}

func (d *disk) Write(b []byte) (int, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.full {
		return 0, syscall.ENOSPC
	}
	return d.data.Write(b)
}

func (d *disk) fill(full bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.full = full
}

// gone is an output that somebody has closed.
type gone struct{}

func (gone) Write([]byte) (int, error) { return 0, syscall.EPIPE }

// TestBrokenOutputsCostNothing fills the disk of the capture and closes the output of
// the lines: the page says both, the ratchet is found all the same, and once there is
// room the capture is whole.
func TestBrokenOutputsCostNothing(t *testing.T) {
	clock := fastClock()
	h := harbourHall(t)
	h.Desk = playDesk(t, clock, "ratchet").Addr().String()
	h.Page = "127.0.0.1:0"
	file := &disk{}
	d := New(h, Options{Clock: clock, Lines: Lines{W: gone{}, JSON: true}, Capture: file})
	d.recording = capture.RecorderOptions{Every: 10 * time.Millisecond, Retry: 10 * time.Millisecond}
	startDaemon(t, d)
	file.fill(true)
	page := openTablet(t, d.Page())
	has := func(s dashboard.Now, kind string) bool {
		return slices.ContainsFunc(s.Notices, func(n dashboard.Notice) bool { return n.Kind == kind && n.Text != "" })
	}
	page.until("both troubles", func(s dashboard.Now) bool { return has(s, "capture") && has(s, "lines") })
	if ok := metricsOf(t, d)["pawl_capture_ok"]; ok != 0 {
		t.Errorf("pawl_capture_ok is %v on a full disk", ok)
	}
	page.until("the card", func(s dashboard.Now) bool { return s.Card != nil && s.Card.Rule == "ratchet" })
	file.fill(false)
	page.until("the capture to go on", func(s dashboard.Now) bool {
		return !has(s, "capture") && has(s, "lines")
	})
	if m := metricsOf(t, d); m["pawl_capture_ok"] != 1 || m["pawl_capture_errors_total"] == 0 || m["pawl_capture_bytes"] == 0 || m["pawl_lines_ok"] != 0 || m["pawl_capture_packets_missing_total"] != 0 || m["pawl_capture_packets_total"] == 0 {
		t.Errorf("capture ok %v, %v errors, %v bytes, %v missing, %v written, lines %v; want all of it written, errors, and no lines", m["pawl_capture_ok"],
			m["pawl_capture_errors_total"], m["pawl_capture_bytes"], m["pawl_capture_packets_missing_total"], m["pawl_capture_packets_total"], m["pawl_lines_ok"])
	}
}
