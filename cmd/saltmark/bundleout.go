package main

import (
	"fmt"
	"os"
	"path/filepath"

	"saltmark/internal/outfile"
)

// bundleOut is where bundles go: one file for each session in a folder, or one line
// for each on standard output.
type bundleOut struct {
	env    *env
	folder string // "" for standard output
}

// newBundleOut makes the folder where it is missing and makes sure that files can be
// made in it, so that this is said once, before any work, and not for each sheet.
func newBundleOut(e *env, folder string) (bundleOut, error) {
	out := bundleOut{e, folder}
	if folder == "" {
		return out, nil
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return out, describe("make the folder", err)
	}
	trial, err := os.CreateTemp(folder, ".saltmark-*.part")
	if err != nil {
		return out, fmt.Errorf("no file can be made in the folder %s: %w", shownPath(folder), cause(err))
	}
	trial.Close()
	return out, os.Remove(trial.Name())
}

// put gives a bundle out, whole: a file of the session's that is there already is
// replaced in one step, and left as it was when that fails.
func (o bundleOut) put(id string, bundle []byte) error {
	bundle = append(bundle, '\n')
	if o.folder == "" {
		_, err := o.env.Stdout.Write(bundle)
		return err
	}
	name, err := outfile.SafeName(id)
	if err != nil {
		return err
	}
	file, err := outfile.CreateContext(o.env.Context, filepath.Join(o.folder, name+".json"))
	if err != nil {
		return err
	}
	defer file.Abort()
	if _, err := file.Write(bundle); err != nil {
		return err
	}
	return file.Commit()
}

// ends tells whether a failure to put one bundle out ends the work on the others.
func (o bundleOut) ends() bool { return o.folder == "" || o.env.Context.Err() != nil }
