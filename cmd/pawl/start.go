package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"pawl/daemon"
	"pawl/daemon/house"
	"pawl/daemon/listen"
	"pawl/dashboard/keys"
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
	filesOnly := c.flags.Bool("files-only", false, "end when both files are there, for a service to watch by them")
	c.logFlag()
	if err := c.parseAny(); err != nil {
		return err
	}
	if err := c.wantFrom(0, "house file"); err != nil {
		return err
	}
	file := "hall.house.yaml"
	if len(c.args) == 1 {
		file = c.args[0]
	}
	if _, err := os.Stat(file); err == nil {
		if o.Desk != "" || o.Map != "" || o.Port != 0 {
			return fmt.Errorf("%s is there already, and says where the desk is; leave the flags out to watch it, or name another file", file)
		}
		if *filesOnly {
			fmt.Fprintf(c.stderr, "%s is there already. Name another file to begin anew.\n", file)
			return nil
		}
		h, err := load(c, file)
		if err != nil {
			return err
		}
		// Where the page may be seen from is nothing to be taken silently from elsewhere.
		if c.gives("page") && *page != h.Page {
			return fmt.Errorf("%s is there already, and puts its page at %s; change page.listen there, or leave --page out", file, h.Page)
		}
		fmt.Fprintf(c.stderr, "%s is there already: watching it. Name another file to begin anew.\n", file)
		return watch(ctx, c, h, false, nil)
	}
	if o.Port < 0 || o.Port > 65535 {
		fmt.Fprintf(c.stderr, "pawl start: --port %d: want 1 to 65535\n", o.Port)
		return errUsage
	}
	if o.Desk == "" && o.Port == 0 {
		o.Port = 10701
	}
	if o.Desk != "" && o.Port != 0 {
		fmt.Fprintln(c.stderr, "pawl start: give one of --port and --desk")
		return errUsage
	}
	o.Draft, o.DraftHouse = filepath.Join(filepath.Dir(file), firstMap), file
	written, err := firstHour(ctx, c, o, *page)
	if written == "" || err != nil {
		return err
	}
	if *filesOnly {
		fmt.Fprintf(c.stderr, "Wrote %s and %s.\n", o.Draft, written)
		return nil
	}
	fmt.Fprintf(c.stderr, "Wrote %s and %s. Watching begins.\n", o.Draft, written)
	h, err := load(c, written)
	if err != nil {
		return err
	}
	return watch(ctx, c, h, false, nil)
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
	// The keys are those that watch will have.
	file := keys.Open(keysFile(&house.House{File: o.DraftHouse}), nil)
	return l.Serve(ctx, listen.PageOptions{Says: daemon.Says, At: page, Keys: file, Tablets: daemon.TabletsAt, Log: c.log(), Opened: func(at string) {
		fmt.Fprintf(c.stderr, "First hour: open %s\n", daemon.PageAt(at))
		c.tellTablets(daemon.TabletsAt(at), file, keys.Installer, o.DraftHouse)
	}})
}
