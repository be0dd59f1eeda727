package capture

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/gopacket/gopacket"
	"github.com/gopacket/gopacket/layers"
	"github.com/gopacket/gopacket/pcapgo"
)

var mac = []byte{2, 0, 0, 0, 0, 1}

// framed is a datagram as it is captured on a link of the given type.
func framed(t testing.TB, link layers.LinkType, p Packet) []byte {
	t.Helper()
	ip, kind, family := gopacket.Payload(peerDatagram(t, p, 1)), layers.EthernetTypeIPv4, uint32(2)
	if p.From.Addr().Is6() {
		kind, family = layers.EthernetTypeIPv6, 10
	}
	switch link {
	case layers.LinkTypeEthernet:
		// Ethernet pads a short frame to 60 bytes; the padding is no payload.
		return serialize(t, &layers.Ethernet{SrcMAC: mac, DstMAC: mac, EthernetType: kind}, ip)
	case layers.LinkTypeLinuxSLL:
		f := append([]byte{0, 0, 0, 1, 0, 6}, mac...)
		f = binary.BigEndian.AppendUint16(append(f, 0, 0), uint16(kind))
		return peerSees(t, layers.LayerTypeLinuxSLL, append(f, ip...))
	case layers.LinkTypeLinuxSLL2:
		f := binary.BigEndian.AppendUint16(nil, uint16(kind))
		f = append(f, 0, 0, 0, 0, 0, 2, 0, 1, 0, 6)
		return peerSees(t, layers.LayerTypeLinuxSLL2, append(append(append(f, mac...), 0, 0), ip...))
	case layers.LinkTypeNull:
		return append(binary.LittleEndian.AppendUint32(nil, family), ip...)
	case layers.LinkTypeLoop:
		return append(binary.BigEndian.AppendUint32(nil, family), ip...)
	}
	return ip
}

// peerSees hands a frame on once gopacket has found a UDP datagram in it: it can
// read these headers but not write them, so the bytes above are our own.
func peerSees(t testing.TB, first gopacket.LayerType, frame []byte) []byte {
	t.Helper()
	if gopacket.NewPacket(frame, first, gopacket.NoCopy).Layer(layers.LayerTypeUDP) == nil {
		t.Fatalf("the peer finds no datagram in % x", frame)
	}
	return frame
}

// classic is a pcap file with one record for each frame, a millisecond apart.
func classic(t testing.TB, link layers.LinkType, frames ...[]byte) []byte {
	t.Helper()
	var file bytes.Buffer
	w := newClassic(t, &file, link)
	for i, f := range frames {
		info := gopacket.CaptureInfo{Timestamp: noon.Add(time.Duration(i) * time.Millisecond), CaptureLength: len(f), Length: len(f)}
		if err := w.WritePacket(info, f); err != nil {
			t.Fatal(err)
		}
	}
	return file.Bytes()
}

func newClassic(t testing.TB, file io.Writer, link layers.LinkType) *pcapgo.Writer {
	t.Helper()
	w := pcapgo.NewWriterNanos(file)
	if err := w.WriteFileHeader(1<<18, link); err != nil {
		t.Fatal(err)
	}
	return w
}

func TestLinkTypes(t *testing.T) {
	links := []struct {
		name string
		link layers.LinkType
	}{
		{"Ethernet", layers.LinkTypeEthernet}, {"Linux cooked", layers.LinkTypeLinuxSLL},
		{"Linux cooked 2", layers.LinkTypeLinuxSLL2}, {"null", layers.LinkTypeNull}, {"loop", layers.LinkTypeLoop},
		{"raw", layers.LinkTypeRaw}, {"raw, old number", 12}, {"IPv4 or 6", layers.LinkTypeIPv4},
	}
	for _, l := range links {
		for _, p := range []Packet{{noon, desk, pawl, []byte("/a\x00\x00")}, {noon, six, pwl6, []byte("/a\x00\x00")}} {
			t.Run(fmt.Sprintf("%s from %v", l.name, p.From), func(t *testing.T) {
				got, counts := readAll(t, bytes.NewReader(classic(t, l.link, framed(t, l.link, p))))
				if len(got) != 1 || !samePacket(got[0], p) {
					t.Errorf("got %v, want %v; %+v", got, p, counts)
				}
			})
		}
	}
}

