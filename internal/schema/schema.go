// Package schema tells whether a tree has the shape that a JSON Schema (draft-07)
// asks for. The work is done by the library gojsonschema behind a wall.
//
// The wall: trees are made from source documents alone, so that every number is
// exact text; a number longer than 40 characters or with an exponent beyond ±330 is
// refused before the library sees it; a panic of the library becomes a finding;
// its answers are read from their fields, never from their text, and said in our
// words, at a JSON pointer with line and column, in a stable order, each once.
// What a person or a record wrote is marked private in every finding; names of
// members are not.
//
// Schemas are ours: they are embedded, refer to nothing outside themselves, and
// give a form by "pattern", with the sentence for whoever missed it as the
// "description" beside it ("a date is wanted: YYYY-MM-DD"). The keywords "format",
// "propertyNames" and "contains" are refused; "patternProperties" compiles its
// patterns at each use and is for small documents.
//
// FHIR R4 resources are judged by CheckFHIR with an embedded cut of the official
// JSON Schema; fhir.schema.cut.md tells what was kept and changed. The package
// refuses to know what a value means: calendar dates, units, codes, references and
// whatever else a schema cannot say are rules of the audit.
package schema

import (
	"sync"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// Schema is one compiled JSON Schema. It is safe for concurrent use.
type Schema struct {
	name  string
	ready func() (*prepared, error)
}

// Compile makes a schema of its text; name is what errors call it.
func Compile(name string, text []byte) (*Schema, error) {
	p, err := prepare(name, text, nil)
	if err != nil {
		return nil, err
	}
	return &Schema{name: name, ready: func() (*prepared, error) { return p, nil }}, nil
}

// Lazy gives a schema that is compiled when it is first used. It is for embedded
// texts, which a test compiles: one that cannot be compiled refuses every document.
func Lazy(name string, text func() []byte) *Schema {
	return &Schema{name: name, ready: sync.OnceValues(func() (*prepared, error) {
		return prepare(name, text(), nil)
	})}
}

// Err tells whether the schema can be used; it compiles a lazy one.
func (s *Schema) Err() error {
	_, err := s.ready()
	return err
}

// Check judges a whole document. One without a tree has had its findings from
// source and gets none here.
func (s *Schema) Check(doc *source.Document) finding.List {
	return s.CheckNode(doc, doc.Root, "")
}

// CheckNode judges the part of a document at node, whose JSON pointer is pointer.
func (s *Schema) CheckNode(doc *source.Document, node *source.Node, pointer string) finding.List {
	if node == nil {
		return nil
	}
	p, err := s.ready()
	if err != nil {
		return finding.List{unreadable(doc, node, pointer)}
	}
	var c converter
	value := c.value(node)
	list := c.findings(doc, node, pointer)
	faults, err := p.judge(value)
	if err != nil {
		list = append(list, unreadable(doc, node, pointer))
		list.Sort()
		return list
	}
	refused := places(list)
	for _, f := range withoutNoise(faults) {
		sc := scene{doc: doc, base: pointer, path: f.path, outline: p.outline(), start: p.outline().root}
		if found := f.finding(sc); !refused[found.Place.Pointer] {
			list = append(list, found)
		}
	}
	list.Sort()
	return list
}

// places gives the pointers that already have a finding: whatever the library
// says about a value that it never saw is noise.
func places(list finding.List) map[string]bool {
	m := map[string]bool{}
	for _, f := range list {
		m[f.Place.Pointer] = true
	}
	return m
}

func unreadable(doc *source.Document, node *source.Node, pointer string) finding.Finding {
	return finding.New("schema-unreadable", doc.Place(node, pointer),
		finding.Say("{1} could not be judged: the schema checker stopped on it", source.PathWords(pointer)), "", "")
}
