package main

import (
	"fmt"
	"os"
	"path/filepath"

	"saltmark/internal/finding"
	"saltmark/internal/outfile"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// previousBundles gives the look-up of the bundle that the record last accepted:
// of one file, or of a folder whose files are named as --out names them. path ""
// is no look-up.
func previousBundles(path string) (func(id string) *record.Session, error) {
	if path == "" {
		return nil, nil
	}
	info, err := os.Stat(path)
	if err != nil {
		return nil, describe("open", err)
	}
	if info.IsDir() {
		return func(id string) *record.Session { return previousIn(path, id) }, nil
	}
	one, err := readPrevious(path)
	if err != nil {
		return nil, err
	}
	return func(id string) *record.Session {
		if one.ID == id {
			return one
		}
		return nil
	}, nil
}

// previousIn looks a session up in a folder; one that is missing or cannot be
// read is none, and a revision that needs it says so.
func previousIn(folder, id string) *record.Session {
	name, err := outfile.SafeName(id)
	if err != nil {
		return nil
	}
	s, err := readPrevious(filepath.Join(folder, name+".json"))
	if err != nil {
		return nil
	}
	return s
}

func readPrevious(path string) (*record.Session, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, describe("read the previous bundle", err)
	}
	s, found := mapping.Read(path, text)
	if s == nil || found.HasErrors() {
		return nil, fmt.Errorf("the previous bundle %s cannot be used: %s", path, firstError(found))
	}
	return s, nil
}

func firstError(found finding.List) string {
	for _, f := range found {
		if f.Severity == finding.Error {
			return f.Text(false)
		}
	}
	return "it holds no session of this program"
}
