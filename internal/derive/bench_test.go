package derive

import "testing"

// The baseline of a plain session is its own indexing: what newWork costs.

func BenchmarkApplyPlain(b *testing.B) {
	s := plain()
	b.ReportAllocs()
	for b.Loop() {
		Apply(s)
	}
}

func BenchmarkIndexPlainBaseline(b *testing.B) {
	s := plain()
	b.ReportAllocs()
	for b.Loop() {
		newWork(s, strip(s, len(derivations)))
	}
}

func BenchmarkApplyFull(b *testing.B) {
	s := full()
	b.ReportAllocs()
	for b.Loop() {
		Apply(s)
	}
}

func BenchmarkCheckFull(b *testing.B) {
	s := full()
	Apply(s)
	b.ReportAllocs()
	for b.Loop() {
		Check(s)
	}
}
