package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"saltmark/internal/finding"
	"saltmark/internal/outfile"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// previousBundles gives the look-up of the bundle that the record last accepted, in
// any form: of one file, or of a folder whose files are named as --out names them. path ""
// is no look-up.
func previousBundles(e *env, path string) (func(id string) (*record.Session, error), error) {
	if path == "" {
		return nil, nil
	}
	info, err := os.Stat(path)
	if err != nil {
		return nil, describe(cannotOpen, err)
	}
	if info.IsDir() {
		return func(id string) (*record.Session, error) { return previousIn(e, path, id) }, nil
	}
	one, err := readPrevious(e, path)
	if err != nil {
		return nil, fmt.Errorf("the previous bundle cannot be used: %w", err)
	}
	return func(id string) (*record.Session, error) {
		if one.ID == id {
			return one, nil
		}
		return nil, nil
	}, nil
}

// previousIn looks a session up in a folder. A file that is not there is no
// previous bundle; one that is there must be usable.
func previousIn(e *env, folder, id string) (*record.Session, error) {
	name, err := outfile.SafeName(id)
	if err != nil {
		return nil, err
	}
	var found *record.Session
	for _, ending := range []string{bundleEnding, linesEnding} {
		s, err := readPrevious(e, filepath.Join(folder, name+ending))
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return nil, err
		case found != nil:
			return nil, fmt.Errorf("the session is there twice, in %s and in %s: nobody can tell which of them the record accepted", name+bundleEnding, name+linesEnding)
		default:
			found = s
		}
	}
	return found, nil
}

func readPrevious(e *env, path string) (*record.Session, error) {
	text, err := input{name: path, path: path}.read(e, source.ResourceLimits().Bytes)
	if err != nil {
		return nil, err
	}
	s, found := mapping.Read(path, text)
	if s == nil || found.HasErrors() {
		return nil, firstError(path, found)
	}
	return s, nil
}

func firstError(path string, found finding.List) error {
	for _, f := range found {
		if f.Severity == finding.Error {
			return &finding.Problem{Says: f.Told()}
		}
	}
	return finding.Refuse("{1} holds no session of this program", finding.Data(path))
}
