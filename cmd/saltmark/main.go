// Command saltmark turns the record of a bedside indicator-dilution measurement
// into FHIR R4, checks it and reads it back.
//
// Each command has a file of its own that holds its flags, its arguments, the call
// of the room that does the work, and the printing. It decides nothing about data.
// Data goes to standard output, words go to standard error. This file alone decides
// on the exit code.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	"time"

	"github.com/spf13/cobra"
)

// The exit codes.
const (
	exitFine    = 0 // the work is done, nothing stands against the data
	exitFinding = 1 // the work is done, a finding is as grave as --fail-on says
	exitUsage   = 2 // the command line cannot be followed; nothing was done
	exitFailed  = 3 // the work could not be done, or not all of it
)

// heapGrowth is by how much of what is alive, in percent, the heap grows before memory
// is collected. Sheets are many and short-lived: in place of Go's 100 it saves a sixth
// of the CPU of a run, for 40 MiB more (measured). GOGC sets another one.
const heapGrowth = 300

// memoryAim is where memory begins to be collected more often, in bytes: one document
// at the limits of size stays near it. GOMEMLIMIT sets another one.
const memoryAim = 80 << 20

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(heapGrowth)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(memoryAim)
	}
	os.Exit(run())
}

// run sets up the world of the process. The first interrupt cancels the work; a
// second one ends the process.
func run() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop)
	e := &env{
		Args: os.Args[1:], Stdin: os.Stdin, Stdout: os.Stdout, Stderr: os.Stderr,
		Getenv: os.Getenv, Now: time.Now, Context: ctx, Version: programVersion(),
	}
	return follow(e, newRootCmd(e))
}

// follow follows the command line through the tree of commands and gives the exit
// code. A panic ends here.
func follow(e *env, root *cobra.Command) (code int) {
	defer func() {
		if fault := recover(); fault != nil {
			code = exitFailed
			sayFault(e, fault)
		}
	}()
	root.SetArgs(append([]string{}, e.Args...))
	err := root.ExecuteContext(e.Context)
	sayError(e, err)
	return exitCode(err)
}

// exitCode: what came out of a command's work is 1 or 3; what kept a command from
// its work is usage.
func exitCode(err error) int {
	var done *workError
	switch {
	case err == nil:
		return exitFine
	case !errors.As(err, &done):
		return exitUsage
	case errors.Is(err, errFindings):
		return exitFinding
	default:
		return exitFailed
	}
}

// sayError gives the error one line. Findings and failures have been told already.
func sayError(e *env, err error) {
	var wrong *usageError
	switch {
	case err == nil, errors.Is(err, errFindings), errors.Is(err, errUnfinished):
	case errors.As(err, &wrong):
		fmt.Fprintf(e.Stderr, "saltmark: %s\nTo read more: %s --help\n", wrong.says, wrong.command)
	case e.Context.Err() != nil:
		fmt.Fprintln(e.Stderr, "saltmark: interrupted")
	default:
		fmt.Fprintf(e.Stderr, "saltmark: %v\n", err)
	}
}
