package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/pflag"

	"saltmark/internal/guide"
	"saltmark/internal/outfile"
)

// newFolder is the flag --out of a command that fills a folder of its own.
type newFolder string

func (f *newFolder) addTo(flags *pflag.FlagSet) {
	flags.StringVar((*string)(f), "out", "", "folder to fill; it must be new or empty")
}

// fill writes files into the folder, all of them or none: after an error what was written
// is taken away again.
func (f newFolder) fill(files []guide.File) error {
	_, err := os.Stat(string(f))
	isNew := errors.Is(err, fs.ErrNotExist)
	for i, file := range files {
		if err := outfile.Write(f.path(file), file.Text); err != nil {
			f.empty(files[:i+1], isNew)
			return err
		}
	}
	return nil
}

func (f newFolder) path(file guide.File) string {
	return filepath.Join(string(f), filepath.FromSlash(file.Name))
}

// empty takes files away, the folders that are empty without them, and the whole folder
// where it was made for them. What stays is told by the error that led here.
func (f newFolder) empty(files []guide.File, whole bool) {
	for _, file := range slices.Backward(files) {
		path := f.path(file)
		_ = os.Remove(path)
		for at := filepath.Dir(path); at != filepath.Clean(string(f)) && os.Remove(at) == nil; {
			at = filepath.Dir(at)
		}
	}
	if whole {
		_ = os.Remove(string(f))
	}
}

// check tells why nothing can be written there: it has to be new or empty.
func (f newFolder) check() error {
	switch inside, err := os.ReadDir(string(f)); {
	case errors.Is(err, fs.ErrNotExist):
		if info, err := os.Lstat(string(f)); err == nil && info.Mode()&fs.ModeSymlink != 0 {
			return fmt.Errorf("%s is a symbolic link to nothing; nothing was written", shownPath(string(f)))
		}
	case err != nil:
		return describe(cannotRead, err)
	case len(inside) > 0:
		return fmt.Errorf("%s is not empty; nothing was written", shownPath(string(f)))
	}
	return nil
}
