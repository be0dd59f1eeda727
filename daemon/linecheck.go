package daemon

import (
	"sync"
	"sync/atomic"
	"time"

	"pawl/daemon/link"
	"pawl/daemon/store"
	"pawl/dashboard"
	"pawl/rules"
)

// lineCheck is what the line check's page shows.
func (s *session) lineCheck(status link.Status, at time.Duration) *dashboard.LineCheck {
	out := &dashboard.LineCheck{
		T: at.Seconds(), House: s.house.Name, Link: linkOf(s.house.Desk, status, s.engine, at), LinePicture: s.engine.judge.LinePicture(),
	}
	if before := s.before.found.Load(); before != nil && out.On {
		if r, moved := s.house.Limits.LineCheck.MainMoved(out.Main, before.Main); moved {
			out.Desk = append(out.Desk, r)
		}
	}
	return out
}

// answerLineCheck gives the loop's newest picture.
func (d *Daemon) answerLineCheck() (dashboard.LineCheck, bool) {
	picture := d.checks.Load()
	if picture == nil {
		return dashboard.LineCheck{}, false
	}
	if d.options.Record != "" {
		d.before.once.Do(func() { d.before.found.Store(lastLineCheck(d.options.Record)) })
	}
	return *picture, true
}

// lineBefore is the line check of an earlier service. It is looked for once, when somebody
// first opens the page, and not by the loop: a record is a file on a disk.
type lineBefore struct {
	once  sync.Once
	found atomic.Pointer[rules.LineChecked] // nil until there is one
}

// mostSearched bounds in how many services an earlier line check is looked for.
const mostSearched = 8

// lastLineCheck is the newest line check in a record that ended; nil if there is none, or
// the record cannot be read, which the recorder says.
func lastLineCheck(file string) *rules.LineChecked {
	s, err := store.OpenToRead(file)
	if err != nil {
		return nil
	}
	defer s.Close()
	services, err := s.Services()
	if err != nil {
		return nil
	}
	for _, service := range services[:min(len(services), mostSearched)] {
		var last *rules.LineChecked
		stretches, err := s.Read(service.ID)
		if err != nil {
			return nil
		}
		for _, stretch := range stretches {
			for _, e := range stretch.Entries {
				if c, ok := e.(*rules.LineChecked); ok && c.State == rules.LineEnded {
					last = c
				}
			}
		}
		if last != nil {
			return last
		}
	}
	return nil
}
