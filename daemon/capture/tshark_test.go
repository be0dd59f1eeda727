package capture

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/hypebeast/go-osc/osc"
)

// needPeer finds another program to hold ours against. Without it the test is
// skipped, except where PAWL_REQUIRE_PEERS=1 says that it must be there.
func needPeer(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err == nil {
		return path
	}
	if os.Getenv("PAWL_REQUIRE_PEERS") == "1" {
		t.Fatalf("%s is not installed, and PAWL_REQUIRE_PEERS=1 asks for it: %v", name, err)
	}
	t.Skipf("%s is not installed; this test holds our files against it", name)
	return ""
}

// seen is one line of what tshark should say about a packet, in the order of
// tsharkFields.
var tsharkFields = []string{"frame.time_epoch", "ip.src", "ipv6.src", "udp.srcport", "udp.dstport",
	"ip.checksum.status", "udp.checksum.status",
	"osc.message.header.path", "osc.message.header.format", "osc.message.int32", "osc.message.float", "osc.message.string", "osc.message.blob.data"}

// service is a stretch of traffic with every type that tshark knows how to
// print, and for each packet what it should print.
func service(t *testing.T, n int) (packets []Packet, want [][]string) {
	t.Helper()
	dice := rand.New(rand.NewPCG(5, 6))
	at := noon
	for i := range n {
		at = at.Add(time.Duration(dice.IntN(5_000_000)))
		input, level := int32(dice.IntN(16)+1), float32(dice.IntN(1000)-800)/8
		blob := make([]byte, 4*(1+dice.IntN(16)))
		for j := range blob {
			blob[j] = byte(dice.Uint32())
		}
		fader := osc.NewMessage(fmt.Sprintf("/in/%d/throw", input), level)
		name := osc.NewMessage("/name", input, "upright bass")
		meters := osc.NewMessage("/needles/in", blob)
		whole := osc.NewBundle(at)
		for _, m := range []*osc.Message{fader, name} {
			if err := whole.Append(m); err != nil {
				t.Fatal(err)
			}
		}
		number, real := strconv.Itoa(int(input)), strconv.FormatFloat(float64(level), 'g', -1, 32)
		kinds := []struct {
			m    interface{ MarshalBinary() ([]byte, error) }
			want []string
		}{
			{fader, []string{fader.Address, ",f", "", real, "", ""}},
			{name, []string{"/name", ",is", number, "", "upright bass", ""}},
			{meters, []string{"/needles/in", ",b", "", "", "", fmt.Sprintf("%x", blob)}},
			{whole, []string{fader.Address + "|/name", ",f|,is", number, real, "upright bass", ""}},
		}
		kind := kinds[i%len(kinds)]
		data, err := kind.m.MarshalBinary()
		if err != nil {
			t.Fatal(err)
		}
		p := Packet{At: at, From: desk, To: pawl, Data: data}
		line := []string{epoch(at), "192.0.2.10", "", "10700", "10701", "1", "1"} // 1: the checksum is good
		if i%5 == 0 {
			p.From, p.To = six, pwl6
			line = []string{epoch(at), "", "2001:db8::10", "10700", "10701", "", "1"}
		}
		packets, want = append(packets, p), append(want, append(line, kind.want...))
	}
	return packets, want
}

func epoch(at time.Time) string { return fmt.Sprintf("%d.%09d", at.Unix(), at.Nanosecond()) }

func tshark(t *testing.T, file []byte) [][]string {
	t.Helper()
	return tsharkPrints(t, file, tsharkFields, "--enable-heuristic", "osc_udp", "-o", "udp.try_heuristic_first:TRUE",
		"-o", "ip.check_checksum:TRUE", "-o", "udp.check_checksum:TRUE")
}

