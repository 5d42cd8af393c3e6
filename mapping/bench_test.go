package mapping_test

import (
	"encoding/json"
	"testing"

	"saltmark/mapping"
)

// The baseline of both is encoding/json into any on the same bytes.

func BenchmarkDecodeIntoAny(b *testing.B) {
	text := write(b, settled(b, everyValue(), nil), everything)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		var v any
		if err := json.Unmarshal(text, &v); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	s := settled(b, everyValue(), nil)
	b.SetBytes(int64(len(write(b, s, everything))))
	b.ReportAllocs()
	for b.Loop() {
		write(b, s, everything)
	}
}

func BenchmarkRead(b *testing.B) {
	text := write(b, settled(b, everyValue(), nil), everything)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, findings := mapping.Read("bundle.json", text); len(findings) > 0 {
			b.Fatal(findings)
		}
	}
}

func BenchmarkSettle(b *testing.B) {
	s := settled(b, everyValue(), nil)
	b.ReportAllocs()
	for b.Loop() {
		mapping.Settle(s, nil)
	}
}
