package daemon

import (
	"bytes"
	"net"
	"strings"
	"testing"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/dashboard"
	"pawl/rules/words"
)

// quietHouse hears four faders of a desk without meters that speaks only when one
// moves. The desk is the socket that is given back.
func quietHouse(t *testing.T) (*house.House, *net.UDPConn) {
	t.Helper()
	desk, err := net.ListenUDP("udp", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { desk.Close() })
	h, faults := house.Files{"house.yaml": `
house: A hall
desk: {address: 127.0.0.1, map: desk.map.yaml}
roster: {inputs: {1: piano, 2: harp, 3: horn, 4: lead voice}}
limits: {ratchet: {whisper: 1 dB}}
`, "desk.map.yaml": `
desk: a desk of few words
link: {desk-port: 10700, ask: [{send: /hello, every: 1s}]}
signals:
  - {hear: "/in/{input:1-4}/throw", is: input.fader, value: {arg: 0, unit: dB}}
`}.Load("house.yaml")
	if h == nil {
		t.Fatal(faults)
	}
	h.Desk = desk.LocalAddr().String()
	return h, desk
}

// TestQuietDesk has a desk of few words make a ratchet and say no more. The page
// tells of it; the capture is on the disk though nothing follows; and replay tells
// the same, though nothing in the file comes after the last move.
func TestQuietDesk(t *testing.T) {
	h, desk := quietHouse(t)
	live, captured := &signalled{}, &signalled{}
	live.want = `"state":"open"`
	d := start(t, h, Options{
		Clock: link.Clock{Started: time.Now()}, Lines: Lines{W: live, JSON: true}, Capture: captured,
	})
	_, pawl, err := desk.ReadFromUDPAddrPort(make([]byte, 100))
	if err != nil {
		t.Fatal(err)
	}
	for _, move := range []struct {
		db     float32
		inputs string
	}{{-10, "1234"}, {-6, "123"}} {
		for _, in := range move.inputs {
			if _, err := desk.WriteToUDPAddrPort(message(t, "/in/"+string(in)+"/throw", move.db), pawl); err != nil {
				t.Fatal(err)
			}
		}
	}
	page := openTablet(t, d.Page())
	page.until("the card", func(s dashboard.Now) bool { return s.Card != nil })
	live.wait(t)
	page.until("the whole capture", func(dashboard.Now) bool {
		in, err := capture.NewReader(bytes.NewReader(captured.bytes()))
		packets := 0
		for err == nil && in.Next() {
			packets++
		}
		return packets == 7
	})
	var replayed bytes.Buffer
	if _, err := (Replay{House: h, Lines: Lines{W: &replayed, JSON: true}}).Run(bytes.NewReader(captured.bytes())); err != nil {
		t.Fatal(err)
	}
	sameEntries(t, replayed.String(), string(live.bytes()))
}

// TestNotOSC sends what is no OSC from the desk's own address: the page does not
// call that hearing.
func TestNotOSC(t *testing.T) {
	h, desk := quietHouse(t)
	d := start(t, h, Options{Clock: link.Clock{Started: time.Now()}})
	_, pawl, err := desk.ReadFromUDPAddrPort(make([]byte, 100))
	if err != nil {
		t.Fatal(err)
	}
	for range 2 * enoughToTell {
		if _, err := desk.WriteToUDPAddrPort([]byte("GET / HTTP/1.0\r\n\r\n"), pawl); err != nil {
			t.Fatal(err)
		}
	}
	openTablet(t, d.Page()).until("no OSC", func(s dashboard.Now) bool {
		return s.Link.Phase == "not-understood" && strings.Contains(s.Link.Text, "none of them is OSC")
	})
}

// TestDrain: what waits at the link when the daemon is told to end is still judged
// and captured.
func TestDrain(t *testing.T) {
	h, desk := quietHouse(t)
	var captured bytes.Buffer
	d := New(h, Options{Clock: link.Clock{Started: time.Now()}, Capture: &captured})
	h.Page = "127.0.0.1:0"
	if err := d.Listen(); err != nil {
		t.Fatal(err)
	}
	defer d.listener.Close()
	l := run(t.Context(), d.link)
	s := newSession(d, h, l)
	_, pawl, err := desk.ReadFromUDPAddrPort(make([]byte, 100))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := desk.WriteToUDPAddrPort(message(t, "/in/1/throw", float32(-10)), pawl); err != nil {
		t.Fatal(err)
	}
	for l.Status().Packets == 0 {
		<-l.Changed()
	}
	l.stop()
	s.drain()
	if err := d.recorder.Close(); err != nil {
		t.Fatal(err)
	}
	if st := s.engine.judge.Strips()[0]; st.Fader != -10 {
		t.Errorf("the fader is at %v, want what waited to be heard", st.Fader)
	}
	in, err := capture.NewReader(&captured)
	if err != nil || !in.Next() {
		t.Errorf("nothing captured: %v", err)
	}
}

// A desk that was started anew and sends from another port is quiet, and the page says where
// its packets come from now.
func TestPageNamesTheDesksNewPort(t *testing.T) {
	h, _ := quietHouse(t)
	e := newEngine(h)
	l := linkOf("192.0.2.10:10700", link.Status{Phase: link.Quiet, Packets: 9, Problem: link.Problem{Kind: link.OtherPort, At: "192.0.2.10:10700", For: 8 * time.Second, More: "10999"}}, e, 10*time.Second)
	if said := words.Own().For("en").Say(l.Says); l.Phase != dashboard.Quiet || !strings.Contains(said, "packets come from its port 10999") {
		t.Errorf("%s: %q", l.Phase, said)
	}
}
