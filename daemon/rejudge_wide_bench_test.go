//go:build unix

package daemon

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/house"
	"pawl/daemon/practice"
	"pawl/daemon/store"
	"pawl/rules"
)

// BenchmarkRejudgeWide is the question "what would other limits have said?" as a page asks
// it, of ninety minutes of the largest desk that is asked of us: 64 inputs, of which 51 play, 8
// groups, 20 meters a second, from the record and the capture that a service leaves. Beside
// the time it tells the seconds of a processor, which others on the machine disturb less. It
// writes about 40 MB to the temporary folder.
func BenchmarkRejudgeWide(b *testing.B) {
	record, megabytes := wideService(b, 90*time.Minute)
	d := Daemon{options: Options{Record: record}}
	var began, ended syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &began)
	b.ReportAllocs()
	for b.Loop() {
		c, err := d.otherwise(b.Context(), 1, []byte("limits: {ratchet: {whisper: 2 dB}}"))
		if err != nil {
			b.Fatal(err)
		}
		if c.Both < 10 || len(c.Notes) > 0 {
			b.Fatalf("%d findings in both, %q: this is no service", c.Both, c.Notes)
		}
	}
	syscall.Getrusage(syscall.RUSAGE_SELF, &ended)
	used := func(r syscall.Rusage) float64 { return float64(r.Utime.Nano()+r.Stime.Nano()) / 1e9 }
	b.ReportMetric(megabytes, "MB")
	b.ReportMetric((used(ended)-used(began))/float64(b.N), "cpu-s/op")
}

// wideService plays a service of Long Barn into a record with its capture.
func wideService(tb testing.TB, length time.Duration) (record string, megabytes float64) {
	tb.Helper()
	h, faults := house.Load(filepath.Join("..", "testdata", "halls", "long-barn.house.yaml"))
	if h == nil {
		tb.Fatal(faults)
	}
	script, err := practice.ParseScript("wide", []byte(wideScript(h, length)))
	if err != nil {
		tb.Fatal(err)
	}
	folder := tb.TempDir()
	record = filepath.Join(folder, "hall.record")
	caught, err := capture.Create(filepath.Join(folder, "caught"+capture.Ending), "wide")
	if err != nil {
		tb.Fatal(err)
	}
	run := runOf(h, noonOfBench, "")
	run.Capture = "caught" + capture.Ending
	began := time.Now() // by the clock of that noon: a service left going on for days would be ended
	r := store.NewRecorder(record, store.Options{Wall: func() time.Time { return noonOfBench.Add(length + time.Since(began)) }})
	r.Begin(run)
	r.BeginService(0)
	e := newRecording(h, true)
	var entries []rules.Entry
	var levels []rules.Levels
	second := time.Duration(0)
	for at, packet := range practice.Play(script, practice.Harbour(), practice.Playing{}) {
		if err := caught.Put(capture.Packet{At: noonOfBench.Add(at), From: aDesk, Data: packet}); err != nil {
			tb.Fatal(err)
		}
		if e.packet(at, packet); at-second < time.Second {
			continue
		}
		second = at
		entries, levels = e.judge.Take(entries), e.judge.TakeLevels(levels)
		r.Put(entries, levels)
		if err := caught.Flush(); err != nil {
			tb.Fatal(err)
		}
	}
	r.EndService(length)
	if err := caught.Close(); err != nil {
		tb.Fatal(err)
	}
	if err := r.Close(); err != nil {
		tb.Fatal(err)
	}
	info, err := os.Stat(filepath.Join(folder, run.Capture))
	if err != nil {
		tb.Fatal(err)
	}
	return record, float64(info.Size()) / 1e6
}

// wideScript has everybody play: six minutes of music in which somebody is moved every few
// seconds and five go up one after another, then two of speech, over and over.
func wideScript(h *house.House, length time.Duration) string {
	var players, speakers []string
	for _, in := range h.Roster.Inputs {
		switch {
		case slices.Contains(in.Groups, slices.Index(h.Roster.Groups, "speech")):
			speakers = append(speakers, in.Name)
		case len(in.Groups) > 0:
			players = append(players, in.Name)
		}
	}
	var s strings.Builder
	fmt.Fprintf(&s, "hall Long Barn\nlength %v\nexpect elsewhere\n\n", length)
	const round = 8 * time.Minute
	for n, from := 0, time.Duration(0); from+round <= length; n, from = n+1, from+round {
		do := func(at time.Duration, format string, args ...any) {
			fmt.Fprintf(&s, "%v  %s\n", from+at, fmt.Sprintf(format, args...))
		}
		do(0, "play %s", strings.Join(players, ", "))
		for k := range 5 {
			do(time.Minute+time.Duration(k)*12*time.Second, "raise %s 4 dB over 1.5s", players[(n*5+k*7)%len(players)])
		}
		for k := range 40 {
			who := players[(n*11+k*3)%len(players)]
			do(2*time.Minute+30*time.Second+time.Duration(k)*4*time.Second, "%s %s 1.5 dB over 1s", []string{"raise", "lower"}[k%2], who)
		}
		for k := range 5 {
			do(5*time.Minute+20*time.Second+time.Duration(k)*3*time.Second, "lower %s 4 dB over 1.5s", players[(n*5+k*7)%len(players)])
		}
		do(6*time.Minute, "rest %s", strings.Join(players, ", "))
		do(6*time.Minute+2*time.Second, "play %s", speakers[n%len(speakers)])
		do(round-2*time.Second, "rest %s", speakers[n%len(speakers)])
	}
	return s.String()
}
