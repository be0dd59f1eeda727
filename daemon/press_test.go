package daemon

import (
	"bytes"
	"cmp"
	"math/rand/v2"
	"net/netip"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"pawl/daemon/capture"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/rules"
	"pawl/rules/desk"
)

// TestPressPackets: what a capture says of a press is the press.
func TestPressPackets(t *testing.T) {
	for _, p := range []rules.Press{
		{Do: rules.Seen, Number: 7}, {Do: rules.NotNow, Number: 1 << 30}, {Do: rules.BringBack, Number: 3}, {Do: rules.SetMark}, {Do: rules.MarkBack}, {Do: rules.Hold, On: true}, {Do: rules.Hold},
		{Do: rules.LineCheck, On: true}, {Do: rules.LineCheck}, {Do: rules.LineAsk, Number: 16}, {Do: rules.LineDone, Number: 1}, {Do: rules.LineLater, Number: 64},
		{Do: rules.NewSegment, Kind: desk.Speech, Text: "reading"}, {Do: rules.NewSegment}, {Do: rules.NewSegment, Next: true}, {Do: rules.Back}, {Do: rules.Note, Text: "the horn is late, ça va"},
		{Do: rules.Note, Text: "late", At: rules.Moment(5400123 * time.Millisecond)}, {Do: rules.Question, Text: "who leads?"}, {Do: rules.Question, Text: "who?", At: rules.Moment(time.Millisecond)},
		{Do: rules.Tell, Text: "listen to the choir"}, {Do: rules.TellSeen, Number: 2}, {Do: rules.TellBack, Number: 3},
		{Do: rules.OrderAdd, Kind: desk.Speech, Text: "notices", Place: 2}, {Do: rules.OrderAdd, Kind: desk.Music, Text: "one more"}, {Do: rules.OrderRemove, Number: 4},
		{Do: rules.OrderMove, Number: 3, Place: 1}, {Do: rules.OrderRename, Number: 3, Text: "jig"}, {Do: rules.OrderKind, Number: 3, Kind: desk.Quiet}, {Do: rules.OrderReset},
	} {
		data, err := pressPacket(p)
		if err != nil {
			t.Fatal(err)
		}
		got, reread, err := ourMessage(data)
		if err != nil || reread || got != p {
			t.Errorf("%q reads as %+v, %v, %v; want %+v", data, got, reread, err, p)
		}
	}
	data, err := housePacket("Harbour Hall")
	if err != nil {
		t.Fatal(err)
	}
	if _, reread, err := ourMessage(data); err != nil || !reread {
		t.Errorf("%q: %v, %v; want the house read again", data, reread, err)
	}
	for _, bad := range []string{"", "/pawl/press/\x00\x00\x00\x00,\x00\x00\x00", "/in/1/throw\x00,\x00\x00\x00", "/pawl/press/fly\x00,\x00\x00\x00", "/pawl/press/note\x00\x00\x00\x00,\x00\x00\x00"} {
		if p, reread, err := ourMessage([]byte(bad)); err == nil {
			t.Errorf("%q reads as %+v, %v; want it refused", bad, p, reread)
		}
	}
}

// event is something that happens in a service: a packet, a press, or the house
// file read again.
type event struct {
	at     time.Duration
	packet []byte
	press  *rules.Press
	reread bool
}

