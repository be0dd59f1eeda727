package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"pawl/daemon/listen"
	"pawl/oscmap/sheet"
)

var listenVerb = verb{
	name: "listen", args: "HOUSE | --port P | --desk H:P --map MAP | --capture FILE",
	summary: "show what a desk sends and what a map makes of it; draft a map for a desk that has none",
	run:     runListen,
}

func runListen(ctx context.Context, c *call) error {
	var o listen.Options
	c.flags.IntVar(&o.Port, "port", 0, "listen at this port of this machine to whoever sends; nothing is sent")
	c.flags.StringVar(&o.Desk, "desk", "", "the desk's `host:port`; with --map its asks are sent there, and nothing else")
	c.flags.StringVar(&o.Map, "map", "", "a map `file`; one that holds only a link, with the asks that make the desk talk, is enough")
	c.flags.StringVar(&o.Capture, "capture", "", "listen to a captured `file` (pcapng or pcap); --desk then picks a sender")
	c.flags.StringVar(&o.Draft, "draft", "", "write a first map to this `file`, after some questions if somebody sits at the terminal")
	c.flags.StringVar(&o.DraftHouse, "draft-house", "", "write a first house file to this `file`, with the strips as the desk calls them, for the map of --draft or --map")
	c.flags.DurationVar(&o.For, "for", 0, "listen so long, then end or begin the questions; without it until Ctrl-C")
	c.flags.BoolVar(&o.JSON, "json", false, "print one JSON object for each shape, and a summary, at the end")
	guide := c.flags.Bool("guide", false, "ask the questions even if standard input is no terminal")
	if err := c.parseAny(); err != nil {
		return err
	}
	if err := c.wantFrom(0, "house file"); err != nil {
		return err
	}
	if len(c.args) == 1 {
		o.House = c.args[0]
	}
	if fault := listenFault(o, *guide); fault != "" {
		fmt.Fprintf(c.stderr, "pawl listen: %s\n", fault)
		return errUsage
	}
	o.Out, o.Talk = c.stdout, c.stderr
	if o.Capture == "" && (*guide || isTerminal(os.Stdin)) {
		o.In = os.Stdin
	}
	o.Screen = screenOf(c.stdout)
	l, err := listen.New(o)
	var faults sheet.Faults
	if errors.As(err, &faults) {
		fmt.Fprintln(c.stderr, faults)
		return errSaid
	}
	if err != nil {
		return err
	}
	if o.Capture == "" { // which is read to its end, or not
		var stop context.CancelFunc
		ctx, stop = untilInterrupted(ctx)
		defer stop()
	}
	return l.Run(ctx)
}

// listenFault says which flags do not go together, "" if all do.
func listenFault(o listen.Options, guide bool) string {
	from := 0
	for _, given := range []bool{o.Port != 0, o.Desk != "" && o.Capture == "", o.House != "" && o.Capture == "", o.Capture != ""} {
		if given {
			from++
		}
	}
	switch {
	case from == 0:
		return "say where from: --port, --desk, --capture or a house file"
	case from > 1:
		return "give one of --port, --desk, --capture and a house file"
	case o.Port < 0 || o.Port > 65535:
		return fmt.Sprintf("--port %d: want 1 to 65535", o.Port)
	case o.House != "" && o.Map != "":
		return "a house file names its map; leave --map out"
	case o.DraftHouse != "" && (o.House != "" && o.Capture == "" || o.Draft == "" && o.Map == ""):
		return "--draft-house writes a house file for a map: one drafted with --draft, or given with --map"
	case o.For < 0:
		return fmt.Sprintf("--for %v: want a time such as 60s", o.For)
	case guide && o.Draft == "":
		return "--guide asks questions for a draft; name its file with --draft"
	case guide && o.Capture != "":
		return "--guide wants a desk to move faders on, and a capture has none"
	}
	return ""
}
