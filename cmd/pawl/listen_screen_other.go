//go:build !unix

package main

import (
	"io"
	"os"
)

// Where terminals are asked otherwise, the table comes at the end, and questions
// with --guide.
func isTerminal(*os.File) bool { return false }

func screenOf(io.Writer) func() (width, height int) { return nil }
