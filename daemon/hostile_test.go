package daemon

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"math"
	"math/rand/v2"
	"net"
	"net/http"
	"net/netip"
	"reflect"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"
	"github.com/gopacket/gopacket/pcapgo"

	"pawl/daemon/capture"
	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/dashboard"
	"pawl/oscmap"
	"pawl/oscmap/wire"
	"pawl/rules"
	"pawl/rules/desk"
)

// malformed has a packet for each reason to drop one.
func malformed() map[wire.Reason][]byte {
	deep := []byte("/a\x00\x00,\x00\x00\x00")
	for range wire.MaxDepth + 1 {
		deep, _ = wire.AppendBundle(nil, wire.Immediately, deep)
	}
	return map[wire.Reason][]byte{
		wire.EmptyPacket:        {},
		wire.OddSize:            []byte("/a\x00\x00,"),
		wire.NotOSC:             []byte("hello..."),
		wire.ShortBundle:        []byte("#bundle\x00\x00\x00\x00\x00"),
		wire.ElementSize:        []byte("#bundle\x00\x00\x00\x00\x00\x00\x00\x00\x01\xff\xff\xff\xfc"),
		wire.TooDeep:            deep,
		wire.UnterminatedString: []byte("/in/3/throw."),
		wire.BadPadding:         []byte("/a\x00x,\x00\x00\x00"),
		wire.TruncatedArgument:  []byte("/in/3/throw\x00,f\x00\x00"),
		wire.BlobSize:           []byte("/a\x00\x00,b\x00\x00\xff\xff\xff\xff"),
		wire.UnbalancedArray:    []byte("/a\x00\x00,[\x00\x00"),
		wire.BytesLeftOver:      []byte("/a\x00\x00,\x00\x00\x00abcd"),
		wire.UnknownTag:         []byte("/in/3/throw\x00,Z\x00\x00\x3f\x80\x00\x00"),
	}
}

// foe makes packets that must change nothing: malformed ones, values that are no
// numbers or of the wrong sort, patterns, addresses that no signal has, noise, and
// now and then the largest there is. It is used from one goroutine.
type foe struct {
	rand      *rand.Rand
	malformed [][]byte
	refused   [][]byte
	large     [][]byte
	made      int
}

func newFoe(t testing.TB, seed uint64) *foe {
	f := &foe{rand: rand.New(rand.NewPCG(seed, 2))}
	for _, reason := range wire.Reasons() { // in their order: a map has none
		f.malformed = append(f.malformed, malformed()[reason])
	}
	nan, inf := math.NaN(), math.Inf(1)
	for _, v := range []any{float32(nan), nan, float32(inf), inf, "loud", []byte{1, 2, 3}, nil, wire.Impulse{}, wire.TimeTag(7)} {
		for _, address := range []string{"/in/3/throw", "/in/*/throw", "/*/{1,2}/throw", "/hand/[1-4]/throw", "/whole/throw", "/needles/whole", "/fold/?/squeeze/by"} {
			f.refused = append(f.refused, message(t, address, v))
		}
	}
	f.refused = append(f.refused, message(t, "/in/3/throw"), message(t, "/needles/in", []byte{1, 0, 0, 0}), message(t, "/*"), message(t, "/*", float32(1)))
	lots := message(t, "/light/1/colour", 7)
	var many [][]byte
	for range (65000 - 16) / (len(lots) + 4) {
		many = append(many, lots)
	}
	bundle, err := wire.AppendBundle(nil, math.MaxUint64, many...)
	if err != nil {
		t.Fatal(err)
	}
	stars := "/" + strings.Repeat("*a", 30000)
	f.large = [][]byte{bundle, message(t, "/in/3/throw", make([]byte, 65400)), message(t, stars, float32(1)), []byte(strings.Repeat("/", 65500))}
	return f
}

