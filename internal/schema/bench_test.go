package schema

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/xeipuuv/gojsonschema"
)

// The benchmarks judge one transaction of fifty Observations of about 100 kB, which
// SALTMARK_BENCH_BUNDLE may replace by a file. The baseline of each is
// BenchmarkEncodingJSON, the standard library reading the same bytes into any.
func benchBundle(b *testing.B) string {
	text := bundle(50)
	if path := os.Getenv("SALTMARK_BENCH_BUNDLE"); path != "" {
		file, err := os.ReadFile(path)
		if err != nil {
			b.Fatal(err)
		}
		text = string(file)
	}
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	return text
}

func BenchmarkEncodingJSON(b *testing.B) {
	text := []byte(benchBundle(b))
	for b.Loop() {
		var v any
		if err := json.Unmarshal(text, &v); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSchemaCut is CheckFHIR on a tree that was read: the conversion for the
// library and its judgement.
func BenchmarkSchemaCut(b *testing.B) {
	doc := read(b, benchBundle(b))
	for b.Loop() {
		if list := CheckFHIR(doc, nil); len(list) > 0 {
			b.Fatal(lines(list))
		}
	}
}

// BenchmarkSchemaCutFaulty is the same with one fault in every entry.
func BenchmarkSchemaCutFaulty(b *testing.B) {
	doc := read(b, mutateAll(bundle(50)))
	for b.Loop() {
		if list := CheckFHIR(doc, nil); len(list) != 50 {
			b.Fatal(lines(list))
		}
	}
}

// BenchmarkOfficialWhole is the library with the official schema as published, on a
// tree that stands ready.
func BenchmarkOfficialWhole(b *testing.B) {
	s := officialWhole(b)
	value := read(b, benchBundle(b)).Root.Any()
	for b.Loop() {
		if result, err := s.Validate(gojsonschema.NewRawLoader(value)); err != nil || !result.Valid() {
			b.Fatal(err)
		}
	}
}

// BenchmarkNodeAny is the tree of package source in Go's own types: what the
// conversion alone costs.
func BenchmarkNodeAny(b *testing.B) {
	doc := read(b, benchBundle(b))
	for b.Loop() {
		_ = doc.Root.Any()
	}
}

func BenchmarkCompileCut(b *testing.B) {
	for b.Loop() {
		if _, err := prepareFHIR(); err != nil {
			b.Fatal(err)
		}
	}
}
