package report

import (
	"time"

	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/mapping/record"
)

// Outcome says what became of one document of a run.
type Outcome string

// The outcomes. Those of sheets are Charted and Refused, those of documents that are
// only judged Passed and Faulty.
const (
	Charted Outcome = "charted"
	Refused Outcome = "refused" // an error stands against it; nothing is written
	Passed  Outcome = "passed"
	Faulty  Outcome = "faulty" // an error stands against it
	Failed  Outcome = "failed" // it could not be read, or what came of it not written
)

// Item is what became of one document of a run.
type Item struct {
	// Name is that of the document as it was given; Line that of a stream, 0 for a
	// document of its own.
	Name string
	Line int
	// Session is the identifier of the session, "" where it is not known.
	Session string
	Outcome Outcome
	// Status is the standing of a charted report, and Flow the code of the label that
	// says which flow its number stands for, "" where there is none.
	Status record.Status
	Flow   string
	// Held says why a verified session stays preliminary.
	Held []Reason
	// Withheld counts the values without a number, by the reason's code.
	Withheld map[string]int
	// Beside holds what was computed from the curves beside what was reported; nil where
	// nothing was.
	Beside []derive.Beside
	// Written tells what became of the file, "" where there is none.
	Written  Written
	Findings finding.List
	// Took is how long the work on it took; no report has it.
	Took time.Duration
	// States tells of each finding whether an earlier report had it; nil where nobody asked.
	States []State
	// Acknowledged says why a finding that stands is known, by its number in Findings.
	Acknowledged map[int]Reasoned
	// Accepted are findings that do not stand, each with its reason.
	Accepted []Accepted
	// Relabelled counts the flows that stand for another than the output of the left
	// ventricle, or for none that is known.
	Relabelled int
	// Failure is why the work on the document failed, nil where it did not.
	Failure error
}

// state gives the state of a finding by its number.
func (i *Item) state(n int) State {
	if n < len(i.States) {
		return i.States[n]
	}
	return ""
}

// Reason is a code with its words.
type Reason struct{ Code, Words string }

// Written says what became of a file, or in a dry run what would.
type Written string

// What becomes of a file.
const (
	New       Written = "new"
	Replaced  Written = "replaced"
	Unchanged Written = "unchanged" // it held the very bytes before
)
