// Package daemon makes one working program of the parts: it reads the house file,
// joins the link to the judge and the judge to the page, and starts and stops
// them in the right order.
//
// One goroutine, the loop, owns everything that judges. The link hands it
// packets, the page hands it presses of buttons, and it hands out findings and
// states; nothing else touches them. A captured service goes through the same
// engine without the link and the page, which is why it is judged alike.
package daemon

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"sync"
	"sync/atomic"
	"time"

	"pawl/daemon/capture"
	"pawl/daemon/disks"
	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/daemon/store"
	"pawl/daemon/timeline"
	"pawl/dashboard"
	"pawl/dashboard/keys"
	"pawl/rules"
	"pawl/rules/words"
)

// Options are what a Daemon is given besides its house. The zero value runs
// silently on a clock that starts with Run.
type Options struct {
	Clock link.Clock

	// Lines is told every entry. If it cannot be written, watching goes on without it.
	Lines Lines

	// Log is told what goes on with sockets and files, once for each change.
	Log *slog.Logger

	// Capture, if not nil, is sent every packet from the desk and every press as
	// pcapng, from a goroutine of its own. If it can Sync, as a file can, it is synced
	// once a second. If it cannot be written, that is said on the page and tried again.
	Capture io.Writer

	// Record, if not empty, is the file in which services are recorded, by a goroutine of
	// its own; Version is written beside them. What is wrong with the file is said on the
	// page, and tried again.
	Record  string
	Version string

	// Keys is the file of the keys of other screens than this machine's; without one there are
	// no keys, and no other screen is let in. Certificate is the file of the certificate that
	// the page is served by if the house wants one of our own.
	Keys        string
	Certificate string

	// Reload asks for the house file to be read again. Faults leave the old one
	// in force and are shown on the page.
	Reload <-chan struct{}

	// Alive, if not nil, is called by the loop about ten times a second, for a
	// watchdog to count. It must not block.
	Alive func()
}

// Daemon watches one desk. Make one with New, call Listen and then Run, once each.
type Daemon struct {
	house   *house.House
	options Options

	page     *dashboard.Server
	keys     *keys.File
	listener net.Listener
	link     *link.Link // opened by Listen, used by the first session
	opened   *link.Link // for the next house, or nil; the loop's

	recorder    recorder        // of packets; nil if nothing is captured
	captures    *capture.Folder // the same, where each service has a file of its own; or nil
	recording   capture.RecorderOptions
	record      *store.Recorder  // nil if nothing is recorded
	reader      *timeline.Reader // of the same, for the review; nil likewise
	storing     store.Options
	earlier     earlier
	recordFault disks.Fault // of the record, as it was last logged; the loop's
	remark      string      // likewise

	again sync.Mutex // held while a service is judged again

	unprinted disks.Fault // why lines are printed no more, or ""; the loop's

	// presses are on their way to the loop. When it is full, which takes a page gone
	// mad, the press is refused and the page says so.
	presses chan pressing

	certificate atomic.Pointer[tls.Certificate] // of the page, or nil without TLS

	figures atomic.Pointer[figures]             // the newest, for the metrics
	setups  atomic.Pointer[dashboard.Setup]     // the newest, for the setup page
	checks  atomic.Pointer[dashboard.LineCheck] // the newest, for the line check's page
	files   fileFaults
	before  lineBefore
	tally   *tally
}

// recorder keeps packets: in the one file that somebody asked for, or in a folder.
type recorder interface {
	Put(capture.Packet)
	Status() capture.Status
	Close() error
}

// New makes a daemon of a house that house.Load found good.
func New(h *house.House, o Options) *Daemon {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Clock.Started.IsZero() {
		o.Clock.Started = time.Now()
	}
	if o.Lines.Words == nil {
		o.Lines.Words = words.Own().For(h.Language)
	}
	d := &Daemon{house: h, options: o, keys: keys.Open(o.Keys, nil), presses: make(chan pressing, 16)}
	d.tally = newTally(d)
	if o.Record != "" {
		d.reader = timeline.NewReader(o.Record)
	}
	d.page = dashboard.New(dashboard.Options{
		Press: d.press, Language: h.Language, Metrics: d.tally.handler(), Ready: d.ready, Setup: d.answerSetup, LineCheck: d.answerLineCheck,
		Keys: d.keys, Tablets: d.Tablets, AllowedHosts: h.PageNames, Log: o.Log, Review: d.review(), Otherwise: d.otherwise,
	})
	return d
}

