package main

import (
	"io"
	"os"
)

// isTerminal tells whether a stream is a terminal: values of a sheet are shown
// and colours used nowhere else.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
