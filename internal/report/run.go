package report

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

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
	// Language is that of the sentences of findings.
	Language language.Language
}

// End says how a run came to its end.
type End struct {
	// Stopped says why the run ended before it was through, "" where it did not.
	Stopped string
	// Missed names the documents that it did not come to.
	Missed []string
}

// Run is a report of a whole run for programs: the head, the counts, and each
// document with its findings, in the order of the run. It holds no time, so that the
// same input gives the same bytes, and never a private value. A few hundred bytes
// are kept for each document until Finish, since the counts stand first.
type Run struct {
	head   Head
	shape  runShape
	tally  Tally
	failed int // documents with a finding as grave as head.FailOn
	items  [][]byte
}

// runShape is a way to write a run.
type runShape struct {
	ending string
	item   func(*Run, Item) ([]byte, error)
	write  func(*Run, io.Writer, End) error
}

// runShapes lists the ways, by the ending of the file.
func runShapes() []runShape {
	return []runShape{
		{".json", (*Run).jsonItem, (*Run).writeJSON},
		{".xml", (*Run).testcase, (*Run).writeJUnit},
	}
}

// RunEndings gives the endings of a file that tell how a run is written: JSON with
// names of our own, or JUnit XML.
func RunEndings() []string {
	var endings []string
	for _, s := range runShapes() {
		endings = append(endings, s.ending)
	}
	return endings
}

// NewRun starts the report of a run in the form that the ending of the file name
// tells.
func NewRun(path string, head Head) (*Run, error) {
	ending := strings.ToLower(filepath.Ext(path))
	i := slices.IndexFunc(runShapes(), func(s runShape) bool { return s.ending == ending })
	if i < 0 {
		return nil, fmt.Errorf("a report ends in %s", strings.Join(RunEndings(), " or "))
	}
	return &Run{head: head, shape: runShapes()[i]}, nil
}

// Add adds what became of a document.
func (r *Run) Add(i Item) error {
	r.tally.Add(i, 0)
	if r.fails(i) {
		r.failed++
	}
	text, err := r.shape.item(r, i)
	r.items = append(r.items, bytes.Clone(text))
	return err
}

// fails tells whether findings stand against a document that could be worked on.
func (r *Run) fails(i Item) bool {
	return i.Outcome != Failed && i.Findings.Worst() >= r.head.FailOn
}

// Finish writes the report.
func (r *Run) Finish(w io.Writer, end End) error { return r.shape.write(r, w, end) }
