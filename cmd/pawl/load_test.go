package main

import (
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"pawl/daemon/practice"
	"pawl/oscmap/wire"
)

// BenchmarkTwentyThousand sends a running `pawl watch` 20,000 packets a second for
// ten seconds, and reports how many it lost, what share of one core it used for
// all of it (receiving, mapping, judging, the page), and its memory. It wants
// Linux, for /proc, and is run by hand: go test ./cmd/pawl -run '^$' -bench Twenty
// -benchtime 1x
func BenchmarkTwentyThousand(b *testing.B) {
	const rate, seconds = 20_000, 10
	desk, err := net.ListenUDP("udp", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		b.Fatal(err)
	}
	defer desk.Close()
	dir := b.TempDir()
	house := strings.NewReplacer("127.0.0.1:10700", desk.LocalAddr().String(), "127.0.0.1:10780", "127.0.0.1:0").
		Replace(string(practice.House()))
	for name, text := range map[string]string{"house.yaml": house, "harbour-hall.map.yaml": string(practice.MapFile())} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		pawl := startPawl(b, "watch", filepath.Join(dir, "house.yaml"))
		page := pawl.page()
		_, to, err := desk.ReadFromUDPAddrPort(make([]byte, 1500))
		if err != nil {
			b.Fatal(err)
		}
		before := cpuOf(b, pawl.cmd.Process.Pid)
		began, pace := time.Now(), time.NewTicker(time.Millisecond)
		for sent := 0; sent < rate*seconds; {
			for due := int(time.Since(began).Seconds() * rate); sent < min(due, rate*seconds); sent++ {
				p, err := wire.AppendMessage(nil, "/in/"+strconv.Itoa(sent%16+1)+"/throw", 0.5+float32(sent%200)/1000)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := desk.WriteToUDPAddrPort(p, to); err != nil {
					b.Fatal(err)
				}
			}
			<-pace.C
		}
		took := time.Since(began)
		used := cpuOf(b, pawl.cmd.Process.Pid) - before
		pace.Reset(150 * time.Millisecond) // longer than the page's beat, at which the figures are renewed
		got := 0.0
		for last := -1.0; got != last; {
			last, got = got, metric(b, page, "pawl_packets_total")
			<-pace.C
		}
		pace.Stop()
		b.ReportMetric(float64(rate*seconds)-got, "lost")
		b.ReportMetric(100*used.Seconds()/took.Seconds(), "%core")
		b.ReportMetric(residentMiB(b, pawl.cmd.Process.Pid), "MiB")
		pawl.stop()
	}
}

func metric(b *testing.B, page, name string) float64 {
	b.Helper()
	answer, err := http.Get(page + "metrics")
	if err != nil {
		b.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		b.Fatal(err)
	}
	for line := range strings.Lines(string(body)) {
		if value, ok := strings.CutPrefix(line, name+" "); ok {
			v, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
			if err != nil {
				b.Fatal(err)
			}
			return v
		}
	}
	b.Fatalf("no metric %s", name)
	return 0
}

// cpuOf is the processor time a process has used: fields 14 and 15 of proc(5)'s
// stat, in hundredths of a second.
func cpuOf(b *testing.B, pid int) time.Duration {
	b.Helper()
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		b.Skip(err)
	}
	_, rest, _ := strings.Cut(string(stat), ") ")
	f := strings.Fields(rest)
	user, _ := strconv.Atoi(f[11])
	system, _ := strconv.Atoi(f[12])
	return time.Duration(user+system) * 10 * time.Millisecond
}

func residentMiB(b *testing.B, pid int) float64 {
	b.Helper()
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		b.Skip(err)
	}
	for line := range strings.Lines(string(status)) {
		if value, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kib, _ := strconv.ParseFloat(strings.Fields(value)[0], 64)
			return kib / 1024
		}
	}
	return 0
}
