//go:build linux || darwin

package main

import (
	"os"
	"syscall"
	"unsafe"
)

// columnsOf asks a terminal how wide it is; 0 where it does not say.
func columnsOf(terminal *os.File) int {
	var size struct{ rows, columns, width, height uint16 }
	_, _, fault := syscall.Syscall(syscall.SYS_IOCTL, terminal.Fd(), syscall.TIOCGWINSZ, uintptr(unsafe.Pointer(&size)))
	if fault != 0 {
		return 0
	}
	return int(size.columns)
}
