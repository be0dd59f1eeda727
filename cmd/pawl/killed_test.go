package main

import (
	"bytes"
	"encoding/json"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"pawl/daemon"
	"pawl/daemon/capture"
	"pawl/daemon/practice"
	"pawl/daemon/store"
	"pawl/rules"
)

// killed is a `pawl watch` that records and captures, and is killed now and then.
type killed struct {
	t      *testing.T
	house  string
	record string
	dice   *rand.Rand
	rounds []round
}

// round is what one of its lives had said, and what of it was written, by its metrics.
type round struct {
	said           []rules.Stamp
	rows           int // of the record
	packets, heard int // of the capture, and of the desk
}

// TestWatchIsKilled kills the program itself at moments that nobody chose, while it records a
// service and captures it, and starts it again. The record is sound and has all but the last
// moment of what was printed, what was captured can be judged again to the same entries, each life has a
// capture of its own, and all is one service.
func TestWatchIsKilled(t *testing.T) {
	desk := deskOfTheDemo(t, 8)
	dir := t.TempDir()
	text := strings.NewReplacer("127.0.0.1:10700", desk, "127.0.0.1:10780", "127.0.0.1:0").Replace(string(practice.House())) +
		"record: {file: hall.record, captures: {folder: caught}}\n"
	for name, text := range map[string]string{"house.yaml": text, "harbour-hall.map.yaml": string(practice.MapFile())} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	k := &killed{t, filepath.Join(dir, "house.yaml"), filepath.Join(dir, "hall.record"), rand.New(rand.NewPCG(seed, 0)), nil}
	for range 5 {
		k.live()
		k.look()
	}
	k.end()
}

// live starts the program, waits until it has said and heard something, and kills it.
func (k *killed) live() {
	p := startPawl(k.t, "watch", k.house, "--json")
	page := p.page()
	more := float64(k.dice.IntN(1500)) // packets, of 900 or so a second
	var r round
	next := func() {
		line, err := p.stdout.ReadBytes('\n')
		if err != nil {
			k.t.Fatalf("the program ended: %v", err)
		}
		var s rules.Stamp
		if err := json.Unmarshal(line, &s); err != nil {
			k.t.Fatalf("%q: %v", line, err)
		}
		r.said = append(r.said, s)
	}
	next()
	for list := ""; !strings.Contains(list, `"goes_on":true`); { // a service has begun by itself
		list = body(k.t, page+"api/review/services")
	}
	figures := figuresOf(k.t, page)
	for first := true; figures["pawl_record_rows_total"] == 0 || figures["pawl_capture_packets_total"] == 0 || more > 0; first = false {
		was := figures["pawl_packets_total"]
		if figures = figuresOf(k.t, page); !first && figures["pawl_record_rows_total"] > 0 && figures["pawl_capture_packets_total"] > 0 {
			more -= figures["pawl_packets_total"] - was
		}
	}
	r.rows, r.packets, r.heard = int(figures["pawl_record_rows_total"]), int(figures["pawl_capture_packets_total"]), int(figures["pawl_packets_total"])
	if missing := figures["pawl_record_rows_missing_total"] + figures["pawl_capture_packets_missing_total"]; missing > 0 {
		k.t.Errorf("%v rows and packets are missing while nothing was wrong", missing)
	}
	p.kill()
	rest := bytes.Buffer{}
	rest.ReadFrom(p.stdout) // what it had printed by then, and perhaps half a line
	for line := range bytes.Lines(rest.Bytes()) {
		var s rules.Stamp
		if bytes.HasSuffix(line, []byte("\n")) && json.Unmarshal(line, &s) == nil {
			r.said = append(r.said, s)
		}
	}
	k.rounds = append(k.rounds, r)
}

// figuresOf are the metrics without labels.
func figuresOf(t *testing.T, page string) map[string]float64 {
	t.Helper()
	all := map[string]float64{}
	for line := range strings.Lines(body(t, page+"metrics")) {
		name, value, _ := strings.Cut(strings.TrimSpace(line), " ")
		if v, err := strconv.ParseFloat(value, 64); err == nil {
			all[name] = v
		}
	}
	return all
}

