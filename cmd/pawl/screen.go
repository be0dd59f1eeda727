package main

import (
	"io"
	"os"

	"golang.org/x/term"
)

func isTerminal(f *os.File) bool { return term.IsTerminal(int(f.Fd())) }

// screenOf tells the size of the terminal behind w, nil if there is none.
func screenOf(w io.Writer) func() (width, height int) {
	f, ok := w.(*os.File)
	if !ok || !isTerminal(f) {
		return nil
	}
	return func() (int, int) {
		// A serial console says that it is 0 wide.
		if width, height, err := term.GetSize(int(f.Fd())); err == nil && width > 0 {
			return width, height
		}
		return 80, 24
	}
}
