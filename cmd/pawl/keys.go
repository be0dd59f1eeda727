package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"text/tabwriter"
	"time"

	"pawl/daemon"
	"pawl/daemon/house"
	"pawl/dashboard"
	"pawl/dashboard/keys"
)

var keysVerb = verb{
	name: "keys", args: "HOUSE [--invite ROLE | --make ROLE | --revoke KEY] [--called NAME]",
	summary: "list the keys of other screens, pair one more, take one away; roles are watch, coach and installer",
	run:     listKeys,
}

func listKeys(_ context.Context, c *call) error {
	var invite, made keys.Role
	role := func(to *keys.Role) func(string) error {
		return func(text string) error { return to.UnmarshalText([]byte(text)) }
	}
	c.flags.Func("invite", "print a code by which a screen gets a key of this `ROLE`, as an address and as a QR code", role(&invite))
	c.flags.Func("make", "print a key of this `ROLE` itself, for a machine that sends it as a bearer, and nowhere else", role(&made))
	revoke := c.flags.String("revoke", "", "take away the `KEY` with this name in the list; a screen that looks with it is sent away")
	called := c.flags.String("called", "", "what the new key is called, in a few `WORDS`")
	if err := c.parse("house file"); err != nil {
		return err
	}
	if c.flags.NFlag() > 2 || c.flags.NFlag() == 2 && *called == "" || *called != "" && invite == made {
		fmt.Fprintln(c.stderr, "pawl keys: one of --invite, --make and --revoke at a time; --called goes with the first two")
		return errUsage
	}
	h, faults := house.Load(c.args[0]) // whose advice is for whoever checks it
	if h == nil {
		c.tell(faults)
		return errSaid
	}
	file := keys.Open(keysFile(h), nil)
	c.warnOfOthers(file)
	switch {
	case invite != keys.Nobody:
		return c.invite(file, daemon.PagesOf(h), invite, *called)
	case made != keys.Nobody:
		secret, k, err := file.Make(made, *called)
		if err != nil {
			return err
		}
		fmt.Fprintln(c.stdout, secret)
		fmt.Fprintf(c.stderr, "Key %s may %s. It is printed this once, and kept nowhere.\n", k.ID, k.May)
		return nil
	case *revoke != "":
		if err := file.Revoke(*revoke); errors.Is(err, keys.ErrUnknown) {
			return fmt.Errorf("%w; pawl keys %s lists those that are", err, c.args[0])
		} else if err != nil {
			return err
		}
		fmt.Fprintf(c.stderr, "Key %s is taken away.\n", *revoke)
		return nil
	}
	return c.tableOfKeys(file)
}

func (c *call) tableOfKeys(file *keys.File) error {
	all, err := file.Keys()
	if err != nil {
		return err
	}
	if len(all) == 0 {
		fmt.Fprintf(c.stderr, "No key is in force; this machine needs none. `pawl keys %s --invite watch` pairs a screen.\n", c.args[0])
		return nil
	}
	w := tabwriter.NewWriter(c.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "key\tmay\tmade\tcalled")
	for _, k := range all {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", k.ID, k.May, k.Made.Local().Format(time.DateOnly), k.Called)
	}
	return w.Flush()
}

// tellTablets prints the addresses at which other screens can open the page, and a code for
// them, or that none can.
func (c *call) tellTablets(all []string, file *keys.File, may keys.Role, houseFile string) {
	switch {
	case len(all) == 0:
		fmt.Fprintln(c.stderr, "Only this machine can open it. For tablets it has to listen at :10780 (page.listen in the house file, --page of pawl start).")
	case may == keys.Installer || readNow(c.stderr):
		c.warnOfOthers(file)
		if err := c.inviteTo(c.stderr, file, all, may, ""); err != nil {
			fmt.Fprintf(c.stderr, "No other screen can be paired: %v\n", err)
		}
	default: // a journal, which keeps what it is told
		fmt.Fprintf(c.stderr, "Other screens open %s with a key, which they get by `pawl keys %s --invite watch`.\n", strings.Join(all, " or "), houseFile)
	}
}

func (c *call) invite(file *keys.File, pages []string, may keys.Role, called string) error {
	if len(pages) == 0 {
		return errors.New("only this machine can open the page, and it needs no key; page.listen: \":10780\" in the house file lets others open it")
	}
	return c.inviteTo(c.stdout, file, pages, may, called)
}

// inviteTo prints a code, the addresses where it is typed, and for a camera on a terminal.
func (c *call) inviteTo(w io.Writer, file *keys.File, pages []string, may keys.Role, called string) error {
	code, err := file.Invite(may, called)
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "Pair a screen in the same network: open %spair there and type\n\n    %s\n\n", strings.Join(pages, "pair or "), code.Text)
	address := dashboard.PairAt(pages[0], code.Text)
	if readNow(w) {
		rows, err := dashboard.Drawn(address)
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "or hold its camera on this:\n\n%s\n", blocks(rows))
	} else {
		fmt.Fprintf(w, "or open %s\n", address)
	}
	fmt.Fprintf(w, "It may %s. The code is good until %s, for eight screens.\n", mayWords[may], code.Until.Local().Format("15:04"))
	return nil
}

var mayWords = map[keys.Role]string{keys.Watch: "watch", keys.Coach: "watch and coach", keys.Installer: "do everything"}

// blocks draws a QR code with two rows to a line, dark on light whatever colours the terminal
// has, with the light margin of four that a camera needs.
func blocks(rows []string) string {
	const margin = 4
	dark := func(x, y int) bool {
		x, y = x-margin, y-margin
		return y >= 0 && y < len(rows) && x >= 0 && x < len(rows) && rows[y][x] == '1'
	}
	size := len(rows) + 2*margin
	var out strings.Builder
	for y := 0; y < size; y += 2 {
		out.WriteString("\x1b[38;5;16;48;5;231m")
		for x := range size {
			switch above, below := dark(x, y), dark(x, y+1); {
			case above && below:
				out.WriteRune('█')
			case above:
				out.WriteRune('▀')
			case below:
				out.WriteRune('▄')
			default:
				out.WriteByte(' ')
			}
		}
		out.WriteString("\x1b[0m\n")
	}
	return out.String()
}

// warnOfOthers says that others can read or change the file.
func (c *call) warnOfOthers(file *keys.File) {
	if file.Others() {
		fmt.Fprintf(c.stderr, "%s can be read or written by others than its owner; chmod 600 mends it.\n", file.Name())
	}
}

// readNow is whether a person reads this as it is written.
func readNow(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && isTerminal(f)
}
