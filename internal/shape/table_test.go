package shape

import "testing"

// BenchmarkTables is what the first document pays for the definitions.
func BenchmarkTables(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := parse(text); err != nil {
			b.Fatal(err)
		}
	}
}
