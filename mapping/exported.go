package mapping

import (
	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Finding is something wrong with data: its rule, severity, place, what was found and
// what is allowed. Findings are several.
type (
	Finding  = finding.Finding
	Findings = finding.List
)

// Text is a sentence that is said in each language.
type Text = finding.Text

// Tree is a JSON document that was read into a tree already. Only this module makes
// one; others use Read.
type Tree = source.Document

// PanelRef names the panel of a session, which holds its fields and its members.
func PanelRef() record.Ref { return panelRef }

// Conclusion gives the conclusion of the report on a settled session, in paragraphs.
func Conclusion(s *record.Session, l measure.Language) []string {
	return conclude(inOrderOfFacts(s), l)
}

// WhoseFlow says, in the words of that conclusion, which flow the session's numbers stand
// for and what contradicts it: for a page that shows a flow and not the report.
func WhoseFlow(s *record.Session, l measure.Language) string {
	return whoseFlow(inOrderOfFacts(s), l)
}

// Line is a line of NDJSON that was read into a tree already.
type Line = source.Line

// ReadDocument is Read for a bundle that was read into a tree already, of which the
// text holds no fault.
func ReadDocument(doc *Tree) Reading {
	if doc == nil || doc.Root == nil {
		return Reading{}
	}
	return newReader(source.Several{doc}, false).reading()
}

// ReadLines is ReadDocument for the lines of one session, as Gather gives them.
func ReadLines(lines []Line) Reading {
	var docs source.Several
	for _, line := range lines {
		if line.Document != nil && line.Document.Root != nil {
			docs = append(docs, line.Document)
		}
	}
	if len(docs) == 0 {
		return Reading{}
	}
	return newReader(docs, true).reading()
}
