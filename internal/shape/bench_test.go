package shape_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
	"time"

	"saltmark/internal/shape"
)

// texts are what the benchmarks judge: a session of ours as chart writes it, and official
// examples of R4.
var texts = []string{"bundles/01-plain-infant", "bundles/27-with-traces", "examples/subset/Bundle-father", "examples/subset/Bundle-bundle-references"}

func compact(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("../../testdata", name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	var plain bytes.Buffer
	if err := json.Compact(&plain, text); err != nil {
		t.Fatal(err)
	}
	return plain.Bytes()
}

// BenchmarkShape judges a tree; its baseline is BenchmarkDecode of the same bytes.
func BenchmarkShape(b *testing.B) {
	for _, name := range texts {
		b.Run(filepath.Base(name), func(b *testing.B) {
			text := compact(b, name)
			doc := read(b, string(text))
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				if list := shape.Check(doc, shape.Options{}); len(list) > 0 {
					b.Fatal(told(list))
				}
			}
		})
	}
}

func BenchmarkDecode(b *testing.B) {
	for _, name := range texts {
		b.Run(filepath.Base(name), func(b *testing.B) {
			text := compact(b, name)
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				var v any
				if err := json.Unmarshal(text, &v); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// most is the bar: what shape takes of the time of encoding/json into any, on the same
// bytes.
const most = 0.5

// TestShapeIsFastBesideTheDecode takes the least of many short runs of each in turns, so
// that a busy machine does as little harm as it can.
func TestShapeIsFastBesideTheDecode(t *testing.T) {
	if testing.Short() {
		t.Skip("a measurement")
	}
	for _, name := range texts {
		text := compact(t, name)
		doc := read(t, string(text))
		least := [2]time.Duration{time.Hour, time.Hour}
		for range 200 {
			begun := time.Now()
			shape.Check(doc, shape.Options{})
			least[0] = min(least[0], time.Since(begun))
			begun = time.Now()
			var v any
			if err := json.Unmarshal(text, &v); err != nil {
				t.Fatal(err)
			}
			least[1] = min(least[1], time.Since(begun))
		}
		ratio := float64(least[0]) / float64(least[1])
		t.Logf("%-28s %7d bytes: shape %v, decode %v, ratio %.2f", filepath.Base(name), len(text), least[0], least[1], ratio)
		if ratio > most {
			t.Errorf("%s: shape takes %.2f times the decode, at most %.1f are wanted", name, ratio, most)
		}
	}
}

func TestARightTreeCostsNoAllocationForAnElement(t *testing.T) {
	for _, name := range texts {
		doc := read(t, string(compact(t, name)))
		if n := testing.AllocsPerRun(10, func() { shape.Check(doc, shape.Options{}) }); n > 4 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}
