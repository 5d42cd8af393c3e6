package main

import (
	"errors"
	"flag"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// update rewrites what the scripts expect of the output (cmp) to what it is.
var update = flag.Bool("update", false, "update expected output in place")

func TestMain(m *testing.M) {
	commands := map[string]func(){"saltmark": main}
	maps.Copy(commands, commandsOfTests())
	testscript.Main(m, commands)
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

// replace puts another text in the place of one in a file: replace FILE OLD NEW.
func replace(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: replace FILE OLD NEW")
	}
	text := ts.ReadFile(args[0])
	if !strings.Contains(text, args[1]) {
		ts.Fatalf("%s does not hold %q", args[0], args[1])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.ReplaceAll(text, args[1], args[2])), 0o600))
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
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "replace": replace, "settings": settings, "gzip": gzipped, "tgz": archived},
		Setup: func(e *testscript.Env) error {
			e.Setenv("TESTDATA", testdata)
			return nil
		},
	})
}
