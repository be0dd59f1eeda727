package main

import (
	"flag"
	"fmt"
	"regexp"
	"time"

	"pawl/oscmap/sheet"
)

// What package flag says of a flag that it does not take.
var (
	badValue   = regexp.MustCompile(`^invalid (?:boolean )?value (".*") for (?:flag )?-([^:]+): (.*)$`)
	unknown    = regexp.MustCompile(`^flag provided but not defined: -(.*)$`)
	withoutOne = regexp.MustCompile(`^flag needs an argument: -(.*)$`)
)

// wrongFlag is what is wrong with a flag, and what is wanted.
func (c *call) wrongFlag(err error) string {
	text := err.Error()
	if m := badValue.FindStringSubmatch(text); m != nil {
		return fmt.Sprintf("--%s %s: %s", m[2], m[1], c.wanted(m[2], m[3]))
	}
	if m := unknown.FindStringSubmatch(text); m != nil {
		return fmt.Sprintf("no flag --%s%s", m[1], c.meantFlag(m[1]))
	}
	if m := withoutOne.FindStringSubmatch(text); m != nil {
		return fmt.Sprintf("--%s: %s", m[1], c.wanted(m[1], "want something behind it"))
	}
	return text
}

// wanted is what a flag takes, as its kind tells, or what else is said of its value.
func (c *call) wanted(name, said string) string {
	value, ok := c.flags.Lookup(name).Value.(flag.Getter)
	if name == "log-level" {
		return "want debug, info, warn or error"
	}
	if !ok {
		return said
	}
	switch value.Get().(type) {
	case int:
		return "want a whole number"
	case float64:
		return "want a number"
	case time.Duration:
		return "want a time such as 60s"
	case bool:
		return "want true or false, or nothing behind it"
	}
	return said
}

// meantFlag asks whether a near flag was meant, "" if none is near.
func (c *call) meantFlag(mistyped string) string {
	var names []string
	c.flags.VisitAll(func(f *flag.Flag) { names = append(names, f.Name) })
	if near := sheet.Nearest(mistyped, names); near != "" {
		return fmt.Sprintf("; did you mean --%s?", near)
	}
	return ""
}