func (f *foe) packet(t testing.TB) []byte {
	f.made++
	if f.made%499 == 0 {
		return f.large[f.made/499%len(f.large)]
	}
	switch n := f.rand.IntN(20); {
	case n < 5:
		return f.malformed[f.rand.IntN(len(f.malformed))]
	case n < 10:
		return f.refused[f.rand.IntN(len(f.refused))]
	case n < 12:
		noise := make([]byte, 4*f.rand.IntN(30))
		for i := range noise {
			noise[i] = byte(f.rand.Uint32())
		}
		return append([]byte("\xff\x00\x00\x00"), noise...) // so that no chance makes a value of it
	}
	return message(t, fmt.Sprintf("/light/%d/%d", f.rand.IntN(1e6), f.rand.IntN(1e6)), f.rand.Float32())
}

// goodTag is the last byte of the time tags of good packets, to know them by.
const goodTag = 0x5a

func isGood(packet []byte) bool {
	return bytes.HasPrefix(packet, []byte("#bundle\x00")) && len(packet) > 16 && packet[15] == goodTag
}

// dated puts a good packet into a bundle that is to be applied at any time but now.
func (f *foe) dated(t testing.TB, packet []byte) []byte {
	b, err := wire.AppendBundle(nil, wire.TimeTag(f.rand.Uint64()&^0xff|goodTag), packet)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestMalformedPackets holds each packet against its reason, so that what follows
// means something.
func TestMalformedPackets(t *testing.T) {
	for _, reason := range wire.Reasons() {
		packet, ok := malformed()[reason]
		if !ok {
			t.Errorf("no packet is %v", reason)
		}
		e := newEngine(harbourHall(t))
		e.packet(0, packet)
		if e.malformed[reason] != 1 || len(e.malformed) != 1 {
			t.Errorf("%q counts as %v, want %v", packet, e.malformed, reason)
		}
	}
}

// TestHostilePacketsChangeNothing judges a service with two hostile packets after
// each good one, and every good one dated to another century. What is said is the
// same to the last digit.
func TestHostilePacketsChangeNothing(t *testing.T) {
	script, err := practicetest.Service("ratchet")
	if err != nil {
		t.Fatal(err)
	}
	clean, attacked := newEngine(harbourHall(t)), newEngine(harbourHall(t))
	f := newFoe(t, 1)
	var want, got []*rules.Finding
	for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
		clean.packet(at, packet)
		want = append(want, findings(clean)...)
		attacked.packet(at, f.dated(t, packet))
		attacked.packet(at, f.packet(t))
		attacked.packet(at, f.packet(t))
		got = append(got, findings(attacked)...)
	}
	if len(want) == 0 || !reflect.DeepEqual(got, want) {
		t.Errorf("said\n%+v\nwant\n%+v", got, want)
	}
	if g, w := attacked.judge.Picture(), clean.judge.Picture(); !reflect.DeepEqual(g, w) {
		t.Errorf("the mix is %+v, want %+v", g, w)
	}
	if n := testing.AllocsPerRun(10, func() {
		for _, p := range f.malformed {
			attacked.packet(0, p)
		}
		for _, p := range f.large {
			attacked.packet(0, p)
		}
	}); n > 0 {
		t.Errorf("%v allocations for packets that are dropped, want none", n)
	}
}

// TestPacketOfPatterns has one packet mean thirty thousand readings. Those that are heard
// are judged as they come and never all kept; the rest are passed over, and what comes
// in the next packet is heard.
func TestPacketOfPatterns(t *testing.T) {
	all := message(t, "/in/*/throw", float32(0.5))
	var many [][]byte
	for range 2000 {
		many = append(many, all)
	}
	packet, err := wire.AppendBundle(nil, wire.Immediately, many...)
	if err != nil {
		t.Fatal(err)
	}
	e := newEngine(harbourHall(t))
	e.packet(0, packet)
	if n := cap(e.readings); n > 2*atOnce {
		t.Errorf("room for %d readings is kept, want %d at most", n, 2*atOnce)
	}
	e.packet(0, message(t, "/in/2/throw", float32(0.75)))
	if c := e.hearer.Counts(); c.Messages != 2001 || c.Passed < 1000 || c.Unmapped != c.Passed || len(e.readings) > 0 {
		t.Errorf("%d messages, %d unmapped, %d passed over, %d readings left; want 2001, most of them passed over and no others unmapped, 0", c.Messages, c.Unmapped, c.Passed, len(e.readings))
	}
}

