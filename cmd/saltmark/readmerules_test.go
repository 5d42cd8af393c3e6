package main

import (
	"os"
	"regexp"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/selection"
	"saltmark/internal/source"
)

// The file of rules in the README is one that can be used.
func TestTheFileOfRulesInTheReadmeIsRead(t *testing.T) {
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	block := regexp.MustCompile("(?s)```yaml\n(saltmark-rules: .*?)```").FindSubmatch(text)
	if block == nil {
		t.Fatal("there is none")
	}
	doc, found := source.Read("README.md", block[1], source.SheetLimits())
	if found.HasErrors() {
		t.Fatal(found)
	}
	if s, found := selection.Read(doc, audit.Guards()); s == nil || len(s.Suppressions) != 1 || len(s.Off) == 0 {
		t.Error(found)
	}
}
