// Command pawl sits beside a digital mixing desk, listens to it over OSC, never
// touches it, and tells the person mixing what their moves are doing to the whole.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/signal"
	"slices"
	"strconv"
	"strings"
	"syscall"
	_ "time/tzdata" // times of day need no files of the machine, which a container lacks

	"pawl/daemon/disks"
	"pawl/oscmap/sheet"
	"pawl/rules/words"
)

// Exit codes, the same for every verb.
const (
	exitGood  = 0
	exitWrong = 1 // the input is wrong, or something failed: said on stderr
	exitUsage = 2
)

// verb is one thing that pawl does. Each has a file of its own.
type verb struct {
	name    string
	args    string
	summary string
	run     func(ctx context.Context, c *call) error
}

var verbs = []verb{demoVerb, startVerb, watchVerb, checkVerb, listenVerb, captureVerb, replayVerb, reviewVerb, keysVerb, versionVerb}

// call is one run of a verb.
type call struct {
	verb           verb
	flags          *flag.FlagSet
	args           []string // as typed, until parse; then without flags
	stdout, stderr io.Writer
	logLevel       slog.Level // of --log-level; the zero value is info
}

func main() {
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}

func run(args []string, stdout, stderr io.Writer) int {
	if len(args) == 0 {
		usage(stderr)
		return exitUsage
	}
	name := args[0]
	if slices.Contains([]string{"-v", "-version", "--version"}, name) {
		name = "version"
	}
	if slices.Contains([]string{"help", "-h", "-help", "--help"}, name) {
		usage(stdout)
		return exitGood
	}
	i := slices.IndexFunc(verbs, func(v verb) bool { return v.name == name })
	if i < 0 {
		fmt.Fprintf(stderr, "pawl: no verb %q; %s`pawl help` lists them\n", name, meantVerb(name))
		return exitUsage
	}
	c := &call{verb: verbs[i], args: args[1:], stdout: stdout, stderr: stderr}
	c.flags = flag.NewFlagSet("pawl "+name, flag.ContinueOnError)
	c.flags.SetOutput(io.Discard) // what is wrong with a flag is said in words of our own
	c.flags.Usage = func() {}
	return c.exit(c.verb.run(context.Background(), c))
}

// untilInterrupted is a context that ends at Ctrl-C and SIGTERM, for what has something to
// put in order at its end: a verb asks for it once it is there, and not while it still reads
// its files. All else ends at once, as the system does it.
func untilInterrupted(ctx context.Context) (context.Context, context.CancelFunc) {
	return signal.NotifyContext(ctx, os.Interrupt, syscall.SIGTERM)
}

// errUsage ends a verb that was called wrongly; what was wrong has been said.
var errUsage = errors.New("wrong usage")

// errSaid ends a verb whose input is wrong; what is wrong has been said.
var errSaid = errors.New("wrong input")

func (c *call) exit(err error) int {
	switch {
	case err == nil || errors.Is(err, flag.ErrHelp):
		return exitGood
	case errors.Is(err, errUsage):
		return exitUsage
	case !errors.Is(err, errSaid):
		fmt.Fprintf(c.stderr, "pawl %s: %s\n", c.verb.name, why(err))
	}
	return exitWrong
}

// why is an error for whoever called: a refusal in its words, all else in plain ones.
func why(err error) string {
	if text := words.Own().For(words.Default).Why(err); text != err.Error() {
		return text
	}
	return disks.Plain(err)
}

// meantVerb asks whether a near verb was meant, "" if none is near.
func meantVerb(mistyped string) string {
	var names []string
	for _, v := range verbs {
		names = append(names, v.name)
	}
	if near := sheet.Nearest(mistyped, names); near != "" {
		return fmt.Sprintf("did you mean %s? ", near)
	}
	return ""
}

// parse reads the flags and wants these other words, as want does.
func (c *call) parse(words ...string) error {
	if err := c.parseAny(); err != nil {
		return err
	}
	return c.want(words...)
}

// parseAny reads the flags, which may stand before, between or after the other
// words.
func (c *call) parseAny() error {
	var rest []string
	for args := c.args; ; {
		if err := c.flags.Parse(args); err != nil {
			if errors.Is(err, flag.ErrHelp) {
				c.usage()
				return err
			}
			fmt.Fprintf(c.stderr, "pawl %s: %s\n", c.verb.name, c.wrongFlag(err))
			c.usage()
			return errUsage
		}
		if c.flags.NArg() == 0 {
			break
		}
		rest, args = append(rest, c.flags.Arg(0)), c.flags.Args()[1:]
	}
	c.args = rest
	return nil
}

// gives reports whether a flag was given, be it at its default.
func (c *call) gives(name string) (given bool) {
	c.flags.Visit(func(f *flag.Flag) { given = given || f.Name == name })
	return given
}

// want is wrong usage unless there is one word besides the flags for each of these,
// which say what it is: "house file".
func (c *call) want(words ...string) error { return c.wantFrom(len(words), words...) }

// wantFrom is want where only so many of the words must be there.
func (c *call) wantFrom(least int, words ...string) error {
	if len(c.args) >= least && len(c.args) <= len(words) {
		return nil
	}
	wanted := "no word after the verb"
	if len(words) > 0 {
		wanted = "one " + strings.Join(words, " and one ")
	}
	if least < len(words) {
		wanted = "at most " + wanted
	}
	wrong := ""
	switch extra := quoted(c.args[min(len(words), len(c.args)):]); len(extra) {
	case 0:
		wrong = "no " + words[len(c.args)] + " is named"
	case 1:
		wrong = extra[0] + " is one word too many"
	default:
		wrong = strings.Join(extra, " and ") + " are too many"
	}
	fmt.Fprintf(c.stderr, "pawl %s: %s; want %s\n", c.verb.name, wrong, wanted)
	c.usage()
	return errUsage
}

func quoted(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = strconv.Quote(w)
	}
	return out
}

func (c *call) usage() {
	fmt.Fprintf(c.stderr, "usage: pawl %s %s\n%s\n", c.verb.name, c.verb.args, c.verb.summary)
	c.flags.SetOutput(c.stderr)
	c.flags.PrintDefaults()
}

func usage(w io.Writer) {
	fmt.Fprint(w, "Pawl listens to a mixing desk over OSC, never touches it, and says what the moves are doing to the whole.\n\n")
	for _, v := range verbs {
		fmt.Fprintf(w, "  pawl %-8s %-28s %s\n", v.name, v.args, v.summary)
	}
	fmt.Fprint(w, "\n`pawl VERB -h` lists a verb's flags. Exit codes: 0 good, 1 the input is wrong, 2 wrong usage.\n")
}