// hostileDesk passes on what the daemon and a desk say to each other, and adds two
// hostile packets to each one of the desk's. It stops when the test ends.
func hostileDesk(t *testing.T, desk netip.AddrPort) (address string) {
	t.Helper()
	near, err := net.ListenUDP("udp", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	far, err := net.DialUDP("udp", nil, net.UDPAddrFromAddrPort(desk))
	if err != nil {
		t.Fatal(err)
	}
	var own sync.WaitGroup
	t.Cleanup(func() {
		near.Close()
		far.Close()
		own.Wait()
	})
	known := make(chan netip.AddrPort, 1) // the first asker
	own.Go(func() {
		buf := make([]byte, wire.MaxPacket)
		for {
			n, from, err := near.ReadFromUDPAddrPort(buf)
			if err != nil {
				return
			}
			select {
			case known <- from:
			default:
			}
			_, _ = far.Write(buf[:n])
		}
	})
	own.Go(func() {
		f := newFoe(t, 3)
		buf := make([]byte, wire.MaxPacket)
		var pawl netip.AddrPort
		for {
			n, err := far.Read(buf)
			if err != nil {
				return
			}
			if !pawl.IsValid() {
				pawl = <-known
			}
			for _, p := range [][]byte{f.dated(t, buf[:n]), f.packet(t), f.packet(t)} {
				_, _ = near.WriteToUDPAddrPort(p, pawl)
			}
		}
	})
	return near.LocalAddr().String()
}

// lineCount counts lines of a log.
type lineCount struct {
	mu sync.Mutex
	n  int
}

func (c *lineCount) Write(p []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.n += bytes.Count(p, []byte("\n"))
	return len(p), nil
}

// TestHostileDesk watches a desk, live, from whose address six thousand hostile
// packets come in a second, while strangers say that every fader is full up. What
// it says is what the good packets alone say.
func TestHostileDesk(t *testing.T) {
	clock := fastClock()
	desk, _ := runDesk(t, practice.Options{Clock: clock}, "harbour", "", "ratchet")
	h := harbourHall(t)
	h.Desk, h.Page = hostileDesk(t, desk.Addr()), "127.0.0.1:0"
	var said, captured signalled
	var logged lineCount
	before := heap()
	d := New(h, Options{Clock: clock, Lines: Lines{W: &said, JSON: true}, Capture: &captured, Log: slog.New(slog.NewTextHandler(&logged, nil))})
	if err := d.Listen(); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	ended := make(chan error, 1)
	go func() { ended <- d.Run(ctx) }()

	stranger, err := net.DialUDP("udp", nil, &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1), Port: int(d.link.Status().Local.Port())})
	if err != nil {
		t.Fatal(err)
	}
	defer stranger.Close()
	lie := message(t, "/in/*/throw", float32(1))
	openTablet(t, d.Page()).until("the ratchet", func(s dashboard.Now) bool {
		for range 100 {
			_, _ = stranger.Write(lie)
		}
		return s.Card != nil && s.Card.Rule == "ratchet"
	})
	if grown := captured.besides(heap) - before; grown > 32<<20 {
		t.Errorf("%d MiB more memory than before, want 32 at most", grown>>20)
	}
	countedByReason(t, metricsOf(t, d))
	stop()
	if err := <-ended; err != nil {
		t.Errorf("run: %v", err)
	}
	if logged.n > 10 {
		t.Errorf("%d lines were logged, want none for a packet", logged.n)
	}
	// Live, time passes beyond the last packet.
	if good := judgeGood(t, h, captured.bytes()); len(good) == 0 || !bytes.HasPrefix(said.bytes(), good) {
		t.Errorf("said\n%s\nof the good packets alone\n%s", said.bytes(), good)
	}
}

func countedByReason(t *testing.T, m map[string]float64) {
	t.Helper()
	for _, reason := range wire.Reasons() {
		if m[`pawl_packets_malformed_total{reason="`+reason.String()+`"}`] == 0 {
			t.Errorf("none counted as %v", reason)
		}
	}
	for name, least := range map[string]float64{
		"pawl_messages_unmapped_total": 1000, "pawl_packets_from_strangers_total": 100,
		`pawl_values_refused_total{signal="input.fader"}`: 10, `pawl_values_refused_total{signal="main.level"}`: 10,
	} {
		if m[name] < least {
			t.Errorf("%s is %v, want %v at least", name, m[name], least)
		}
	}
}

