package daemon

import (
	"context"
	"errors"
	"fmt"
	"net"
	"path/filepath"
	"strconv"
	"sync"
	"time"

	"pawl/daemon/house"
	"pawl/daemon/link"
	"pawl/daemon/practice"
	"pawl/oscmap/sheet"
)

// Demo is a whole evening without a desk: the practice desk playing its service
// over and over on a socket of its own, and a daemon that watches it. The two
// share nothing but packets and the pace of time.
type Demo struct {
	desk    *practice.Desk
	daemon  *Daemon
	earlier int // services that are made up before today
}

// DemoOptions say how the demo is to run.
type DemoOptions struct {
	Speed float64 // how many times faster than life; 0 means 1
	Port  int     // of the page, on this machine only; 0 for any free one
	Options
}

// NewDemo opens the demo's sockets: the practice desk's on any free port, the
// page's on the one asked for.
func NewDemo(o DemoOptions) (*Demo, error) {
	o.Clock = link.Clock{Started: time.Now(), Speed: o.Speed}
	desk, err := practice.New(practice.Options{Clock: o.Clock, Loop: true})
	if err != nil {
		return nil, fmt.Errorf("start the practice desk: %w", err)
	}
	h, faults := practiceHouse()
	if h == nil {
		return nil, fmt.Errorf("load the practice desk's own house: %w", faults)
	}
	h.Desk = desk.Addr().String()
	h.Page = net.JoinHostPort("127.0.0.1", strconv.Itoa(o.Port))
	captures := filepath.Join(filepath.Dir(o.Record), "captures")
	if o.Record != "" {
		h.Record.Captures = house.Captures{Folder: captures, Most: mostOfDemo}
	}
	d := &Demo{desk: desk, daemon: New(h, o.Options)}
	if err := d.daemon.Listen(); err != nil {
		return d, err
	}
	if o.Record != "" {
		w := weeks{house: h, version: o.Version, record: d.daemon.record, file: o.Record, folder: captures, today: o.Clock.Started}
		d.earlier = len(practice.Weeks())
		d.daemon.earlier = earlier{record: w.run, done: make(chan struct{})}
	}
	return d, nil
}

// mostOfDemo is how much a demo that nobody ends may capture, in bytes: a day or so.
const mostOfDemo = 300_000_000

// practiceHouse is the practice desk's own house, which comes inside the program.
func practiceHouse() (*house.House, sheet.Faults) {
	const file = "harbour-hall.house.yaml"
	return house.Files{file: string(practice.House()), "harbour-hall.map.yaml": string(practice.MapFile())}.Load(file)
}

// Page is the address to open in a browser.
func (d *Demo) Page() string { return d.daemon.Page() }

// Earlier is how many services of weeks before today Run records first, in the background.
func (d *Demo) Earlier() int { return d.earlier }

// Run plays and watches until ctx ends.
func (d *Demo) Run(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	var deskErr error
	var desk sync.WaitGroup
	desk.Go(func() {
		defer stop()
		deskErr = d.desk.Run(ctx)
	})
	err := d.daemon.Run(ctx)
	stop()
	desk.Wait()
	return errors.Join(err, deskErr)
}
