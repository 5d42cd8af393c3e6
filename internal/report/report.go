// Package report writes findings: as lines of text for people, as JSON with field
// names of our own for programs, and as a FHIR R4 OperationOutcome for systems of
// health data.
//
// It also writes the pages of rules that package finding holds.
//
// It adds no judgement of its own and knows no rule; the table issues.tsv tells
// which FHIR issue type stands for the findings of each layer. A private value
// (of a person, an identifier, free text) is left out unless it is asked for, in
// every form. Nothing of the input leaves with a raw control or bidirectional
// character. The same findings give the same bytes.
//
// It also counts what became of the documents of a run (Tally) and writes that down:
// in words for people, and as JSON or JUnit XML for programs (Run).
//
// What is written is stable: the names in the JSON forms and the rule identifiers.
// The sentences are for people and may change.
package report

import (
	"io"
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/language"
)

// Options say how findings are shown.
type Options struct {
	// ShowValues shows private values too. The default hides them.
	ShowValues bool
	// Language is that of the sentences. Rules, places, values, numbers and units
	// are the same in each.
	Language language.Language
	// AtLeast leaves out findings that are milder. The zero value leaves none out.
	AtLeast finding.Severity
	// MostAlike is how many findings that inform, of one rule and with the same words of
	// what is allowed, are written; 0 for all. Warnings and errors are always written.
	MostAlike int
	// Root is the type of the FHIR resource that JSON pointers lead into ("Bundle");
	// it opens the expressions of an OperationOutcome. "" leaves them relative.
	Root string
}

// Format is a way to write findings. The zero value is none.
type Format string

// The formats.
const (
	// Text is one line for each finding.
	Text Format = "text"
	// JSON is one array of objects.
	JSON Format = "json"
	// JSONLines is one object on each line, each complete when it is written.
	JSONLines Format = "json-lines"
	// OperationOutcome is one FHIR R4 resource with an issue for each finding.
	OperationOutcome Format = "operation-outcome"
)

// shapes lists the formats: what stands before, between and after the findings,
// and what is written when there are none.
var shapes = []shape{
	{format: Text, open: always(""), empty: always(""), after: "\n", item: textItem},
	{format: JSON, open: always("[\n"), between: ",\n", close: "\n]\n", empty: always("[]\n"), item: jsonItem},
	{format: JSONLines, open: always(""), empty: always(""), after: "\n", item: jsonItem},
	{format: OperationOutcome, open: outcomeOpen, between: ",", close: "]}\n", empty: outcomeEmpty, item: issueItem},
}

type shape struct {
	format                Format
	open, empty           func(Options) string
	between, after, close string
	item                  func(finding.Finding, Options) ([]byte, error)
}

func always(s string) func(Options) string { return func(Options) string { return s } }

// Formats gives the names of the formats, as a command would list them.
func Formats() []string {
	var names []string
	for _, s := range shapes {
		names = append(names, string(s.format))
	}
	return names
}

// Write writes one list, sorted. The list itself is left as it is.
func Write(w io.Writer, format Format, list finding.List, options Options) error {
	list = slices.Clone(list)
	list.Sort()
	out, err := NewWriter(w, format, options)
	if err != nil {
		return err
	}
	if err := out.Add(list...); err != nil {
		return err
	}
	return out.Close()
}
