// Package archive reads FHIR packages as npm packs them, for generators, judges and tests:
// files that this project knows by their SHA-512, so nothing bounds what they hold. What
// may come from anybody is read by the commands, under their limits.
package archive

import (
	"archive/tar"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"strings"
)

// Each calls do for each JSON file in the folder "package", in the order of the package,
// with its name in that folder: the resources, and package.json, which describes them.
func Each(file string, do func(name string, text []byte) error) error {
	return EachIn(file, "package/", do)
}

// EachIn does so for another folder, such as package/example/, where guides have theirs.
func EachIn(file, folder string, do func(name string, text []byte) error) error {
	f, err := os.Open(file)
	if err != nil {
		return err
	}
	defer f.Close()
	unpacked, err := gzip.NewReader(f)
	if err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	for files := tar.NewReader(unpacked); ; {
		header, err := files.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		in, name := path.Split(header.Name)
		if in != folder || path.Ext(name) != ".json" {
			continue
		}
		text, err := io.ReadAll(files)
		if err == nil {
			err = do(name, text)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", header.Name, err)
		}
	}
}

// IsResource tells whether a file holds a resource: its name begins with the type and a
// hyphen, which package.json has not.
func IsResource(name string) bool { return strings.Contains(name, "-") }
