package audit

import (
	"bytes"
	"encoding/json"
	"os"
	"testing"

	"saltmark/internal/derive"
	"saltmark/internal/schema"
	"saltmark/internal/shape"
	"saltmark/internal/source"
	"saltmark/mapping"
)

// The parts of an audit of the plain infant's bundle, as chart writes it, beside
// their baseline: encoding/json into any on the same bytes. Rules and rewriting
// together ought to stay below it.

func plainInfant(b *testing.B) []byte {
	b.Helper()
	text, err := os.ReadFile("../../testdata/bundles/01-plain-infant.json")
	if err != nil {
		b.Fatal(err)
	}
	var plain bytes.Buffer
	if err := json.Compact(&plain, text); err != nil {
		b.Fatal(err)
	}
	return plain.Bytes()
}

func treeOf(b *testing.B, text []byte) *source.Document {
	b.Helper()
	doc, found := source.ReadJSON("b.json", text, source.ResourceLimits())
	if found.HasErrors() {
		b.Fatal(found)
	}
	return doc
}

func BenchmarkBaseline(b *testing.B) {
	text := plainInfant(b)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		var v any
		if err := json.Unmarshal(text, &v); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTree(b *testing.B) {
	text := plainInfant(b)
	for b.Loop() {
		treeOf(b, text)
	}
}

func BenchmarkShape(b *testing.B) {
	doc := treeOf(b, plainInfant(b))
	for b.Loop() {
		shape.Check(doc, shape.Options{})
	}
}

// BenchmarkSchema is the gate of what is written, which an audit of others does without.
func BenchmarkSchema(b *testing.B) {
	doc := treeOf(b, plainInfant(b))
	for b.Loop() {
		schema.CheckFHIR(doc, nil)
	}
}

func newCheck(doc *source.Document) *check {
	return &check{view: newView(doc), units: map[string]bool{}}
}

func BenchmarkView(b *testing.B) {
	doc := treeOf(b, plainInfant(b))
	for b.Loop() {
		newView(doc)
	}
}

func BenchmarkRules(b *testing.B) {
	doc := treeOf(b, plainInfant(b))
	for b.Loop() {
		newCheck(doc).applyRules()
	}
}

func BenchmarkReadBack(b *testing.B) {
	doc := treeOf(b, plainInfant(b))
	for b.Loop() {
		mapping.ReadDocument(doc)
	}
}

func BenchmarkDeriveAgain(b *testing.B) {
	session := mapping.ReadDocument(treeOf(b, plainInfant(b))).Session
	for b.Loop() {
		derive.Check(session)
	}
}

func BenchmarkStatuses(b *testing.B) {
	doc := treeOf(b, plainInfant(b))
	session := mapping.ReadDocument(doc).Session
	c := newCheck(doc)
	for b.Loop() {
		c.statusWrong(session)
		momentDiffers(c, session)
	}
}

func BenchmarkRewrite(b *testing.B) {
	doc := treeOf(b, plainInfant(b))
	session := mapping.ReadDocument(doc).Session
	c := newCheck(doc)
	for b.Loop() {
		if c.rewrite(session, c.optionsOf()); len(c.found) > 0 {
			b.Fatal(c.found)
		}
	}
}

func BenchmarkWhole(b *testing.B) {
	text := plainInfant(b)
	for b.Loop() {
		if found := Check("b.json", text, Options{}); found.HasErrors() {
			b.Fatal(found)
		}
	}
}
