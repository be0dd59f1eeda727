package main

import (
	"context"
	_ "embed"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
)

// licences are those of everything in the program, so that whoever has only the program
// has them too. TestLicences keeps them complete.
//
//go:embed licences.txt
var licences string

var versionVerb = verb{
	name: "version", args: "[--licences]",
	summary: "say which Pawl this is, and by whose leave",
	run: func(_ context.Context, c *call) error {
		all := c.flags.Bool("licences", false, "print the licences of everything in it")
		if err := c.parse(); err != nil {
			return err
		}
		if *all {
			_, err := io.WriteString(c.stdout, licences)
			return err
		}
		_, err := fmt.Fprintf(c.stdout, "pawl %s, %s %s/%s\nIts licence and those of all that is in it: pawl version --licences\n",
			version(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
		return err
	},
}

// version is which Pawl this is, with its revision if the build knows one.
func version() string {
	version := "devel"
	b, ok := debug.ReadBuildInfo()
	if !ok {
		return version
	}
	if v := b.Main.Version; v != "" && v != "(devel)" {
		version = v
	}
	for _, s := range b.Settings {
		if s.Key == "vcs.revision" {
			version += " " + s.Value
		}
	}
	return version
}
