package capture

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"net/netip"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"

	"pawl/oscmap/wire"
)

var framings = []wire.Framing{wire.SLIP, wire.LengthPrefix}

// part is one segment of TCP as it was captured.
type part struct {
	from, to      netip.AddrPort
	seq           uint32
	syn, fin, rst bool
	data          []byte
	at            time.Duration // after noon
	frame         []byte        // instead of all that
}

func (p part) bytes(t testing.TB) []byte {
	t.Helper()
	if p.frame != nil {
		return p.frame
	}
	tcp := &layers.TCP{SrcPort: layers.TCPPort(p.from.Port()), DstPort: layers.TCPPort(p.to.Port()),
		Seq: p.seq, SYN: p.syn, FIN: p.fin, RST: p.rst, ACK: true, Window: 500}
	if p.from.Addr().Is4() {
		ip := &layers.IPv4{Version: 4, TTL: 64, Protocol: layers.IPProtocolTCP, SrcIP: p.from.Addr().AsSlice(), DstIP: p.to.Addr().AsSlice()}
		tcp.SetNetworkLayerForChecksum(ip)
		return serialize(t, ip, tcp, gopacket.Payload(p.data))
	}
	ip := &layers.IPv6{Version: 6, HopLimit: 64, NextHeader: layers.IPProtocolTCP, SrcIP: p.from.Addr().AsSlice(), DstIP: p.to.Addr().AsSlice()}
	tcp.SetNetworkLayerForChecksum(ip)
	return serialize(t, ip, tcp, gopacket.Payload(p.data))
}

// talk is what the desk sends over one connection, each entry a segment, begun
// with a SYN. Segments are a millisecond apart.
func talk(from, to netip.AddrPort, seq uint32, segments ...[]byte) []part {
	all := []part{{from: from, to: to, seq: seq, syn: true}}
	seq++
	for i, data := range segments {
		all = append(all, part{from: from, to: to, seq: seq, data: data, at: time.Duration(i+1) * time.Millisecond})
		seq += uint32(len(data))
	}
	return all
}

// inTurn has the segments captured a millisecond apart, as they stand.
func inTurn(all ...part) []part {
	all = slices.Clone(all)
	for i := range all {
		all[i].at = time.Duration(i) * time.Millisecond
	}
	return all
}

// captured has a file of the segments, in the order given.
func captured(t testing.TB, all ...part) []byte {
	t.Helper()
	var file bytes.Buffer
	w := newClassic(t, &file, layers.LinkTypeRaw)
	for _, p := range all {
		f := p.bytes(t)
		if err := w.WritePacket(gopacket.CaptureInfo{Timestamp: noon.Add(p.at), CaptureLength: len(f), Length: len(f)}, f); err != nil {
			t.Fatal(err)
		}
	}
	return file.Bytes()
}

