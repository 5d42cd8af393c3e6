package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What repeatability writes as yaml can stand in the settings as it is.
func TestThePooledVariationGoesIntoTheSettings(t *testing.T) {
	e, stdout, stderr := trial("repeatability", "--format", "yaml", "../../testdata/bundles")
	if code := follow(e, newRootCmd(e)); code != exitFine {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	demo, err := os.ReadFile("../../internal/site/demo.yaml")
	if err != nil {
		t.Fatal(err)
	}
	section := regexp.MustCompile(`(?m)^repeatability:\n(?:  .*\n)+`)
	if !section.Match(demo) {
		t.Fatal("the demo settings have no such section")
	}
	file := filepath.Join(t.TempDir(), "site.yaml")
	if err := os.WriteFile(file, section.ReplaceAll(demo, stdout.Bytes()), 0o600); err != nil {
		t.Fatal(err)
	}
	e, stdout, stderr = trial("site", "check", file)
	if code := follow(e, newRootCmd(e)); code != exitFine {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	if !strings.Contains(stdout.String(), "invented test data: ") {
		t.Errorf("the settings do not say what the variation rests on:\n%s", stdout)
	}
}
