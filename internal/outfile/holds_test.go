package outfile_test

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"saltmark/internal/outfile"
)

func TestAFileHoldsJustTheBytesItHolds(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a.json")
	if err := outfile.Write(path, []byte("one")); err != nil {
		t.Fatal(err)
	}
	for data, want := range map[string]bool{"one": true, "two": false, "one ": false, "on": false, "": false} {
		if got := outfile.Holds(path, []byte(data)); got != want {
			t.Errorf("%q: %v", data, got)
		}
	}
	if outfile.Holds(filepath.Join(folder, "b.json"), nil) || outfile.Holds(folder, nil) {
		t.Error("what is no file holds something")
	}
}

// The file would be written again, for its owner only.
func TestAFileThatOthersMayReadDoesNotHold(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("files have no such modes there")
	}
	path := filepath.Join(t.TempDir(), "a.json")
	if err := os.WriteFile(path, []byte("one"), 0o644); err != nil {
		t.Fatal(err)
	}
	if outfile.Holds(path, []byte("one")) {
		t.Error("it holds")
	}
}

func TestWhatKeepsAFileFromItsNameIsToldBefore(t *testing.T) {
	folder := t.TempDir()
	for path, want := range map[string]string{
		filepath.Join(folder, "new.json"): "",
		folder:                            "is a folder",
		folder + "/":                      "names no file",
		"":                                "names no file",
	} {
		err := outfile.Check(path)
		if want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
			t.Errorf("%q: %v", path, err)
		}
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) > 0 {
		t.Errorf("%v, %v", left, err)
	}
}
