package daemon

import (
	"time"

	"pawl/daemon/house"
	"pawl/daemon/store"
	"pawl/rules"
)

// remember hands what was said to the record, if there is one.
func (s *session) remember() {
	if s.record == nil {
		return
	}
	s.logRecord()
	if s.earlier.isAtWork() { // the judge keeps the levels meanwhile
		s.unrecorded = append(s.unrecorded, s.entries...)
		return
	}
	s.levels = s.engine.judge.TakeLevels(s.levels)
	if !s.engine.begun {
		return
	}
	if !s.begun {
		s.beginRun(s.house)
	}
	s.record.Put(append(s.unrecorded, s.entries...), s.levels)
	s.unrecorded = nil
}

// beginRun tells the record by what house what comes next was judged.
func (s *session) beginRun(h *house.House) {
	if s.record == nil {
		return
	}
	run := runOf(h, s.options.Clock.Wall(s.engine.base), s.options.Version)
	run.Capture = s.captureName()
	if s.begun { // a house file that was read again
		run.At = rules.Moment(s.engine.at)
	}
	s.begun = true
	s.record.Begin(run)
}

// runOf is a run that begins at a time of day.
func runOf(h *house.House, zero time.Time, version string) store.Run {
	houseText, mapText := h.Prints()
	return store.Run{
		Zero: zero, House: h.Name, HousePrint: houseText, MapPrint: mapText, Pawl: version,
		Strips: store.Strips{Inputs: h.Roster.Inputs, Groups: h.Roster.Groups}, HouseText: h.Text(), MapText: h.MapText(),
	}
}

// kept says how the record goes; of none it is the zero value.
func (s *session) kept() store.Status {
	if s.record == nil {
		return store.Status{}
	}
	return s.record.Status()
}

// logRecord says each trouble and each remark of the record once.
func (s *session) logRecord() {
	status := s.record.Status()
	if status.Fault != s.recordFault {
		s.recordFault = status.Fault
		if status.Fault != "" {
			s.options.Log.Warn("the record cannot be written", "file", s.options.Record, "why", status.Fault)
		} else {
			s.options.Log.Info("the record is written again", "file", s.options.Record, "missing", status.Dropped)
		}
	}
	if status.Remark != s.remark {
		s.remark = status.Remark
		s.options.Log.Warn(status.Remark, "file", s.options.Record)
	}
}
