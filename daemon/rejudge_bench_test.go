package daemon

import (
	"bufio"
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/klauspost/compress/zstd"

	"pawl/daemon/capture"
	"pawl/daemon/practice"
	"pawl/daemon/store"
	"pawl/rules"
)

// BenchmarkRejudge judges ninety minutes again that are in the record, from a capture of
// the demo's desk, as a Folder compresses it and plain. It writes about 100 MB to the
// temporary folder.
func BenchmarkRejudge(b *testing.B) {
	const length = 90 * time.Minute
	folder := b.TempDir()
	sizes := map[string]int{}
	for _, ending := range []string{".pcapng", capture.Ending} {
		sizes[ending] = writeRejudged(b, filepath.Join(folder, "caught"+ending), length)
	}
	for _, c := range []struct{ name, ending string }{{"zstd", capture.Ending}, {"plain", ".pcapng"}} {
		path := filepath.Join(folder, c.name+".record")
		h := harbourHall(b)
		run := runOf(h, noonOfBench, "")
		run.Capture = "caught" + c.ending
		began := time.Now() // by the clock of that noon: a service left going on for days would be ended
		r := store.NewRecorder(path, store.Options{Wall: func() time.Time { return noonOfBench.Add(length + time.Since(began)) }})
		r.Begin(run)
		r.BeginService(0)
		for at := time.Duration(0); at <= length; at += time.Minute {
			r.Put(nil, []rules.Levels{{T: rules.Moment(at), Heard: true, Playing: 1}})
		}
		if err := r.Close(); err != nil {
			b.Fatal(err)
		}
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				out, err := Rejudge{Record: path, Limits: []byte("limits: {ratchet: {whisper: 2 dB}}")}.Run(b.Context(), 1)
				if err != nil || len(out.Otherwise[0].Entries) < int(length/time.Second)/2 {
					b.Fatal(err, len(out.Otherwise))
				}
			}
			b.ReportMetric(float64(sizes[c.ending])/1e6, "MB")
		})
	}
}

var noonOfBench = time.Date(2026, 11, 22, 12, 0, 0, 0, time.UTC)

// writeRejudged writes a capture, in a frame of each second if it is to be compressed,
// and gives its length.
func writeRejudged(b *testing.B, path string, length time.Duration) int {
	b.Helper()
	f, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	out := bufio.NewWriterSize(f, 1<<20)
	var blocks bytes.Buffer
	w, err := capture.NewWriter(&blocks, "a busy desk")
	if err != nil {
		b.Fatal(err)
	}
	z, err := zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderConcurrency(1))
	if err != nil {
		b.Fatal(err)
	}
	size := 0
	flush := func() {
		if err := w.Flush(); err != nil {
			b.Fatal(err)
		}
		data := blocks.Bytes()
		if filepath.Ext(path) == ".zst" {
			data = z.EncodeAll(data, nil)
		}
		n, err := out.Write(data)
		if err != nil {
			b.Fatal(err)
		}
		size += n
		blocks.Reset()
	}
	second := time.Duration(0)
	for at, data := range practice.Play(practice.HarbourHall(), practice.Harbour(), practice.Playing{Loop: true}) {
		if at > length {
			break
		}
		if at-second >= time.Second {
			second = at
			flush()
		}
		if err := w.Write(capture.Packet{At: noonOfBench.Add(at), From: aDesk, Data: data}); err != nil {
			b.Fatal(err)
		}
	}
	flush()
	if err := out.Flush(); err != nil {
		b.Fatal(err)
	}
	return size
}