func TestVLANTags(t *testing.T) {
	want := Packet{noon, desk, pawl, []byte("/a\x00\x00")}
	ip := gopacket.Payload(peerDatagram(t, want, 1))
	tag := func(id uint16, next layers.EthernetType) *layers.Dot1Q {
		return &layers.Dot1Q{VLANIdentifier: id, Type: next}
	}
	one := serialize(t, &layers.Ethernet{SrcMAC: mac, DstMAC: mac, EthernetType: layers.EthernetTypeDot1Q},
		tag(10, layers.EthernetTypeIPv4), ip)
	two := serialize(t, &layers.Ethernet{SrcMAC: mac, DstMAC: mac, EthernetType: layers.EthernetTypeQinQ},
		tag(20, layers.EthernetTypeDot1Q), tag(10, layers.EthernetTypeIPv4), ip)
	got, counts := readAll(t, bytes.NewReader(classic(t, layers.LinkTypeEthernet, one, two)))
	if len(got) != 2 || string(got[0].Data) != "/a\x00\x00" || string(got[1].Data) != "/a\x00\x00" {
		t.Errorf("got %v, want both; %+v", got, counts)
	}
}

// TestManyInterfaces has one file hold frames of three link types, as capturing
// tools write when told to listen everywhere.
func TestManyInterfaces(t *testing.T) {
	var file bytes.Buffer
	w, err := pcapgo.NewNgWriter(&file, layers.LinkTypeEthernet)
	if err != nil {
		t.Fatal(err)
	}
	links := []layers.LinkType{layers.LinkTypeEthernet, layers.LinkTypeLinuxSLL2, layers.LinkTypeRaw, 147 /* a private one */}
	for i, link := range links {
		if i > 0 {
			if _, err := w.AddInterface(pcapgo.NgInterface{LinkType: link}); err != nil {
				t.Fatal(err)
			}
		}
		f := framed(t, link, Packet{From: desk, To: pawl, Data: []byte{byte(i)}})
		if err := w.WritePacket(gopacket.CaptureInfo{Timestamp: noon, InterfaceIndex: i, CaptureLength: len(f), Length: len(f)}, f); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	got, counts := readAll(t, &file)
	if len(got) != 3 {
		t.Errorf("got %d packets, want 3", len(got))
	}
	if counts.Other != 1 || counts.UnknownLink != 1 {
		t.Errorf("counts %+v, want one of an unknown link", counts)
	}
}

func TestRecordsWithoutADatagram(t *testing.T) {
	p := Packet{noon, desk, pawl, []byte("/a\x00\x00,i\x00\x00\x00\x00\x00\x01")}
	good, good6 := peerDatagram(t, p, 1), peerDatagram(t, Packet{noon, six, pwl6, p.Data}, 1)
	change := func(b []byte, at int, v byte) []byte {
		b = bytes.Clone(b)
		b[at] = v
		return b
	}
	tests := []struct {
		name  string
		frame []byte
		want  Counts
	}{
		{"empty", nil, Counts{Other: 1}},
		{"TCP", change(good, 9, 6), Counts{Other: 1, TCP: 1}},
		{"TCP in IPv6", change(good6, 6, 6), Counts{Other: 1, TCP: 1}},
		{"no version of IP", change(good, 0, 0x55), Counts{Other: 1}},
		{"IPv4 header cut", good[:19], Counts{Malformed: 1}},
		{"IPv4 header length below 20", change(good, 0, 0x44), Counts{Malformed: 1}},
		{"IPv4 total below its header", change(change(good, 2, 0), 3, 19), Counts{Malformed: 1}},
		{"IPv4 shorter than it says", good[:len(good)-1], Counts{Malformed: 1}},
		{"UDP length over the packet", change(good, 24, 0xff), Counts{Malformed: 1}},
		{"UDP length below its header", change(change(good, 24, 0), 25, 7), Counts{Malformed: 1}},
		{"UDP header cut", change(good, 3, 27)[:27], Counts{Malformed: 1}},
		{"IPv6 header cut", good6[:39], Counts{Malformed: 1}},
		{"IPv6 shorter than it says", good6[:len(good6)-1], Counts{Malformed: 1}},
		{"IPv6 with ICMP", change(good6, 6, 58), Counts{Other: 1}},
		{"IPv6 options past the end", change(change(good6, 6, 60), 41, 200), Counts{Malformed: 1}},
		{"no length: left to the card", change(change(good, 2, 0), 3, 0), Counts{Packets: 1}},
		{"padding after the packet", append(change(change(good, 24, 0), 25, 0), 9, 9), Counts{Packets: 1}},
		{"padding after the packet, IPv6", append(change(change(good6, 44, 0), 45, 0), 9, 9), Counts{Packets: 1}},
		{"padding inside the packet", append(change(good, 3, good[3]+2), 9, 9), Counts{Packets: 1}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, counts := readAll(t, bytes.NewReader(classic(t, layers.LinkTypeRaw, tt.frame)))
			tt.want.Records, counts.last = 1, time.Time{}
			if counts != tt.want {
				t.Errorf("counts %+v, want %+v", counts, tt.want)
			}
			if len(got) == 1 && !bytes.Equal(got[0].Data, p.Data) {
				t.Errorf("data %q, want %q", got[0].Data, p.Data)
			}
		})
	}
}

