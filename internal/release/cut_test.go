package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestAVersionIsKeptOnceAndForGood(t *testing.T) {
	tree := t.TempDir()
	for name, text := range map[string]string{
		"testdata/sheets/a.yaml": "sheet", "testdata/sheets/series/b.yaml": "sheet", "testdata/bundles/a.json": "{\n \"a\": 0.10\n}\n",
		"testdata/forms/a.ndjson": "{}\n{}\n", "internal/site/demo.yaml": "site", "internal/changes/0007-x.md": "# X\n", "internal/changes/README.md": "# Notes\n",
	} {
		path := filepath.Join(tree, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := keepFiles(tree, "0.1.0"); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"sheets/a.yaml", "sheets/series/b.yaml", "bundles/a.json", "forms/a.ndjson", "site.yaml"} {
		if _, err := os.Stat(filepath.Join(tree, releasedFolder, "0.1.0", name)); err != nil {
			t.Error(err)
		}
	}
	if text, err := os.ReadFile(filepath.Join(tree, releasedFolder, "0.1.0", "bundles/a.json")); err != nil || string(text) != "{\"a\":0.10}\n" {
		t.Errorf("the bundle is kept as %q, %v", text, err)
	}
	if err := keepFiles(tree, "0.1.0"); err == nil {
		t.Error("what is kept was written over")
	}
	if err := keepChanges(tree, "0.1.0"); err != nil {
		t.Fatal(err)
	}
	if text, err := notes(os.DirFS(tree), "0.1.0"); err != nil || !strings.HasSuffix(string(text), "\n## X\n") {
		t.Errorf("%s, %v", text, err)
	}
	if _, err := notes(os.DirFS(tree), "0.2.0"); err == nil {
		t.Error("a change is in two releases")
	}
	if err := cut(t.Context(), tree, "0.2.0-try"); err == nil || !strings.Contains(err.Error(), "is a try") {
		t.Errorf("a try was cut: %v", err)
	}
}
