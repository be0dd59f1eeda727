package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"pawl/daemon"
)

var demoVerb = verb{
	name: "demo", args: "[--speed N] [--port P] [--json]",
	summary: "a practice desk, a watcher and the page; nothing to configure",
	run:     demo,
}

func demo(ctx context.Context, c *call) error {
	speed := c.flags.Float64("speed", 1, "how many times faster than life, 0.1 to 50")
	port := c.flags.Int("port", 10780, "port of the page on this machine; 0 for any free one")
	asJSON := c.flags.Bool("json", false, "print findings as JSON, one object a line")
	c.logFlag()
	if err := c.parse(); err != nil {
		return err
	}
	if !(*speed >= 0.1 && *speed <= 50) { // which a NaN is not either
		fmt.Fprintf(c.stderr, "pawl demo: a speed of %v; want one from 0.1 to 50\n", *speed)
		return errUsage
	}
	if *port < 0 || *port > 65535 {
		fmt.Fprintf(c.stderr, "pawl demo: port %d; want one from 0 to 65535\n", *port)
		return errUsage
	}
	ctx, stop := untilInterrupted(ctx)
	defer stop()
	o := daemon.DemoOptions{Speed: *speed, Port: *port}
	o.Log = c.log()
	o.Lines = daemon.Lines{W: c.stdout, JSON: *asJSON}
	folder, err := os.MkdirTemp("", "pawl-demo-")
	if err != nil {
		return fmt.Errorf("the demo's record needs a folder for a while: %w", err)
	}
	defer os.RemoveAll(folder)
	o.Keys = filepath.Join(folder, "harbour-hall.keys")
	o.Record, o.Version = filepath.Join(folder, "harbour-hall.record"), version()
	d, err := daemon.NewDemo(o)
	if err != nil {
		return err
	}
	fmt.Fprintf(c.stderr, "Building up the record of %d earlier weeks; that takes some seconds, and the page works meanwhile.\n", d.Earlier())
	fmt.Fprintf(c.stderr, "Harbour Hall is playing. Open %s and watch; the first card comes after about %.0f s. Ctrl-C ends it.\n",
		d.Page(), 160 / *speed)
	outliveReaders()
	return d.Run(ctx)
}