// serviceWithPresses is a service of the practice desk with things pressed at random.
func serviceWithPresses(t *rapid.T, name string) []event {
	events := slices.Clone(played(t, name))
	length := events[len(events)-1].at
	for range rapid.IntRange(0, 12).Draw(t, "presses") {
		p := rules.Press{
			Do: rapid.SampledFrom(rules.Presses).Draw(t, "do"), Number: rapid.SampledFrom([]int{1, 1, 1, 0, 2}).Draw(t, "number"), On: rapid.Bool().Draw(t, "on"),
			Kind: rapid.SampledFrom(desk.SegmentKinds).Draw(t, "kind"), Text: rapid.SampledFrom([]string{"", "a song", "reel"}).Draw(t, "text"),
			Next: rapid.Bool().Draw(t, "next"), Place: rapid.IntRange(0, 3).Draw(t, "place"),
			At: rules.Moment(rapid.SampledFrom([]time.Duration{0, 0, 20 * time.Second, time.Hour}).Draw(t, "about")),
		}
		when := time.Duration(rapid.Int64Range(1, int64(length)).Draw(t, "when"))
		if rapid.Bool().Draw(t, "towards the end") { // small numbers are drawn more often, and there are no cards at first
			when = length - when
		}
		events = append(events, event{at: max(when, 1), press: &p})
		soon := min(max(when, 1)+4*time.Second, length) // some are taken back
		switch p.Do {
		case rules.Seen, rules.NotNow:
			events = append(events, event{at: soon, press: &rules.Press{Do: rules.BringBack, Number: p.Number}})
		case rules.SetMark:
			events = append(events, event{at: soon, press: &rules.Press{Do: rules.MarkBack}})
		case rules.NewSegment:
			events = append(events, event{at: soon, press: &rules.Press{Do: rules.Back}})
		}
	}
	// Presses about a line check are refused while none is on, so half of the services begin one.
	if rapid.Bool().Draw(t, "line check") {
		begun := time.Duration(rapid.Int64Range(1, int64(length)/2).Draw(t, "when"))
		events = append(events, event{at: begun, press: &rules.Press{Do: rules.LineCheck, On: true}},
			event{at: begun + 3*desk.Beat, press: &rules.Press{Do: rules.LineLater, Number: 1}}) // the first is asked for by then, and only that one can be put off
		for range rapid.IntRange(0, 8).Draw(t, "of it") {
			p := rules.Press{
				Do:     rapid.SampledFrom([]rules.Do{rules.LineAsk, rules.LineDone, rules.LineLater}).Draw(t, "do"),
				Number: rapid.IntRange(1, 17).Draw(t, "input"),
			}
			events = append(events, event{at: time.Duration(rapid.Int64Range(1, int64(length)).Draw(t, "when")), press: &p})
		}
		if rapid.Bool().Draw(t, "ended") {
			events = append(events, event{at: time.Duration(rapid.Int64Range(int64(begun), int64(length)).Draw(t, "when")), press: &rules.Press{Do: rules.LineCheck}})
		}
	}
	// So are those about a line that is not on the screen, or a part that is not in the order.
	if rapid.Bool().Draw(t, "coached") {
		for range rapid.IntRange(1, 6).Draw(t, "of the coach") {
			begun := time.Duration(rapid.Int64Range(1, int64(length)).Draw(t, "when"))
			one := rapid.IntRange(1, 3).Draw(t, "part")
			p := rapid.SampledFrom([]rules.Press{
				{Do: rules.Tell, Text: "listen to the choir"}, {Do: rules.OrderAdd, Kind: desk.Speech, Text: "notices", Place: one}, {Do: rules.OrderMove, Number: one, Place: 2},
				{Do: rules.OrderRemove, Number: one}, {Do: rules.OrderRename, Number: one, Text: "jig"}, {Do: rules.OrderKind, Number: one, Kind: desk.Quiet},
				{Do: rules.OrderReset}, {Do: rules.Question, Text: "who leads?", At: rules.Moment(time.Second)},
			}).Draw(t, "of the coach")
			events = append(events, event{at: begun, press: &p})
			if p.Do == rules.Tell {
				for line := range 6 { // one of them is about the line that stands there
					events = append(events, event{at: begun + 1, press: &rules.Press{Do: rapid.SampledFrom([]rules.Do{rules.TellSeen, rules.TellBack}).Draw(t, "of the line"), Number: line + 1}})
				}
			}
		}
	}
	if rapid.IntRange(0, 3).Draw(t, "read again") == 0 {
		events = append(events, event{at: time.Duration(rapid.Int64Range(1, int64(length)).Draw(t, "when")), reread: true})
	}
	slices.SortStableFunc(events, func(a, b event) int { return cmp.Compare(a.at, b.at) })
	return events
}

// packetsOf keeps the services that were played, because playing one costs more than
// judging it.
var packetsOf = map[string][]event{}

// played is the first minutes of a service, with its ratchet if it has one.
func played(t *rapid.T, name string) []event {
	if events := packetsOf[name]; events != nil {
		return events
	}
	script, err := practicetest.Service(name)
	if err != nil {
		t.Fatal(err)
	}
	var events []event
	for at, packet := range practice.Play(script, practicetest.Dialects()[0], practice.Playing{}) {
		if at > 110*time.Second {
			break
		}
		events = append(events, event{at: at, packet: bytes.Clone(packet)})
	}
	packetsOf[name] = events
	return events
}

