package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/pflag"
)

// newFolder is the flag --out of a command that fills a folder of its own.
type newFolder string

func (f *newFolder) addTo(flags *pflag.FlagSet) {
	flags.StringVar((*string)(f), "out", "", "folder to fill; it must be new or empty")
}

// check tells why nothing can be written there: it has to be new or empty.
func (f newFolder) check() error {
	switch inside, err := os.ReadDir(string(f)); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return describe("read", err)
	case len(inside) > 0:
		return fmt.Errorf("%s is not empty; nothing was written", string(f))
	}
	return nil
}
