package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// releasedFolder holds what each release could read and write, one folder for each.
const releasedFolder = "testdata/released"

// kept is what is kept of a version, and under which name.
var kept = []struct{ from, as string }{
	{"testdata/sheets", "sheets"},
	{"testdata/bundles", "bundles"},
	{"testdata/forms", "forms"},
	{"internal/site/demo.yaml", "site.yaml"},
}

// cut keeps the sheets, bundles, settings and names of a version for good, and puts the
// notes of its changes together. It changes the tree and commits nothing.
func cut(ctx context.Context, top, version string) error {
	v, err := versionOf(ctx, top, version)
	if err != nil {
		return err
	}
	if strings.Contains(v, "-") {
		return fmt.Errorf("%s is a try; only a release is kept", v)
	}
	if err := keepFiles(top, v); err != nil {
		return err
	}
	if err := keepChanges(top, v); err != nil {
		return err
	}
	// The names live in all rooms, and only a test of the program sees them all.
	cmd := exec.CommandContext(ctx, "go", "test", "-count=1", "-run", "^TestNamesOfReleasesLast$", "./cmd/saltmark", "-release", v)
	cmd.Dir, cmd.Stdout, cmd.Stderr = top, os.Stderr, os.Stderr
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("adding the names of %s to the list: %w", v, err)
	}
	return nil
}

// keepFiles copies what is kept of a version into a folder of its own.
func keepFiles(top, version string) error {
	folder := filepath.Join(top, filepath.FromSlash(releasedFolder), version)
	if _, err := os.Stat(folder); !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s is there already", folder)
	}
	part := folder + ".part"
	if err := os.RemoveAll(part); err != nil {
		return err
	}
	if err := os.MkdirAll(part, 0o755); err != nil {
		return err
	}
	for _, k := range kept {
		if err := copyTo(filepath.Join(part, k.as), filepath.Join(top, filepath.FromSlash(k.from))); err != nil {
			return errors.Join(err, os.RemoveAll(part))
		}
	}
	return os.Rename(part, folder)
}

// copyTo copies a file or a folder. JSON is kept as the program writes it, on one line:
// the goldens are spread out to be read.
func copyTo(to, from string) error {
	return filepath.WalkDir(from, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		below, err := filepath.Rel(from, name)
		if err != nil {
			return err
		}
		target := filepath.Join(to, below)
		if d.IsDir() {
			return os.MkdirAll(target, 0o755)
		}
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if filepath.Ext(name) == ".json" {
			var line bytes.Buffer
			if err := json.Compact(&line, text); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			text = append(line.Bytes(), '\n')
		}
		return os.WriteFile(target, text, 0o644)
	})
}

// keepChanges moves the notes of changes into a folder of the version.
func keepChanges(top, version string) error {
	folder := filepath.Join(top, filepath.FromSlash(changesFolder), version)
	names, err := changes(os.DirFS(top), version)
	if err != nil {
		return err
	}
	if err := os.Mkdir(folder, 0o755); err != nil {
		return err
	}
	for _, name := range names {
		if err := os.Rename(filepath.Join(top, filepath.FromSlash(name)), filepath.Join(folder, filepath.Base(name))); err != nil {
			return err
		}
	}
	return nil
}
