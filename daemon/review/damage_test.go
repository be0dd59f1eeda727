package review

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"pawl/daemon/practice/practicetest"
	"pawl/daemon/store"
	"pawl/rules"
)

// reviewFile opens a file and writes everything of it, as far as that goes; what cannot be
// read is an error and nothing worse.
func reviewFile(path string) (services int, err error) {
	s, err := store.Open(path)
	if err != nil {
		return 0, err
	}
	defer s.Close()
	all, err := s.Services()
	if err != nil {
		return 0, err
	}
	listed, err := LoadList(s, all, Options{})
	if err != nil {
		return len(all), err
	}
	Overlook(listed, Options{})
	for _, one := range all {
		m, err := Load(s, one)
		if err != nil {
			return len(all), err
		}
		var out bytes.Buffer
		r := Summarise(m, Options{})
		if err := r.Text(&out, TextOptions{}); err != nil {
			return len(all), err
		}
		if err := r.HTML(&out); err != nil {
			return len(all), err
		}
		if _, err := json.Marshal(r); err != nil {
			return len(all), err
		}
		for _, table := range Tables() {
			if err := table.Begin(&out).Add(r); err != nil {
				return len(all), err
			}
		}
	}
	return len(all), nil
}

// sample is a small record, as bytes.
func sample(t testing.TB) []byte {
	t.Helper()
	path := inFolder(t)
	practised(t, path, "phrases", evening)
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestDamagedRecords: whatever bytes of a record are changed, a review says something or
// refuses, and ends.
func TestDamagedRecords(t *testing.T) {
	whole := sample(t)
	random := rand.New(rand.NewPCG(3, 5))
	path := filepath.Join(t.TempDir(), "damaged.record")
	read, refused := 0, 0
	records := 250
	if practicetest.Raced {
		records = 50
	}
	for range records {
		b := bytes.Clone(whole)
		for range 1 + random.IntN(40) {
			b[100+random.IntN(len(b)-100)] = byte(random.IntN(256))
		}
		if random.IntN(8) == 0 {
			b = b[:random.IntN(len(b))]
		}
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
		if _, err := reviewFile(path); err != nil {
			refused++
		} else {
			read++
		}
	}
	t.Logf("%d read, %d refused", read, refused)
	if read == 0 || refused == 0 {
		t.Errorf("%d read, %d refused: want some of both, or nothing was tried", read, refused)
	}
}

// FuzzDamagedRecord changes bytes at a place of a record.
func FuzzDamagedRecord(f *testing.F) {
	whole := sample(f)
	f.Add(uint32(200), []byte{0xff, 0, 0xff})
	f.Add(uint32(len(whole)/2), []byte(`"weight":"",`))
	f.Add(uint32(4096), []byte{0})
	folder := f.TempDir()
	f.Fuzz(func(t *testing.T, at uint32, put []byte) {
		b := bytes.Clone(whole)
		copy(b[int(at)%len(b):], put)
		path := filepath.Join(folder, "damaged.record")
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
		_, _ = reviewFile(path)
	})
}

// FuzzEntries reads any JSON as entries of a service: a record may hold what no judge said.
func FuzzEntries(f *testing.F) {
	f.Add([]byte(`{"t":1e300,"entry":"finding","state":"open","number":1}`), []byte(`{"t":-9e15,"entry":"move","kind":"raise","began":-9223372036,"ended":-9223372036}`))
	f.Add([]byte(`{"t":1,"entry":"segment","kind":"music"}`), []byte(`{"t":2,"entry":"move","kind":"raise","who":{"strip":"input","index":-1},"ended":2,"by_db":3}`))
	f.Add([]byte(`{"t":3,"entry":"finding","state":"open","weight":"now","rule":"ratchet","shown":true,"number":2,"what":[{"id":"ratchet.stands"}],"try":{"id":"x","who":{"who":[{}]}}}`),
		[]byte(`{"t":4,"entry":"finding","state":"eased","weight":"now","rule":"ratchet","number":2,"figures":{"faders_db":null}}`))
	f.Add([]byte(`{"t":5,"entry":"link","heard":true,"away":1e18}`), []byte(`{"t":6,"entry":"press","do":"seen","number":0}`))
	f.Fuzz(func(t *testing.T, a, b []byte) {
		s := newMade(20*time.Minute).part(0, 1, "music")
		s.stand(0, 20, rules.GroupLevels{Known: true}, open, equal)
		for _, text := range [][]byte{a, b} {
			var head rules.Stamp
			if json.Unmarshal(text, &head) != nil {
				return
			}
			e := head.Entry.New()
			if e == nil || json.Unmarshal(text, e) != nil {
				return
			}
			s.m.Stretches[0].Entries = append(s.m.Stretches[0].Entries, e)
		}
		r := Summarise(s.m, Options{})
		writeAll(t, r)
		Overlook([]Listed{List(s.m, Options{})}, Options{})
	})
}
