package outfile

import (
	"os"
	"path/filepath"
	"runtime"
)

// makeFolders makes what is missing of a folder, 0700, and makes the new names
// durable.
func makeFolders(folder string) error {
	var made []string
	for at := folder; ; at = filepath.Dir(at) {
		if _, err := os.Stat(at); !os.IsNotExist(err) || at == filepath.Dir(at) {
			break
		}
		made = append(made, at)
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return err
	}
	for _, name := range made {
		if err := syncFolder(filepath.Dir(name)); err != nil {
			return err
		}
	}
	return nil
}

// syncFolder makes the names in a folder durable.
func syncFolder(folder string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(folder)
	if err != nil {
		return err
	}
	err = f.Sync()
	if closing := f.Close(); err == nil {
		err = closing
	}
	return err
}