// liveRun does to an engine what the loop does, waking it at random moments besides,
// and gives the lines that it says and what the capture then holds.
func liveRun(t *rapid.T, events []event) (lines string, captured []byte) {
	h := harbourHall(t)
	e := newEngine(h)
	var said, file bytes.Buffer
	w, err := capture.NewWriter(&file, "")
	if err != nil {
		t.Fatal(err)
	}
	out := Lines{W: &said, JSON: true}
	tell := func() {
		for _, entry := range e.judge.Take(nil) {
			if err := out.Entry(entry); err != nil {
				t.Fatal(err)
			}
		}
	}
	noon := time.Date(2026, 1, 4, 12, 0, 0, 0, time.UTC)
	from := netip.MustParseAddrPort("192.0.2.10:10700")
	keep := func(at time.Duration, from netip.AddrPort, data []byte, err error) {
		if err == nil {
			err = w.Write(capture.Packet{At: noon.Add(at), From: from, Data: data})
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	wake := rand.New(rand.NewPCG(uint64(rapid.Int().Draw(t, "wakes")), 1))
	started := 7 * time.Second // on the clock of the loop, before the desk is heard
	for _, ev := range events {
		now := started + ev.at
		if e.begun && wake.IntN(4) == 0 {
			if late := now - e.base - e.at; late > 0 {
				e.advance(e.base + e.at + time.Duration(wake.Int64N(int64(late))))
				tell()
			}
		}
		switch {
		case ev.press != nil:
			if at, err := e.press(now, *ev.press); err == nil {
				data, err := pressPacket(*ev.press)
				keep(at, capture.Ours(from), data, err)
			}
		case ev.reread:
			at := e.follow(now, h)
			data, err := housePacket(h.Name)
			keep(at, capture.Ours(from), data, err)
		default:
			keep(e.packet(now, ev.packet), from, ev.packet, nil)
		}
		tell()
	}
	m := h.Limits.Moves
	e.advance(e.base + e.at + max(m.Still, m.SceneIn) + 2*desk.Beat)
	tell()
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	return said.String(), file.Bytes()
}

// TestPressedServicesAreReplayed: whatever is pressed in a service, and however the
// loop was woken, the capture judged again says the same to the last digit.
func TestPressedServicesAreReplayed(t *testing.T) {
	practicetest.SkipRaced(t)
	t.Parallel()
	names := []string{"ratchet", "ratchet-end-only", "scene-change", "band-louder"}
	pressed := map[string]bool{}
	rapid.Check(t, func(t *rapid.T) {
		events := serviceWithPresses(t, rapid.SampledFrom(names).Draw(t, "service"))
		want, captured := liveRun(t, events)
		var got bytes.Buffer
		sum, err := Replay{House: harbourHall(t), Lines: Lines{W: &got, JSON: true}}.Run(bytes.NewReader(captured))
		if err != nil || len(sum.Notes) > 0 {
			t.Fatalf("%v, notes %q", err, sum.Notes)
		}
		g, w := strings.Split(got.String(), "\n"), strings.Split(want, "\n")
		for i := range min(len(g), len(w)) {
			if g[i] != w[i] {
				t.Fatalf("line %d:\nreplayed %s\nlive     %s", i+1, g[i], w[i])
			}
		}
		if len(g) != len(w) {
			t.Fatalf("%d lines replayed, %d live", len(g), len(w))
		}
		for _, do := range rules.Presses {
			pressed[string(do)] = pressed[string(do)] || strings.Contains(want, `"do":"`+string(do)+`"`)
		}
		pressed["checked"] = pressed["checked"] || strings.Contains(want, `"entry":"line-check"`) && strings.Contains(want, `"state":"ended"`)
		pressed["next"] = pressed["next"] || strings.Contains(want, `"next":true`)
		pressed["house"] = pressed["house"] || strings.Contains(want, `"entry":"house"`)
	})
	for _, do := range append([]string{"next", "house", "checked"}, presses()...) {
		if !pressed[do] {
			t.Errorf("no drawn service had a %q that was taken", do)
		}
	}
}

// presses are the words of all that can be pressed.
func presses() (all []string) {
	for _, do := range rules.Presses {
		all = append(all, string(do))
	}
	return all
}
