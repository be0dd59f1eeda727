package daemon

import (
	"maps"
	"path/filepath"
	"strings"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/store"
)

// beginCapture begins to keep packets: in the file that was asked for, else in the
// folder that the house file names. One at a time: who asks for a file wants all of an
// evening in it.
// Captured is how many packets are in the capture of Options, those of Pawl's own among
// them, and how many are missing from it. Call it after Run.
func (d *Daemon) Captured() (written, missing uint64) {
	if d.recorder == nil {
		return 0, 0
	}
	s := d.recorder.Status()
	return s.Written, s.Waiting + s.Dropped + s.Refused
}

func (d *Daemon) beginCapture() (err error) {
	folder := d.house.Record.Captures
	switch {
	case d.options.Capture != nil:
		d.recorder, err = capture.NewRecorder(d.options.Capture, d.house.Map.Desk(), d.recording)
	case folder.Folder != "" && d.options.Record != "":
		loose := looseCaptures{d.options.Record}
		d.captures = capture.NewFolder(capture.FolderOptions{
			Path: folder.Folder, Stem: strings.TrimSuffix(filepath.Base(d.options.Record), filepath.Ext(d.options.Record)), Note: d.house.Map.Desk(),
			Keep: folder.Keep, Most: folder.Most, Loose: loose.paths, Forgotten: loose.forget, Recorder: d.recording,
		})
		d.recorder = d.captures
	}
	return err
}

// looseCaptures are those whose services the record at that path has no more.
type looseCaptures struct{ record string }

func (l looseCaptures) paths() []string {
	s, err := store.OpenToRead(l.record)
	if err != nil {
		return nil // it is not there yet, or its own trouble is told elsewhere
	}
	defer s.Close()
	names, _ := s.LooseCaptures()
	for i, name := range names {
		names[i] = capturePath(l.record, name)
	}
	return names
}

func (l looseCaptures) forget(path string) {
	s, err := store.Open(l.record)
	if err != nil {
		return
	}
	defer s.Close()
	_ = s.ForgetCapture(captureName(l.record, path)) // what is still listed is looked for again
}

// captureName is how the record calls a capture: from its own folder on where that goes,
// so that both may move together.
func captureName(record, path string) string {
	rel, err := filepath.Rel(filepath.Dir(record), path)
	if err != nil || strings.HasPrefix(rel, "..") {
		return path
	}
	return filepath.ToSlash(rel)
}

// capturePath is where the capture is that a record calls so.
func capturePath(record, name string) string {
	if path := filepath.FromSlash(name); filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(filepath.Dir(record), filepath.FromSlash(name))
}

// captureName is how the record is to call the capture at hand, "" for none.
func (s *session) captureName() string {
	if s.captures == nil || s.captures.File() == "" {
		return ""
	}
	return captureName(s.options.Record, s.captures.File())
}

// beginEngine begins to judge anew, and a capture with it: one file is what one judge
// heard, so that another can judge it again.
func (s *session) beginEngine() {
	s.engine, s.begun, s.service = newRecording(s.house, s.record != nil), false, false
	if s.captures != nil {
		s.captures.Next()
		s.engine.known = newKnown()
	}
}

const (
	// idleFor is how long a capture may be in which there is no service yet. A service
	// begins when it has begun, and has up to so much of the quiet before it in its file.
	idleFor = 30 * time.Minute

	// breathFor is how long it has to be quiet before a judge may end: longer than a
	// pause in a service that somebody ended by hand, or that a rule looks back on.
	breathFor = time.Minute

	// playsAlone and aloneFor are when a judge ends though something plays, as it does all
	// week at a desk with a radio on it: its capture is so long, and nobody touched
	// anything for that time.
	playsAlone = 4 * time.Hour
	aloneFor   = 15 * time.Minute
)

// turnOver ends the capture and the judge, and begins others, where nobody is there to
// miss what they knew: after a service, and now and then while there is none. How the desk
// stands is told to the new judge at once, or once the desk is heard again: open faders
// of one that is off would sound like a band of which no meter tells.
func (s *session) turnOver() {
	if s.captures == nil || !s.begun { // as is so while earlier services are recorded
		return
	}
	status := s.record.Status()
	if s.service = s.service || status.GoesOn; status.GoesOn || !s.spent(status) {
		return
	}
	s.heard.count(s.engine)
	stands, away := s.engine.known.messages(), s.engine.judge.Away()
	s.endCapture()
	s.beginEngine()
	s.stands = stands
	if !away {
		s.tellStanding(s.options.Clock.Now())
	}
	s.page.Reset()
	s.tell()
}

// tellStanding tells the judge how the desk stands, if that waits to be told.
func (s *session) tellStanding(at time.Duration) {
	messages := s.stands
	s.stands = nil
	for _, message := range messages {
		s.hearOne(at, s.sender, message)
	}
}

// endCapture says in the capture at hand that it ends here.
func (s *session) endCapture() {
	if s.captures != nil && s.engine.begun {
		data, err := endPacket()
		s.keep(s.engine.base+s.engine.at, data, err)
	}
}

// spent reports whether the capture at hand has served.
func (s *session) spent(status store.Status) bool {
	if status.Still < breathFor {
		return s.engine.at > playsAlone && status.Alone > aloneFor
	}
	return s.service || s.engine.at > idleFor
}

// clone is a sum that may be added to without changing the other.
func (s Summary) clone() Summary {
	s.Malformed, s.Refused, s.Clamped = maps.Clone(s.Malformed), maps.Clone(s.Refused), maps.Clone(s.Clamped)
	return s
}
