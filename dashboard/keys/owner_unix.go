//go:build unix

package keys

import (
	"os"
	"syscall"
)

// giveTo gives a file to whom a folder belongs. Where that cannot be it stays whose it is.
func giveTo(file *os.File, folder string) {
	is, err := os.Stat(folder)
	if err != nil {
		return
	}
	if of, ok := is.Sys().(*syscall.Stat_t); ok {
		_ = file.Chown(int(of.Uid), int(of.Gid))
	}
}
