package main

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// roomRow is a row of the table of rooms: its layer (only in the first row of a layer)
// and its path.
var roomRow = regexp.MustCompile("(?m)^\\| ([a-z]*) \\| `([a-z0-9/]+)` \\| .+ \\|$")

// DEVELOPERS.md tells of every room that is built, under its layer, and of no other.
func TestTheDevelopersTableShowsTheHouseAsBuilt(t *testing.T) {
	text, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	told, layer := map[string]string{}, ""
	for _, m := range roomRow.FindAllStringSubmatch(string(text), -1) {
		if m[1] != "" {
			layer = m[1]
		}
		told[m[2]] = layer
	}
	built := map[string]string{}
	for _, l := range layers {
		for _, r := range l.rooms {
			if files, err := filepath.Glob(filepath.Join("../..", r.path, "*.go")); err == nil && len(files) > 0 {
				built[r.path] = l.name
			}
		}
	}
	if diff := cmp.Diff(built, told); diff != "" {
		t.Errorf("rooms with their layer, built (-) and told of (+):\n%s", diff)
	}
}