// judgeGood is what is said of a capture's good packets, as --json has it.
func judgeGood(t *testing.T, h *house.House, file []byte) []byte {
	t.Helper()
	in, err := capture.NewReader(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	out := Lines{W: &said, JSON: true}
	e := newEngine(h)
	var first time.Time
	for in.Next() {
		p := in.Packet()
		if first.IsZero() {
			first = p.At
		}
		data := p.Data
		if !isGood(data) {
			data = nil // but that it came tells that the desk is there
		}
		e.packet(p.At.Sub(first), data)
		for _, entry := range e.judge.Take(nil) {
			if err := out.Entry(entry); err != nil {
				t.Fatal(err)
			}
		}
	}
	return said.Bytes()
}

// heap is how many bytes are in use when all that can be freed is.
func heap() int64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}

var metricLine = regexp.MustCompile(`(?m)^(pawl_\S+) (\S+)$`)

func metricsOf(t *testing.T, d *Daemon) map[string]float64 {
	t.Helper()
	answer, err := http.Get(d.Page() + "metrics")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]float64{}
	for _, line := range metricLine.FindAllStringSubmatch(string(body), -1) {
		all[line[1]], err = strconv.ParseFloat(line[2], 64)
		if err != nil {
			t.Fatal(err)
		}
	}
	return all
}

// record writes a service as a capture whose clock does as it likes: written gives
// the times at which a packet is written that came at a time.
func record(t *testing.T, script *practice.Script, written func(at time.Duration) []time.Duration) io.Reader {
	t.Helper()
	var plain, out bytes.Buffer
	w, err := capture.NewWriter(&plain, "")
	if err != nil {
		t.Fatal(err)
	}
	noon := time.Date(2026, 1, 4, 12, 0, 0, 0, time.UTC)
	from := netip.MustParseAddrPort("192.0.2.10:10700")
	var times []time.Duration
	for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
		for _, at := range written(at) {
			times = append(times, at)
			if err := w.Write(capture.Packet{At: noon, From: from, Data: packet}); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	in, err := pcapgo.NewNgReader(&plain, pcapgo.DefaultNgReaderOptions)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := pcapgo.NewNgWriter(&out, layers.LinkTypeRaw)
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range times {
		data, info, err := in.ReadPacketData()
		if err != nil {
			t.Fatal(err)
		}
		info = gopacket.CaptureInfo{Timestamp: noon.Add(at), CaptureLength: info.CaptureLength, Length: info.Length}
		if err := raw.WritePacket(info, data); err != nil {
			t.Fatal(err)
		}
	}
	if err := raw.Flush(); err != nil {
		t.Fatal(err)
	}
	return &out
}

// judgeCapture is what is said of a capture, as Replay judges it.
func judgeCapture(t *testing.T, file io.Reader) []*rules.Finding {
	t.Helper()
	in, err := capture.NewReader(file)
	if err != nil {
		t.Fatal(err)
	}
	e := newEngine(harbourHall(t))
	var said []*rules.Finding
	var first time.Time
	for in.Next() {
		p := in.Packet()
		if first.IsZero() {
			first = p.At
		}
		e.packet(p.At.Sub(first), p.Data)
		said = append(said, findings(e)...)
	}
	if err := in.Err(); err != nil {
		t.Fatal(err)
	}
	return said
}

// TestFaultsOfTime judges captures whose clock was set, that hold packets twice, or
// that were left running between two songs. What is said is the same.
func TestFaultsOfTime(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	script, err := practicetest.Service("ratchet")
	if err != nil {
		t.Fatal(err)
	}
	from := func(since, by time.Duration) func(time.Duration) []time.Duration {
		return func(at time.Duration) []time.Duration {
			if at >= since {
				at += by
			}
			return []time.Duration{at}
		}
	}
	shaken := rand.New(rand.NewPCG(1, 1))
	const s = time.Second
	tests := []struct {
		name    string
		written func(at time.Duration) []time.Duration
		later   time.Duration // everything said comes later by this
		how     tells
	}{
		{"as it was", from(0, 0), 0, tells{}},
		{"set back by five minutes before the raises", from(30*s, -5*time.Minute), 0, tells{late: 50 * time.Millisecond}},
		{"set back by a day between the raises", from(58*s, -24*time.Hour), 0, tells{late: 50 * time.Millisecond}},
		{"set back, and put right by the network", func(at time.Duration) []time.Duration {
			if at > 45*s && at < 65*s {
				return []time.Duration{at - time.Hour}
			}
			return []time.Duration{at}
		}, 0, tells{late: 50 * time.Millisecond}},
		{"every packet twice", func(at time.Duration) []time.Duration { return []time.Duration{at, at} }, 0, tells{}},
		{"one in ten twice", func(at time.Duration) []time.Duration {
			return []time.Duration{at, at}[:1+shaken.IntN(10)/9]
		}, 0, tells{}},
		{"stamped by several cores", func(at time.Duration) []time.Duration {
			return []time.Duration{at - time.Duration(shaken.IntN(20))*time.Millisecond}
		}, 0, tells{late: 40 * time.Millisecond}},
		{"three hours before the raises", from(28*s, 3*time.Hour), 3 * time.Hour, tells{}},
	}
	var want []*rules.Finding
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := judgeCapture(t, record(t, script, tt.written))
			if want == nil {
				want = got
			}
			if tt.later > 0 { // first it was said that nothing came for so long, and that is number 1
				got = ofRule("ratchet", got)
				for i := range got {
					got[i].Number--
				}
			}
			for i := range got {
				got[i].T -= rules.Moment(tt.later)
				for k := range got[i].Facts {
					got[i].Facts[k].T -= rules.Moment(tt.later)
				}
			}
			sameFindings(t, got, want, tt.how)
		})
	}
}

