package main

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/pflag"

	"saltmark/internal/finding"
)

// errFindings says that the work is done and that a finding is as grave as
// --fail-on says. The findings themselves have been reported.
var errFindings = errors.New("findings stand against the data")

// errUnfinished says that a part of the work could not be done. What part and why
// has been told.
var errUnfinished = errors.New("not all of the work could be done")

// failOn is the flag --fail-on: from which severity on findings make a command
// end with exit code 1.
type failOn struct{ choice }

// addTo gives a command the flag; the default is that only errors count.
func (f *failOn) addTo(flags *pflag.FlagSet) {
	f.choice = newChoice(finding.Error.String(), finding.Error.String(), finding.Warning.String())
	flags.Var(&f.choice, "fail-on", "from which severity on findings end in exit code 1")
}

// severity gives the limit.
func (f *failOn) severity() finding.Severity {
	if f.is(finding.Warning.String()) {
		return finding.Warning
	}
	return finding.Error
}

// judge gives errFindings when the gravest finding of the work reaches the limit.
func (f *failOn) judge(worst finding.Severity) error {
	if worst >= f.severity() {
		return errFindings
	}
	return nil
}

// sayFailures tells why documents could not be worked on. It comes at the end, so
// that it never stands amid findings in a form for programs.
func sayFailures(w io.Writer, failures []error) {
	for _, err := range failures {
		fmt.Fprintf(w, "saltmark: %v\n", err)
	}
}

// ending gives the error with which a run ends: what broke it off, else that a part of
// the work could not be done, else what its findings come to.
func (f *failOn) ending(err error, failures []error, worst finding.Severity) error {
	switch {
	case err != nil:
		return err
	case len(failures) > 0:
		return errUnfinished
	}
	return f.judge(worst)
}
