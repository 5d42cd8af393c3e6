package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"
)

const changesFolder = "internal/changes"

// changeFiles are the notes of changes; their numbers, each given once, are their order.
var changeFiles = regexp.MustCompile(`^[0-9]{4}-[a-z0-9-]+\.md$`)

// changes gives the paths of the notes of a version: those in the folder of its name, or
// those of no version yet. A try (0.2.0-try) may have none, as right behind a release.
func changes(top fs.FS, version string) ([]string, error) {
	entries, err := fs.ReadDir(top, path.Join(changesFolder, version))
	folder := path.Join(changesFolder, version)
	if errors.Is(err, fs.ErrNotExist) {
		folder = changesFolder
		entries, err = fs.ReadDir(top, folder)
	}
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		if changeFiles.MatchString(e.Name()) {
			names = append(names, path.Join(folder, e.Name()))
		}
	}
	if len(names) == 0 && !strings.Contains(version, "-") {
		return nil, fmt.Errorf("%s: no change is noted for %s", folder, version)
	}
	slices.Sort(names)
	for i := range len(names) - 1 {
		if path.Base(names[i])[:4] == path.Base(names[i+1])[:4] {
			return nil, fmt.Errorf("%s and %s have one number", names[i], names[i+1])
		}
	}
	return names, nil
}

// notes gives the text of a release: what changed since the one before.
func notes(top fs.FS, version string) ([]byte, error) {
	names, err := changes(top, version)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "# saltmark %s\n\nFor documentation, quality review and research; certified by nobody. README.md says what\nthat means, and what a site must settle before it charts a real patient.\n", version)
	if len(names) == 0 {
		b.WriteString("\nNo change is noted since the release before.\n")
	}
	for _, name := range names {
		text, err := fs.ReadFile(top, name)
		if err != nil {
			return nil, err
		}
		title, ok := bytes.CutPrefix(bytes.TrimSpace(text), []byte("# "))
		if !ok {
			return nil, fmt.Errorf("%s: its first line is a title after %q", name, "# ")
		}
		fmt.Fprintf(&b, "\n## %s\n", title)
	}
	return b.Bytes(), nil
}
