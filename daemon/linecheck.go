package daemon

import (
	"time"

	"pawl/daemon/link"
	"pawl/dashboard"
)

// lineCheck is what the line check's page shows.
func (s *session) lineCheck(status link.Status, at time.Duration) *dashboard.LineCheck {
	return &dashboard.LineCheck{
		T: at.Seconds(), House: s.house.Name, Link: linkOf(s.house.Desk, status, s.engine, at), LinePicture: s.engine.judge.LinePicture(),
	}
}

// answerLineCheck gives the loop's newest picture.
func (d *Daemon) answerLineCheck() (dashboard.LineCheck, bool) {
	if picture := d.checks.Load(); picture != nil {
		return *picture, true
	}
	return dashboard.LineCheck{}, false
}
