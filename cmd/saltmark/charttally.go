package main

import (
	"fmt"
	"io"

	"saltmark/mapping/record"
)

// chartTally counts what became of the sheets, for the words at the end.
type chartTally struct {
	outcomes map[string]int
	statuses map[record.Status]int
	failures []error
}

// The outcomes of a sheet.
const (
	outcomeCharted = "charted"
	outcomeRefused = "refused" // an error stands against it
	outcomeFailed  = "not read or written"
)

// add counts a sheet and gives its outcome.
func (t *chartTally) add(c charted) string {
	if t.outcomes == nil {
		t.outcomes, t.statuses = map[string]int{}, map[record.Status]int{}
	}
	outcome := outcomeCharted
	switch {
	case c.err != nil:
		outcome = outcomeFailed
		t.failures = append(t.failures, c.err)
	case c.bundle == nil:
		outcome = outcomeRefused
	default:
		t.statuses[c.status]++
	}
	t.outcomes[outcome]++
	return outcome
}

// say tells what could not be done and, where people read it, how many sheets came
// to what.
func (t *chartTally) say(w io.Writer, given int, toPeople bool) {
	sayFailures(w, t.failures)
	if !toPeople {
		return
	}
	done := 0
	for _, n := range t.outcomes {
		done += n
	}
	of := count(given, "sheet")
	if done < given {
		of = fmt.Sprintf("%d of %s", done, of)
	}
	fmt.Fprintf(w, "%s: %d %s, %d %s, %d %s\n", of,
		t.outcomes[outcomeCharted], outcomeCharted, t.outcomes[outcomeRefused], outcomeRefused, t.outcomes[outcomeFailed], outcomeFailed)
	for _, s := range standings {
		if n := t.statuses[s.status]; n > 0 {
			fmt.Fprintf(w, "  %d %s\n", n, s.words)
		}
	}
}

// standings explains the standing of a report, in the order of its life.
var standings = []struct {
	status record.Status
	words  string
}{
	{record.Partial, "partial: not verified"},
	{record.Preliminary, "preliminary: verified, but held back until more is known"},
	{record.Final, "final"},
	{record.Amended, "amended"},
	{record.Corrected, "corrected"},
	{record.Cancelled, "cancelled: never measured"},
	{record.EnteredInError, "withdrawn"},
}

// sayFailures tells why documents could not be worked on. They come at the end, so
// that they never stand amid findings in a form for programs.
func sayFailures(w io.Writer, failures []error) {
	for _, err := range failures {
		fmt.Fprintf(w, "saltmark: %v\n", err)
	}
}

func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
