package mapping

import (
	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/record"
)

// Findings are what is wrong with data: each with its rule, severity, place, what
// was found and what is allowed.
type Findings = finding.List

// Document is a JSON document that was read into a tree already. Only this module
// makes one; others use Read.
type Document = source.Document

// ReadDocument is Read for a document that was read into a tree already, of which
// the text holds no fault.
func ReadDocument(doc *Document) (*record.Session, Findings) {
	if doc == nil || doc.Root == nil {
		return nil, nil
	}
	r := &reader{doc: doc, byURL: map[string]*resource{}}
	s := r.read()
	r.findings.Sort()
	return s, r.findings
}
