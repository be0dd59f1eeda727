package timeline

import (
	"encoding/json"
	"path/filepath"
	"testing"
	"time"

	"pawl/daemon/store"
	"pawl/rules"
)

// BenchmarkFirst is the first answer about a service of 90 minutes and 32 inputs: read,
// drawn and written as JSON, with the curves of all of it.
func BenchmarkFirst(b *testing.B) {
	run, entries, levels := long(90, 32)
	path := recorded(b, run, entries, levels)
	for b.Loop() {
		r := NewReader(path)
		one, err := r.One(1, english)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(written(b, one)), "timeline-bytes")
		c, err := r.Curves(1, 0, one.Timeline.Length, 1100)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(written(b, c)), "curves-bytes")
		r.Close()
	}
}

// BenchmarkZoom is what each later answer of the same takes, at its widest.
func BenchmarkZoom(b *testing.B) {
	run, entries, levels := long(90, 32)
	r := reading(b, recorded(b, run, entries, levels))
	for b.Loop() {
		c, err := r.Curves(1, 60*rules.Moment(1e9), 5300*rules.Moment(1e9), MostPoints)
		if err != nil {
			b.Fatal(err)
		}
		written(b, c)
	}
}

func written(b *testing.B, v any) int {
	b.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		b.Fatal(err)
	}
	return len(data)
}

// BenchmarkList200 is the list of a record of 200 services, as its page gets it.
func BenchmarkList200(b *testing.B) {
	run, entries, levels := long(45, 8)
	path := filepath.Join(b.TempDir(), "record.pawl")
	rec := store.NewRecorder(path, store.Options{Bytes: 1 << 30})
	for week := range 200 {
		run.Zero = evening.AddDate(0, 0, 7*week)
		rec.Begin(run)
		rec.BeginService(0)
		rec.Put(entries, levels)
		rec.EndService(45 * time.Minute)
		if err := rec.Flush(); err != nil {
			b.Fatal(err)
		}
	}
	if err := rec.Close(); err != nil {
		b.Fatal(err)
	}
	r := reading(b, path)
	for b.Loop() {
		all, err := r.List()
		if err != nil || len(all) != 200 {
			b.Fatal(len(all), err)
		}
		b.ReportMetric(float64(written(b, all)), "bytes")
	}
}
