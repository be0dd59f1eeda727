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

	Captures Captures
}

// Captures says where every packet of the desk is kept beside the record, and how much
// of that.
type Captures struct {
	Folder string        // "" for nowhere
	Keep   time.Duration // after a file's end; 0 for as long as the service is in the record
	Most   int64         // bytes of all files
}

type recordSheet struct {
	File sheet.At[string]    `yaml:"file" doc:"The record's file, beside the house file unless it is an absolute path; none keeps no record. If it is left out, where systemd keeps what a service writes, or else beside the house file under its name: hall.record."`
	Keep sheet.At[days]      `yaml:"keep" doc:"How long a service is kept after its end; for ever if it is left out: 730 days."`
	Most sheet.At[megabytes] `yaml:"most" doc:"How much all services may take, before the oldest are deleted; any amount if it is left out: 2000 MB."`

	Captures capturesSheet `yaml:"captures" doc:"Every packet of each service, so that it can be judged again by other limits; none is kept if this is left out."`
}

type capturesSheet struct {
	Folder sheet.At[string]    `yaml:"folder" jsonschema:"required" doc:"The folder of the captures, beside the house file unless it is an absolute path."`
	Keep   sheet.At[days]      `yaml:"keep" doc:"How long a capture is kept after its end; as long as its service if it is left out: 60 days."`
	Most   sheet.At[megabytes] `yaml:"most" doc:"How much all captures may take, before the oldest are deleted; 4000 MB if it is left out."`
}

// mostCaptures is how many bytes of captures are kept where the house file does not say:
// captures are a hundred times the record, and a full disk stops both.
const mostCaptures = 4_000_000_000

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
	r := Record{Keep: s.Keep.V.duration(), Most: s.Most.V.bytes()}
	if r.None = s.File.V == noRecord; !r.None {
		r.File = beside(houseFile, s.File.V)
	}
	c := &s.Captures
	if r.Captures = (Captures{Folder: beside(houseFile, c.Folder.V), Keep: c.Keep.V.duration(), Most: c.Most.V.bytes()}); !c.Most.Written() && c.Folder.V != "" {
		r.Captures.Most = mostCaptures
	}
	return r
}

func (d days) duration() time.Duration { return time.Duration(float64(d) * float64(24*time.Hour)) }
func (m megabytes) bytes() int64       { return int64(m * 1e6) }

// beside is where a path stands that is taken from the house file's own folder.
func beside(houseFile, path string) string {
	if path == "" || filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(filepath.Dir(houseFile), path)
}

func (s *recordSheet) check() (faults sheet.Faults) {
	c := &s.Captures
	faults = append(faults, checkKeep(s.Keep, "services", "leave it out to keep services for ever")...)
	faults = append(faults, checkMost(s.Most, "the record", "a service of 90 minutes takes 4 MB or less; leave it out for any amount")...)
	faults = append(faults, checkKeep(c.Keep, "captures", "leave it out to keep captures as long as their services")...)
	faults = append(faults, checkMost(c.Most, "captures", "a service of 90 minutes takes some hundred MB")...)
	if s.File.V == noRecord && c.Folder.Written() {
		faults = append(faults, c.Folder.Place.Wrong("leave file: none out, or keep a whole evening with pawl capture",
			"captures are kept beside the record, and there is none"))
	}
	return faults
}

// checkKeep wants a time that fits into a duration: two hundred years, and no service is
// older.
func checkKeep(k sheet.At[days], what, hint string) (faults sheet.Faults) {
	if k.Written() && !(k.V >= 1 && k.V <= 73000) {
		faults = append(faults, k.Place.Wrong(hint, "%s are kept for %v days; want 1 to 73000", what, float64(k.V)))
	}
	return faults
}

func checkMost(m sheet.At[megabytes], what, hint string) (faults sheet.Faults) {
	if m.Written() && !(m.V >= 1 && m.V <= 1e9) {
		faults = append(faults, m.Place.Wrong(hint, "%s may take %v MB; want 1 to 1000000000", what, float64(m.V)))
	}
	return faults
}

// Beside is where a file of a house is kept when neither its file nor the system says:
// beside the house file, under its name, which for hall.house.yaml and ".record" is hall.record.
func (h *House) Beside(ending string) string {
	name := strings.TrimSuffix(h.File, filepath.Ext(h.File))
	return strings.TrimSuffix(name, ".house") + ending
}

// Prints are fingerprints of the house file and of the map: two services of the same
// ones were judged by the same words and limits.
func (h *House) Prints() (house, oscmap string) { return fingerprint(h.text), fingerprint(h.mapText) }

func fingerprint(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:8])
}
