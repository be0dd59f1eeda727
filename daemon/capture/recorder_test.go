package capture

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"pawl/daemon/disks"
)

// disk is a file in memory that a test can make slow, full or closed. What stands
// below the lock is the recorder's while it runs: a test changes it with set, and
// reads it after synctest.Wait.
type disk struct {
	gate chan struct{} // if not nil, a write waits until it can receive
	mu   sync.Mutex
	bytes.Buffer
	at     int   // where the next write goes
	room   int   // in bytes; 0 for any
	err    error // of every write, if not nil
	fault  error // of every sync
	syncs  int
	writes int
}

func (d *disk) set(change func()) {
	d.mu.Lock()
	defer d.mu.Unlock()
	change()
}

func (d *disk) Write(b []byte) (int, error) {
	if d.gate != nil {
		<-d.gate
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.writes++
	if d.err != nil {
		return 0, d.err
	}
	n := len(b)
	if d.room > 0 {
		n = min(n, d.room-d.at)
	}
	d.Truncate(d.at)
	d.Buffer.Write(b[:n])
	if d.at += n; n < len(b) {
		return n, fmt.Errorf("write capture.pcapng: %w", syscall.ENOSPC)
	}
	return n, nil
}

func (d *disk) Sync() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.syncs++
	return d.fault
}

// seekable is a disk that can be put back.
type seekable struct{ *disk }

func (d seekable) Seek(offset int64, whence int) (int64, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if whence == io.SeekStart {
		d.at = int(offset)
	}
	return int64(d.at), nil
}

func (d seekable) Truncate(size int64) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.disk.Truncate(int(size))
	return nil
}

func recorder(t *testing.T, w io.Writer, o RecorderOptions) *Recorder {
	t.Helper()
	r, err := NewRecorder(w, "Harbour Hall", o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// put puts packets whose data are their numbers.
func put(r *Recorder, from, to int) {
	for i := from; i < to; i++ {
		r.Put(Packet{noon.Add(time.Duration(i)), desk, pawl, fmt.Appendf(nil, "%08d", i)})
	}
}

// holds wants the packets with the given numbers in a file, and no note but those.
func holds(t *testing.T, file []byte, notes string, ranges ...int) {
	t.Helper()
	got, counts := readAll(t, bytes.NewReader(file))
	var want []string
	for ; len(ranges) > 0; ranges = ranges[2:] {
		for i := ranges[0]; i < ranges[1]; i++ {
			want = append(want, fmt.Sprintf("%08d", i))
		}
	}
	var have []string
	for _, p := range got {
		have = append(have, string(p.Data))
	}
	if strings.Join(have, " ") != strings.Join(want, " ") {
		t.Errorf("the file holds %d packets, want %d", len(have), len(want))
	}
	if n := strings.Join(counts.Notes(), "; "); n != notes {
		t.Errorf("notes %q, want %q", n, notes)
	}
}

func wantStatus(t *testing.T, r *Recorder, want Status) {
	t.Helper()
	got := r.Status()
	want.Bytes, want.Kept, want.Failed = got.Bytes, got.Kept, got.Failed
	if got != want {
		t.Errorf("status %+v, want %+v", got, want)
	}
}

func TestRecorderWritesAndSyncsOnceASecond(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d disk
		r := recorder(t, &d, RecorderOptions{})
		synctest.Wait()
		if d.Len() == 0 || d.syncs != 1 {
			t.Errorf("%d bytes and %d syncs at once, want the header and one", d.Len(), d.syncs)
		}
		put(r, 0, 100)
		wantStatus(t, r, Status{Put: 100, Waiting: 100})
		for second := range 3 {
			time.Sleep(time.Second)
			synctest.Wait()
			holds(t, d.Bytes(), "", 0, 100)
			if d.syncs != 2 || d.writes != 2 {
				t.Errorf("%d s: %d writes and %d syncs, want two of each: nothing new came", second+1, d.writes, d.syncs)
			}
		}
		wantStatus(t, r, Status{Put: 100, Written: 100})
		if s := r.Status(); s.Bytes != int64(d.Len()) {
			t.Errorf("status says %d bytes, want %d", s.Bytes, d.Len())
		}
		put(r, 100, 101)
		if err := r.Close(); err != nil {
			t.Error(err)
		}
		holds(t, d.Bytes(), "", 0, 101)
		if d.syncs != 3 {
			t.Errorf("%d syncs after Close, want 3", d.syncs)
		}
		put(r, 101, 102)
		wantStatus(t, r, Status{Put: 102, Written: 101, Dropped: 1})
		if err := r.Close(); err != nil {
			t.Errorf("closed twice: %v", err)
		}
	})
}

func TestRecorderWritesMuchBeforeItsTime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d disk
		r := recorder(t, &d, RecorderOptions{})
		synctest.Wait()
		n := much/(8+beside) + 1
		put(r, 0, n)
		synctest.Wait() // and no time passes
		wantStatus(t, r, Status{Put: uint64(n), Written: uint64(n)})
		if d.syncs != 1 {
			t.Errorf("%d syncs, want only that of the header", d.syncs)
		}
		r.Close()
	})
}

