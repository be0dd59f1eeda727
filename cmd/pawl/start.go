package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"pawl/daemon"
	"pawl/daemon/listen"
	"pawl/oscmap/sheet"
)

var startVerb = verb{
	name: "start", args: "[HOUSE] [--desk H:P] [--map ASKS]",
	summary: "the first hour: a page that asks what is what on an unknown desk, writes map and house file, and goes on as watch",
	run:     start,
}

// firstMap is the map that start writes, beside the house file.
const firstMap = "desk.map.yaml"

func start(ctx context.Context, c *call) error {
	o := listen.Options{Out: io.Discard, Talk: c.stderr}
	c.flags.StringVar(&o.Desk, "desk", "", "the desk's `host:port`; with --map its asks are sent there, and nothing else")
	c.flags.StringVar(&o.Map, "map", "", "a map `file`; one that holds only a link, with the asks that make the desk talk, is enough")
	c.flags.IntVar(&o.Port, "port", 0, "listen at this port of this machine to whoever sends; without --desk and --port it is 10701")
	page := c.flags.String("page", "127.0.0.1:10780", "`host:port` of the page; :10780 lets every tablet in the network see it and answer")
	c.logFlag()
	if err := c.parseAny(); err != nil {
		return err
	}
	if err := c.wantFrom(0, "house file"); err != nil {
		return err
	}
	house := "hall.house.yaml"
	if len(c.args) == 1 {
		house = c.args[0]
	}
	if _, err := os.Stat(house); err == nil {
		if o.Desk != "" || o.Map != "" || o.Port != 0 {
			return fmt.Errorf("%s is there already, and says where the desk is; leave the flags out to watch it, or name another file", house)
		}
		fmt.Fprintf(c.stderr, "%s is there already: watching it. Name another file to begin anew.\n", house)
		return watchFile(ctx, c, house)
	}
	if o.Desk == "" && o.Port == 0 {
		o.Port = 10701
	}
	if o.Desk != "" && o.Port != 0 {
		fmt.Fprintln(c.stderr, "pawl start: give one of --port and --desk")
		return errUsage
	}
	o.Draft, o.DraftHouse = filepath.Join(filepath.Dir(house), firstMap), house
	written, err := firstHour(ctx, c, o, *page)
	if written == "" || err != nil {
		return err
	}
	fmt.Fprintf(c.stderr, "Wrote %s and %s. Watching begins.\n", o.Draft, written)
	return watchFile(ctx, c, written)
}

// firstHour serves the page until the files are written, and gives the house file's name.
func firstHour(ctx context.Context, c *call, o listen.Options, page string) (string, error) {
	l, err := listen.New(o)
	var faults sheet.Faults
	if errors.As(err, &faults) {
		fmt.Fprintln(c.stderr, faults)
		return "", errSaid
	}
	if err != nil {
		return "", err
	}
	ctx, stop := untilInterrupted(ctx)
	defer stop()
	return l.Serve(ctx, listen.PageOptions{Says: daemon.Says, At: page, Log: c.log(), Opened: func(at string) {
		fmt.Fprintf(c.stderr, "First hour: open %s\n", daemon.PageAt(at))
		c.tellTablets(daemon.TabletsAt(at))
	}})
}

// tellTablets prints the addresses at which a tablet can open the page, or that none can.
func (c *call) tellTablets(all []string) {
	if len(all) == 0 {
		fmt.Fprintln(c.stderr, "Only this machine can open it. For tablets it has to listen at :10780 (page.listen in the house file, --page of pawl start).")
		return
	}
	fmt.Fprintf(c.stderr, "On a tablet in the same network open %s\n", strings.Join(all, " or "))
}

// watchFile is the verb watch.
func watchFile(ctx context.Context, c *call, file string) error {
	h, err := load(c, file)
	if err != nil {
		return err
	}
	return watch(ctx, c, h, false, nil)
}
