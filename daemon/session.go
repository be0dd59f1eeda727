package daemon

import (
	"context"
	"log/slog"
	"net/netip"
	"slices"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/daemon/survey"
	"pawl/rules"
)

// session is the loop on one desk: it owns the engine and the page's state.
type session struct {
	*Daemon
	house  *house.House
	link   *running
	engine *engine
	survey *survey.Survey

	packets []link.Packet
	sender  netip.AddrPort // of the last packet that was captured
	local   netip.AddrPort // where it came to
	entries []rules.Entry  // of this turn
	levels  []rules.Levels
	begun   bool // the record knows of this run

	unrecorded []rules.Entry // while the record takes earlier services
	unshown    []rules.Entry // that the page has not had
	urgent     bool          // one of them should be seen at once
	trouble    rules.Phrase  // why the house file in force is not the newest, or nothing

	heard   Summary  // by engines before this one
	service bool     // the capture at hand has one, or a part
	stands  [][]byte // how the desk stands, to be told once it is heard again

	since     time.Duration // when it began, on the daemon's clock
	woke      time.Time     // when the loop last had something to do
	heardAt   time.Time     // when the link's packets were last taken
	published time.Time     // when the last state left
	logged    string        // the state of the link that was last logged
	pictured  time.Time     // when the last picture for the setup page was made
	checked   time.Time     // and for the line check's
	coached   time.Time     // and for the coach's
}

func newSession(d *Daemon, h *house.House, l *running) *session {
	s := &session{Daemon: d, house: h, link: l, survey: survey.New(survey.Options{Map: h.Map}), since: d.options.Clock.Now()}
	s.beginEngine()
	return s
}

// frameEvery is the page's beat; the other pages are slower.
const (
	frameEvery = 100 * time.Millisecond
	setupEvery = 500 * time.Millisecond
	coachEvery = time.Second // a hand on a fader shows in the operator's picture at once
)

// breath is how long packets may gather before they are taken together. A busy
// desk sends a hundred in that time, and waking for each costs more than judging it.
const breath = 5 * time.Millisecond

// run watches until ctx ends, or until the house file has been read again, is good
// and wants another link: then it gives the new house.
func (s *session) run(ctx context.Context) (*house.House, error) {
	next := s.loop(ctx)
	s.link.stop()
	s.drain()
	return next, s.link.err
}

// drain hears what still waits once the link has stopped, and says what came of it.
func (s *session) drain() {
	s.hear()
	s.tell()
	s.endCapture()
}

// loop is where everything that judges happens, one thing after another.
func (s *session) loop(ctx context.Context) *house.House {
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		ready := s.link.Ready()
		if time.Since(s.heardAt) < breath {
			ready = nil
		}
		select {
		case <-ctx.Done():
			return nil
		case <-s.link.ended:
			return nil
		case <-ready:
			s.wake()
			s.hear()
		case <-timer.C:
			s.wake()
		case p := <-s.presses:
			s.wake()
			s.checked = time.Time{}
			p.answer <- p.do(s)
		case <-s.options.Reload:
			s.wake()
			if next := s.reload(); next != nil {
				return next
			}
			s.urgent = true
		}
		s.engine.advance(s.options.Clock.Now())
		s.tell()
		s.turnOver()
		s.publish()
		s.tally.turned(s.woke)
		timer.Reset(s.wait())
	}
}

// wake begins a turn of the loop.
func (s *session) wake() { s.woke = time.Now() }

// hear judges everything that waits at the link, and captures it at the time it
// was judged at.
func (s *session) hear() {
	s.heardAt = time.Now()
	s.packets = s.link.Take(s.packets[:0])
	if s.recorder != nil {
		s.local = s.link.Status().Local
	}
	for _, p := range s.packets {
		s.hearOne(p.At, p.From, p.Data)
		s.survey.Hear(p.At, p.Data)
	}
	s.tally.judged(s.packets, s.options.Clock)
}

// hearOne judges a packet, and captures it at the time it was judged at.
func (s *session) hearOne(at time.Duration, from netip.AddrPort, data []byte) {
	s.tellStanding(at)
	at = s.engine.packet(at, data)
	if s.recorder != nil {
		s.recorder.Put(capture.Packet{At: s.options.Clock.Wall(at), From: from, To: s.local, Data: data})
		s.sender = from
	}
}

// keep puts a message of our own into the capture, if there is one, beside the
// desk's packets and in their family of addresses.
func (s *session) keep(at time.Duration, data []byte, err error) {
	switch {
	case err != nil:
		s.options.Log.Error("keep a press in the capture", "error", err)
	case s.recorder != nil:
		s.recorder.Put(capture.Packet{At: s.options.Clock.Wall(at), From: capture.Ours(s.sender), To: s.local, Data: data})
	}
}

