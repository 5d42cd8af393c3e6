package main

import (
	"fmt"
	"os"
	"path/filepath"

	"saltmark/internal/outfile"
	"saltmark/internal/report"
	"saltmark/mapping"
)

// bundleOut is where bundles go: one file for each session in a folder, or one line
// for each on standard output. In a dry run they go nowhere.
type bundleOut struct {
	env    *env
	folder string // "" for standard output
	ending string // of the names of files
	dry    bool
	// sheets names the sheets of this run in the folder, which no bundle replaces.
	sheets map[string]bool
}

// newBundleOut makes the folder where it is missing and makes sure that files can be
// made in it, so that this is said once, before any work, and not for each sheet.
func newBundleOut(e *env, folder, ending string, dry bool, inputs inputs) (bundleOut, error) {
	out := bundleOut{env: e, folder: folder, ending: ending, dry: dry}
	if folder == "" {
		return out, nil
	}
	out.sheets = inputs.namesIn(folder)
	if dry {
		return out, nil
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return out, describe(cannotMakeFolder, err)
	}
	trial, err := os.CreateTemp(folder, ".saltmark-*.part")
	if err != nil {
		return out, fmt.Errorf("no file can be made in the folder %s: %w", shownPath(folder), cause(err))
	}
	trial.Close()
	return out, os.Remove(trial.Name())
}

// Endings of the files of bundles.
const (
	bundleEnding = ".json"
	linesEnding  = ".ndjson"
)

func endingOf(form mapping.Form) string {
	if form == mapping.NDJSON {
		return linesEnding
	}
	return bundleEnding
}

// put gives a bundle out, whole: a file of the session's that is there already is
// replaced in one step, and left as it was when that fails or when it holds the very
// bytes. It tells what became of the file.
func (o bundleOut) put(id string, bundle []byte) (report.Written, error) {
	bundle = append(bundle, '\n')
	if o.folder == "" {
		if o.dry {
			return "", nil
		}
		_, err := o.env.Stdout.Write(bundle)
		return "", err
	}
	name, err := outfile.SafeName(id)
	if err != nil {
		return "", err
	}
	name += o.ending
	if o.sheets[name] {
		return "", fmt.Errorf("the bundle would replace %s, which is a sheet; another folder is wanted for --out", shownPath(filepath.Join(o.folder, name)))
	}
	return o.putFile(filepath.Join(o.folder, name), bundle)
}

func (o bundleOut) putFile(path string, bundle []byte) (report.Written, error) {
	written, err := whatBecomesOf(path, bundle)
	switch {
	case err != nil:
		return "", err
	case o.dry:
		_, err := fmt.Fprintf(o.env.Stdout, "%-9s %s\n", written, shownPath(path))
		return written, err
	case written == report.Unchanged:
		return written, nil
	}
	file, err := outfile.CreateContext(o.env.Context, path)
	if err != nil {
		return "", err
	}
	defer file.Abort()
	if _, err := file.Write(bundle); err != nil {
		return "", err
	}
	return written, file.Commit()
}

// whatBecomesOf tells what writing a bundle makes of the file.
func whatBecomesOf(path string, bundle []byte) (report.Written, error) {
	if err := outfile.Check(path); err != nil {
		return "", err
	}
	if _, err := os.Lstat(path); err != nil {
		return report.New, nil
	}
	if outfile.Holds(path, bundle) {
		return report.Unchanged, nil
	}
	return report.Replaced, nil
}

// ends tells whether a failure to put one bundle out ends the work on the others.
func (o bundleOut) ends(failure error) bool {
	return o.folder == "" || o.env.Context.Err() != nil || outfile.NoRoom(failure)
}
