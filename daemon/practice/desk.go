package practice

import (
	"context"
	"net/netip"
	"sync"
	"time"

	"pawl/daemon/link"
	"pawl/oscmap/wire"
)

// Options says which desk to be. The zero value, but for the clock, is the
// demo's: Harbour Hall's service in the harbour dialect on a free port.
type Options struct {
	// Listen is the address to answer on; "" means 127.0.0.1:0, any free port.
	Listen string

	// Open takes that address; nil means UDP.
	Open func(address string) (Socket, error)

	// Clock paces the script. It must have been started.
	Clock link.Clock

	// Service is what happens; nil means HarbourHall. Loop plays one that loops
	// again and again; otherwise the desk stays as the end left it.
	Service *Script
	Loop    bool

	// Dialect is how the desk speaks; nil means Harbour.
	Dialect Dialect
}

// Desk is a simulated desk on a real socket. Nothing that is sent to it can
// move a fader: it has no such words.
type Desk struct {
	clock   link.Clock
	dialect Dialect
	socket  Socket
	reboots chan time.Duration // holds one; a second while it waits is the same reboot

	// The rest belongs to the goroutine of Run.
	playing   *performance
	began     time.Duration // on the clock
	listeners listeners
	asleep    bool
}

// New takes the port. The script starts with Run. The error says which address
// could not be had.
func New(o Options) (*Desk, error) {
	if o.Dialect == nil {
		o.Dialect = Harbour()
	}
	if o.Service == nil {
		o.Service = HarbourHall()
	}
	if o.Listen == "" {
		o.Listen = "127.0.0.1:0"
	}
	if o.Open == nil {
		o.Open = openUDP
	}
	socket, err := o.Open(o.Listen)
	if err != nil {
		return nil, err
	}
	return newDesk(o, socket), nil
}

func newDesk(o Options, s Socket) *Desk {
	return &Desk{
		clock:     o.Clock,
		dialect:   o.Dialect,
		socket:    s,
		reboots:   make(chan time.Duration, 1),
		playing:   newPerformance(o.Service, 0, o.Loop),
		listeners: listeners{},
	}
}

// Addr is the address the desk answers on, from New on.
func (d *Desk) Addr() netip.AddrPort { return d.socket.Addr() }

// Reboot turns the desk off for so much daemon time: it forgets who listens and
// is silent. It may be called from any goroutine, and acts while Run runs.
func (d *Desk) Reboot(silence time.Duration) {
	select {
	case d.reboots <- silence:
	default:
	}
}

// Run plays the script until ctx is done, and returns once every goroutine of
// the desk has ended and the port is free again. The error is nil unless the
// socket failed. It is called once.
func (d *Desk) Run(ctx context.Context) error {
	// Full, the next ask is lost, as a busy desk loses it; the asker asks again.
	asks := make(chan asked, 256)
	failed := make(chan error, 1)
	var serving sync.WaitGroup
	serving.Go(func() { failed <- d.socket.Serve(d.asksInto(asks)) })
	defer serving.Wait()
	defer d.socket.Close()

	d.began = d.clock.Now()
	d.advance()
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case err := <-failed:
			return err
		case a := <-asks:
			d.answer(a)
		case silence := <-d.reboots:
			d.playing.sleep(ticksIn(silence))
		case <-timer.C:
			d.advance()
			next := d.began + tickTime(d.playing.tick)
			// At many times the speed a tick may be no time at all on the wall.
			timer.Reset(max(d.clock.Real(next-d.clock.Now()), time.Millisecond))
		}
	}
}

// asked is one request and whom to answer.
type asked struct {
	from    netip.AddrPort
	request Request
}

// asksInto hands on what packets ask for. What cannot be read is nothing to this
// desk.
func (d *Desk) asksInto(asks chan<- asked) func(netip.AddrPort, []byte) {
	return func(from netip.AddrPort, packet []byte) {
		var r wire.Reader
		for r.Reset(packet); r.Next(); {
			req := d.dialect.Hear(r.Message())
			if req == (Request{}) {
				continue
			}
			select {
			case asks <- asked{from, req}:
			default:
			}
		}
	}
}

// tooLate is how far behind the wall a tick may be told. A machine that slept
// for an hour must not wake to an hour of packets at once.
const tooLate = 2 * time.Second

// advance does every tick that is due.
func (d *Desk) advance() {
	for now := d.clock.Now(); ; {
		due := d.began + tickTime(d.playing.tick)
		if due > now {
			return
		}
		news := d.playing.step()
		if news.asleep && !d.asleep {
			// A desk that lost its power remembers nobody, which is what makes whoever
			// watches it ask again.
			clear(d.listeners)
			d.socket.HangUp()
		}
		d.asleep = news.asleep
		if d.asleep || d.clock.Real(now-due) > tooLate {
			continue
		}
		d.tell(due, news)
	}
}

// tell says what a tick brought to everybody who listens.
func (d *Desk) tell(at time.Duration, n news) {
	to := d.listeners.at(at)
	if len(to) == 0 {
		return // the packets need not be made
	}
	say := func(packet []byte) {
		for _, who := range to {
			d.socket.Send(who, packet)
		}
	}
	v := View{d.playing.script.hall, d.playing.board, d.playing.needles}
	d.dialect.Tell(v, n.due, say)
	if n.meters {
		d.dialect.Meters(v, say)
	}
}

// answer does what somebody asked for.
func (d *Desk) answer(a asked) {
	now := d.clock.Now()
	if d.asleep {
		return
	}
	say := func(packet []byte) { d.socket.Send(a.from, packet) }
	v := View{d.playing.script.hall, d.playing.board, d.playing.needles}
	switch {
	case a.request.Listen > 0:
		d.listeners.add(a.from, now+a.request.Listen)
	// Everything is more than eighty packets. Those go to somebody who has asked to
	// be told, and not to whatever address stands on one packet.
	case a.request.All && d.listeners.has(a.from, now):
		d.dialect.Tell(v, d.playing.everything(), say)
		d.dialect.Meters(v, say)
	case a.request.One:
		d.dialect.Tell(v, []Topic{a.request.Topic}, say)
	}
}
