package daemon

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/netip"
	"slices"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/daemon/survey"
	"pawl/dashboard"
	"pawl/rules"
	"pawl/rules/desk"
)

// session is the loop on one house file: it owns the engine and the page's state.
type session struct {
	*Daemon
	house  *house.House
	link   *running
	engine *engine
	survey *survey.Survey
	screen page

	packets   []link.Packet
	unflushed bool      // something was captured since the last flush
	flushedAt time.Time // when that was
	leftOut   bool      // some packet was too long for the capture

	heardAt   time.Time // when the link's packets were last taken
	published time.Time // when the last state left
	logged    string    // the state of the link that was last logged
	pictured  time.Time // when the last picture for the setup page was made
	reloadOK  bool
}

// newSession begins to judge by a house file. What is already known of the desk
// may be nil.
func newSession(d *Daemon, h *house.House, l *running, known []desk.Reading) *session {
	s := &session{
		Daemon: d, house: h, link: l, engine: newEngine(h), survey: survey.New(survey.Options{Map: h.Map}), screen: page{house: h}, reloadOK: true,
	}
	s.engine.remember(known)
	return s
}

// frameEvery is the page's beat; the setup page is slower.
const (
	frameEvery = 100 * time.Millisecond
	setupEvery = 500 * time.Millisecond
)

// breath is how long packets may gather before they are taken together. A busy
// desk sends a hundred in that time, and waking for each costs more than judging it.
const breath = 5 * time.Millisecond

// run watches until ctx ends, or until the house file has been read again and is
// good: then it gives the new house.
func (s *session) run(ctx context.Context) (next *house.House, err error) {
	next, err = s.loop(ctx)
	if next != nil && next.SameLink(s.house) {
		return next, errors.Join(err, s.flush()) // what still waits is heard by the next session
	}
	s.link.stop()
	return next, errors.Join(err, s.link.err, s.drain())
}

// drain hears what still waits once the link has stopped, says what came of it,
// and brings it to the disk.
func (s *session) drain() error {
	err := s.hear()
	_, tellErr := s.tell()
	return errors.Join(err, tellErr, s.flush())
}

// loop is where everything that judges happens, one thing after another.
func (s *session) loop(ctx context.Context) (*house.House, error) {
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		urgent := false
		ready := s.link.Ready()
		if time.Since(s.heardAt) < breath {
			ready = nil
		}
		select {
		case <-ctx.Done():
			return nil, nil
		case <-s.link.ended:
			return nil, nil
		case <-ready:
			if err := s.hear(); err != nil {
				return nil, err
			}
		case <-timer.C:
		case c := <-s.commands:
			urgent = s.pressed(c)
		case <-s.options.Reload:
			if next := s.reload(); next != nil {
				return next, nil
			}
			urgent = true
		}
		if err := s.flushIfDue(); err != nil {
			return nil, err
		}
		s.engine.advance(s.options.Clock.Now())
		said, err := s.tell()
		if err != nil {
			return nil, err
		}
		s.publish(urgent || said)
		timer.Reset(s.wait())
	}
}

// hear judges everything that waits at the link, and captures it at the time it
// was judged at.
func (s *session) hear() error {
	s.heardAt = time.Now()
	s.packets = s.link.Take(s.packets[:0])
	var local netip.AddrPort
	if s.capture != nil {
		local = s.link.Status().Local
	}
	for _, p := range s.packets {
		at := s.engine.packet(p.At, p.Data)
		s.survey.Hear(p.At, p.Data)
		if s.capture == nil || !s.fitsCapture(p) {
			continue
		}
		s.unflushed = true
		err := s.capture.Write(capture.Packet{
			At: s.options.Clock.Wall(at), From: p.From, To: local, Data: p.Data,
		})
		if err != nil {
			return fmt.Errorf("write the capture: %w", err)
		}
	}
	return nil
}

// fitsCapture reports whether a packet can stand in a capture. A stream's frame may
// be a few bytes longer than any datagram; it is judged and left out, and that is
// said once.
func (s *session) fitsCapture(p link.Packet) bool {
	if len(p.Data) <= capture.MostData {
		return true
	}
	if !s.leftOut {
		s.leftOut = true
		s.options.Log.Warn("a packet is too long for the capture and is left out of it", "bytes", len(p.Data))
	}
	return false
}

// flushIfDue flushes what was captured more than a second ago, also when nothing
// comes after it.
func (s *session) flushIfDue() error {
	if now := time.Now(); s.unflushed && now.Sub(s.flushedAt) >= time.Second {
		s.flushedAt = now
		return s.flush()
	}
	return nil
}

// flush brings the capture to the disk, so that a power cut costs a second at most.
func (s *session) flush() error {
	if s.capture == nil {
		return nil
	}
	s.unflushed = false
	if err := s.capture.Flush(); err != nil {
		return fmt.Errorf("write the capture: %w", err)
	}
	if f, ok := s.options.Capture.(interface{ Sync() error }); ok {
		// A pipe or a terminal cannot be synced, and has nothing to lose.
		_ = f.Sync()
	}
	return nil
}

