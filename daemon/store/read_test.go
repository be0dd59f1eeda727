package store

import (
	"encoding/json"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"pawl/daemon/practice/practicetest"
	"pawl/rules"
)

// TestReadBackIsWhatWasSaid is the property of the record: whatever service, what is
// read back are the live entries, in their order, and the live levels.
func TestReadBackIsWhatWasSaid(t *testing.T) {
	for i, name := range practicetest.Services() {
		if practicetest.Raced && i%6 != 0 {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			live := practised(t, name)
			s, _ := recorded(t, live)
			all := services(t, s)
			if len(all) != 1 {
				t.Fatalf("%d services, want 1", len(all))
			}
			got := read(t, s, all[0].ID)
			if len(got) != 1 {
				t.Fatalf("%d stretches, want 1", len(got))
			}
			same(t, got[0].Entries, live.entries)
			sameLevels(t, got[0].Levels, live.levels)
			for i, e := range got[0].Entries {
				want, _ := json.Marshal(live.entries[i])
				if have, _ := json.Marshal(e); string(have) != string(want) {
					t.Fatalf("as JSON, read back:\n%s\nlive:\n%s", have, want)
				}
			}
			run := got[0].Run
			run.Zero = run.Zero.UTC()
			if !reflect.DeepEqual(asKept(run), asKept(live.run)) {
				t.Errorf("run read back:\n%+v\nlive:\n%+v", run, live.run)
			}
		})
	}
}

// TestReadWithout leaves out the kinds that are named and nothing else.
func TestReadWithout(t *testing.T) {
	live := practised(t, "ratchet")
	s, _ := recorded(t, live)
	got, err := s.Read(1, rules.SecondEntry, rules.MarkEntry)
	if err != nil {
		t.Fatal(err)
	}
	var want []rules.Entry
	for _, e := range live.entries {
		if kind := e.Head().Entry; kind != rules.SecondEntry && kind != rules.MarkEntry {
			want = append(want, e)
		}
	}
	if len(want) == 0 || len(want) == len(live.entries) {
		t.Fatalf("%d of %d entries are left, which tries nothing", len(want), len(live.entries))
	}
	same(t, got[0].Entries, want)
	sameLevels(t, got[0].Levels, live.levels)
}

// TestSegmentThatGoesOn: the second half of a service that was split in the middle of a
// part knows which part that is; the first half of one has none before it.
func TestSegmentThatGoesOn(t *testing.T) {
	s, _ := recorded(t, practised(t, "song-and-speech"))
	whole := read(t, s, 1)[0]
	var last *rules.Parted
	const cut = 90 * time.Second
	for _, e := range whole.Entries {
		if p, ok := e.(*rules.Parted); ok && time.Duration(p.T) < cut {
			last = p
		}
	}
	if last == nil || whole.Segment != nil {
		t.Fatalf("the part at %v is %+v, and before the whole %+v", cut, last, whole.Segment)
	}
	second, err := s.Split(1, evening.Add(cut))
	if err != nil {
		t.Fatal(err)
	}
	if got := read(t, s, second)[0].Segment; !reflect.DeepEqual(got, last) {
		t.Errorf("goes on with %+v, want %+v", got, last)
	}
	if got := read(t, s, 1)[0].Segment; got != nil {
		t.Errorf("the first half has %+v before it", got)
	}
}

// TestWhereARunStops: a stretch that another run goes on from ends where that begins if it
// was there at once, as after a house file that was read again, and else where it said the
// last, as after a power cut.
func TestWhereARunStops(t *testing.T) {
	for _, c := range []struct {
		name   string
		pause  time.Duration
		reread bool
		until  time.Duration
	}{
		{"read again", 300 * time.Millisecond, true, 59300 * time.Millisecond},
		{"cut off", 5 * time.Minute, false, 59*time.Second + 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "record.pawl")
			r := NewRecorder(path, Options{Bytes: 1 << 30, Wall: ticking(evening.Add(time.Hour))})
			r.Begin(testRun(evening))
			r.BeginService(0)
			for i := range 60 {
				r.Put(aMove(uint64(i+1), float64(i)), nil)
			}
			next := testRun(evening)
			if next.At = rules.Moment(59*time.Second + c.pause); !c.reread {
				next = testRun(evening.Add(59*time.Second + c.pause))
				if err := r.Close(); err != nil {
					t.Fatal(err)
				}
				r = NewRecorder(path, Options{Bytes: 1 << 30, Wall: ticking(evening.Add(6 * time.Minute))})
			}
			r.Begin(next)
			r.Put(aMove(61, (time.Duration(next.At)+time.Second).Seconds()), nil)
			if err := r.Close(); err != nil {
				t.Fatal(err)
			}
			s := opened(t, path)
			got := read(t, s, services(t, s)[0].ID)
			if len(got) != 2 {
				t.Fatalf("%d stretches, want two of one service", len(got))
			}
			if got[0].Until != rules.Moment(c.until) {
				t.Errorf("the first ends at %v, want %v", time.Duration(got[0].Until), c.until)
			}
		})
	}
}
