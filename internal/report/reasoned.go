package report

import "saltmark/internal/finding"

// Reasoned is what somebody wrote about a finding that is known.
type Reasoned struct {
	By     string // the suppression, as the report lists it
	Reason string
}

// Accepted is a finding that a suppression took away.
type Accepted struct {
	Finding finding.Finding
	Reasoned
}

// Suppression is a line of a selection, and what it did in the run.
type Suppression struct {
	Name                            string
	Rule, File, At                  string // At is a pattern of expression or pointer
	Reason, By, Until               string
	Accepted, Acknowledged, Expired int
}

// Selection says which rules were applied and what was accepted; nil where every rule
// was and nothing.
type Selection struct {
	Name   string // of the file
	SHA256 string
	// Off names the rules that were not applied.
	Off          []string
	Suppressions []Suppression
	// Findings are about the selection itself.
	Findings finding.List
}

// State tells whether a finding was in an earlier report. The zero value is that nobody
// asked.
type State string

// The states.
const (
	IsNew     State = "new"
	Remaining State = "remaining"
)

// Baseline says what became of the findings of an earlier report; nil where there was
// none.
type Baseline struct {
	Name           string // of the report
	SHA256         string
	New, Remaining int
	// Gone are the findings that are there no more.
	Gone []Gone
}

// Gone is a finding of an earlier report that is there no more.
type Gone struct {
	Rule, Severity, File, Pointer string
}

// Unchecked is a kind of thing that was not judged, and how often it was there.
type Unchecked struct {
	Code  string // "types", "references"
	What  string // of it: the type, the system
	Words finding.Text
	Count int
}
