package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/practice"
	"pawl/oscmap/wire"
)

// BenchmarkReplayFile judges a captured service of ninety minutes at 600 messages
// a second, as `pawl replay` does for a person: the whole process, from opening the
// file to the summary. It tells the processor time too, which a machine that others use
// leaves nearly as it is. It writes about 300 MB to the temporary folder and is run by
// hand: go test ./cmd/pawl -run '^$' -bench ReplayFile -benchtime 3x
func BenchmarkReplayFile(b *testing.B) {
	const rate, length = 600, 90 * time.Minute
	dir := b.TempDir()
	for name, text := range map[string][]byte{"house.yaml": practice.House(), "harbour-hall.map.yaml": practice.MapFile()} {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o644); err != nil {
			b.Fatal(err)
		}
	}
	file := filepath.Join(dir, "service.pcapng")
	writeService(b, file, int(length/time.Second)*rate, rate)
	pawl := pawlBinary(b)
	var busy time.Duration
	for b.Loop() {
		replay := exec.Command(pawl, "replay", filepath.Join(dir, "house.yaml"), file, "--json")
		out, err := replay.Output()
		if err != nil {
			b.Fatal(err)
		}
		busy += replay.ProcessState.UserTime() + replay.ProcessState.SystemTime()
		var last struct {
			Summary struct{ Messages int }
		}
		lines := bytes.Split(bytes.TrimSpace(out), []byte("\n"))
		if err := json.Unmarshal(lines[len(lines)-1], &last); err != nil || last.Summary.Messages != int(length/time.Second)*rate {
			b.Fatalf("%v: %s", err, lines[len(lines)-1])
		}
	}
	messages := length.Seconds() * rate * float64(b.N)
	b.ReportMetric(messages/b.Elapsed().Seconds(), "msgs/s")
	b.ReportMetric(busy.Seconds()/messages*1e6, "cpu-s/Mmsgs")
}

// writeService writes a busy desk: levels, and one fader or another in motion.
func writeService(b *testing.B, file string, n, rate int) {
	b.Helper()
	f, err := os.Create(file)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	buffered := bufio.NewWriterSize(f, 1<<20)
	w, err := capture.NewWriter(buffered, "a busy desk")
	if err != nil {
		b.Fatal(err)
	}
	began := time.Date(2026, 11, 22, 10, 0, 0, 0, time.UTC)
	p := capture.Packet{From: practiceAddr(10700), To: practiceAddr(10701)}
	for i := range n {
		if i%3 == 0 {
			p.Data, err = wire.AppendMessage(p.Data[:0], "/in/"+strconv.Itoa(i/rate%16+1)+"/throw", 0.6+0.1*float32(i%rate)/float32(rate))
		} else {
			p.Data, err = wire.AppendMessage(p.Data[:0], "/needles/whole", -18+float32(i%7))
		}
		if err != nil {
			b.Fatal(err)
		}
		p.At = began.Add(time.Duration(i) * time.Second / time.Duration(rate))
		if err := w.Write(p); err != nil {
			b.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		b.Fatal(err)
	}
	if err := buffered.Flush(); err != nil {
		b.Fatal(err)
	}
}
