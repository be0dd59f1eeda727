package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	sd "github.com/coreos/go-systemd/v22/daemon"

	"pawl/daemon"
	"pawl/daemon/house"
	"pawl/dashboard/keys"
	"pawl/oscmap/sheet"
)

var watchVerb = verb{
	name: "watch", args: "HOUSE [--json]",
	summary: "listen to the desk of a house file, serve the page, print what is said",
	run: func(ctx context.Context, c *call) error {
		asJSON := c.flags.Bool("json", false, "print findings as JSON, one object a line")
		c.logFlag()
		if err := c.parse("house file"); err != nil {
			return err
		}
		house, err := load(c, c.args[0])
		if err != nil {
			return err
		}
		return watch(ctx, c, house, *asJSON, nil)
	},
}

var captureVerb = verb{
	name: "capture", args: "HOUSE -o FILE [--json]",
	summary: "watch, and keep every packet of the desk in a pcapng file for replay",
	run: func(ctx context.Context, c *call) error {
		out := c.flags.String("o", "", "the file to write; one that exists is not overwritten")
		asJSON := c.flags.Bool("json", false, "print findings as JSON, one object a line")
		c.logFlag()
		if err := c.parse("house file"); err != nil {
			return err
		}
		if *out == "" {
			fmt.Fprintln(c.stderr, "pawl capture: where to? give a file with -o")
			c.usage()
			return errUsage
		}
		// First, or a wrong house would leave a file in the way of the next try.
		house, err := load(c, c.args[0])
		if err != nil {
			return err
		}
		f, err := createNew(*out, 0o640)
		if err != nil {
			return err
		}
		return errors.Join(watch(ctx, c, house, *asJSON, f), f.Close())
	},
}

// watch runs the daemon until ctx ends. SIGHUP reads the house file again.
// With a file it keeps every packet there.
func watch(ctx context.Context, c *call, h *house.House, asJSON bool, file *os.File) error {
	reload, stop := onHangup()
	defer stop()
	ctx, stopped := untilInterrupted(ctx)
	defer stopped()
	outliveReaders()
	o := daemon.Options{
		Log: c.log(), Record: recordFile(h), Keys: keysFile(h), Certificate: kept(h, ".tls.pem"), Version: version(), Reload: reload, Alive: watchdog(),
		Lines: daemon.Lines{W: c.stdout, JSON: asJSON, Now: time.Now},
	}
	if file != nil {
		o.Capture = file
	}
	d := daemon.New(h, o)
	if err := d.Listen(); err != nil {
		return err
	}
	notify(sd.SdNotifyReady)
	defer notify(sd.SdNotifyStopping)
	fmt.Fprintf(c.stderr, "Listening to %s. The page is at %s\n", h.Desk, d.Page())
	if print := d.Fingerprint(); print != "" {
		fmt.Fprintf(c.stderr, "Its certificate has the SHA-256 fingerprint %s\n", print)
	}
	c.tellTablets(d.Tablets(), d.Keys(), keys.Watch, h.File)
	err := d.Run(ctx)
	if file != nil {
		written, missing := d.Captured()
		fmt.Fprintf(c.stderr, "Wrote %s: %s\n", file.Name(), packets(written, missing))
	}
	return err
}

// packets says how many there are in a capture, Pawl's own among them, of which there
// is one at its end.
func packets(written, missing uint64) string {
	text := grouped(written) + " packets"
	if written <= 1 {
		text = "no packet of the desk came"
	}
	if missing > 0 {
		text += ", and " + grouped(missing) + " are missing"
	}
	return text
}

// grouped writes a number with commas between its thousands.
func grouped(n uint64) string {
	text := strconv.FormatUint(n, 10)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}

// recordFile is where the services of a house are recorded, "" for nowhere.
func recordFile(h *house.House) string {
	if h.Record.None {
		return ""
	}
	return cmp.Or(h.Record.File, kept(h, ".record"))
}

// keysFile is where the keys of a house's screens are.
func keysFile(h *house.House) string { return cmp.Or(h.Keys, kept(h, ".keys")) }

// kept is where something of a house is kept when its file does not say: where systemd keeps
// what a service writes, also for whoever asks at a terminal; else beside the house file.
func kept(h *house.House, ending string) string {
	beside := h.Beside(ending)
	if state := os.Getenv("STATE_DIRECTORY"); state != "" {
		return filepath.Join(state, filepath.Base(beside))
	}
	// A unit's ConfigurationDirectory and its StateDirectory have the same name (systemd.exec(5)).
	if name, ok := strings.CutPrefix(filepath.Dir(h.File), "/etc/"); ok && !strings.Contains(name, "/") {
		if is, err := os.Stat("/var/lib/" + name); err == nil && is.IsDir() {
			return filepath.Join("/var/lib", name, filepath.Base(beside))
		}
	}
	return beside
}

// outliveReaders lets a service go on when whoever reads its output has gone away: a
// write then fails, which the page says, instead of ending the program.
func outliveReaders() { signal.Ignore(syscall.SIGPIPE) }

// tell says what is wrong with a file, or advised.
func (c *call) tell(faults sheet.Faults) {
	for _, f := range faults {
		fmt.Fprintln(c.stderr, f)
	}
}

// load reads a house file and says everything that is wrong with it.
func load(c *call, file string) (*house.House, error) {
	h, faults := house.Load(file)
	c.tell(faults)
	if h == nil {
		return nil, errSaid
	}
	return h, nil
}

// onHangup gives a channel that receives once for each SIGHUP; one that comes
// while another waits is the same wish.
func onHangup() (<-chan struct{}, func()) {
	signals, reload := make(chan os.Signal, 1), make(chan struct{}, 1)
	signal.Notify(signals, syscall.SIGHUP)
	go func() {
		for range signals {
			select {
			case reload <- struct{}{}:
			default:
			}
		}
	}()
	return reload, func() {
		signal.Stop(signals)
		close(signals)
	}
}

// notify tells systemd how we are, if it started us and wants to know.
func notify(state string) {
	// Without systemd there is no socket and this does nothing; with it, a lost
	// word is caught by the watchdog.
	_, _ = sd.SdNotify(false, state)
}

// watchdog gives what the loop calls while it is well, or nil if nobody counts.
// It is passed on twice in each interval that systemd allows.
func watchdog() func() {
	interval, err := sd.SdWatchdogEnabled(false)
	if err != nil || interval <= 0 {
		return nil
	}
	var last time.Time
	return func() {
		if now := time.Now(); now.Sub(last) >= interval/2 {
			last = now
			notify(sd.SdNotifyWatchdog)
		}
	}
}
