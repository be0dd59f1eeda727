package oscmap

import (
	"fmt"
	"strings"
	"testing"

	"pawl/oscmap/wire"
	"pawl/rules/desk"
)

// widely makes a map of n addresses, all of them faders in the path.
func widely(t testing.TB, n int) *Map {
	t.Helper()
	var b strings.Builder
	b.WriteString("desk: wide\ntapers:\n  t: [[0, -inf], [0.3, -36], [0.6, -12], [0.8, 0], [1, 6]]\nsignals:\n")
	for i := 0; i < n/20; i++ {
		fmt.Fprintf(&b, "  - hear: /bank/%d/in/{input:%d-%d}/throw\n    is: input.fader\n    value: {taper: t}\n", i, 1+(i%16)*20, 20+(i%16)*20)
	}
	m, faults := Load("wide.yaml", []byte(b.String()), nil)
	if faults.Wrong() {
		t.Fatal(faults)
	}
	return m
}

// wideMessages are 64 messages spread over the addresses of widely.
func wideMessages(t testing.TB, n int) []*wire.Message {
	msgs := make([]*wire.Message, 64)
	for i := range msgs {
		k := (i * 37) % n
		bank := k / 20
		msgs[i] = message(t, fmt.Sprintf("/bank/%d/in/%d/throw", bank, 1+(bank%16)*20+k%20), 0.5+float32(i)/200)
	}
	return msgs
}

func BenchmarkHear(b *testing.B) {
	for _, n := range []int{20, 2000, 20000} {
		b.Run(fmt.Sprintf("addresses=%d", n), func(b *testing.B) {
			h, msgs := widely(b, n).NewHearer(), wideMessages(b, n)
			hearAll(b, h, msgs)
			if h.Counts().Unmapped > 0 {
				b.Fatal("unmapped", h.LastUnmapped())
			}
		})
	}
	b.Run("unmapped", func(b *testing.B) {
		h := widely(b, 2000).NewHearer()
		hearAll(b, h, []*wire.Message{message(b, "/bank/7/in/999/throw", float32(0.5)), message(b, "/light/4/colour", int32(3))})
	})
	b.Run("unmapped, map with names", func(b *testing.B) {
		h := loadFile(b, formsDir+"/path-name.yaml").NewHearer()
		hearAll(b, h, []*wire.Message{message(b, "/berth/kazoo/lift", float32(0.5)), message(b, "/light/4/colour", int32(3))})
	})
	b.Run("plain decibels", func(b *testing.B) {
		h := loadFile(b, formsDir+"/path-from-one.yaml").NewHearer()
		hearAll(b, h, []*wire.Message{message(b, "/in/7/lift", float32(-3.5))})
	})
	b.Run("blob of 64 meters", func(b *testing.B) {
		h := mustLoad(b, "desk: d\nsignals:\n  - {hear: /m, is: input.level, value: {blob: 0, of: float32-le, each: input:1-64, unit: dBFS}}").NewHearer()
		hearAll(b, h, []*wire.Message{message(b, "/m", make([]byte, 64*4))})
	})
	b.Run("pattern over 2000", func(b *testing.B) {
		h := widely(b, 2000).NewHearer()
		hearAll(b, h, []*wire.Message{message(b, "/bank/1*/in/*/throw", float32(0.5))})
	})
}

func hearAll(b *testing.B, h *Hearer, msgs []*wire.Message) {
	readings := make([]desk.Reading, 0, 4096)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		readings = h.Hear(readings[:0], 0, msgs[i%len(msgs)])
	}
}

func mustLoad(t testing.TB, src string) *Map {
	t.Helper()
	m, faults := Load("map.yaml", []byte(src), nil)
	if m == nil {
		t.Fatal(faults)
	}
	return m
}