// tsharkPrints has tshark print fields of each record of a capture.
func tsharkPrints(t *testing.T, file []byte, fields []string, how ...string) [][]string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "service.pcapng")
	if err := os.WriteFile(path, file, 0o600); err != nil {
		t.Fatal(err)
	}
	args := append([]string{"-n", "-r", path, "-T", "fields", "-E", "separator=/t", "-E", "aggregator=|"}, how...)
	for _, f := range fields {
		args = append(args, "-e", f)
	}
	cmd := exec.Command(needPeer(t, "tshark"), args...)
	cmd.Env = append(os.Environ(), "HOME="+t.TempDir(), "TZ=UTC", "LC_ALL=C")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("tshark: %v\n%s", err, err.(*exec.ExitError).Stderr)
	}
	var lines [][]string
	for line := range strings.Lines(string(out)) {
		lines = append(lines, strings.Split(strings.TrimSuffix(line, "\n"), "\t"))
	}
	return lines
}

// TestTsharkAgrees writes a capture and has tshark take every message in it
// apart: times, addresses, checksums, OSC addresses, types and values.
func TestTsharkAgrees(t *testing.T) {
	needPeer(t, "tshark")
	packets, want := service(t, 500)
	got := tshark(t, record(t, packets...))
	if len(got) != len(want) {
		t.Fatalf("tshark saw %d packets, want %d", len(got), len(want))
	}
	for i := range want {
		for j, field := range tsharkFields {
			if g, w := got[i][j], want[i][j]; g != w && !sameNumber(field, g, w) {
				t.Fatalf("packet %d: %s %q, want %q", i, field, g, w)
			}
		}
	}
}

// sameNumber allows for a number being printed in another way, not for another
// number.
func sameNumber(field, got, want string) bool {
	if field != "osc.message.float" {
		return false
	}
	g, err1 := strconv.ParseFloat(got, 64)
	w, err2 := strconv.ParseFloat(want, 64)
	return err1 == nil && err2 == nil && g == w
}

// TestTsharkReadsTheLongest has the longest datagram of all in one record.
func TestTsharkReadsTheLongest(t *testing.T) {
	needPeer(t, "tshark")
	data, err := osc.NewMessage("/needles/in", numbered(65480)).MarshalBinary()
	if err != nil {
		t.Fatal(err)
	}
	got := tshark(t, record(t, Packet{noon, desk, pawl, data}))
	if len(got) != 1 || got[0][6] != "1" || got[0][12] != fmt.Sprintf("%x", numbered(65480)) {
		t.Errorf("tshark saw %d packets, want the whole blob of one and a good checksum", len(got))
	}
}

// TestTsharkAgreesAboutStreams has tshark put TCP together too, from segments cut
// anywhere, some of them overtaken or sent again: the same packets at the same
// times, in both framings.
func TestTsharkAgreesAboutStreams(t *testing.T) {
	needPeer(t, "tshark")
	dice := rand.New(rand.NewPCG(11, 12))
	for _, f := range framings {
		var stream []byte
		for i := range 200 {
			stream = append(stream, framedAs(f, throw(i))...)
		}
		var segments [][]byte
		for len(stream) > 0 {
			n := min(len(stream), 1+dice.IntN(200))
			segments, stream = append(segments, stream[:n]), stream[n:]
		}
		s := talk(desk, pawl, 4_294_900_000, segments...)
		for i := 2; i+3 < len(s); i += 2 + dice.IntN(6) {
			s[i], s[i+1] = s[i+1], s[i]
			if i%3 == 0 {
				s = slices.Insert(s, i+2, s[i])
			}
		}
		file := captured(t, inTurn(s...)...)
		var want, got []string
		for _, line := range tsharkPrints(t, file, []string{"frame.time_epoch", "osc.message.header.path"},
			"-d", fmt.Sprintf("tcp.port==%d,osc", desk.Port()), "-o", "tcp.reassemble_out_of_order:TRUE") {
			for _, address := range strings.FieldsFunc(line[1], func(r rune) bool { return r == '|' }) {
				want = append(want, line[0]+" "+address)
			}
		}
		packets, _ := readTCP(t, file, f)
		for _, p := range packets {
			address, _, _ := strings.Cut(string(p.Data), "\x00")
			got = append(got, epoch(p.At)+" "+address)
		}
		if len(want) != 200 || !slices.Equal(got, want) {
			t.Errorf("%v: tshark found %d packets and we %d of 200, or not the same", f, len(want), len(got))
			for i := range min(len(got), len(want)) {
				if got[i] != want[i] {
					t.Errorf("first difference: %s, and tshark %s", got[i], want[i])
					break
				}
			}
		}
	}
}
