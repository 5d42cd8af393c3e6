package chart_test

import (
	"encoding/json"
	"os"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/derive"
	"saltmark/internal/schema"
	"saltmark/internal/sheet"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping"
)

const plain = sheetFolder + "/01-plain-infant.yaml"

// BenchmarkDecodeBaseline is what the others are held against: encoding/json into
// any, on the bytes that chart puts out.
func BenchmarkDecodeBaseline(b *testing.B) {
	bundle := charted(b, plain, nil).Bundle
	b.SetBytes(int64(len(bundle)))
	for b.Loop() {
		var v any
		if err := json.Unmarshal(bundle, &v); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkChartWithAudit(b *testing.B) {
	text, err := os.ReadFile(plain)
	if err != nil {
		b.Fatal(err)
	}
	o := options(sheetFolder, nil).Prepare()
	for b.Loop() {
		if r := chart.Sheet(plain, text, o); r.Bundle == nil {
			b.Fatal("not charted")
		}
	}
}

func BenchmarkAudit(b *testing.B) {
	bundle := charted(b, plain, nil).Bundle
	for b.Loop() {
		audit.Check("bundle.json", bundle, audit.Options{})
	}
}

func BenchmarkSchemaLayer(b *testing.B) {
	bundle := charted(b, plain, nil).Bundle
	doc, _ := source.ReadJSON("bundle.json", bundle, source.ResourceLimits())
	for b.Loop() {
		schema.CheckFHIR(doc, nil)
	}
}

func BenchmarkReadSheet(b *testing.B) {
	text, err := os.ReadFile(plain)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		doc, _ := source.Read(plain, text, source.SheetLimits())
		s, _ := sheet.Read(doc)
		site.Demo().Complete(s)
	}
}

func BenchmarkDeriveAndSettle(b *testing.B) {
	text, err := os.ReadFile(plain)
	if err != nil {
		b.Fatal(err)
	}
	doc, _ := source.Read(plain, text, source.SheetLimits())
	s, _ := sheet.Read(doc)
	site.Demo().Complete(s)
	for b.Loop() {
		derive.Apply(s)
		mapping.Settle(s, nil)
	}
}

func BenchmarkWriteBundle(b *testing.B) {
	s := charted(b, plain, nil).Session
	for b.Loop() {
		if _, err := mapping.Write(s, mapping.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadBundle(b *testing.B) {
	bundle := charted(b, plain, nil).Bundle
	for b.Loop() {
		mapping.Read("bundle.json", bundle)
	}
}
