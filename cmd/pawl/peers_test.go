package main

import (
	"bufio"
	"encoding/json"
	"io"
	"net"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func practiceAddr(port uint16) netip.AddrPort {
	return netip.AddrPortFrom(netip.AddrFrom4([4]byte{127, 0, 0, 1}), port)
}

// peer finds a program that is not ours, or skips; in CI, which installs it, a
// missing one is a failure.
func peer(t *testing.T, name, from string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err == nil {
		return path
	}
	if os.Getenv("PAWL_REQUIRE_PEERS") != "" {
		t.Fatalf("%s is required here: install Debian's %s", name, from)
	}
	t.Skipf("%s is not installed (Debian's %s)", name, from)
	return ""
}

// pawlProcess is the program itself, running beside the test.
type pawlProcess struct {
	t      testing.TB
	cmd    *exec.Cmd
	stdout *bufio.Reader
	stderr *bufio.Reader
}

// startPawl runs the program until the test ends, which interrupts it and wants a
// clean end.
func startPawl(t testing.TB, args ...string) *pawlProcess {
	t.Helper()
	// testscript.Main makes this test binary be pawl under that name.
	cmd := exec.CommandContext(t.Context(), pawlBinary(t), args...)
	cmd.Env = append(os.Environ(), "TMPDIR="+t.TempDir()) // where the demo keeps its record, also if it is killed
	cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) }
	stdout, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	stderr, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	p := &pawlProcess{t, cmd, bufio.NewReader(stdout), bufio.NewReader(stderr)}
	t.Cleanup(p.stop)
	return p
}

func pawlBinary(t testing.TB) string {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(t.TempDir(), "pawl")
	if err := os.Symlink(self, link); err != nil {
		t.Fatal(err)
	}
	return link
}

// stop interrupts the program, if it has not been stopped yet, and wants exit 0.
func (p *pawlProcess) stop() {
	p.t.Helper()
	if p.cmd.ProcessState != nil {
		return
	}
	p.cmd.Process.Signal(syscall.SIGINT)
	rest, _ := io.ReadAll(p.stderr)
	io.Copy(io.Discard, p.stdout)
	if err := p.cmd.Wait(); err != nil && p.t.Context().Err() == nil {
		p.t.Errorf("pawl ended with %v; stderr %s", err, rest)
	}
}

// page is the address that the program printed.
func (p *pawlProcess) page() string {
	p.t.Helper()
	for {
		line, err := p.stderr.ReadString('\n')
		if err != nil {
			p.t.Fatalf("no page address: %v", err)
		}
		for _, word := range strings.Fields(line) {
			if strings.HasPrefix(word, "http://") {
				return word
			}
		}
	}
}

// finding is the next finding of --json.
func (p *pawlProcess) finding() (f struct {
	Entry, Rule, State string
	Inputs             []string
	Figures            struct {
		Faders float64 `json:"faders_db"`
	}
}) {
	p.t.Helper()
	for f.Entry != "finding" {
		line, err := p.stdout.ReadBytes('\n')
		if err != nil {
			p.t.Fatalf("no finding: %v", err)
		}
		if err := json.Unmarshal(line, &f); err != nil {
			p.t.Fatalf("%s: %v", line, err)
		}
	}
	return f
}

// TestOscsend has liblo's oscsend, which shares no code with us, be the desk: it
// sets four faders, raises three of them, and a running `pawl watch` finds that.
func TestOscsend(t *testing.T) {
	oscsend := peer(t, "oscsend", "liblo-tools")
	dir := t.TempDir()
	hear, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	listen := hear.LocalAddr().String()
	hear.Close()
	for name, text := range map[string]string{
		"house.yaml": `
house: A hall
desk: {address: "127.0.0.1:9", map: map.yaml, listen: "` + listen + `", any-port: yes}
roster:
  inputs: {1: {name: piano}, 2: {name: harp}, 3: {name: horn}, 4: {name: lead voice}}
limits: {ratchet: {whisper: 1 dB}}
page: {listen: "127.0.0.1:0"}
`,
		"map.yaml": `
desk: oscsend
link: {transport: udp}
signals:
  - {hear: "/in/{input:1-4}/throw", is: input.fader, value: {arg: 0, unit: dB}}
`,
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	pawl := startPawl(t, "watch", filepath.Join(dir, "house.yaml"), "--json")
	pawl.page()
	_, port, _ := net.SplitHostPort(listen)
	send := func(address, db string) {
		t.Helper()
		if out, err := exec.Command(oscsend, "127.0.0.1", port, address, "f", db).CombinedOutput(); err != nil {
			t.Fatalf("oscsend: %v %s", err, out)
		}
	}
	for _, in := range []string{"1", "2", "3", "4"} {
		send("/in/"+in+"/throw", "-10")
	}
	for _, in := range []string{"1", "2", "3"} {
		send("/in/"+in+"/throw", "-6")
	}
	f := pawl.finding()
	if f.Rule != "ratchet" || strings.Join(f.Inputs, " ") != "piano harp horn" || f.Figures.Faders < 3 || f.Figures.Faders > 4 {
		t.Errorf("found %+v, want a ratchet of piano, harp and horn, by 3 to 4 dB", f)
	}
}
