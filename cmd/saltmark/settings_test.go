package main

import (
	"os"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"

	"saltmark/internal/site"
	"saltmark/internal/source"
)

// settings is the command "settings FILE [OLD NEW]... [HASH [OLD NEW]...]": the demo
// settings with pieces exchanged, written to FILE. \n in NEW is the end of a line. The
// word HASH in the text becomes the SHA-256 to approve, of the text as the pieces
// before the argument HASH leave it.
func settings(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) == 0 {
		ts.Fatalf("usage: settings FILE [OLD NEW]... [HASH [OLD NEW]...]")
	}
	demo, err := os.ReadFile(ts.Getenv("TESTDATA") + "/../internal/site/demo.yaml")
	ts.Check(err)
	text := string(demo)
	pieces := args[1:]
	for len(pieces) > 0 {
		if pieces[0] == "HASH" {
			text, pieces = withHash(ts, text), pieces[1:]
			continue
		}
		if len(pieces) < 2 || !strings.Contains(text, pieces[0]) {
			ts.Fatalf("the settings have no %q", pieces[0])
		}
		text = strings.Replace(text, pieces[0], strings.ReplaceAll(pieces[1], `\n`, "\n"), 1)
		pieces = pieces[2:]
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(withHash(ts, text)), 0o600))
}

func withHash(ts *testscript.TestScript, text string) string {
	if !strings.Contains(text, "HASH") {
		return text
	}
	any64 := strings.Replace(text, "HASH", strings.Repeat("0", 64), 1)
	doc, _ := source.ReadYAML("site.yaml", []byte(any64), source.SheetLimits())
	t, found := site.Read(doc)
	if t == nil {
		ts.Fatalf("%v", found)
	}
	return strings.Replace(text, "HASH", t.ApprovalHash(), 1)
}
