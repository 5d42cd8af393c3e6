package report

import (
	"io"

	"saltmark/internal/finding"
	"saltmark/internal/language"
)

// Head says what run a report is about.
type Head struct {
	Command string
	// Version is that of the program, MeasuresHash the SHA-256 of its table of
	// measures, SettingsHash that of the site's settings, "" where none apply.
	Version, MeasuresHash, SettingsHash string
	// DryRun tells that nothing was written.
	DryRun bool
	// FailOn is the severity from which on a finding counts as a failure of its
	// document.
	FailOn finding.Severity
	// NewOnly tells that only findings which an earlier report did not have count so.
	NewOnly bool
	// Language is that of the sentences of findings.
	Language language.Language
	// Tables are what else the judgement rests on, beside the table of measures.
	Tables []Table
}

// Table is a published or own table that a judgement rests on.
type Table struct {
	Name    string // "loinc"
	Version string // "" where it has none but the hash
	SHA256  string
}

// End says how a run came to its end.
type End struct {
	// Stopped says why the run ended before it was through, "" where it did not.
	Stopped finding.Text
	// Missed names the documents that it did not come to.
	Missed []string
	// Inputs are the files that were read to their end, in their order.
	Inputs []Input
	// Selection and Baseline are nil where the run had none.
	Selection *Selection
	Baseline  *Baseline
	// Unchecked is what was not judged.
	Unchecked []Unchecked
}

// Input is a file that was read, by its very bytes, as they lie on the disk.
type Input struct {
	Name   string
	Bytes  int64
	SHA256 string
}

// Run is a report of a whole run for programs: the head, the counts, and each
// document with its findings, in the order of the run. It holds no time, so that the
// same input gives the same bytes, and never a private value. What is told of each
// document is kept until Finish, past a few megabytes in a temporary file, since the
// counts stand first; Drop removes it.
type Run struct {
	head   Head
	form   RunForm
	tally  Tally
	failed int // documents with a finding as grave as head.FailOn
	items  spool
	// failures are told apart from the findings in SARIF.
	failures []sarifNotification
	// rows and pageFailures are what a page lists, rowsOf how many rows of each rule.
	rows         map[finding.Severity][]pageRow
	rowsOf       map[string]int
	pageFailures []string
}

// NewRun starts the report of a run in a form.
func NewRun(form RunForm, head Head) *Run {
	return &Run{head: head, form: form, items: spool{between: form.between}}
}

// Add adds what became of a document.
func (r *Run) Add(i Item) error {
	r.tally.Add(i, 0)
	if r.fails(i) {
		r.failed++
	}
	text, err := r.form.item(r, i)
	if err != nil {
		return err
	}
	return r.items.add(text)
}

// fails tells whether findings stand against a document that could be worked on.
func (r *Run) fails(i Item) bool {
	return i.Outcome != Failed && i.worst(r.head.NewOnly) >= r.head.FailOn
}

// worst gives the gravest severity of the findings that count.
func (i *Item) worst(newOnly bool) finding.Severity {
	var worst finding.Severity
	for n, f := range i.Findings {
		if !newOnly || i.state(n) != Remaining {
			worst = max(worst, f.Severity)
		}
	}
	return worst
}

// Finish writes the report.
func (r *Run) Finish(w io.Writer, end End) error { return r.form.write(r, w, end) }

// Drop forgets what was kept; after it the report cannot be finished.
func (r *Run) Drop() { r.items.drop() }

// around writes what was kept of the documents with a head and a foot around it.
func (r *Run) around(w io.Writer, head, foot string) error {
	if _, err := io.WriteString(w, head); err != nil {
		return err
	}
	if err := r.items.copyTo(w); err != nil {
		return err
	}
	_, err := io.WriteString(w, foot)
	return err
}
