package daemon

import (
	"context"
	"encoding/json"
	"net"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"pawl/daemon/link"
	"pawl/dashboard"
	"pawl/oscmap/wire"
	"pawl/rules"
)

func message(t testing.TB, address string, args ...any) []byte {
	t.Helper()
	b, err := wire.AppendMessage(nil, address, args...)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// BenchmarkBundle takes a bundle of fifty fader positions all the way into the
// mix: decoded, mapped, applied, and the moves followed.
func BenchmarkBundle(b *testing.B) {
	var bundles [2][]byte
	for k := range bundles {
		var elements [][]byte
		for i := range 50 {
			elements = append(elements, message(b, "/in/"+string(rune('1'+i%9))+"/throw", float32(0.5+0.01*float64(i+k))))
		}
		var err error
		if bundles[k], err = wire.AppendBundle(nil, 1, elements...); err != nil {
			b.Fatal(err)
		}
	}
	e := newEngine(harbourHall(b))
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		e.packet(0, bundles[i&1]) // time stands still: no beats, only messages
	}
}

// BenchmarkService judges ninety minutes of a busy desk: 600 messages a second,
// levels of sixteen inputs one by one and a fader in motion, beats and rules
// included. One operation is the whole service.
func BenchmarkService(b *testing.B) {
	const rate, length = 600, 90 * time.Minute
	house := harbourHall(b)
	var packets [][]byte
	needles := func() []byte {
		var blob []byte
		for range 16 {
			blob = append(blob, 0xc1, 0x80, 0, 0) // -16.0, high byte first
		}
		return blob
	}
	for i := range rate {
		switch {
		case i%30 == 0:
			packets = append(packets, message(b, "/needles/in", needles()))
		case i%3 == 0:
			packets = append(packets, message(b, "/in/3/throw", 0.6+0.1*float32(i)/rate))
		default:
			packets = append(packets, message(b, "/needles/whole", -18+float32(i%7)))
		}
	}
	for b.Loop() {
		e := newEngine(house)
		for i := range int(length/time.Second) * rate {
			e.packet(time.Duration(i)*time.Second/rate, packets[i%rate])
		}
	}
	b.ReportMetric(float64(length/time.Second)*rate*float64(b.N)/b.Elapsed().Seconds(), "msgs/s")
}

// bench is a live daemon with a desk and a tablet, both in the benchmark's hand.
type bench struct {
	b    *testing.B
	desk net.Conn
	page *websocket.Conn
}

func newBench(b *testing.B, l rules.Limits) *bench {
	b.Helper()
	desk, err := net.ListenUDP("udp", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		b.Fatal(err)
	}
	h := harbourHall(b)
	h.Desk, h.Page, h.Limits = desk.LocalAddr().String(), "127.0.0.1:0", l
	d := New(h, Options{Clock: link.Clock{Started: time.Now()}})
	if err := d.Listen(); err != nil {
		b.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	var run sync.WaitGroup
	run.Go(func() { _ = d.Run(ctx) })
	b.Cleanup(func() {
		stop()
		run.Wait()
		desk.Close()
	})
	ask := make([]byte, 1500)
	_, pawl, err := desk.ReadFromUDPAddrPort(ask)
	if err != nil {
		b.Fatal(err)
	}
	page, _, err := websocket.DefaultDialer.Dial(strings.Replace(d.Page(), "http", "ws", 1)+"live", nil)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { page.Close() })
	return &bench{b, udpTo{desk, net.UDPAddrFromAddrPort(pawl)}, page}
}

// udpTo writes to one address from a socket that must keep its own.
type udpTo struct {
	*net.UDPConn
	to *net.UDPAddr
}

func (u udpTo) Write(p []byte) (int, error) { return u.WriteToUDP(p, u.to) }

func (t *bench) send(packet []byte) {
	if _, err := t.desk.Write(packet); err != nil {
		t.b.Fatal(err)
	}
}

func (t *bench) until(wanted func(dashboard.Now) bool) {
	t.b.Helper()
	var f struct {
		Now dashboard.Now `json:"now"`
	}
	for {
		_, text, err := t.page.ReadMessage()
		if err != nil {
			t.b.Fatal(err)
		}
		f.Now = dashboard.Now{}
		if err := json.Unmarshal(text, &f); err != nil {
			t.b.Fatal(err)
		}
		if wanted(f.Now) {
			return
		}
	}
}

func report(b *testing.B, took []time.Duration) {
	slices.Sort(took)
	for name, at := range map[string]int{"p50-ms": len(took) / 2, "p99-ms": len(took) * 99 / 100} {
		b.ReportMetric(float64(took[min(at, len(took)-1)])/float64(time.Millisecond), name)
	}
}

// BenchmarkPacketToFrame measures from a packet leaving the desk to a frame that
// knows of it arriving at a tablet: the page's beat, mostly.
func BenchmarkPacketToFrame(b *testing.B) {
	t := newBench(b, rules.DefaultLimits())
	packet := message(b, "/needles/whole", float32(-18))
	var took []time.Duration
	for n := uint64(1); b.Loop(); n++ {
		began := time.Now()
		t.send(packet)
		t.until(func(s dashboard.Now) bool { return s.Link.Packets >= n })
		took = append(took, time.Since(began))
	}
	report(b, took)
}

// BenchmarkPacketToCard measures from the packet that makes a finding to the frame
// that carries its card. How long a fader must be still is set to a millisecond
// here, because that wait is a choice and not a delay.
func BenchmarkPacketToCard(b *testing.B) {
	l := rules.DefaultLimits()
	l.Moves.Still, l.Moves.ReturnIn = time.Millisecond, 0 // and what goes up again was not put back
	l.Calm = rules.CalmLimits{Every: time.Nanosecond, Most: 1 << 30, Burst: 1 << 30, NotNow: time.Minute, MarkOver: time.Hour}
	l.Ratchet.Nudge = l.Ratchet.Whisper
	var took []time.Duration
	for b.Loop() {
		t := newBench(b, l) // a raise to where it stood before adds nothing, and says nothing
		set := func(position float32, inputs ...string) {
			for _, in := range inputs {
				t.send(message(b, "/in/"+in+"/throw", position))
			}
		}
		set(0.5, "3", "4", "5", "10")
		set(0.7, "3", "4")
		began := time.Now()
		set(0.7, "5")
		t.until(func(s dashboard.Now) bool { return s.Card != nil })
		took = append(took, time.Since(began))
	}
	report(b, took)
}
