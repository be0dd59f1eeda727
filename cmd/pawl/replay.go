package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"net/netip"
	"os"
	"slices"

	"pawl/daemon"
	"pawl/daemon/house"
)

var replayVerb = verb{
	name: "replay", args: "HOUSE CAPTURE|--service N [--json] [--from HOST:PORT] [--limits FILE]",
	summary: "judge a captured service (pcapng or pcap), or one of the record, as if it were live, as fast as it will go",
	run:     replay,
}

func replay(ctx context.Context, c *call) error {
	asJSON := c.flags.Bool("json", false, "print findings and a summary as JSON, one object a line")
	from := c.flags.String("from", "", "whose packets to judge, as HOST or HOST:PORT, if not the desk of the house file")
	limits := c.flags.String("limits", "", "judge by other limits: a `FILE` with a limits: block, which lies over that of the house file")
	service := c.flags.String("service", "", "a service of the house's record, by its `number` or last: by its own captures and the house file of then; with --limits, both lists side by side")
	if err := c.parseAny(); err != nil {
		return err
	}
	if *service != "" {
		if *from != "" {
			fmt.Fprintln(c.stderr, "pawl replay: --from picks a sender of a capture, and --service has its own; give one of them")
			return errUsage
		}
		if err := c.want("house file"); err != nil {
			return err
		}
		h, err := load(c, c.args[0])
		if err != nil {
			return err
		}
		return replayService(ctx, c, h, *service, *limits, *asJSON)
	}
	if err := c.want("house file", "capture"); err != nil {
		return err
	}
	r := daemon.Replay{Lines: daemon.Lines{W: c.stdout, JSON: *asJSON}}
	if *from != "" {
		var err error
		if r.From, err = parseSender(*from); err != nil {
			fmt.Fprintf(c.stderr, "pawl replay: --from %q: want an address, as 192.0.2.10 or 192.0.2.10:10700\n", *from)
			return errUsage
		}
	}
	var err error
	if r.House, err = load(c, c.args[0]); err != nil {
		return err
	}
	if *limits != "" {
		if err := judgeBy(c, r.House, *limits); err != nil {
			return err
		}
	}
	f, err := os.Open(c.args[1])
	if err != nil {
		return err
	}
	defer f.Close()
	sum, err := r.Run(f)
	if err != nil {
		return fmt.Errorf("%s: %w", c.args[1], err)
	}
	if err := summarise(c.stdout, sum, *asJSON); err != nil {
		return err
	}
	return c.doubtMap(sum, c.args[1])
}

// hardlyAny is one message of so many that a map understands, or none, where it is likely
// that it is another desk's.
const hardlyAny = 50

// doubtMap says so where the map understood hardly anything of a capture, and finds the
// input wrong where it understood nothing.
func (c *call) doubtMap(s daemon.Summary, file string) error {
	understood := s.Messages - s.Unmapped
	if s.Messages == 0 || understood*hardlyAny > s.Messages {
		return nil
	}
	how := "none"
	if understood > 0 {
		how = "only " + grouped(understood)
	}
	fmt.Fprintf(c.stderr, "%s: %s came and the map understood %s; it does not hear %s, for one. It may be the map of another desk: "+
		"`pawl listen --capture` shows what the capture holds\n", file, count(int(s.Messages), "message"), how, s.Example)
	if understood == 0 {
		return errSaid
	}
	return nil
}

// judgeBy puts other limits in the place of the house's own.
func judgeBy(c *call, h *house.House, file string) error {
	limits, faults := h.OtherLimits(file)
	c.tell(faults)
	if faults.Wrong() {
		return errSaid
	}
	h.Limits = limits
	return nil
}

// parseSender takes an address with a port, or without one for any.
func parseSender(s string) (netip.AddrPort, error) {
	if a, err := netip.ParseAddr(s); err == nil {
		return netip.AddrPortFrom(a, 0), nil
	}
	return netip.ParseAddrPort(s)
}

// summarise prints what the replay came to, last.
func summarise(w io.Writer, s daemon.Summary, asJSON bool) error {
	if asJSON {
		b, err := json.Marshal(map[string]daemon.Summary{"summary": s})
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(w, "%s\n", b)
		return err
	}
	fmt.Fprintf(w, "%s from %s in %.0f s of service, judged in %.2f s: %d not in the map, %s, %d held back\n",
		count(int(s.Messages), "message"), s.From, s.Seconds, s.Wall, s.Unmapped, count(total(s.Findings), "finding"), s.HeldBack)
	for _, sort := range []struct {
		what string
		of   map[string]uint64
	}{{"malformed", s.Malformed}, {"values refused", s.Refused}, {"values out of range", s.Clamped}} {
		for _, what := range slices.Sorted(maps.Keys(sort.of)) {
			fmt.Fprintf(w, "%s: %d %s\n", sort.what, sort.of[what], what)
		}
	}
	for _, n := range s.Notes {
		fmt.Fprintf(w, "capture: %s\n", n)
	}
	return nil
}

func total(of map[string]int) int {
	n := 0
	for _, k := range of {
		n += k
	}
	return n
}
