package main

import (
	"context"
	"fmt"

	"pawl/daemon/house"
	"pawl/oscmap"
)

var checkVerb = verb{
	name: "check", args: "HOUSE|MAP | --schema house|map",
	summary: "say everything that is wrong with a house file or a map, with its line",
	run:     check,
}

func check(_ context.Context, c *call) error {
	of := c.flags.String("schema", "", "print the JSON Schema of house or map files, for an editor, instead")
	if err := c.parseAny(); err != nil {
		return err
	}
	if *of != "" && len(c.args) == 0 {
		return schema(c, *of)
	}
	if err := c.want(1); err != nil {
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
	fmt.Fprintf(c.stderr, "%s: the %s is good", c.args[0], what)
	if len(faults) > 0 {
		fmt.Fprintf(c.stderr, ", with %s", count(len(faults), "remark"))
	}
	fmt.Fprintln(c.stderr)
	return nil
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
