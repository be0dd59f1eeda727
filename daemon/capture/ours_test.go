package capture

import (
	"bytes"
	"net/netip"
	"testing"

	"github.com/hypebeast/go-osc/osc"
)

func TestOurs(t *testing.T) {
	tests := []struct {
		name   string
		beside netip.AddrPort
		want   string
	}{
		{"IPv4", desk, "192.0.0.8:7295"},
		{"IPv6", six, "[100::8]:7295"},
		{"mapped", netip.MustParseAddrPort("[::ffff:192.0.2.10]:10700"), "192.0.0.8:7295"},
		{"a zone", netip.MustParseAddrPort("[fe80::1%eth0]:10700"), "[100::8]:7295"},
		{"none", netip.AddrPort{}, "192.0.0.8:7295"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			from := Ours(tt.beside)
			if from.String() != tt.want || !IsOurs(Packet{From: from}) {
				t.Errorf("got %v, want %s", from, tt.want)
			}
			if IsOurs(Packet{From: tt.beside}) || IsOurs(Packet{From: netip.AddrPortFrom(from.Addr(), 1)}) {
				t.Errorf("%v counts as ours", tt.beside)
			}
			// The end that a daemon listens at is often unspecified.
			got, _ := readAll(t, bytes.NewReader(record(t, Packet{noon, from, netip.AddrPort{}, []byte("/abc")})))
			if len(got) != 1 || !IsOurs(got[0]) {
				t.Errorf("read back: %v", got)
			}
		})
	}
}

// TestTsharkShowsOurs has a packet tool show a press between two faders.
func TestTsharkShowsOurs(t *testing.T) {
	needPeer(t, "tshark")
	message := func(address string, args ...any) []byte {
		data, err := osc.NewMessage(address, args...).MarshalBinary()
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	for _, ends := range [][2]netip.AddrPort{{desk, pawl}, {six, pwl6}} {
		fader := Packet{noon, ends[0], ends[1], message("/in/1/throw", float32(0.5))}
		press := Packet{noon, Ours(ends[0]), ends[1], message("/pawl/seen", int32(17))}
		got := tshark(t, record(t, fader, press, fader))
		if len(got) != 3 {
			t.Fatalf("tshark saw %d packets, want 3", len(got))
		}
		var fields []string
		for _, i := range []int{1, 2, 3, 6, 7, 8, 9} { // see tsharkFields
			fields = append(fields, got[1][i])
		}
		want := []string{"192.0.0.8", "", "7295", "1", "/pawl/seen", ",i", "17"}
		if ends[0].Addr().Is6() {
			want[0], want[1] = "", "100::8"
		}
		for i := range want {
			if fields[i] != want[i] {
				t.Errorf("tshark shows %q, want %q", fields, want)
				break
			}
		}
	}
}
