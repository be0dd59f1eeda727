package main

import (
	"context"
	"fmt"
	"runtime"
	"runtime/debug"
)

var versionVerb = verb{
	name: "version", args: "",
	summary: "say which Pawl this is",
	run: func(_ context.Context, c *call) error {
		if err := c.parse(); err != nil {
			return err
		}
		_, err := fmt.Fprintf(c.stdout, "pawl %s, %s %s/%s\n", version(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
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