// look wants all that a kill may not take.
func (k *killed) look() {
	t := k.t
	t.Helper()
	s, err := store.Open(k.record)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.Check(); err != nil {
		t.Errorf("the record is not sound: %v", err)
	}
	all, err := s.Services()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 1 {
		t.Fatalf("%d services, want the one that went on: %+v", len(all), all)
	}
	stretches, err := s.Read(all[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	if len(stretches) != len(k.rounds) {
		for _, s := range stretches {
			t.Logf("%v from %v until %v: %d entries", s.Run.Zero, s.From, s.Until, len(s.Entries))
		}
		t.Fatalf("%d stretches, want one of each of %d lives", len(stretches), len(k.rounds))
	}
	out, err := daemon.Rejudge{Record: k.record}.Run(t.Context(), all[0].ID)
	if err != nil {
		t.Fatalf("it cannot be judged again: %v", err)
	}
	for _, note := range out.Notes {
		t.Logf("note: %s", note)
	}
	captures := map[string]bool{}
	for i, stretch := range stretches {
		k.compare(i, &stretch, out.Otherwise[i].Entries)
		name := stretch.Run.Capture
		if name == "" || captures[name] {
			t.Errorf("life %d has the capture %q, want one of its own", i+1, name)
		}
		captures[name] = true
	}
	files, err := filepath.Glob(filepath.Join(filepath.Dir(k.record), "caught", "*"+capture.Ending))
	if err != nil || len(files) != len(k.rounds) {
		t.Errorf("captures %q, want one of each of %d lives", files, len(k.rounds))
	}
}

// compare holds one life to what the record and its capture have of it.
func (k *killed) compare(life int, stretch *store.Stretch, again []rules.Entry) {
	t, r := k.t, &k.rounds[life]
	t.Helper()
	file, err := capture.Open(filepath.Join(filepath.Dir(k.record), filepath.FromSlash(stretch.Run.Capture)))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	in, err := capture.NewReader(file)
	if err != nil {
		t.Fatal(err)
	}
	packets := 0
	for in.Next() {
		packets++
	}
	rows := len(stretch.Entries) + len(stretch.Levels)
	t.Logf("life %d of %d: %d entries printed, %d rows there of %d that were written, %d packets of %d written and %d heard",
		life+1, len(k.rounds), len(r.said), rows, r.rows, packets, r.packets, r.heard)
	// Seconds before the first life's service began are not part of it.
	if rows < r.rows && life > 0 || rows == 0 {
		t.Errorf("life %d has %d rows in the record, and had said that %d are written", life+1, rows, r.rows)
	}
	if packets < r.packets {
		t.Errorf("life %d has %d packets in its capture, and had said that %d are written", life+1, packets, r.packets)
	}
	kept := map[uint64]bool{}
	for _, e := range stretch.Entries {
		kept[e.Head().N] = true
	}
	gone := false
	for _, s := range r.said { // in order: what is missing is the last of it
		switch is := kept[s.N]; {
		case s.T < stretch.From || s.Entry == rules.SecondEntry:
		case is && gone:
			t.Errorf("life %d: entry %d is in the record, and one before it is not", life+1, s.N)
		default:
			gone = !is
		}
	}
	// The record and the capture are written apart, so that one may end before the other.
	for i := range min(len(stretch.Entries), len(again)) {
		was, is := jsonOf(t, stretch.Entries[i]), jsonOf(t, again[i])
		if was != is {
			t.Errorf("life %d judged again says\n%s\nand then it was\n%s", life+1, is, was)
			break
		}
	}
}

func jsonOf(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// end lets the program live once more, ends it as one does, and asks about the whole service.
func (k *killed) end() {
	p := startPawl(k.t, "watch", k.house, "--json")
	page := p.page()
	for figures := figuresOf(k.t, page); figures["pawl_record_rows_total"] == 0; {
		figures = figuresOf(k.t, page)
	}
	p.stop()
	k.rounds = append(k.rounds, round{})
	k.look()
	for _, args := range [][]string{{"review", "--record", k.record}, {"replay", k.house, "--service", "last", "--json"}} {
		p := startPawl(k.t, args...)
		said, err := io.ReadAll(p.stdout)
		if err != nil || len(said) < 100 {
			k.t.Errorf("pawl %s says %q, %v", strings.Join(args, " "), said, err)
		}
		p.stop()
	}
}
