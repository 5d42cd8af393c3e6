package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// desk gives a folder in which the command lines of the help and of the README can be
// followed: sheets, settings, bundles and testdata as they name them.
func desk(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("a process for each line")
	}
	folder := t.TempDir()
	for name, from := range map[string]string{
		"sheet.yaml":              "testdata/sheets/02-minimal.yaml",
		"old/sheet.yaml":          "testdata/released/0.0.0/sheets/02-minimal.yaml",
		"ward/infant.yaml":        "testdata/sheets/05-preterm-foramen.yaml",
		"ward/series.yaml":        "testdata/sheets/series/1-preliminary.yaml",
		"corrected.yaml":          "testdata/sheets/series/2-final.yaml",
		"our-site.yaml":           "internal/site/demo.yaml",
		"new-site.yaml":           "internal/site/demo.yaml",
		"internal/site/demo.yaml": "internal/site/demo.yaml",
	} {
		text, err := os.ReadFile(filepath.Join("../..", from))
		if err != nil {
			t.Fatal(err)
		}
		to := filepath.Join(folder, name)
		if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(to, text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	testdata, err := filepath.Abs("../../testdata")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(testdata, filepath.Join(folder, "testdata")); err != nil {
		t.Skipf("no links here: %v", err)
	}
	followLines(t, folder, []string{"saltmark chart --out charted/ ward/", "saltmark chart sheet.yaml > bundle.json"})
	return folder
}

// followLines runs command lines one after the other, as a shell would.
func followLines(t *testing.T, folder string, lines []string) {
	t.Helper()
	shell, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("no shell here")
	}
	for _, line := range lines {
		cmd := exec.Command(shell, "-c", line)
		cmd.Dir = folder
		var words bytes.Buffer
		cmd.Stderr = &words
		if err := cmd.Run(); err != nil {
			t.Errorf("%s: %v\n%s", line, err, words.String())
		}
	}
}

func TestEachExampleOfTheHelpRuns(t *testing.T) {
	var lines []string
	var walk func(cmd *cobra.Command)
	walk = func(cmd *cobra.Command) {
		for line := range strings.Lines(cmd.Example) {
			lines = append(lines, strings.TrimSpace(line))
		}
		for _, c := range cmd.Commands() {
			walk(c)
		}
	}
	e, _, _ := trial()
	walk(newRootCmd(e))
	if len(lines) < 5 {
		t.Fatalf("the help has %d examples", len(lines))
	}
	followLines(t, desk(t), lines)
}

func TestEachCommandLineOfTheReadmeRuns(t *testing.T) {
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, block := range regexp.MustCompile("(?s)```sh\n(.*?)```").FindAllStringSubmatch(string(text), -1) {
		for line := range strings.Lines(block[1]) {
			if strings.HasPrefix(line, "saltmark ") {
				lines = append(lines, strings.TrimSpace(line))
			}
		}
	}
	if len(lines) < 3 {
		t.Fatalf("the README has %d command lines", len(lines))
	}
	followLines(t, desk(t), lines)
}
