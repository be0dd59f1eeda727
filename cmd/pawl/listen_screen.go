//go:build unix

package main

import (
	"io"
	"os"

	"golang.org/x/sys/unix"
)

func isTerminal(f *os.File) bool {
	_, err := unix.IoctlGetWinsize(int(f.Fd()), unix.TIOCGWINSZ)
	return err == nil
}

// screenOf tells the size of the terminal behind w, nil if there is none.
func screenOf(w io.Writer) func() (width, height int) {
	f, ok := w.(*os.File)
	if !ok || !isTerminal(f) {
		return nil
	}
	return func() (int, int) {
		size, err := unix.IoctlGetWinsize(int(f.Fd()), unix.TIOCGWINSZ)
		if err != nil || size.Col == 0 {
			return 80, 24
		}
		return int(size.Col), int(size.Row)
	}
}