// readTCP reads a capture with TCP in it to its end, keeping copies.
func readTCP(t testing.TB, file []byte, f wire.Framing) ([]Packet, Counts) {
	t.Helper()
	r, err := NewReader(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	r.ReadTCP(f)
	var all []Packet
	for r.Next() {
		p := *r.Packet()
		p.Data = slices.Clone(p.Data)
		all = append(all, p)
	}
	if err := r.Err(); err != nil {
		t.Fatal(err)
	}
	c := r.Counts()
	if uint64(len(all)) != c.Packets || c.Packets-c.Streamed+c.Segments+c.Pieces+c.Truncated+c.Malformed+c.Other != c.Records {
		t.Errorf("%d packets, but counts %+v", len(all), c)
	}
	return all, c
}

// throw is a message of a size of its own, with bytes in it that SLIP escapes.
func throw(i int) []byte {
	b, err := wire.AppendMessage(nil, fmt.Sprintf("/in/%d/throw", i), int32(0xc0dbc0+i), strings.Repeat("x", i%30))
	if err != nil {
		panic(err)
	}
	return b
}

func framedAs(f wire.Framing, packets ...[]byte) []byte {
	var b []byte
	for _, p := range packets {
		b = wire.AppendFrame(b, p, f)
	}
	return b
}

// said names the packets by the input in their address.
func said(all []Packet) string {
	var names []string
	for _, p := range all {
		address, _, _ := bytes.Cut(p.Data, []byte{0})
		names = append(names, strings.TrimSuffix(strings.TrimPrefix(string(address), "/in/"), "/throw"))
	}
	return strings.Join(names, " ")
}

// TestStreams has one connection of six packets, captured in ways that happen.
func TestStreams(t *testing.T) {
	six := func(f wire.Framing) (s [][]byte) {
		for i := range 6 {
			s = append(s, framedAs(f, throw(i)))
		}
		return s
	}
	tests := []struct {
		name string
		wire func(f wire.Framing) []part
		want string
		note string // the only one, or none
	}{
		{"a packet a segment", func(f wire.Framing) []part { return talk(desk, pawl, 7, six(f)...) }, "0 1 2 3 4 5", ""},
		{"IPv6", func(f wire.Framing) []part {
			return talk(pwl6, netip.MustParseAddrPort("[2001:db8::10]:1"), 7, six(f)...)
		}, "0 1 2 3 4 5", ""},
		{"all in one segment", func(f wire.Framing) []part { return talk(desk, pawl, 7, bytes.Join(six(f), nil)) }, "0 1 2 3 4 5", ""},
		{"a byte a segment", func(f wire.Framing) []part {
			return talk(desk, pawl, 7, slices.Collect(slices.Chunk(bytes.Join(six(f), nil), 1))...)
		}, "0 1 2 3 4 5", ""},
		{"sequence numbers begin again at zero", func(f wire.Framing) []part { return talk(desk, pawl, 0xffffffff-100, six(f)...) }, "0 1 2 3 4 5", ""},
		{"sent again", func(f wire.Framing) []part {
			s := talk(desk, pawl, 7, six(f)...)
			return slices.Concat(s[:3], s[1:3], s[3:], s[2:4])
		}, "0 1 2 3 4 5", ""},
		{"sent again, cut in another way", func(f wire.Framing) []part {
			s := talk(desk, pawl, 7, six(f)...)
			joined := s[2]
			joined.data = slices.Concat(s[2].data, s[3].data, s[4].data)
			return slices.Concat(s[:4], []part{joined}, s[5:])
		}, "0 1 2 3 4 5", ""},
		{"overtaken", func(f wire.Framing) []part {
			s := talk(desk, pawl, 7, six(f)...)
			s[2], s[5] = s[5], s[2]
			s[3], s[4] = s[4], s[3]
			return s
		}, "0 1 2 3 4 5", ""},
		{"one is missing", func(f wire.Framing) []part {
			s := talk(desk, pawl, 7, six(f)...)
			return slices.Delete(s, 3, 4)
		}, "0 1 3 4 5", "TCP segments are missing from the capture in 1 places, and with them the packets that they held a part of"},
		{"two are missing", func(f wire.Framing) []part {
			s := talk(desk, pawl, 7, six(f)...)
			return slices.Concat(s[:2], s[3:4], s[5:])
		}, "0 2 4 5", "TCP segments are missing from the capture in 2 places, and with them the packets that they held a part of"},
		{"the last are missing", func(f wire.Framing) []part { return talk(desk, pawl, 7, six(f)...)[:4] }, "0 1 2", ""},
		{"begun in the middle", func(f wire.Framing) []part { return talk(desk, pawl, 7, six(f)...)[3:] },
			"2 3 4 5", "1 TCP streams had begun before the capture; each is read from the first packet that begins in it"},
		{"begun in the middle of a packet", func(f wire.Framing) []part {
			s := talk(desk, pawl, 7, bytes.Join(six(f), nil))
			s[1].seq, s[1].data = s[1].seq+9, s[1].data[9:]
			return s[1:]
		}, "1 2 3 4 5", "1 TCP streams had begun before the capture; each is read from the first packet that begins in it"},
		{"only acknowledged before", func(f wire.Framing) []part {
			s := talk(desk, pawl, 7, six(f)...)
			return append([]part{{from: desk, to: pawl, seq: s[1].seq - 1}}, s[1:]...)
		}, "0 1 2 3 4 5", "1 TCP streams had begun before the capture; each is read from the first packet that begins in it"},
		{"ended", func(f wire.Framing) []part {
			s := talk(desk, pawl, 7, six(f)...)
			s[6].fin = true
			return append(s, s[6])
		}, "0 1 2 3 4 5", ""},
		{"connected again", func(f wire.Framing) []part {
			again := talk(desk, pawl, 90_000, six(f)[:2]...)
			return append(talk(desk, pawl, 7, six(f)...), again...)
		}, "0 1 2 3 4 5 0 1", ""},
		{"connected again after its end", func(f wire.Framing) []part {
			s := talk(desk, pawl, 7, six(f)...)
			s[6].fin = true
			return append(s, talk(desk, pawl, 3_000_000_000, six(f)[:2]...)...)
		}, "0 1 2 3 4 5 0 1", ""},
		{"connected again soon after its end, and the beginning missed", func(f wire.Framing) []part {
			s := talk(desk, pawl, 7, six(f)...)
			s[6].fin = true
			return append(s, talk(desk, pawl, 2000, six(f)[:2]...)[1:]...)
		}, "0 1 2 3 4 5 0 1", "1 TCP streams had begun before the capture; each is read from the first packet that begins in it"},
		{"connected again, and the beginning missed", func(f wire.Framing) []part {
			return append(talk(desk, pawl, 7, six(f)...), talk(desk, pawl, 3_000_000_000, six(f)[:2]...)[1:]...)
		}, "0 1 2 3 4 5 0 1", "1 TCP streams had begun before the capture; each is read from the first packet that begins in it"},
		{"something else between", func(f wire.Framing) []part {
			s := slices.Concat(framedAs(f, throw(0)), framedAs(f, []byte("oddx")), framedAs(f, throw(1)))
			return talk(desk, pawl, 7, s)
		}, "0 1", "1 frames in TCP streams are not OSC packets and were passed over"},
	}
	for _, tt := range tests {
		for _, f := range framings {
			t.Run(fmt.Sprintf("%s, %v", tt.name, f), func(t *testing.T) {
				parts := inTurn(tt.wire(f)...)
				got, counts := readTCP(t, captured(t, parts...), f)
				// After a gap SLIP has to wait for an END, and ours stand at both ends.
				if said(got) != tt.want {
					t.Errorf("got %s, want %s; %+v", said(got), tt.want, counts)
				}
				for _, p := range got {
					if p.From != parts[0].from || p.To != parts[0].to {
						t.Errorf("from %v to %v", p.From, p.To)
					}
				}
				if notes := strings.Join(counts.Notes(), "; "); notes != tt.note {
					t.Errorf("notes %q, want %q", notes, tt.note)
				}
			})
		}
	}
}

// TestDecoyInAStream begins in the middle of a packet in which a number and a text
// look like the size of a packet and its address.
func TestDecoyInAStream(t *testing.T) {
	decoy, err := wire.AppendMessage(nil, "/note", "longer than the rest", int32(12), "/in/9")
	if err != nil {
		t.Fatal(err)
	}
	s := talk(desk, pawl, 7, framedAs(wire.LengthPrefix, decoy, throw(1)), framedAs(wire.LengthPrefix, throw(2)))
	s[1].seq, s[1].data = s[1].seq+20, s[1].data[20:]
	got, counts := readTCP(t, captured(t, inTurn(s[1:]...)...), wire.LengthPrefix)
	if said(got) != "1 2" {
		t.Errorf("got %s, want 1 2; %+v", said(got), counts)
	}
}

// TestStreamTimes has each packet come at the time of the segment that let it be
// read: its own last one, or an earlier one that had to be sent again.
func TestStreamTimes(t *testing.T) {
	const ms = time.Millisecond
	for _, f := range framings {
		long := framedAs(f, throw(1))
		s := talk(desk, pawl, 7, framedAs(f, throw(0)), long[:8], long[8:], framedAs(f, throw(2)), framedAs(f, throw(3)))
		for i, at := range []time.Duration{0, 10, 20, 30, 40, 50} {
			s[i].at = at * ms
		}
		udp := func(at time.Duration) part {
			return part{frame: peerDatagram(t, Packet{From: six, To: pwl6, Data: []byte("/udp")}, 1), at: at * ms}
		}
		late := s[2]
		late.at = 45 * ms
		tests := []struct {
			name string
			all  []part
			want []time.Duration // in milliseconds
		}{
			{"in order", s, []time.Duration{10, 30, 40, 50}},
			{"one came late", []part{s[0], s[1], s[3], s[4], late, s[5]}, []time.Duration{10, 45, 45, 50}},
			{"one never came", []part{s[0], s[1], s[2], s[4], s[5], udp(3039), udp(3040), udp(3041)}, []time.Duration{10, 3039, 3040, 3040, 3040, 3041}},
			{"one never came, and the file ends", []part{s[0], s[1], s[2], s[4], s[5]}, []time.Duration{10, 40, 50}},
		}
		for _, tt := range tests {
			t.Run(fmt.Sprintf("%s, %v", tt.name, f), func(t *testing.T) {
				got, counts := readTCP(t, captured(t, tt.all...), f)
				var at []time.Duration
				for _, p := range got {
					at = append(at, p.At.Sub(noon)/ms)
				}
				if !slices.Equal(at, tt.want) {
					t.Errorf("at %v ms, want %v; %+v", at, tt.want, counts)
				}
			})
		}
	}
}

// TestStreamsAtRandom cuts random packets of several connections anywhere, and
// repeats and mixes the segments as a network does. All must come out, in order.
func TestStreamsAtRandom(t *testing.T) {
	dice := rand.New(rand.NewPCG(7, 8))
	for round := range 300 {
		f := framings[round%2]
		var all []part
		want := map[netip.AddrPort]string{}
		for c := range 1 + dice.IntN(4) {
			from := netip.AddrPortFrom(desk.Addr(), uint16(20000+c))
			var packets [][]byte
			var names []string
			for range 1 + dice.IntN(30) {
				i := dice.IntN(100)
				packets, names = append(packets, throw(i)), append(names, fmt.Sprint(i))
			}
			want[from] = strings.Join(names, " ")
			stream := framedAs(f, packets...)
			var segments [][]byte
			for len(stream) > 0 {
				n := min(len(stream), 1+dice.IntN(80))
				segments, stream = append(segments, stream[:n]), stream[n:]
			}
			s := talk(from, pawl, dice.Uint32(), segments...)
			for range dice.IntN(4) {
				i := 1 + dice.IntN(len(s)-1)
				s = slices.Insert(s, i+dice.IntN(len(s)-i), s[i])
			}
			for range dice.IntN(6) { // the SYN stays first: without it all this would be midway
				if i := 1 + dice.IntN(len(s)-1); i+1 < len(s) {
					s[i], s[i+1] = s[i+1], s[i]
				}
			}
			at := 0
			for _, p := range s { // mixed with the others, each in its order
				at += dice.IntN(len(all) - at + 1)
				all = slices.Insert(all, at, p)
				at++
			}
		}
		got, counts := readTCP(t, captured(t, inTurn(all...)...), f)
		for from, names := range want {
			var mine []Packet
			for _, p := range got {
				if p.From == from {
					mine = append(mine, p)
				}
			}
			if said(mine) != names {
				t.Fatalf("round %d, %v: got %s, want %s", round, f, said(mine), names)
			}
		}
		if notes := counts.Notes(); len(notes) > 0 {
			t.Fatalf("round %d: notes %q, want none", round, notes)
		}
	}
}

// TestStreamsInFragments has segments cut by the network a second time.
func TestStreamsInFragments(t *testing.T) {
	for _, f := range framings {
		var parts []part
		for _, p := range talk(desk, pawl, 7, framedAs(f, slices.Collect(slices.Chunk(slices.Concat(throw(5), throw(5)), len(throw(5))))...), framedAs(f, throw(6))) {
			for _, frame := range cut(p.bytes(t), 24) {
				parts = append(parts, part{frame: frame})
			}
		}
		got, counts := readTCP(t, captured(t, parts...), f)
		if said(got) != "5 5 6" || counts.Pieces == 0 {
			t.Errorf("%v: got %s, want 5 5 6; %+v", f, said(got), counts)
		}
	}
}

// TestOtherPeoplesTraffic has connections beside the desk's that hold no OSC.
// Nothing of them is handed on or worth a note.
func TestOtherPeoplesTraffic(t *testing.T) {
	dice := rand.New(rand.NewPCG(9, 10))
	noise := make([]byte, 20_000)
	for i := range noise {
		noise[i] = byte(dice.Uint32())
	}
	web := []byte("GET /index.html HTTP/1.1\r\nHost: harbour.example\r\n\r\n")
	for _, f := range framings {
		browser, shell := netip.MustParseAddrPort("192.0.2.77:443"), netip.MustParseAddrPort("192.0.2.78:22")
		all := inTurn(slices.Concat(talk(browser, pawl, 1, web, noise[:9000]), talk(shell, pawl, 1, noise[9000:])[1:],
			talk(desk, pawl, 1, framedAs(f, throw(1))))...)
		got, counts := readTCP(t, captured(t, all...), f)
		if said(got) != "1" || len(counts.Notes()) > 0 {
			t.Errorf("%v: got %d packets and notes %q, want the desk's only", f, len(got), counts.Notes())
		}
		none, counts := readTCP(t, captured(t, talk(browser, pawl, 1, web)...), f)
		want := fmt.Sprintf("the capture holds no UDP packets among its 2 records; 2 hold TCP, but no OSC packet framed by %v", f)
		if notes := strings.Join(counts.Notes(), "; "); len(none) > 0 || notes != want {
			t.Errorf("%v: %d packets and notes %q, want %q", f, len(none), notes, want)
		}
	}
}

// TestTCPIsReadOnlyIfAsked has UDP come through beside TCP either way.
func TestTCPIsReadOnlyIfAsked(t *testing.T) {
	tcp := talk(desk, pawl, 7, framedAs(wire.SLIP, throw(1)))
	udp := part{frame: peerDatagram(t, Packet{From: desk, To: pawl, Data: throw(2)}, 1)}
	got, counts := readAll(t, bytes.NewReader(captured(t, inTurn(append(tcp, udp)...)...)))
	if said(got) != "2" || counts.TCP != 2 || len(counts.Notes()) > 0 {
		t.Errorf("unasked: got %s, want 2; %+v", said(got), counts)
	}
	if got, counts := readTCP(t, captured(t, inTurn(append(tcp, udp)...)...), wire.SLIP); said(got) != "1 2" {
		t.Errorf("asked: got %s, want 1 2; %+v", said(got), counts)
	}
	_, counts = readAll(t, bytes.NewReader(captured(t, tcp...)))
	want := "the capture holds no UDP packets among its 2 records; 2 hold TCP, which is read if the map names its transport, tcp-slip or tcp-length"
	if notes := strings.Join(counts.Notes(), "; "); notes != want {
		t.Errorf("notes %q, want %q", notes, want)
	}
}

// TestTruncatedSegments keeps what a length limit left of each segment.
func TestTruncatedSegments(t *testing.T) {
	for _, f := range framings {
		var file bytes.Buffer
		w := newClassic(t, &file, layers.LinkTypeRaw)
		for _, p := range talk(desk, pawl, 7, framedAs(f, throw(1), throw(2), throw(3)), framedAs(f, throw(4))) {
			b := p.bytes(t)
			kept := min(len(b), 40+len(framedAs(f, throw(1), throw(2)))+3)
			if err := w.WritePacket(gopacket.CaptureInfo{Timestamp: noon, CaptureLength: kept, Length: len(b)}, b[:kept]); err != nil {
				t.Fatal(err)
			}
		}
		got, counts := readTCP(t, file.Bytes(), f)
		if said(got) != "1 2 4" || counts.Truncated != 1 || counts.Gaps != 1 {
			t.Errorf("%v: got %s, want 1 2 4, one truncated and one gap; %+v", f, said(got), counts)
		}
	}
}

// TestStreamsBounded has far more connections than are followed, and one that
// holds back as much as it may. The desk, which keeps speaking, loses nothing.
func TestStreamsBounded(t *testing.T) {
	for _, f := range framings {
		var all []part
		desks := talk(desk, pawl, 7, framedAs(f, throw(0)))
		all = append(all, desks...)
		seq := desks[1].seq + uint32(len(desks[1].data))
		for i := range 3000 {
			from := netip.AddrPortFrom(netip.AddrFrom4([4]byte{10, 0, byte(i >> 8), byte(i)}), 80)
			all = append(all, part{from: from, to: pawl, seq: 9, syn: true}, part{from: from, to: pawl, seq: 100, data: numbered(1000)})
			if i%50 == 0 {
				data := framedAs(f, throw(i))
				all = append(all, part{from: desk, to: pawl, seq: seq, data: data})
				seq += uint32(len(data))
			}
		}
		r, err := NewReader(bytes.NewReader(captured(t, all...)))
		if err != nil {
			t.Fatal(err)
		}
		r.ReadTCP(f)
		n := 0
		for r.Next() {
			if r.Packet().From == desk {
				n++
			}
			if len(r.tcp.all) > maxStreams || len(r.tcp.between) != len(r.tcp.all) {
				t.Fatalf("%d streams are followed, want at most %d", len(r.tcp.all), maxStreams)
			}
		}
		if c := r.Counts(); n != 61 || c.Gaps+c.Midway > 0 {
			t.Errorf("%v: %d packets of the desk, want 61; %+v", f, n, c)
		}
	}
}

// TestHeldBytesAreBounded has a segment missing and so much after it that the
// wait is given up before its time.
func TestHeldBytesAreBounded(t *testing.T) {
	for _, f := range framings {
		s := talk(desk, pawl, 7, framedAs(f, throw(0)), framedAs(f, throw(1)))
		seq := s[2].seq + 10 // where the second packet is, and the gap
		for i := range maxHeld + 50 {
			data := framedAs(f, throw(i), bytes.Repeat([]byte("/abc"), 250))
			s = append(s, part{from: desk, to: pawl, seq: seq, data: data, at: time.Millisecond})
			seq += uint32(len(data))
		}
		s = slices.Delete(s, 2, 3)
		r, err := NewReader(bytes.NewReader(captured(t, s...)))
		if err != nil {
			t.Fatal(err)
		}
		r.ReadTCP(f)
		n, early := 0, false
		for r.Next() {
			n++
			early = early || n > 1 && !r.done
		}
		if c := r.Counts(); !early || c.Gaps != 1 || n < 2*maxHeld {
			t.Errorf("%v: %d packets, before the end of the file %v; %+v", f, n, early, c)
		}
	}
}

func BenchmarkStream(b *testing.B) {
	var segments [][]byte
	for i := range 100_000 {
		segments = append(segments, framedAs(wire.SLIP, throw(i%16)))
	}
	file := captured(b, talk(desk, pawl, 7, segments...)...)
	b.ReportAllocs()
	b.ResetTimer()
	for n := 0; n < b.N; {
		r, err := NewReader(bytes.NewReader(file))
		if err != nil {
			b.Fatal(err)
		}
		r.ReadTCP(wire.SLIP)
		for n < b.N && r.Next() {
			n++
		}
	}
}