// TestRecorderWithASlowDisk has one write take ten seconds. Put goes on, and what
// no longer fits is dropped, and the file says so.
func TestRecorderWithASlowDisk(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := disk{gate: make(chan struct{})}
		r := recorder(t, &d, RecorderOptions{Bytes: 1000 * (8 + beside)})
		began := time.Now()
		synctest.Wait()
		put(r, 0, 1500)
		time.Sleep(disks.Stuck - 1)
		wantStatus(t, r, Status{Put: 1500, Waiting: 1000, Dropped: 500})
		time.Sleep(1 * time.Nanosecond)
		wantStatus(t, r, Status{Put: 1500, Waiting: 1000, Dropped: 500, Fault: "the disk does not answer", Since: began})
		time.Sleep(5 * time.Second)
		close(d.gate)
		synctest.Wait()
		wantStatus(t, r, Status{Put: 1500, Written: 1000, Dropped: 500})
		put(r, 1500, 1510)
		time.Sleep(time.Second)
		synctest.Wait()
		holds(t, d.Bytes(), "500 packets are missing: the capturing tool could not keep them", 0, 1000, 1500, 1510)
		put(r, 0, 1003)
		if err := r.Close(); err != nil {
			t.Error(err)
		}
		if _, counts := readAll(t, bytes.NewReader(d.Bytes())); counts.Missing != 503 {
			t.Errorf("%d packets are missing, want 503", counts.Missing)
		}
	})
}

// TestRecorderOnAFullDisk has the disk full for a minute, in the middle of a block.
func TestRecorderOnAFullDisk(t *testing.T) {
	outputs := []struct {
		name    string
		of      func(*disk) io.Writer
		partial bool // the file ends within a block while the disk is full
	}{
		{"a file", func(d *disk) io.Writer { return seekable{d} }, false},
		{"a pipe", func(d *disk) io.Writer { return d }, true},
	}
	for _, o := range outputs {
		t.Run(o.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				var d disk
				r := recorder(t, o.of(&d), RecorderOptions{Bytes: 1000 * (8 + beside)})
				put(r, 0, 10)
				time.Sleep(1500 * time.Millisecond)
				d.set(func() { d.room = d.Len() + 100 })
				put(r, 10, 20)
				time.Sleep(time.Second)
				full := time.Now().Add(-500 * time.Millisecond)
				wantStatus(t, r, Status{Put: 20, Written: 10, Waiting: 10, Fault: "the disk is full", Since: full})
				note := ""
				if o.partial {
					note = "the file ends in the middle of a record; the 11 packets before it were read"
				}
				if got, counts := readAll(t, bytes.NewReader(d.Bytes())); o.partial != counts.CutShort || strings.Join(counts.Notes(), "") != note {
					t.Errorf("while full: %d packets and notes %q, want %q", len(got), counts.Notes(), note)
				}
				if s := r.Status(); s.Failed != 1 || !s.Kept.Equal(full.Add(-time.Second)) {
					t.Errorf("%d failures, all kept at %v; want 1, and a second before %v", s.Failed, s.Kept, full)
				}
				before := d.writes
				for range 60 {
					time.Sleep(time.Second)
					put(r, 20, 40)
				}
				tries := d.writes - before
				if tries < 8 || tries > 12 {
					t.Errorf("%d tries in a minute, want one every 5 s or 6", tries)
				}
				if s := r.Status(); s.Failed != 1+uint64(tries) {
					t.Errorf("%d failures, want 1 and the %d of this minute", s.Failed, tries)
				}
				wantStatus(t, r, Status{Put: 1220, Written: 10, Waiting: 1000, Dropped: 210, Fault: "the disk is full", Since: full})
				d.set(func() { d.room = 0 })
				time.Sleep(7 * time.Second)
				wantStatus(t, r, Status{Put: 1220, Written: 1010, Dropped: 210})
				if age := time.Since(r.Status().Kept); age > time.Second {
					t.Errorf("all was kept %v ago, want a second at most", age)
				}
				put(r, 50, 60)
				if err := r.Close(); err != nil {
					t.Error(err)
				}
				var want []int
				want = append(want, 0, 20)
				for range 49 {
					want = append(want, 20, 40)
				}
				holds(t, d.Bytes(), "210 packets are missing: the capturing tool could not keep them", append(want, 20, 30, 50, 60)...)
			})
		})
	}
}

