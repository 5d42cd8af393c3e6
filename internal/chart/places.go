package chart

import (
	"bytes"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// withOrigins adds to findings about a bundle the place of the sheet that the
// resource at fault was written from, where it has one.
func withOrigins(found finding.List, bundle []byte, form mapping.Form, places record.Places) finding.List {
	if len(found) == 0 {
		return nil
	}
	if form == mapping.NDJSON {
		return withOriginsOfLines(found, bundle, places)
	}
	doc, _ := source.ReadJSON("", bundle, source.ResourceLimits())
	if doc == nil || doc.Root == nil {
		return found
	}
	for i := range found {
		if entry, ok := entryOf(found[i].Place.Pointer); ok {
			found[i].Origin = originOf(doc.Find(entry+"/resource"), places)
		}
	}
	return found
}

// withOriginsOfLines does the same for a bundle of lines, a resource each.
func withOriginsOfLines(found finding.List, bundle []byte, places record.Places) finding.List {
	for line, err := range source.Lines("", bytes.NewReader(bundle), source.ResourceLimits()) {
		if err != nil {
			break // reading from memory does not fail
		}
		for i := range found {
			if found[i].Place.Line == line.Number {
				found[i].Origin = originOf(line.Document.Root, places)
			}
		}
	}
	return found
}

// entryOf cuts a pointer off behind the number of its entry.
func entryOf(pointer string) (string, bool) {
	parts := strings.SplitN(pointer, "/", 4)
	if len(parts) < 3 || parts[1] != "entry" {
		return "", false
	}
	return "/entry/" + parts[2], true
}

// originOf gives the place of a resource's fact, the nearest that the sheet states.
func originOf(resource *source.Node, places record.Places) finding.Place {
	identifiers := resource.Get("identifier")
	if identifiers == nil {
		return finding.Place{}
	}
	for _, id := range identifiers.Items {
		if value := id.Get("value"); value != nil {
			if _, ref, ok := mapping.ParseIdentity(value.Text); ok {
				return places.Of(ref)
			}
		}
	}
	return finding.Place{}
}
