package listen

import (
	"bytes"
	"encoding/binary"
	"io"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/house"
	"pawl/dashboard"
)

// TestNothingTold: of a desk of which nothing is certain no map is written, and both the file and
// the end say so.
func TestNothingTold(t *testing.T) {
	var file bytes.Buffer
	w, err := capture.NewWriter(&file, "untold")
	if err != nil {
		t.Fatal(err)
	}
	began := time.Date(2026, 11, 22, 10, 0, 0, 0, time.UTC)
	from, to := netip.MustParseAddrPort("192.0.2.10:10700"), netip.MustParseAddrPort("192.0.2.20:10701")
	for i := range 100 {
		packet := binary.BigEndian.AppendUint32([]byte("/lump\x00\x00\x00,i\x00\x00"), uint32(i*i*40503))
		if err := w.Write(capture.Packet{At: began.Add(time.Duration(i) * 100 * time.Millisecond), From: from, To: to, Data: packet}); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	var out, talk bytes.Buffer
	draft := filepath.Join(t.TempDir(), "draft.yaml")
	l, err := New(Options{Capture: written(t, "taken.pcapng", file.Bytes()), Draft: draft, Out: &out, Talk: &talk})
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Run(t.Context()); err == nil || !strings.Contains(err.Error(), "nothing could be told for certain, so there is no map yet") {
		t.Errorf("it ends with %v", err)
	}
	text, err := os.ReadFile(draft)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(string(text), "# Nothing could be told for certain") || !strings.Contains(string(text), "/lump") {
		t.Errorf("the draft is\n%s", text)
	}
	if _, faults := house.Check(draft); !faults.Wrong() {
		t.Errorf("it passes the check\n%s", text)
	}
	if strings.Contains(talk.String(), "signals told") {
		t.Errorf("it says\n%s", talk.String())
	}
}

// TestNothingToldOnAPage: the page comes to the end of the questions, and has nothing to write.
func TestNothingToldOnAPage(t *testing.T) {
	l, err := New(Options{Desk: "192.0.2.10:10700", Out: io.Discard, Talk: io.Discard, Draft: filepath.Join(t.TempDir(), "map.yaml"), DraftHouse: filepath.Join(t.TempDir(), "hall.yaml")})
	if err != nil {
		t.Fatal(err)
	}
	l.survey.Hear(time.Second, []byte("/lump\x00\x00\x00,i\x00\x00\x00\x00\x00\x07"))
	p := &onPage{Listener: l}
	for _, f := range []dashboard.FirstPress{{Do: "begin"}, {Do: "answer", Text: "stop"}} {
		if err := p.do(f); err != nil {
			t.Fatal(err)
		}
	}
	if p.publish(); p.newest.Load().Stage != dashboard.FirstNaming || p.newest.Load().Told != 0 {
		t.Errorf("it is at %v with %d told", p.newest.Load().Stage, p.newest.Load().Told)
	}
	if err := p.do(dashboard.FirstPress{Do: "write"}); err == nil {
		t.Error("it writes a map of nothing")
	}
}