// TestRecorderThatNeverRecovers closes while nothing can be written.
func TestRecorderThatNeverRecovers(t *testing.T) {
	closed, _ := os.Create(filepath.Join(t.TempDir(), "closed"))
	closed.Close()
	tests := []struct {
		name string
		w    func() io.Writer
		want string
	}{
		{"full from the start", func() io.Writer { return seekable{&disk{room: 1}} }, "the disk is full"},
		{"a pipe that was closed", func() io.Writer {
			r, w := io.Pipe()
			r.Close()
			return w
		}, "the output was closed"},
		{"a pipe of the system", func() io.Writer {
			r, w, err := os.Pipe()
			if err != nil {
				t.Fatal(err)
			}
			r.Close()
			return w
		}, "the output was closed"},
		{"a closed file", func() io.Writer { return closed }, "the output was closed"},
		{"another error", func() io.Writer { return &disk{err: errors.New("the cable is out")} }, "the cable is out"},
		{"a writer that lies", func() io.Writer { return mute{} }, "the output took only a part"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				r := recorder(t, tt.w(), RecorderOptions{})
				put(r, 0, 10)
				time.Sleep(time.Minute)
				if s := r.Status(); string(s.Fault) != tt.want || s.Waiting != 10 || s.Written != 0 {
					t.Errorf("status %+v, want the fault %q", s, tt.want)
				}
				want := "write capture: the last 10 packets are not written: " + tt.want
				if err := r.Close(); err == nil || err.Error() != want {
					t.Errorf("Close: %v, want %s", err, want)
				}
			})
		})
	}
}

// mute is a writer that takes nothing and says nothing of it.
type mute struct{}

func (mute) Write(b []byte) (int, error) { return 0, nil }

// TestRecorderTriesOnceMoreAtTheEnd has room made just before Close, long before the
// next try.
func TestRecorderTriesOnceMoreAtTheEnd(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := disk{room: 1}
		r := recorder(t, seekable{&d}, RecorderOptions{Retry: time.Hour})
		put(r, 0, 10)
		time.Sleep(time.Minute)
		d.set(func() { d.room = 0 })
		if err := r.Close(); err != nil {
			t.Error(err)
		}
		holds(t, d.Bytes(), "", 0, 10)
	})
}

// TestRecorderWhoseSyncFails keeps writing, and says since when it is not safe.
func TestRecorderWhoseSyncFails(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := disk{fault: syscall.EIO}
		began := time.Now()
		r := recorder(t, &d, RecorderOptions{})
		for i := range 20 {
			put(r, i, i+1)
			time.Sleep(time.Second)
		}
		if s := r.Status(); s.Fault != "the disk has a fault" || s.Since != began || s.Written < 10 {
			t.Errorf("status %+v, want a fault from the start, and packets written", s)
		}
		d.set(func() { d.fault = nil })
		time.Sleep(10 * time.Second)
		wantStatus(t, r, Status{Put: 20, Written: 20})
		d.set(func() { d.fault = syscall.EINVAL }) // what a pipe says
		put(r, 20, 21)
		if err := r.Close(); err != nil {
			t.Error(err)
		}
	})
}

func TestRecorderRefuses(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d disk
		r := recorder(t, &d, RecorderOptions{})
		r.Put(Packet{noon, desk, pawl, make([]byte, MostData+1)})
		time.Sleep(2 * time.Second)
		wantStatus(t, r, Status{Put: 1, Refused: 1})
		put(r, 0, 1)
		r.Put(Packet{At: noon})
		if err := r.Close(); err != nil {
			t.Error(err)
		}
		wantStatus(t, r, Status{Put: 3, Refused: 2, Written: 1})
		holds(t, d.Bytes(), "", 0, 1)
	})
}

// TestRecorderKeepsItsOwnCopy has the caller use its buffer again at once.
func TestRecorderKeepsItsOwnCopy(t *testing.T) {
	var d disk
	r := recorder(t, &d, RecorderOptions{})
	data := []byte("00000000")
	r.Put(Packet{noon, desk, pawl, data})
	copy(data, "XXXXXXXX")
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	holds(t, d.Bytes(), "", 0, 1)
}

// TestRecorderGivesRoomBack after a long fault, and allocates nothing when all is
// well.
func TestRecorderGivesRoomBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := disk{room: 1}
		r := recorder(t, seekable{&d}, RecorderOptions{})
		put(r, 0, 50_000)
		time.Sleep(time.Minute)
		d.set(func() { d.room = 0 })
		time.Sleep(time.Minute)
		wantStatus(t, r, Status{Put: 50_000, Written: 50_000})
		if n := max(cap(r.queue.data), cap(r.spare.data), cap(r.queue.packets)*beside, cap(r.spare.packets)*beside, r.blocks.Cap()); n > roomKept {
			t.Errorf("%d bytes are kept, want at most %d", n, roomKept)
		}
		p := Packet{noon, desk, pawl, numbered(400)}
		for range 4 {
			for range 600 {
				r.Put(p)
			}
			time.Sleep(time.Second)
		}
		if n := testing.AllocsPerRun(500, func() { r.Put(p) }); n != 0 {
			t.Errorf("%v allocations per packet, want 0", n)
		}
		r.Close()
	})
}

func BenchmarkRecorderPut(b *testing.B) {
	r, err := NewRecorder(io.Discard, "", RecorderOptions{})
	if err != nil {
		b.Fatal(err)
	}
	p := Packet{noon, desk, pawl, numbered(400)}
	b.ReportAllocs()
	for b.Loop() {
		r.Put(p)
	}
	if err := r.Close(); err != nil {
		b.Fatal(err)
	}
}
