package main

import (
	"context"
	"fmt"
	"os"
	"text/tabwriter"

	"pawl/daemon/house"
	"pawl/oscmap"
	"pawl/rules"
)

var checkVerb = verb{
	name: "check", args: "HOUSE|MAP | --limits [HOUSE] | --schema house|map",
	summary: "say everything that is wrong with a house file or a map, with its line",
	run:     check,
}

func check(_ context.Context, c *call) error {
	of := c.flags.String("schema", "", "print the JSON Schema of house or map files, for an editor, instead")
	limits := c.flags.Bool("limits", false, "print the table of limits, or those of a house file, instead")
	if err := c.parseAny(); err != nil {
		return err
	}
	if wrong := checkFault(*limits, c.gives("schema"), len(c.args)); wrong != "" {
		fmt.Fprintf(c.stderr, "pawl check: %s\n", wrong)
		c.usage()
		return errUsage
	}
	switch {
	case *limits:
		return tableOfLimits(c)
	case c.gives("schema"):
		return schema(c, *of)
	}
	if err := c.want("house file or map"); err != nil {
		return err
	}
	what, faults := house.Check(c.args[0])
	wrong := 0
	for _, f := range faults {
		fmt.Fprintln(c.stdout, f)
		if !f.Advice {
			wrong++
		}
	}
	if wrong > 0 {
		fmt.Fprintf(c.stderr, "%s: %s\n", c.args[0], count(wrong, "fault"))
		return errSaid
	}
	fmt.Fprintf(c.stdout, "%s: the %s is good", c.args[0], what)
	if len(faults) > 0 {
		fmt.Fprintf(c.stdout, ", with %s", count(len(faults), "remark"))
	}
	fmt.Fprintln(c.stdout)
	return nil
}

// checkFault says which words do not go together, "" if all do.
func checkFault(limits, schema bool, files int) string {
	switch {
	case limits && schema:
		return "--limits and --schema print different things; give one of them"
	case schema && files > 0:
		return "--schema prints a schema and looks at no file; leave the file out"
	case limits && files > 1:
		return "--limits is of one house file"
	}
	return ""
}

// tableOfLimits prints every limit with what it is, its default, and where that comes
// from; of a house file, with the value in force there.
func tableOfLimits(c *call) error {
	rows := rules.DefaultLimits().Table()
	inForce := rows
	if len(c.args) == 1 {
		if _, err := os.Stat(c.args[0]); err != nil {
			return fmt.Errorf("%w; --limits prints those of a house file, or without one those of Pawl's own", err)
		}
		h, err := load(c, c.args[0])
		if err != nil {
			return err
		}
		inForce = h.Limits.Table()
	}
	w := tabwriter.NewWriter(c.stdout, 0, 0, 2, ' ', 0)
	section := ""
	for i, r := range rows {
		if r.Section != section {
			if section = r.Section; i > 0 {
				fmt.Fprintln(w)
			}
			fmt.Fprintf(w, "%s: %s\n", section, rules.SectionDoc(section))
		}
		value := r.Default
		switch now := inForce[i].Default; {
		case now == value:
		case value == rules.NotStated:
			value = now
		default:
			value = fmt.Sprintf("%s, not %s", now, value)
		}
		fmt.Fprintf(w, "  %s\t%s\t%s\t(%s)\n", r.Name, value, r.Doc, r.From)
	}
	return w.Flush()
}

func schema(c *call, of string) error {
	schemas := map[string]func() []byte{"house": house.Schema, "map": oscmap.Schema}
	make, ok := schemas[of]
	if !ok {
		fmt.Fprintf(c.stderr, "pawl check: no schema %q; want house or map\n", of)
		return errUsage
	}
	_, err := c.stdout.Write(make())
	return err
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
