package mapping

import (
	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/record"
)

// Finding is something wrong with data: its rule, severity, place, what was found and
// what is allowed. Findings are several.
type (
	Finding  = finding.Finding
	Findings = finding.List
)

// Tree is a JSON document that was read into a tree already. Only this module makes
// one; others use Read.
type Tree = source.Document

// ReadDocument is Read for a document that was read into a tree already, of which
// the text holds no fault.
func ReadDocument(doc *Tree) (*record.Session, Findings) {
	if doc == nil || doc.Root == nil {
		return nil, nil
	}
	r := &reader{doc: doc, byURL: map[string]*resource{}}
	s := r.read()
	r.findings.Sort()
	return s, r.findings
}