// tell passes on what the judge said, and reports whether the screen changed.
func (s *session) tell() (bool, error) {
	said := s.engine.judge.Said()
	if len(said) == 0 {
		return false, nil
	}
	for _, f := range said {
		s.tally.finding(f)
		if s.options.Lines.W == nil {
			continue
		}
		if err := s.options.Lines.Finding(f); err != nil {
			return false, fmt.Errorf("write a finding: %w", err)
		}
	}
	return s.screen.said(said, s.engine.judge.Visible), nil
}

// pressed does what a button asks, and reports whether the screen changed.
func (s *session) pressed(c dashboard.Command) bool {
	switch c.Do {
	case "mark":
		s.engine.judge.Mark()
		return true
	case "seen":
		s.engine.judge.Seen(c.Number)
	case "not-now":
		if f, ok := s.screen.find(c.Number); ok {
			s.engine.judge.NotNow(f)
		}
	}
	return s.screen.prune(s.engine.judge.Visible)
}

// reload reads the house file again. Faults leave this house in force and stay on
// the page until they are mended.
func (s *session) reload() *house.House {
	next, faults := house.Load(s.house.File)
	s.reloadOK = next != nil
	switch {
	case next != nil && next.Same(s.house):
		s.options.Log.Info("house file read again: nothing is new", "file", s.house.File)
		s.screen.notices = nil
		return nil
	case next != nil:
		return s.follow(next)
	}
	s.keptOld(faults.Error())
	return nil
}

// follow gives the next house if its link can be had. One that shares our own port
// has to wait for it; any other is opened while the old one still runs, so that
// nothing is lost if it cannot be.
func (s *session) follow(next *house.House) *house.House {
	if !next.SameLink(s.house) && next.Listen != s.house.Listen {
		l, err := s.open(next)
		if err != nil {
			s.keptOld(err.Error())
			return nil
		}
		s.opened = l
	}
	s.options.Log.Info("house file read again: the mark and the card begin anew", "file", s.house.File)
	if next.Page != s.Daemon.house.Page || !slices.Equal(next.PageNames, s.Daemon.house.PageNames) {
		s.options.Log.Warn("the page keeps its address and names until pawl is started again", "page", next.Page)
	}
	return next
}

// keptOld says why a newer house file is not in force.
func (s *session) keptOld(why string) {
	s.reloadOK = false
	s.options.Log.Warn("the old house file stays in force", "file", s.house.File, "why", why)
	s.screen.notices = []dashboard.Notice{{
		Kind: "house", Text: "The house file was read again and cannot be followed, so the old one stays in force:\n" + why,
	}}
}

// publish shows the state, ten times a second or at once if it is urgent.
func (s *session) publish(urgent bool) {
	now := time.Now()
	if !urgent && now.Sub(s.published) < frameEvery {
		return
	}
	s.published = now
	if s.options.Alive != nil {
		s.options.Alive()
	}
	status, at := s.link.Status(), s.options.Clock.Now()
	s.logLink(status)
	g := s.engine.judge.Glance()
	state := s.screen.state(g, now, linkOf(s.house.Desk, status, s.engine, at))
	s.page.Publish(state, s.screen.tide(g), stepsOf(s.engine.judge.Steps()), urgent)
	s.figures.Store(figuresOf(s, status, g))
	if now.Sub(s.pictured) >= setupEvery {
		s.pictured = now
		s.setups.Store(s.setup(status, at))
	}
}

// logLink says each change of how the desk is heard once, for whoever reads the
// terminal or the journal instead of the page.
func (s *session) logLink(status link.Status) {
	state := status.Phase.String()
	if status.Problem != "" {
		state = status.Problem
	}
	if state == s.logged {
		return
	}
	s.logged = state
	level := slog.LevelWarn
	if status.Problem == "" {
		level = slog.LevelInfo
	}
	s.options.Log.Log(context.Background(), level, "desk", "address", s.house.Desk, "state", state)
}

// wait is how long until something is due: the judge's next moment, or the page's.
func (s *session) wait() time.Duration {
	now := time.Now()
	wait := frameEvery - now.Sub(s.published)
	if rest := breath - now.Sub(s.heardAt); rest > 0 {
		wait = min(wait, rest)
	}
	if next, ok := s.engine.next(); ok {
		wait = min(wait, s.options.Clock.Real(next-s.options.Clock.Now()))
	}
	return max(wait, 0)
}

// figures is a picture of the session for the metrics, never changed once made.
type figures struct {
	link      link.Status
	glance    rules.Glance
	messages  uint64
	unmapped  uint64
	malformed map[string]uint64
	refused   map[string]uint64
	clamped   map[string]uint64
	reloadOK  bool
}

func figuresOf(s *session, status link.Status, g rules.Glance) *figures {
	var sum Summary
	sum.count(s.engine)
	return &figures{
		link: status, glance: g, messages: sum.Messages, unmapped: sum.Unmapped, malformed: sum.Malformed,
		refused: sum.Refused, clamped: sum.Clamped, reloadOK: s.reloadOK,
	}
}
