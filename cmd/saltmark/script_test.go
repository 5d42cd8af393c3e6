package main

import (
	"flag"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// update rewrites what the scripts expect of the output (cmp) to what it is.
var update = flag.Bool("update", false, "update expected output in place")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"saltmark": main})
}

// TestScripts runs the program as a user would. Each script is a file of its own in
// testdata/script and uses no other programs. In a script $TESTDATA is the folder
// testdata at the top of the repository.
func TestScripts(t *testing.T) {
	testdata, err := filepath.Abs("../../testdata")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("TESTDATA", testdata)
			return nil
		},
	})
}
