package sheet

import (
	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// documentKinds are the documents that people mistake for one another, by the key that only
// one of them has: what each is, and what to do with it where a sheet is wanted.
var documentKinds = []struct {
	key           string
	is, notASheet finding.Text
}{
	{"saltmark", "this is a session sheet", ""},
	{"saltmark-site", "these are the settings of a site", "a session sheet is wanted; settings are named by --site"},
	{"resourceType", "this is a FHIR resource", "a session sheet is wanted; FHIR is judged by saltmark audit"},
}

// Misplaced finds a document of another kind than the one whose key is wanted, so that
// it is told in one sentence and not by every key that it has and lacks. allowed says
// what is wanted here; where it is empty, what is said of a sheet.
func Misplaced(doc *source.Document, wanted string, allowed finding.Text) finding.List {
	if doc.Root.Get(wanted) != nil {
		return nil
	}
	for _, kind := range documentKinds {
		if n := doc.Root.Get(kind.key); n != nil {
			if allowed == "" {
				allowed = kind.notASheet
			}
			return finding.List{finding.New("document-kind", doc.Place(n, source.Pointer(kind.key)), kind.is, "", allowed)}
		}
	}
	return nil
}
