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
		if err := c.parse(0); err != nil {
			return err
		}
		version, revision := "devel", ""
		if b, ok := debug.ReadBuildInfo(); ok {
			if v := b.Main.Version; v != "" && v != "(devel)" {
				version = v
			}
			for _, s := range b.Settings {
				if s.Key == "vcs.revision" {
					revision = " " + s.Value
				}
			}
		}
		_, err := fmt.Fprintf(c.stdout, "pawl %s%s, %s %s/%s\n", version, revision, runtime.Version(), runtime.GOOS, runtime.GOARCH)
		return err
	},
}