// tell passes on what the judge said.
func (s *session) tell() {
	s.entries = s.engine.judge.Take(s.entries)
	s.remember()
	s.unshown = append(s.unshown, s.entries...)
	for _, e := range s.entries {
		s.tally.entry(e)
		switch e.(type) {
		case *rules.Finding, *rules.Marked, *rules.Pressed, *rules.Parted, *rules.Housed, *rules.Linked, *rules.LineChecked:
			s.urgent = true
		}
		if err := s.options.Lines.Entry(e); err != nil {
			s.options.Log.Error("nothing more can be printed; watching goes on", "error", err)
			s.options.Lines.W, s.unprinted = nil, capture.InPlainWords(err)
		}
	}
}

// pressed does what a button asks, and keeps that it was asked.
func (s *session) pressed(p rules.Press) error {
	at, err := s.engine.press(s.options.Clock.Now(), p)
	if err != nil {
		return err
	}
	data, err := pressPacket(p)
	s.keep(at, data, err)
	return nil
}

// reload reads the house file again. Faults leave this house in force and stay on
// the page until they are mended. A house that wants another link is given back.
func (s *session) reload() *house.House {
	next, faults := house.Load(s.house.File)
	if next == nil {
		s.keptOld(faults)
		return nil
	}
	certificate, err := s.newCertificate(next)
	switch {
	case err != nil:
		s.keptOld(err)
		return nil
	case next.Same(s.house):
		s.certify(certificate) // which may be another in the same file
		s.options.Log.Info("house file read again: nothing is new", "file", s.house.File)
		s.trouble = rules.Phrase{}
		return nil
	case !next.SameLink(s.house) && next.Listen != s.house.Listen:
		// One that shares our own port has to wait for it; any other is opened while the
		// old one still runs, so that nothing is lost if it cannot be.
		l, err := s.open(next)
		if err != nil {
			s.keptOld(err)
			return nil
		}
		s.opened = l
	}
	s.certify(certificate)
	return s.follow(next)
}

// follow goes on by the next house, or gives it back if its link is another.
func (s *session) follow(next *house.House) *house.House {
	s.options.Log.Info("house file read again: the mark and the card begin anew", "file", s.house.File)
	was := s.Daemon.house
	if next.Page != was.Page || next.Language != was.Language || !slices.Equal(next.PageNames, was.PageNames) {
		s.options.Log.Warn("the page keeps its address, names and language until pawl is started again", "page", next.Page, "language", next.Language)
	}
	if !next.SameLink(s.house) {
		return next
	}
	now := s.options.Clock.Now()
	s.engine.advance(now)
	s.tell() // what was said by now was said by the old house
	at := s.engine.follow(now, next)
	if s.engine.begun {
		s.beginRun(next)
		data, err := housePacket(next.Name)
		s.keep(at, data, err)
	}
	s.house, s.survey, s.trouble = next, survey.New(survey.Options{Map: next.Map}), rules.Phrase{}
	s.page.Reset()
	return nil
}

// keptOld says why a newer house file is not in force.
func (s *session) keptOld(why error) {
	s.options.Log.Warn("the old house file stays in force", "file", s.house.File, "why", why)
	s.trouble = unfollowed(why)
}

// publish shows the state, ten times a second or at once if it is urgent.
func (s *session) publish() {
	now := time.Now()
	if !s.urgent && now.Sub(s.published) < frameEvery {
		return
	}
	s.published = now
	if s.options.Alive != nil {
		s.options.Alive()
	}
	status, at := s.link.Status(), s.options.Clock.Now()
	s.logLink(status)
	picture := s.engine.judge.Picture()
	if s.urgent || now.Sub(s.coached) >= coachEvery {
		s.coached = now
		s.page.Coaching(s.engine.judge.Ledger(), s.engine.judge.Book())
	}
	// First: who sees a trouble on the page and asks for the metrics finds it in them.
	f := figuresOf(s, status, picture)
	s.figures.Store(f)
	s.page.Publish(s.now(f, linkOf(s.house.Desk, status, s.engine, at)), s.unshown, s.urgent)
	clear(s.unshown)
	s.unshown, s.urgent = s.unshown[:0], false
	if now.Sub(s.pictured) >= setupEvery {
		s.pictured = now
		s.setups.Store(s.setup(status, at))
	}
	if now.Sub(s.checked) >= setupEvery || s.engine.judge.LineCheckOn() {
		s.checked = now
		s.checks.Store(s.lineCheck(status, at))
	}
}

// logLink says each change of how the desk is heard once, for whoever reads the
// terminal or the journal instead of the page.
func (s *session) logLink(status link.Status) {
	state := status.Phase.String()
	which := state // but for how long it has been so, which grows
	if p := status.Problem; p.Kind != link.NoProblem {
		state = p.String()
		p.For = 0
		which = p.String()
	}
	if which == s.logged {
		return
	}
	s.logged = which
	level := slog.LevelWarn
	if status.Problem.Kind == link.NoProblem {
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