// TestGapAmidTheRatchet leaves three hours between the third raise and the fourth.
// What had been raised is over by then, and does not count for what follows.
func TestGapAmidTheRatchet(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	script, err := practicetest.Service("ratchet")
	if err != nil {
		t.Fatal(err)
	}
	all := judgeCapture(t, record(t, script, func(at time.Duration) []time.Duration {
		if at >= 58*time.Second {
			at += 3 * time.Hour
		}
		return []time.Duration{at}
	}))
	said := ofRule("ratchet", all)
	var states []string
	for _, f := range said {
		states = append(states, fmt.Sprintf("%d %v", f.Number, f.State))
		finite(t, f)
	}
	if away := ofRule("quiet-desk", all); len(away) != 2 || time.Duration(away[1].T-away[0].T) != rules.DefaultLimits().QuietDesk.Until {
		t.Errorf("said %v of the desk, want that it is away, and not for three hours (%v)", away, time.Duration(away[1].T-away[0].T))
	}
	if got, want := strings.Join(states, ", "), "1 open, 1 eased, 3 open"; !strings.HasPrefix(got, want) {
		t.Fatalf("said %s, want %s", got, want)
	}
	if at, until := time.Duration(said[1].T)-58*time.Second, rules.DefaultLimits().QuietDesk.Until; at < until-time.Second || at > until+time.Second || said[1].Accepted {
		t.Errorf("eased %v after the gap began (accepted %v), want once nobody waits any more, after %v", at, said[1].Accepted, until)
	}
}

// ofRule are the findings of one rule.
func ofRule(name string, all []*rules.Finding) (of []*rules.Finding) {
	for _, f := range all {
		if f.Rule == name {
			of = append(of, f)
		}
	}
	return of
}

func finite(t *testing.T, f *rules.Finding) {
	t.Helper()
	for _, g := range f.Figures {
		if math.IsNaN(g.Value) || math.IsInf(g.Value, 0) {
			t.Errorf("at %v the %s is %v", time.Duration(f.T), g.Name, g.Value)
		}
	}
}

