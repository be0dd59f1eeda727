package capture

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"net/netip"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/hypebeast/go-osc/osc"
	"github.com/klauspost/compress/zstd"
)

// packedFile is a capture as a Recorder compresses it, a frame for each of the batches, and
// where each frame ends.
func packedFile(t *testing.T, batches ...[]Packet) (file []byte, ends []int) {
	t.Helper()
	var d disk
	synctest.Test(t, func(t *testing.T) {
		r := recorder(t, &d, RecorderOptions{Zstd: true})
		synctest.Wait()
		ends = append(ends, d.Len())
		for _, b := range batches {
			for _, p := range b {
				r.Put(p)
			}
			time.Sleep(time.Second)
			synctest.Wait()
			ends = append(ends, d.Len())
		}
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
	})
	return d.Bytes(), ends
}

// alphabet is packets that repeat a letter.
func alphabet(from, to int) (all []Packet) {
	for i := from; i < to; i++ {
		all = append(all, Packet{noon.Add(time.Duration(i)), desk, pawl, []byte(strings.Repeat(string(rune('a'+i%26)), 100))})
	}
	return all
}

// TestRecorderPacks wants what was put, less than half as long, and readable by the
// format's own tool of another make where there is one.
func TestRecorderPacks(t *testing.T) {
	file, ends := packedFile(t, alphabet(0, 200), nil, alphabet(200, 500))
	got, counts := readAll(t, bytes.NewReader(file))
	if len(got) != 500 || len(counts.Notes()) > 0 || string(got[499].Data) != string(alphabet(499, 500)[0].Data) {
		t.Errorf("%d packets, notes %q", len(got), counts.Notes())
	}
	if ends[1] != ends[2] {
		t.Error("a second of nothing is a frame")
	}
	if plain := len(record(t, got...)); len(file)*2 > plain {
		t.Errorf("%d bytes, of %d", len(file), plain)
	}
	z, err := zstd.NewReader(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	if plain, err := io.ReadAll(z); err != nil || !bytes.HasPrefix(plain, magicPcapNG) {
		t.Errorf("unpacked it begins with % x, %v", plain[:min(4, len(plain))], err)
	}
}

// TestPackedPowerCut ends a compressed file at every byte of its last frame: what was
// written in earlier frames is read, and the end is told.
func TestPackedPowerCut(t *testing.T) {
	file, ends := packedFile(t, alphabet(0, 20), alphabet(20, 30))
	for n := ends[1]; n < len(file); n++ {
		got, counts := readAll(t, bytes.NewReader(file[:n]))
		if len(got) < 20 || counts.CutShort != (n > ends[1]) {
			t.Fatalf("cut at %d of %d: %d packets, CutShort %v", n, len(file), len(got), counts.CutShort)
		}
	}
	got, counts := readAll(t, bytes.NewReader(append(bytes.Clone(file), make([]byte, 4096)...)))
	if len(got) != 30 || !counts.CutShort {
		t.Errorf("zeros at the end: %d packets, CutShort %v", len(got), counts.CutShort)
	}
}

// TestPackedDisk: what a full disk took of a frame is taken back, and when there is room
// again the file goes on.
func TestPackedDisk(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d disk
		r := recorder(t, seekable{&d}, RecorderOptions{Zstd: true})
		put(r, 0, 100)
		time.Sleep(1500 * time.Millisecond)
		synctest.Wait()
		holds(t, d.Bytes(), "", 0, 100)
		d.set(func() { d.room = d.Len() + 20 })
		put(r, 100, 300)
		time.Sleep(time.Second)
		synctest.Wait()
		if s := r.Status(); s.Fault != "the disk is full" || s.Waiting != 200 {
			t.Errorf("status %+v, want a full disk and 200 waiting", s)
		}
		holds(t, d.Bytes(), "", 0, 100)
		d.set(func() { d.room = 0 })
		time.Sleep(6 * time.Second)
		synctest.Wait()
		if err := r.Close(); err != nil {
			t.Error(err)
		}
		holds(t, d.Bytes(), "", 0, 300)
	})
}

// TestBombs reads files that unpack to far more than they should, in little memory, and
// wants them refused at the bound.
func TestBombs(t *testing.T) {
	one := record(t, Packet{noon, desk, pawl, make([]byte, 60000)})
	unit := bytes.Repeat(one, 64)
	var frame, gz bytes.Buffer
	z, err := zstd.NewWriter(&frame, zstd.WithEncoderLevel(zstd.SpeedFastest))
	if err != nil {
		t.Fatal(err)
	}
	g := gzip.NewWriter(&gz)
	for _, w := range []io.WriteCloser{z, g} {
		if _, err := w.Write(unit); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
	}
	for name, member := range map[string][]byte{"zstd": frame.Bytes(), "gzip": gz.Bytes()} {
		const most = 1 << 26
		in := &Reader{opener: newOpener(false), most: most}
		if err := in.begin(&repeating{of: member}); err != nil {
			t.Fatal(err)
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		for in.Next() {
		}
		runtime.ReadMemStats(&after)
		if err := in.Err(); !errors.Is(err, errTooMuch) {
			t.Errorf("%s: %v, want it refused", name, err)
		}
		if n := in.Counts().Packets; n < most/uint64(len(one))-2 || n > most/60000 {
			t.Errorf("%s: %d packets before the end", name, n)
		}
		if took := int64(after.HeapSys) - int64(before.HeapSys); took > 32<<20 {
			t.Errorf("%s: reading took %d MB", name, took>>20)
		}
	}
}

// repeating is a file that never ends.
type repeating struct {
	of []byte
	at int
}

func (r *repeating) Read(p []byte) (int, error) {
	n := copy(p, r.of[r.at:])
	r.at = (r.at + n) % len(r.of)
	return n, nil
}

// TestGreedyWindow: a frame that asks for more memory than anybody should give is no
// capture.
func TestGreedyWindow(t *testing.T) {
	// The magic number, a header without a content size, and a window of 3.75 TB (RFC 8878, 3.1.1.1.2).
	file := []byte{0x28, 0xb5, 0x2f, 0xfd, 0x00, 0xff, 0x01, 0x00, 0x00}
	if _, err := NewReader(bytes.NewReader(file)); err == nil {
		t.Error("it is read")
	}
}

// TestTsharkReadsWhatWasPacked has a packet tool show a press in a capture that was
// compressed and unpacked again.
func TestTsharkReadsWhatWasPacked(t *testing.T) {
	needPeer(t, "tshark")
	press, err := osc.NewMessage("/pawl/press/seen", int32(17)).MarshalBinary()
	if err != nil {
		t.Fatal(err)
	}
	file, _ := packedFile(t, alphabet(0, 3), []Packet{{noon.Add(time.Second), Ours(netip.AddrPort{}), pawl, press}})
	path := filepath.Join(t.TempDir(), "service"+Ending)
	if err := os.WriteFile(path, file, 0o600); err != nil {
		t.Fatal(err)
	}
	z, err := zstd.NewReader(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	plain, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	rows := tshark(t, plain)
	if len(rows) != 4 || !strings.Contains(strings.Join(rows[3], " "), "/pawl/press/seen") {
		t.Errorf("tshark shows %q", rows)
	}
}
