package trace_test

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/trace"
)

// bench is 90 s at 100 Hz in two columns.
func bench() string {
	var b strings.Builder
	b.WriteString("time_s,venous [m/s],arterial [m/s]\n")
	for i := range 9000 {
		at := float64(i) / 100
		fmt.Fprintf(&b, "%.2f,%.3f,%.3f\n", at, 1575+math.Sin(at), 1574-math.Cos(at/3))
	}
	return b.String()
}

func BenchmarkReadCSV(b *testing.B) {
	data := []byte(bench())
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if r, _ := trace.ReadCSV("", data, nil); len(r.Series) != 2 {
			b.Fatal("not read")
		}
	}
}

// The baseline: the standard library's reader and ParseFloat, which gives floats
// without their digits, places or checks.
func BenchmarkReadCSVByStandardLibrary(b *testing.B) {
	data := bench()
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		r := csv.NewReader(strings.NewReader(data))
		if _, err := r.Read(); err != nil {
			b.Fatal(err)
		}
		var values [3][]float64
		for {
			row, err := r.Read()
			if err == io.EOF {
				break
			}
			for i, cell := range row {
				v, err := strconv.ParseFloat(cell, 64)
				if err != nil {
					b.Fatal(err)
				}
				values[i] = append(values[i], v)
			}
		}
	}
}

func BenchmarkThroughSampledData(b *testing.B) {
	r, _ := trace.ReadCSV("", []byte(bench()), nil)
	for b.Loop() {
		for _, s := range r.Series {
			if _, findings := trace.FromSampledData(s.Name, s.StartMs, s.SampledData(), finding.Place{}); len(findings) > 0 {
				b.Fatal("not read")
			}
		}
	}
}
