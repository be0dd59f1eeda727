package house

import (
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"strings"
	"time"

	"pawl/oscmap/sheet"
)

// Record says where the record of services is kept, and how much of it.
type Record struct {
	File string        // "" if the house file names none
	None bool          // the house file wants no record
	Keep time.Duration // after a service's end; 0 for ever
	Most int64         // bytes of all services; 0 for any number
}

type recordSheet struct {
	File sheet.At[string]    `yaml:"file" doc:"The record's file, beside the house file unless it is an absolute path; none keeps no record."`
	Keep sheet.At[days]      `yaml:"keep" doc:"How long a service is kept after its end; for ever if it is left out: 730 days."`
	Most sheet.At[megabytes] `yaml:"most" doc:"How much all services may take, before the oldest are deleted; any amount if it is left out: 2000 MB."`
}

// days and megabytes are written with their words.
type (
	days      float64
	megabytes float64
)

// Unit is how a person writes it: "730 days".
func (days) Unit() string { return "days" }

// Unit is how a person writes it: "2000 MB".
func (megabytes) Unit() string { return "MB" }

// noRecord is what the house file has in a file's place.
const noRecord = "none"

func (s *recordSheet) compile(houseFile string) Record {
	r := Record{
		File: s.File.V, Keep: time.Duration(float64(s.Keep.V) * float64(24*time.Hour)), Most: int64(s.Most.V * 1e6),
	}
	switch {
	case r.File == noRecord:
		r.File, r.None = "", true
	case r.File != "" && !filepath.IsAbs(r.File):
		r.File = filepath.Join(filepath.Dir(houseFile), r.File)
	}
	return r
}

func (s *recordSheet) check() (faults sheet.Faults) {
	// The times of two hundred years fit into a duration; no service is older.
	if k := s.Keep; k.Written() && !(k.V >= 1 && k.V <= 73000) {
		faults = append(faults, k.Place.Wrong("leave it out to keep services for ever", "services are kept for %v days; want 1 to 73000", float64(k.V)))
	}
	if m := s.Most; m.Written() && !(m.V >= 1 && m.V <= 1e9) {
		faults = append(faults, m.Place.Wrong("a service of 90 minutes takes 4 MB or less; leave it out for any amount", "the record may take %v MB; want 1 to 1000000000", float64(m.V)))
	}
	return faults
}

// RecordBeside is where the record is kept when neither house file nor system says:
// beside the house file, under its name.
func (h *House) RecordBeside() string {
	name := strings.TrimSuffix(h.File, filepath.Ext(h.File))
	return strings.TrimSuffix(name, ".house") + ".record"
}

// Prints are fingerprints of the house file and of the map: two services of the same
// ones were judged by the same words and limits.
func (h *House) Prints() (house, oscmap string) { return fingerprint(h.text), fingerprint(h.mapText) }

func fingerprint(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:8])
}
