package daemon

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net"
	"slices"
	"sync"
	"testing"

	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/dashboard"
)

// runDesk runs a practice desk until stop is called or the test ends. The
// transport "" is the dialect's own.
func runDesk(t *testing.T, o practice.Options, dialect, transport, service string) (desk *practice.Desk, stop func()) {
	t.Helper()
	var err error
	if o.Service, err = practicetest.Service(service); err != nil {
		t.Fatal(err)
	}
	d, err := practicetest.DialectNamed(dialect)
	if err != nil {
		t.Fatal(err)
	}
	if desk, err = practicetest.NewDesk(o, d, transport); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	var run sync.WaitGroup
	run.Go(func() {
		if err := desk.Run(ctx); err != nil {
			t.Errorf("practice desk: %v", err)
		}
	})
	stop = func() {
		cancel()
		run.Wait()
	}
	t.Cleanup(stop)
	return desk, stop
}

// dialectOver is the house of a dialect whose map names another transport.
func dialectOver(t *testing.T, dialect, transport string) *house.House {
	t.Helper()
	d, err := practicetest.DialectNamed(dialect)
	if err != nil {
		t.Fatal(err)
	}
	src := bytes.Replace(d.Map(), []byte("transport: "+d.Transport()), []byte("transport: "+transport), 1)
	return mappedHouse(t, d.Name()+".map.yaml", src)
}

// wantRatchet holds what was said against the ratchet of the service of that name:
// one finding, opened on the first three and grown with the fourth.
func wantRatchet(t *testing.T, lines []byte) {
	t.Helper()
	raised := 0
	for all := bufio.NewScanner(bytes.NewReader(lines)); all.Scan(); {
		var f struct {
			Entry, Rule, State string
			Number             int
			Inputs             []string
		}
		if err := json.Unmarshal(all.Bytes(), &f); err != nil {
			t.Fatal(err)
		}
		if f.Entry != "finding" {
			continue
		}
		state := "grew"
		if raised == 0 {
			state = "open"
		}
		raised = len(f.Inputs)
		want := []string{"piano", "accordion", "fiddle", "organ pad"}[:max(3, min(raised, 4))]
		if f.Number != 1 || f.Rule != "ratchet" || f.State != state || !slices.Equal(f.Inputs, want) {
			t.Errorf("said %s, want ratchet 1 %s by %v", all.Bytes(), state, want)
		}
	}
	if raised != 4 {
		t.Errorf("%d inputs at last, want 4", raised)
	}
}

// hearRatchet watches a desk to the moment when the ratchet has all four in it.
func hearRatchet(t *testing.T, d *Daemon, page *tablet, said *signalled) {
	t.Helper()
	page.until("the ratchet of four", func(s dashboard.Now) bool {
		return s.Card != nil && slices.Contains(s.Card.Inputs, "organ pad")
	})
	wantRatchet(t, said.bytes())
	f := d.figures.Load()
	if f.unmapped > 0 || len(f.malformed) > 0 || f.link.BadFrames > 0 {
		t.Errorf("%d messages unmapped, malformed %v, %d bad frames; want none", f.unmapped, f.malformed, f.link.BadFrames)
	}
}

// hearsAnew reports whether the desk is heard over a second connection.
func (d *Daemon) hearsAnew(s dashboard.Now) bool {
	return s.Link.Phase == "hearing" && d.figures.Load().link.Connects >= 2
}

// TestStreams watches a desk over either kind of stream. The desk is turned off
// early in the service, so that its port is closed, and is turned on again at the
// same port: it is found again, and its ratchet is heard.
func TestStreams(t *testing.T) {
	for _, transport := range []string{"tcp-slip", "tcp-length"} {
		t.Run(transport, func(t *testing.T) {
			clock := fastClock()
			h := dialectOver(t, "streamed", transport)
			desk, turnOff := runDesk(t, practice.Options{Clock: clock}, "streamed", transport, "ratchet")
			h.Desk = desk.Addr().String()
			var said signalled
			d := start(t, h, Options{Clock: clock, Lines: Lines{W: &said, JSON: true}})
			page := openTablet(t, d.Page())
			page.until("the desk", func(s dashboard.Now) bool { return s.Link.Phase == "hearing" && s.Total > -60 })
			turnOff()
			page.until("quiet", func(s dashboard.Now) bool { return s.Link.Phase == "quiet" })
			runDesk(t, practice.Options{Clock: clock, Listen: h.Desk}, "streamed", transport, "ratchet")
			page.until("the desk again", d.hearsAnew)
			hearRatchet(t, d, page, &said)
		})
	}
}

// freezing stands between the daemon and a desk. The first connection through it
// stops after some bytes in both directions, and is not closed: so it looks when
// the desk's end of a network vanishes. Later ones are left alone.
type freezing struct {
	listener net.Listener
	desk     string
	first    int64 // bytes from the desk

	mu   sync.Mutex
	open []net.Conn
	own  sync.WaitGroup
}

func freezeBefore(t *testing.T, desk string, first int64) *freezing {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	f := &freezing{listener: l, desk: desk, first: first}
	f.own.Go(f.accept)
	t.Cleanup(func() {
		l.Close()
		f.mu.Lock()
		for _, c := range f.open {
			c.Close()
		}
		f.mu.Unlock()
		f.own.Wait()
	})
	return f
}

func (f *freezing) accept() {
	for n := 0; ; n++ {
		near, err := f.listener.Accept()
		if err != nil {
			return
		}
		far, err := net.Dial("tcp", f.desk)
		if err != nil {
			near.Close()
			return
		}
		f.mu.Lock()
		f.open = append(f.open, near, far)
		f.mu.Unlock()
		frozen := n == 0
		f.own.Go(func() { _, _ = io.Copy(far, near) })
		f.own.Go(func() {
			if frozen {
				_, _ = io.CopyN(near, far, f.first)
				return // and far is no longer read
			}
			_, _ = io.Copy(near, far)
		})
	}
}

// TestHalfOpen loses the desk without a word over a real socket: nothing says that
// the connection is gone, except that nothing comes. It is made anew.
func TestHalfOpen(t *testing.T) {
	clock := fastClock()
	desk, _ := runDesk(t, practice.Options{Clock: clock}, "streamed", "", "ratchet")
	h := dialectOver(t, "streamed", "tcp-slip")
	h.Desk = freezeBefore(t, desk.Addr().String(), 100_000).listener.Addr().String()
	var said signalled
	d := start(t, h, Options{Clock: clock, Lines: Lines{W: &said, JSON: true}})
	page := openTablet(t, d.Page())
	page.until("quiet", func(s dashboard.Now) bool { return s.Link.Phase == "quiet" && s.Link.Age >= 5 })
	page.until("the desk again", d.hearsAnew)
	hearRatchet(t, d, page, &said)
}

// TestPolledDesk watches a desk that says nothing but what it is asked, with 440
// questions a second of its own time.
func TestPolledDesk(t *testing.T) {
	clock := fastClock()
	desk, _ := runDesk(t, practice.Options{Clock: clock}, "polled", "", "ratchet")
	h := dialectOver(t, "polled", "udp")
	h.Desk = desk.Addr().String()
	var said signalled
	d := start(t, h, Options{Clock: clock, Lines: Lines{W: &said, JSON: true}})
	hearRatchet(t, d, openTablet(t, d.Page()), &said)
	f := d.figures.Load().link
	t.Logf("%d asked, %d answered", f.Asked, f.Packets)
}
