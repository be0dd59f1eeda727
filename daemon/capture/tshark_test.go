package capture

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
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
		line := []string{epoch(at), "192.0.2.10", "", "10700", "9000", "1", "1"} // 1: the checksum is good
		if i%5 == 0 {
			p.From, p.To = six, pwl6
			line = []string{epoch(at), "", "2001:db8::10", "10700", "9000", "", "1"}
		}
		packets, want = append(packets, p), append(want, append(line, kind.want...))
	}
	return packets, want
}

func epoch(at time.Time) string { return fmt.Sprintf("%d.%09d", at.Unix(), at.Nanosecond()) }

func tshark(t *testing.T, file []byte) [][]string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "service.pcapng")
	if err := os.WriteFile(path, file, 0o600); err != nil {
		t.Fatal(err)
	}
	args := []string{"-n", "-r", path, "--enable-heuristic", "osc_udp", "-o", "udp.try_heuristic_first:TRUE", "-o", "ip.check_checksum:TRUE", "-o", "udp.check_checksum:TRUE",
		"-T", "fields", "-E", "separator=/t", "-E", "aggregator=|"}
	for _, f := range tsharkFields {
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
