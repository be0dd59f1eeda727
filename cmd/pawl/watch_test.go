package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
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
	dir := houseIn(t, desk)
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

// houseIn is a folder with the house.yaml of Harbour Hall, of which this is the desk.
func houseIn(t *testing.T, desk string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	house := strings.NewReplacer("127.0.0.1:10700", desk, "127.0.0.1:10780", "127.0.0.1:0").Replace(string(practice.House()))
	for name, text := range map[string]string{"house.yaml": house, "harbour-hall.map.yaml": string(practice.MapFile())} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// TestWatchNamesWhatItPutAside: a damaged record stands under a name that is said at once, also
// before the desk is heard.
func TestWatchNamesWhatItPutAside(t *testing.T) {
	dir := houseIn(t, "127.0.0.1:9")
	record := filepath.Join(dir, "house.record")
	if err := recordEvenings(record); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(record, 100_000); err != nil {
		t.Fatal(err)
	}
	p := startPawl(t, "watch", filepath.Join(dir, "house.yaml"))
	aside := regexp.MustCompile(`the record was damaged and stands beside the new one as (\S+/house\.record\.damaged-[0-9-]+)`)
	for {
		line, err := p.stderr.ReadString('\n')
		if err != nil {
			t.Fatalf("it ended with %q, %v", line, err)
		}
		if said := aside.FindStringSubmatch(line); said != nil {
			if info, err := os.Stat(said[1]); err != nil || info.Size() != 100_000 {
				t.Errorf("there stands %v, %v", info, err)
			}
			return
		}
	}
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
