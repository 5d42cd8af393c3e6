package main

import (
	"fmt"
	"log/slog"
	"runtime/debug"

	"saltmark/internal/finding"
)

// faultWords are all that a user hears of a panic: what it says may hold data of a
// patient.
const faultWords finding.Text = "please report it with the command and its version. With --log-level debug it says where."

// caught is a panic of another goroutine, on its way to the one that waits for it.
type caught struct {
	fault any
	stack []byte
}

// sayFault reports a panic that stopped the work.
func sayFault(e *env, fault any) {
	fmt.Fprintln(e.Stderr, "saltmark: a fault of this program stopped the work; "+faultWords.String())
	logFault(e.logger(), fault)
}

// faultOf makes a panic the failure of the one document that was worked on: the
// others go on.
func faultOf(log *slog.Logger, name string, fault any) error {
	logFault(log, fault)
	return finding.Refuse("a fault of this program stopped the work on {1}; {2}", finding.Data(shownPath(name)), faultWords)
}

func logFault(log *slog.Logger, fault any) {
	stack := debug.Stack()
	if c, ok := fault.(caught); ok {
		fault, stack = c.fault, c.stack
	}
	log.Debug("fault", slog.String("kind", fmt.Sprintf("%T", fault)), slog.String("stack", string(stack)))
}