// FuzzEngine gives any bytes to the engine, as packets at any times, through the
// map of Harbour Hall or the packed one: never a panic, never a reading that its
// signal does not hold, never a mix or a finding that is no number.
//
// Run it with -parallel 1 -fuzzminimizetime 20x: inputs are long.
func FuzzEngine(f *testing.F) {
	dialects := practicetest.Dialects()
	houses := [2]*house.House{}
	for i, k := range []int{0, 2} {
		h := harbourHall(f)
		m, faults := oscmap.Load("map.yaml", dialects[k].Map(), &h.Roster)
		if faults.Wrong() {
			f.Fatal(faults)
		}
		h.Map = m
		houses[i] = h
	}
	for i, k := range []int{0, 2} {
		f.Add(uint8(i), fuzzService(f, dialects[k]))
	}
	enemy := newFoe(f, 5)
	var all []byte
	for range 40 {
		if p := enemy.packet(f); len(p) < 1000 {
			all = fuzzPacket(all, 100*time.Millisecond, p)
		}
	}
	f.Add(uint8(0), all)
	f.Fuzz(func(t *testing.T, which uint8, data []byte) {
		h := houses[which%2]
		e, ear := newEngine(h), h.Map.NewHearer()
		var at time.Duration
		for n := 1; len(data) >= 4; n++ {
			// Up to a minute later, or half a second sooner.
			step := time.Duration(int16(binary.BigEndian.Uint16(data))) * time.Millisecond
			at += max(2*step, -time.Second/2)
			size := min(int(binary.BigEndian.Uint16(data[2:])), len(data)-4)
			packet := data[4 : 4+size]
			data = data[4+size:]
			inRange(t, ear, packet)
			e.packet(at, packet)
			if n%16 == 0 { // a look at the screen takes longer than a packet
				sane(t, e)
			}
		}
		e.advance(at + 10*time.Second)
		sane(t, e)
	})
}

// inRange holds every reading of a packet against its signal.
func inRange(t *testing.T, ear *oscmap.Hearer, packet []byte) {
	t.Helper()
	var reader wire.Reader
	for reader.Reset(packet); reader.Next(); {
		for _, r := range ear.Hear(nil, 0, reader.Message()) {
			if r.Signal.Quantity() != desk.Words && !r.Signal.Holds(r.Value) {
				t.Fatalf("%v %d is %v, which it cannot be: %q", r.Signal, r.Index, r.Value, packet)
			}
		}
	}
}

// sane holds what a screen and a record show to numbers.
func sane(t *testing.T, e *engine) {
	t.Helper()
	g := e.judge.Picture()
	for what, v := range map[string]desk.DB{
		"total": desk.DB(g.Total), "mark": desk.DB(g.Mark.Total),
		"faders": g.Split.Faders, "stage": g.Split.Stage, "groups": g.Split.Groups, "main": g.Split.Main,
	} {
		if math.IsNaN(float64(v)) {
			t.Fatalf("at %v the %s is no number: %+v", time.Duration(g.T), what, g)
		}
	}
	if _, err := json.Marshal(g); err != nil {
		t.Fatalf("the screen: %v", err)
	}
	for _, f := range findings(e) {
		finite(t, f)
		if _, err := json.Marshal(english.Finding(f)); err != nil {
			t.Fatalf("%+v: %v", f, err)
		}
	}
}

// fuzzPacket appends a packet as FuzzEngine reads it.
func fuzzPacket(dst []byte, after time.Duration, packet []byte) []byte {
	dst = binary.BigEndian.AppendUint16(dst, uint16(after/time.Millisecond/2))
	dst = binary.BigEndian.AppendUint16(dst, uint16(len(packet)))
	return append(dst, packet...)
}

// fuzzService is a ratchet in short: every value once, and then what moves, with
// the meters every few seconds.
func fuzzService(t testing.TB, d practicetest.Dialect) (all []byte) {
	t.Helper()
	script, err := practicetest.Service("ratchet-end-only")
	if err != nil {
		t.Fatal(err)
	}
	var last time.Duration
	for at, packet := range practice.Play(script, d, practice.Playing{}) {
		if at > 80*time.Second {
			break
		}
		meters := bytes.Contains(packet[:min(len(packet), 40)], []byte("/needles")) || bytes.Contains(packet[:min(len(packet), 40)], []byte("/pk"))
		if at > 0 && meters && at-last < 5*time.Second {
			continue
		}
		all = fuzzPacket(all, at-last, packet)
		last = at
	}
	return all
}
