package picture

import "testing"

// BenchmarkPictures draws one injection of 90 s, and one of half an hour, at 100 Hz.
func BenchmarkPictures(b *testing.B) {
	for name, seconds := range map[string]float64{"90 s": 90, "30 min": 1800} {
		p := demo(seconds, 0.01)
		b.Run("SVG of "+name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				SVG(p)
			}
		})
		b.Run("PNG of "+name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := PNG(p, 2); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
