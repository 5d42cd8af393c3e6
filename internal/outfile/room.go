package outfile

import (
	"errors"
	"runtime"
	"syscall"
)

// Codes of Windows for a disk that is full (ERROR_HANDLE_DISK_FULL, ERROR_DISK_FULL).
const (
	windowsHandleFull = syscall.Errno(39)
	windowsDiskFull   = syscall.Errno(112)
)

// NoRoom tells whether a file could not be written since the disk, or what its user may
// have of it, is full: what would come after it could not be written either.
func NoRoom(err error) bool {
	var code syscall.Errno
	if !errors.As(err, &code) {
		return false
	}
	if runtime.GOOS == "windows" && (code == windowsHandleFull || code == windowsDiskFull) {
		return true
	}
	return code == syscall.ENOSPC || code == syscall.EDQUOT
}
