package daemon

import (
	"time"

	"pawl/daemon/timeline"
	"pawl/dashboard"
	"pawl/rules"
)

// review is the record for the review pages; nil if nothing is recorded.
func (d *Daemon) review() dashboard.Review {
	if d.reader == nil {
		return nil
	}
	return recordReview{d.reader, d}
}

// recordReview reads the record beside the Recorder, and lets the loop begin and end
// services, since they do at its time.
type recordReview struct {
	*timeline.Reader
	daemon *Daemon
}

// The reasons for which a service cannot be begun or ended by hand.
var (
	errUnheard = rules.Refuse("refused.unheard")
	errAlready = rules.Refuse("refused.already")
	errNone    = rules.Refuse("refused.none")
)

// Edit implements dashboard.Review.
func (r recordReview) Edit(id int64, e timeline.Edit) (int64, error) {
	switch e.Do {
	case timeline.Begin, timeline.End:
		return 0, r.byHand(e.Do)
	}
	return r.Reader.Edit(id, e, time.Now())
}

// byHand begins a service or ends the one that goes on, and waits until that is written,
// so that the list that is asked for next has it.
func (r recordReview) byHand(do timeline.EditKind) error {
	all, err := r.List()
	if err != nil {
		return err
	}
	goesOn := len(all) > 0 && all[0].GoesOn
	switch {
	case do == timeline.Begin && goesOn:
		return errAlready
	case do == timeline.End && !goesOn:
		return errNone
	}
	err = r.daemon.ask(func(s *session) error {
		if !s.begun {
			return errUnheard
		}
		at := s.engine.at
		if do == timeline.Begin {
			s.record.BeginService(at)
		} else {
			s.record.EndService(at)
		}
		return nil
	})
	if err != nil {
		return err
	}
	return r.daemon.record.Flush()
}
