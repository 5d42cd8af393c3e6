// Package sheet turns session sheets into records and records into sheets. The
// session sheet is our own format, YAML or JSON, version 2: what a person writes
// down about one measurement session. Every earlier version is read (version.go).
//
// What there is on a sheet follows from the table of measures: each row names its
// place ("injections[].volume"). Only what is no measure (the session's
// identifier, people, references, devices) stands in a second table, admin.go.
// Reader, writer, JSON Schema and the empty sheet walk the one form that is made of
// both (form.go).
//
// Read checks the shape by the schema, reads every value with its place, and
// judges what a sheet alone can show to be wrong. Check goes on when the settings
// of the site and what derives are there: implausible sizes, limits.
//
// The package refuses to know FHIR, to derive a value, and to change what was
// written: a number keeps its digits, and only the point moves where the unit
// differs from the measure's by a power of ten. Any other unit is an error.
//
// Times carry seconds and an offset in the record. On the sheet a time has an
// offset, or session.zone gives one; the rules of the zones are those of the
// machine, or of the program's own copy where it has none.
//
// Findings on the subject, people, identifiers and free text hide the value.
package sheet

import (
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Read reads a session sheet. The session is never nil; where the list holds an
// error it is what could be read, for telling which session it was, and must not
// be used further.
//
// Facts stand in the order of record.Session.Sort. Places of fields have the keys
// of their dotted path on the sheet ("session.start", "patient", "verified.at",
// "loop.disposables[0].lot"), the sheet itself the key "".
func Read(doc *source.Document) (*record.Session, finding.List) {
	s := &record.Session{Revision: 1, Places: record.Places{
		Facts:  map[record.Ref]finding.Place{},
		Fields: map[string]finding.Place{},
	}}
	if doc == nil || doc.Root == nil {
		return s, nil
	}
	if list := Misplaced(doc, "saltmark", ""); list != nil {
		return s, list
	}
	r := &reader{scalars: scalars{doc: doc, clock: clockOf(doc)}, s: s}
	s.Places.Fields[""] = doc.Place(doc.Root, "")
	r.walk(theForm(), doc.Root, "", frame{thing: record.TheSession, at: r.clock.start})
	r.checkVersion()
	r.checkZone()
	r.complete()
	s.Sort()
	list := withWall(r.list, theWall().Check(doc))
	j := judge{s: s, traced: r.traced, whole: !list.HasErrors()}
	list = append(list, j.statements()...)
	list.Sort()
	return s, list
}

// leafRules are the rules of the schema that judge one value. Where this package
// has its own finding at the same place, that one says it better.
var leafRules = []string{
	"schema-type", "schema-enum", "schema-pattern", "schema-alternatives", "schema-range", "schema-length", "schema-empty",
}

// withWall adds the findings of the schema that say something new: not again what
// is said of a value here, and not that a member is missing which is misspelt.
func withWall(list, wall finding.List) finding.List {
	said := map[string]bool{}
	for _, f := range list {
		said[f.Place.Pointer] = true
	}
	for _, f := range wall {
		again := slices.Contains(leafRules, f.Rule) && said[f.Place.Pointer]
		misspelt := f.Rule == "schema-required" && slices.ContainsFunc(wall, func(g finding.Finding) bool {
			return g.Rule == "schema-unknown-element" && parent(g.Place.Pointer) == f.Place.Pointer && strings.Contains(g.Allowed.String(), finding.Quote(f.Value)+"?")
		})
		if !again && !misspelt {
			list = append(list, f)
		}
	}
	return list
}

func parent(pointer string) string { return pointer[:max(strings.LastIndexByte(pointer, '/'), 0)] }

// groupOf gives the row of the Observation that stands for a thing as a whole,
// nil where none does.
func groupOf(about measure.About) *measure.Measure {
	if about == measure.Session {
		return nil
	}
	for i := range measure.All() {
		if m := &measure.All()[i]; m.Kind == measure.Group && m.Has(about) {
			return m
		}
	}
	return nil
}