func TestIPv6Extensions(t *testing.T) {
	plain := peerDatagram(t, Packet{noon, six, pwl6, []byte("abcd")}, 1)
	header, body := bytes.Clone(plain[:40]), plain[40:]
	header[6] = 0                              // hop-by-hop options first
	header[5] += 24                            // the length of what follows
	hops := []byte{44, 0, 1, 4, 0, 0, 0, 0}    // then a fragment header,
	atomic := []byte{60, 0, 0, 0, 0, 0, 0, 9}  // which holds the whole,
	options := []byte{17, 0, 1, 4, 0, 0, 0, 0} // destination options first
	frame := bytes.Join([][]byte{header, hops, atomic, options, body}, nil)
	got, counts := readAll(t, bytes.NewReader(classic(t, layers.LinkTypeRaw, frame)))
	if len(got) != 1 || string(got[0].Data) != "abcd" {
		t.Errorf("got %v, want one packet; %+v", got, counts)
	}
}

func TestTruncatedRecords(t *testing.T) {
	frame := peerDatagram(t, Packet{noon, desk, pawl, make([]byte, 100)}, 1)
	var file bytes.Buffer
	w := pcapgo.NewWriter(&file)
	if err := w.WriteFileHeader(96, layers.LinkTypeRaw); err != nil {
		t.Fatal(err)
	}
	if err := w.WritePacket(gopacket.CaptureInfo{Timestamp: noon, CaptureLength: 96, Length: len(frame)}, frame[:96]); err != nil {
		t.Fatal(err)
	}
	got, counts := readAll(t, &file)
	if len(got) != 0 || counts.Truncated != 1 {
		t.Errorf("got %d packets, %+v; want one truncated", len(got), counts)
	}
	want := "1 records were cut by the capturing tool; capture again without a length limit"
	if notes := counts.Notes(); len(notes) == 0 || notes[0] != want {
		t.Errorf("notes %q, want %q", notes, want)
	}
}

// TestPowerCut ends a file at every byte of its last record.
func TestPowerCut(t *testing.T) {
	one, two := Packet{noon, desk, pawl, []byte("first")}, Packet{noon.Add(1), desk, pawl, []byte("second")}
	files := []struct {
		name        string
		short, long []byte
	}{
		{"pcapng", record(t, one), record(t, one, two)},
		{"pcap", classic(t, layers.LinkTypeRaw, peerDatagram(t, one, 1)),
			classic(t, layers.LinkTypeRaw, peerDatagram(t, one, 1), peerDatagram(t, two, 2))},
	}
	for _, f := range files {
		t.Run(f.name, func(t *testing.T) {
			for n := len(f.short); n < len(f.long); n++ {
				got, counts := readAll(t, bytes.NewReader(f.long[:n]))
				if len(got) != 1 || string(got[0].Data) != "first" {
					t.Fatalf("cut at %d: got %v, want the first packet", n, got)
				}
				if want := n > len(f.short); counts.CutShort != want {
					t.Errorf("cut at %d of %d: CutShort %v, want %v", n, len(f.long), counts.CutShort, want)
				}
			}
			// A file system may have made room it never came to fill.
			_, counts := readAll(t, bytes.NewReader(append(bytes.Clone(f.short), make([]byte, 16)...)))
			if f.name == "pcapng" && !counts.CutShort {
				t.Error("zeros at the end: CutShort false, want true")
			}
		})
	}
}

