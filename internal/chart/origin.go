package chart

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/sheet"
	"saltmark/internal/source"
)

// sheetHash ends the system of the identifier under which a Provenance names the sheet
// that its session was written from.
const sheetHash = "/sid/sheet-sha256"

// Sheets gives the sheet whose text has a SHA-256, in hex; not ok where there is none.
type Sheets func(sha256 string) (name string, text []byte, ok bool)

// WithSheet adds to findings about documents of this program the places of the session
// sheet that they were written from, where that very sheet is at hand: the Provenance
// names it by its SHA-256. docs are a bundle, or the lines of a session.
func WithSheet(found finding.List, docs []*source.Document, sheets Sheets) finding.List {
	if len(found) == 0 {
		return found
	}
	var resources []*source.Node
	for _, doc := range docs {
		resources = append(resources, doc.Root)
		for _, entry := range r4.Items(doc.Root, "entry") {
			resources = append(resources, entry.Get("resource"))
		}
	}
	for _, r := range resources {
		sum := sheetOf(r)
		if sum == "" {
			continue
		}
		name, text, ok := sheets(sum)
		if !ok {
			continue
		}
		doc, faults := source.Read(name, text, source.SheetLimits())
		if faults.HasErrors() {
			continue
		}
		session, _ := sheet.Read(doc)
		if session == nil {
			continue
		}
		for i := range found {
			if found[i].Origin == (finding.Place{}) {
				found[i].Origin = cmp.Or(originOf(resourceAt(found[i].Place, docs), session.Places), finding.Place{File: name})
			}
		}
		return found
	}
	return found
}

// sheetOf gives the SHA-256 of the sheet that a Provenance names.
func sheetOf(n *source.Node) string {
	if r4.Text(n, "resourceType") != "Provenance" {
		return ""
	}
	for _, entity := range r4.Items(n, "entity") {
		id := entity.Get("what").Get("identifier")
		if strings.HasSuffix(r4.Text(id, "system"), sheetHash) {
			return strings.ToLower(r4.Text(id, "value"))
		}
	}
	return ""
}

// resourceAt gives the resource that a place leads into.
func resourceAt(p finding.Place, docs []*source.Document) *source.Node {
	doc := docs[0]
	for _, d := range docs {
		if len(docs) > 1 && d.FirstLine() == p.Line {
			doc = d
		}
	}
	if entry, ok := entryOf(p.Pointer); ok {
		return doc.Find(entry + "/resource")
	}
	return doc.Root
}

// SumOf gives the SHA-256 of a text as bundles name it.
func SumOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}
