package deploy

import (
	"io/fs"
	"syscall"
)

// owner is the number of the user to whom a file belongs.
func owner(info fs.FileInfo) uint32 { return info.Sys().(*syscall.Stat_t).Uid }
