package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"pawl/daemon/capture"
	"pawl/daemon/practice"
)

// TestCaptureNamesItsFile: at its end, with as many packets as are in it.
func TestCaptureNamesItsFile(t *testing.T) {
	file, said := captureFrom(t, deskOfTheDemo(t, 1), true)
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	in, err := capture.NewReader(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	held := uint64(0)
	for in.Next() {
		held++
	}
	if want := fmt.Sprintf("Wrote %s: %s packets\n", file, grouped(held)); held < 2 || !strings.HasSuffix(said, want) {
		t.Errorf("said %s\nwant %q at the end", said, want)
	}

	file, said = captureFrom(t, "127.0.0.1:9", false)
	if want := fmt.Sprintf("Wrote %s: no packet of the desk came\n", file); !strings.HasSuffix(said, want) {
		t.Errorf("of a silent desk it said %s\nwant %q at the end", said, want)
	}
}

// captureFrom runs pawl capture until it has said something of the desk, if that talks,
// and gives the file and what the program said on stderr from its beginning to its end.
func captureFrom(t *testing.T, desk string, talks bool) (file, said string) {
	t.Helper()
	dir := t.TempDir()
	house := strings.Replace(string(practice.House()), "127.0.0.1:10700", desk, 1)
	house = strings.Replace(house, "127.0.0.1:10780", "127.0.0.1:0", 1)
	for name, text := range map[string]string{"house.yaml": house, "harbour-hall.map.yaml": string(practice.MapFile())} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	file = filepath.Join(dir, "service.pcapng")
	p := startPawl(t, "capture", filepath.Join(dir, "house.yaml"), "-o", file, "--json")
	p.page()
	if talks {
		if _, err := p.stdout.ReadString('\n'); err != nil {
			t.Fatal(err)
		}
	}
	if err := p.cmd.Process.Signal(syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	rest, err := io.ReadAll(p.stderr)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := io.Copy(io.Discard, p.stdout); err != nil {
		t.Fatal(err)
	}
	if err := p.cmd.Wait(); err != nil {
		t.Errorf("pawl ended with %v", err)
	}
	return file, string(rest)
}

// TestDemoSaysWhatItBuildsUp: at once, and before the address.
func TestDemoSaysWhatItBuildsUp(t *testing.T) {
	p := startPawl(t, "demo", "--port", "0")
	line, err := p.stderr.ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	if want := "Building up the record of 8 earlier weeks;"; !strings.HasPrefix(line, want) {
		t.Errorf("first said %q, want %q", line, want)
	}
	p.page()
}

func TestGrouped(t *testing.T) {
	for n, want := range map[uint64]string{0: "0", 999: "999", 1000: "1,000", 1234567: "1,234,567"} {
		if got := grouped(n); got != want {
			t.Errorf("%d is %s, want %s", n, got, want)
		}
	}
}
