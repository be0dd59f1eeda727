// Package listen is the verb of that name: it hears a desk, a port or a capture, has
// package survey look at what comes, shows the table, puts the questions to whoever
// sits at the terminal, and writes the draft of a map. It sends nothing but the
// asks of a map that it was given.
package listen

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/netip"
	"sync"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/daemon/survey"
	"pawl/oscmap"
)

// Options say what to listen to and what to make of it. Exactly one of
// Port, Desk, House and Capture says where packets come from, but that Desk may
// also choose a sender of a capture.
type Options struct {
	Port    int    // of this machine, from anyone; nothing is sent
	Desk    string // host:port; the asks of Map are sent to it, and nothing else
	House   string // a house file: its desk and its map
	Capture string // a file of captured packets
	Map     string // a map file, which may consist of its link alone

	// Draft is the file to write a first map to, "" for none. One that exists is
	// not overwritten.
	Draft string

	// DraftHouse is the file to write a first house file to, for the map that is drafted or
	// was given; "" for none. One that exists is not overwritten.
	DraftHouse string

	// For is how long to listen before the draft is made, or the end; 0 is until
	// interrupted, and a minute if questions follow.
	For time.Duration

	JSON bool

	// In is where the answers of the guided part come from, one on a line; nil
	// leaves it out. The part is run if there is a draft to write.
	In io.Reader

	// Out is told the table or its JSON, Talk everything else: what is going on,
	// and the questions.
	Out, Talk io.Writer

	// Screen gives the size of Out, if it is a terminal on which the table may be
	// drawn again and again. It is nil otherwise.
	Screen func() (width, height int)

	// Clock is the pace of time; the zero value is the wall's.
	Clock link.Clock
}

// Listener shows what arrives from a desk, and drafts a map of it. Make one with
// New and call Run once.
type Listener struct {
	options Options
	given   givenMap
	survey  *survey.Survey
	guide   *survey.Guide
	link    *link.Link // nil for a capture
	only    netip.Addr // of a capture, if one sender was picked
	senders senders
	desk    string
	drawn   bool
	warned  link.ProblemKind // what was last said of it while questions were asked
}

// errNothing is the error of somebody who names nothing to listen to.
var errNothing = errors.New("say where from: --port, --desk, --capture or a house file")

// New reads the files it was given and takes the port. The error says in a
// sentence, or in the lines of a checked file, what is wrong.
func New(o Options) (*Listener, error) {
	if o.Clock.Started.IsZero() {
		o.Clock.Started = time.Now()
	}
	l := &Listener{options: o, senders: senders{}, desk: o.Desk}
	for _, file := range []string{o.Draft, o.DraftHouse} {
		if file == "" {
			continue
		}
		if err := mayWrite(file); err != nil {
			return nil, err
		}
	}
	listen, anyPort, err := l.readGiven()
	if err != nil {
		return nil, err
	}
	var so survey.Options
	if !l.given.bare {
		so.Map = l.given.m
	}
	l.survey = survey.New(so)
	if o.Capture != "" {
		return l, l.pickSender()
	}
	if o.Port > 0 {
		listen = fmt.Sprintf(":%d", o.Port)
	}
	if l.desk == "" && o.Port == 0 {
		return nil, errNothing
	}
	if _, port := house.SplitAddress(l.desk); l.desk != "" && port == "" {
		return nil, fmt.Errorf("--desk %s: no port; write it behind the address, as %s:10700, or as link.desk-port in the map", l.desk, l.desk)
	}
	lo := link.Options{Desk: l.desk, Listen: listen, AnyPort: anyPort, Clock: o.Clock}
	if m := l.given.m; m != nil {
		lo.Transport, lo.StaleAfter = m.Link().Transport, m.Link().StaleAfter
		if l.desk != "" {
			lo.Asks = m.Asks()
		}
	}
	l.link, err = link.Open(lo)
	return l, err
}

// readGiven reads the house file or the map.
func (l *Listener) readGiven() (listen string, anyPort bool, err error) {
	o := l.options
	switch {
	case o.House != "":
		h, faults := house.Load(o.House)
		if h == nil {
			return "", false, faults
		}
		l.given, l.desk = givenMap{m: h.Map}, h.Desk
		l.given.takeSections([]byte(h.MapText()))
		return h.Listen, h.AnyPort, nil
	case o.Map != "":
		l.given, err = readMap(o.Map)
		if m := l.given.m; err == nil {
			if p := m.Link().ListenPort; p > 0 {
				listen = fmt.Sprintf(":%d", p)
			}
			if host, port := house.SplitAddress(l.desk); l.desk != "" && port == "" && m.Link().DeskPort > 0 {
				l.desk = net.JoinHostPort(host, fmt.Sprint(m.Link().DeskPort))
			}
		}
	}
	return listen, false, err
}

// pickSender reads the desk's host, if one was named for a capture.
func (l *Listener) pickSender() error {
	if l.options.Desk == "" {
		return nil
	}
	host, _ := house.SplitAddress(l.options.Desk)
	ip, err := netip.ParseAddr(host)
	if err != nil {
		return fmt.Errorf("--desk %q: for a capture want the sender's address, as 192.0.2.10", l.options.Desk)
	}
	l.only = ip
	return nil
}

// Run listens until ctx ends, the time is over, the capture is read or the guided
// part is through. Then it prints the whole table and writes the draft.
func (l *Listener) Run(ctx context.Context) error {
	if l.options.Capture != "" {
		if err := l.readCapture(); err != nil {
			return err
		}
		return l.finish()
	}
	ctx, stop := context.WithCancel(ctx)
	var run sync.WaitGroup
	var linkErr error
	run.Go(func() {
		defer stop()
		linkErr = l.link.Run(ctx)
	})
	l.live(ctx)
	stop()
	run.Wait()
	if linkErr != nil {
		return linkErr
	}
	return l.finish()
}

// hear takes one packet.
func (l *Listener) hear(at time.Duration, from netip.AddrPort, data []byte) {
	l.senders.count(from)
	l.survey.Hear(at, data)
}

// transport is the map's word for how packets come.
func (l *Listener) transport() string {
	if l.given.m == nil {
		return oscmap.UDP.String()
	}
	return l.given.m.Link().Transport.String()
}