// TestDamagedInTheMiddle overwrites the head of a record behind which others stand: that is no
// end, and is not told as one.
func TestDamagedInTheMiddle(t *testing.T) {
	one, two := Packet{noon, desk, pawl, []byte("first")}, Packet{noon.Add(1), desk, pawl, []byte("second")}
	whole := record(t, one, two, two)
	for name, with := range map[string]byte{"zeros": 0, "noise": 0xa7} {
		t.Run(name, func(t *testing.T) {
			file := bytes.Clone(whole)
			copy(file[len(record(t, one)):], bytes.Repeat([]byte{with}, 20))
			got, counts := readAll(t, bytes.NewReader(file))
			if len(got) != 1 || string(got[0].Data) != "first" {
				t.Fatalf("got %v, want the first packet", got)
			}
			if notes := strings.Join(counts.Notes(), ""); counts.CutShort || notes != "the file is damaged after record 1, and what comes after cannot be read" {
				t.Errorf("%+v, and it is said %q", counts, notes)
			}
		})
	}
}

func TestClassicForms(t *testing.T) {
	ip := peerDatagram(t, Packet{noon, desk, pawl, []byte("abcd")}, 1)
	build := func(order binary.AppendByteOrder, magic uint32, fraction int) []byte {
		b := order.AppendUint32(nil, magic)
		b = order.AppendUint16(b, 2)
		b = order.AppendUint16(b, 4)
		for _, v := range []int{0, 0, 1 << 16, int(layers.LinkTypeRaw), int(noon.Unix()), fraction, len(ip), len(ip)} {
			b = order.AppendUint32(b, uint32(v))
		}
		return append(b, ip...)
	}
	tests := []struct {
		name string
		file []byte
		want time.Time
	}{
		{"microseconds, little end first", build(binary.LittleEndian, 0xa1b2c3d4, 123456), noon.Truncate(time.Microsecond)},
		{"microseconds, big end first", build(binary.BigEndian, 0xa1b2c3d4, 123456), noon.Truncate(time.Microsecond)},
		{"nanoseconds, little end first", build(binary.LittleEndian, 0xa1b23c4d, 123456789), noon},
		{"nanoseconds, big end first", build(binary.BigEndian, 0xa1b23c4d, 123456789), noon},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, _ := readAll(t, bytes.NewReader(tt.file))
			if len(got) != 1 || !got[0].At.Equal(tt.want) {
				t.Errorf("got %v, want one at %v", got, tt.want)
			}
		})
	}
}

func TestCompressed(t *testing.T) {
	var file bytes.Buffer
	z := gzip.NewWriter(&file)
	if _, err := z.Write(record(t, Packet{noon, desk, pawl, []byte("abcd")})); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	whole := file.Bytes()
	if got, _ := readAll(t, bytes.NewReader(whole)); len(got) != 1 {
		t.Errorf("got %d packets, want 1", len(got))
	}
	if _, counts := readAll(t, bytes.NewReader(whole[:len(whole)-20])); !counts.CutShort {
		t.Error("end missing: CutShort false, want true")
	}
}

