package main

import (
	"io"
	"os"

	"github.com/vbauerster/cupwriter"
)

// isTerminal tells whether a stream is a terminal: values of a sheet are shown and a
// bar drawn nowhere else.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && cupwriter.New(f, false).IsTerminal()
}
