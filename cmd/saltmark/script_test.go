package main

import (
	"errors"
	"flag"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// update rewrites what the scripts expect of the output (cmp) to what it is.
var update = flag.Bool("update", false, "update expected output in place")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"saltmark": main})
}

// exits is the command "exits CODE PROGRAM ...": exec for a run that must end with
// that exit code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM [ARGUMENT...]")
	}
	code := exitFine
	var ended *exec.ExitError
	switch err := ts.Exec(args[1], args[2:]...); {
	case errors.As(err, &ended):
		code = ended.ExitCode()
	case err != nil:
		ts.Fatalf("%v", err)
	}
	if want := args[0]; strconv.Itoa(code) != want {
		ts.Fatalf("exit code %d, want %s", code, want)
	}
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
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
		Setup: func(e *testscript.Env) error {
			e.Setenv("TESTDATA", testdata)
			return nil
		},
	})
}