// Listen opens the page's port and the desk's socket, so that whatever is in the
// way is said before anything runs.
func (d *Daemon) Listen() error {
	c, err := loadCertificate(d.house, d.options.Certificate)
	if err != nil {
		return err
	}
	d.certificate.Store(c)
	l, err := dashboard.Listen(d.house.Page)
	if err != nil {
		return err
	}
	d.listener = l
	if err := d.beginCapture(); err != nil {
		l.Close()
		return fmt.Errorf("begin the capture: %w", err)
	}
	if d.link, err = d.open(d.house); err != nil {
		l.Close()
		return err
	}
	if d.options.Record != "" {
		d.storing.Keep = store.Keep{For: d.house.Record.Keep, Most: d.house.Record.Most}
		d.record = store.NewRecorder(d.options.Record, d.storing)
	}
	return nil
}

// Run watches until ctx ends, or the page can no longer be served. It stops in
// this order: the link, so that nothing new comes in; the loop, which says and
// writes what it has; the page.
func (d *Daemon) Run(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	pageCtx, stopPage := context.WithCancel(context.WithoutCancel(ctx))
	var pageErr error
	var page sync.WaitGroup
	page.Go(func() {
		defer stop()
		pageErr = d.page.Serve(pageCtx, d.listener, d.byTLS())
	})
	waitEarlier := d.earlier.start(ctx, d.options.Log)
	err := d.watch(ctx)
	stop()
	waitEarlier()
	if d.recorder != nil {
		err = errors.Join(err, d.recorder.Close())
	}
	if d.record != nil {
		err = errors.Join(err, d.record.Close())
	}
	stopPage()
	page.Wait()
	if d.reader != nil {
		err = errors.Join(err, d.reader.Close())
	}
	if pageErr != nil {
		pageErr = fmt.Errorf("serve the page: %w", pageErr)
	}
	return errors.Join(err, pageErr)
}

// watch runs one session after another, a new one for each house file that was read
// again and wants another link.
func (d *Daemon) watch(ctx context.Context) error {
	h, l := d.house, run(ctx, d.link)
	for {
		next, err := newSession(d, h, l).run(ctx)
		if next == nil || err != nil {
			return err
		}
		if l, err = d.switchLink(ctx, next); err != nil {
			return err
		}
		h = next
		d.page.Reset()
	}
}

func (d *Daemon) switchLink(ctx context.Context, h *house.House) (*running, error) {
	l, err := d.opened, error(nil)
	if d.opened = nil; l == nil {
		l, err = d.open(h)
	}
	if err != nil {
		return nil, err
	}
	return run(ctx, l), nil
}

func (d *Daemon) open(h *house.House) (*link.Link, error) {
	m := h.Map.Link()
	return link.Open(link.Options{
		Desk: h.Desk, Listen: h.Listen, AnyPort: h.AnyPort, Transport: m.Transport, StaleAfter: m.StaleAfter,
		Asks: h.Map.Asks(), Clock: d.options.Clock,
	})
}

// errBusy is told to a page whose press could not be taken.
var errBusy = rules.Refuse("refused.busy")

// pressing is what somebody asks of the loop, on its way there.
type pressing struct {
	do     func(*session) error
	answer chan<- error // of room for one, so that the loop never waits
}

// answerIn is how long whoever pressed waits for the loop: one that takes longer is
// stuck, and then the page should say so.
const answerIn = 2 * time.Second

// press hands a press to the loop and waits for its answer.
func (d *Daemon) press(p rules.Press) error {
	err := d.ask(func(s *session) error { return s.pressed(p) })
	d.tally.press(err)
	return err
}

// ask lets the loop do something, and waits for its answer.
func (d *Daemon) ask(do func(*session) error) error {
	answer := make(chan error, 1)
	select {
	case d.presses <- pressing{do, answer}:
	default:
		return errBusy
	}
	select {
	case err := <-answer:
		return err
	case <-time.After(answerIn):
		return errBusy
	}
}

func (d *Daemon) ready() error {
	if d.figures.Load() == nil {
		return errors.New("starting")
	}
	return nil
}