func TestTimeNeverRunsBackwards(t *testing.T) {
	const hour = 3600_000
	tests := []struct {
		name               string
		written, want      []int // milliseconds
		backwards, setBack uint64
	}{
		{"overtaken", []int{5, 3, 6}, []int{5, 5, 6}, 1, 0},
		{"overtaken by two seconds", []int{5, -1995, 6}, []int{5, 5, 6}, 1, 0},
		{"set back by an hour", []int{5, -hour, -hour + 10, -hour + 9, -hour + 20}, []int{5, 5, 15, 15, 25}, 1, 1},
		{"set back twice", []int{5, -hour, -hour + 10, -2 * hour, -2*hour + 10}, []int{5, 5, 15, 15, 25}, 0, 2},
		{"one wrong time", []int{5, -hour, 7, 9}, []int{5, 5, 7, 9}, 0, 1},
		{"set back and put right", []int{5, -hour, -hour + 10, 17, 20}, []int{5, 5, 15, 17, 20}, 0, 1},
		{"set back and then a pause", []int{5, -hour, -hour + 10, -hour + 9000}, []int{5, 5, 15, 9005}, 0, 1},
	}
	ip := peerDatagram(t, Packet{noon, desk, pawl, []byte("abcd")}, 1)
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var file bytes.Buffer
			w, err := pcapgo.NewNgWriter(&file, layers.LinkTypeRaw)
			if err != nil {
				t.Fatal(err)
			}
			for _, ms := range tt.written {
				info := gopacket.CaptureInfo{Timestamp: noon.Add(time.Duration(ms) * time.Millisecond), CaptureLength: len(ip), Length: len(ip)}
				if err := w.WritePacket(info, ip); err != nil {
					t.Fatal(err)
				}
			}
			if err := w.Flush(); err != nil {
				t.Fatal(err)
			}
			got, counts := readAll(t, &file)
			for i, ms := range tt.want {
				if want := noon.Add(time.Duration(ms) * time.Millisecond); !got[i].At.Equal(want) {
					t.Errorf("packet %d at %v, want %v", i, got[i].At, want)
				}
			}
			if counts.Backwards != tt.backwards || counts.SetBack != tt.setBack {
				t.Errorf("%d backwards and %d set back, want %d and %d", counts.Backwards, counts.SetBack, tt.backwards, tt.setBack)
			}
		})
	}
}

func TestNotACapture(t *testing.T) {
	tests := []struct{ name, file, want string }{
		{"empty", "", "open capture: the file is empty"},
		{"a text", "desk: Harbour Hall", "open capture: it begins with 64 65 73 6b, which is neither pcapng nor pcap"},
		{"three bytes", "abc", "open capture: it begins with 61 62 63, which"},
		{"pcap of another version", "\xd4\xc3\xb2\xa1" + strings.Repeat("\x09", 20), "open capture: its head cannot be read, so it is damaged or no capture: Unknown major version"},
		{"broken compression", "\x1f\x8bxx", "open capture: it ends before its first packet"},
		{"20 bytes of pcapng", "\x0a\x0d\x0d\x0a\x1c\x00\x00\x00\x4d\x3c\x2b\x1a\x01\x00\x00\x00\xff\xff\xff\xff", "open capture: it ends before its first packet"},
		{"20 bytes of pcap", "\xd4\xc3\xb2\xa1\x02\x00\x04\x00" + strings.Repeat("\x00", 12), "open capture: it ends before its first packet"},
		{"20 bytes of zstd", "\x28\xb5\x2f\xfd\x04\x00" + strings.Repeat("\x00", 14), "open capture: it"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := NewReader(strings.NewReader(tt.file)); err == nil || !strings.HasPrefix(err.Error(), tt.want) {
				t.Errorf("got %v, want %s…", err, tt.want)
			}
		})
	}
}

func TestFaultInTheMiddle(t *testing.T) {
	file := record(t, Packet{noon, desk, pawl, []byte("first")}, Packet{noon, desk, pawl, []byte("again")})
	at := len(record(t, Packet{noon, desk, pawl, []byte("first")}))
	file[at+8] = 7 // the second record's interface
	r, err := NewReader(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for r.Next() {
		n++
	}
	if err := r.Err(); n != 1 || err == nil || !strings.HasPrefix(err.Error(), "read capture: after record 1: ") {
		t.Errorf("%d packets and %v, want 1 and an error after record 1", n, err)
	}
	if r.Next() {
		t.Error("Next after the end: true, want false")
	}
}
