package practice

import (
	"context"
	"net/netip"
	"sync"
	"time"

	"pawl/daemon/link"
)

// Options says which desk to be. The zero value, but for the clock, is the
// demo's: Harbour Hall's service in the harbour dialect on a free port.
type Options struct {
	// Listen is the address to answer on; "" means 127.0.0.1:0, any free port.
	Listen string

	// Clock paces the script. It must have been started.
	Clock link.Clock

	// Service is what happens; nil means the service "harbour-hall". Loop plays
	// one that loops again and again; otherwise the desk stays as the end left it.
	Service *Script
	Loop    bool

	// Dialect is how the desk speaks; nil means the first of Dialects.
	Dialect Dialect

	// Transport is how packets travel, in a map's words: "udp", "tcp-slip" or
	// "tcp-length". "" is as the dialect's own map has it.
	Transport string

	// Seed picks the players' small irregularities.
	Seed uint64
}

// Desk is a simulated desk on a real socket. Nothing that is sent to it can
// move a fader: it has no such words.
type Desk struct {
	clock   link.Clock
	dialect Dialect
	socket  socket
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
		o.Dialect = dialects[0]
	}
	if o.Service == nil {
		s, err := Service("harbour-hall")
		if err != nil {
			return nil, err
		}
		o.Service = s
	}
	if o.Listen == "" {
		o.Listen = "127.0.0.1:0"
	}
	if o.Transport == "" {
		o.Transport = o.Dialect.Transport()
	}
	socket, err := openSocket(o.Transport, o.Listen)
	if err != nil {
		return nil, err
	}
	return newDesk(o, socket), nil
}

func newDesk(o Options, s socket) *Desk {
	return &Desk{
		clock:     o.Clock,
		dialect:   o.Dialect,
		socket:    s,
		reboots:   make(chan time.Duration, 1),
		playing:   newPerformance(o.Service, o.Seed, o.Loop),
		listeners: listeners{},
	}
}

// Addr is the address the desk answers on, from New on.
func (d *Desk) Addr() netip.AddrPort { return d.socket.addr() }

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
	serving.Go(func() { failed <- d.socket.serve(d.dialect, asks) })
	defer serving.Wait()
	defer d.socket.close()

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
			clear(d.listeners)
			d.socket.hangUp()
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
		return
	}
	say := func(packet []byte) {
		for _, who := range to {
			d.socket.send(who, packet)
		}
	}
	v := view{d.playing.board, d.playing.needles}
	d.dialect.tell(v, n.told, say)
	if n.meters {
		d.dialect.meters(v, say)
	}
}

// answer does what somebody asked for.
func (d *Desk) answer(a asked) {
	now := d.clock.Now()
	if d.asleep {
		return
	}
	say := func(packet []byte) { d.socket.send(a.from, packet) }
	v := view{d.playing.board, d.playing.needles}
	switch {
	case a.request.listen > 0:
		d.listeners.add(a.from, now+a.request.listen)
	case a.request.all && d.listeners.has(a.from, now):
		d.dialect.tell(v, settings(), say)
		d.dialect.meters(v, say)
	case a.request.one:
		d.dialect.tell(v, []topic{a.request.topic}, say)
	}
}
