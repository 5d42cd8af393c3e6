package chart_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/circuit"
	"saltmark/internal/derive"
)

// threeRecorded gives a demo sheet with three injections, and the recordings of both
// sensors that it names: 90 s at 100 Hz, of a simulated circulation.
func threeRecorded(t testing.TB) (sheet []byte, files map[string][]byte) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(sheetFolder, "23-three-injections-plain.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	files = map[string][]byte{}
	var b strings.Builder
	n := 0
	for line := range strings.Lines(string(text)) {
		b.WriteString(line)
		if strings.HasPrefix(line, "  - number: ") && n < 3 {
			n++
			name := fmt.Sprintf("traces/%d.csv", n)
			fmt.Fprintf(&b, "    trace: {file: %s}\n", name)
			files[name] = simulatedRecording(t, uint64(n))
		}
	}
	if n != 3 {
		t.Fatalf("the sheet has %d injections", n)
	}
	return []byte(b.String()), files
}

// simulatedRecording is a CSV file of both sensors: 15 s before the injection and 75 s
// after it.
func simulatedRecording(t testing.TB, seed uint64) []byte {
	t.Helper()
	s := circuit.Population{Class: circuit.To5kg, Shunt: circuit.NoShunt}.Draw(seed)
	s.BaselineS, s.AfterS = 15, 75
	run, err := circuit.Tanks{}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	sensor := circuit.Sensor{WhiteNoise: 0.01, DriftPerMin: 0.02, Unit: "%", Quantum: 0.001}
	r := circuit.Recorder{Arterial: sensor, Venous: sensor}.Record(run, seed)
	var b bytes.Buffer
	b.WriteString("time_s,arterial [%],venous [%]\n")
	for i := range r.Arterial.Values {
		fmt.Fprintf(&b, "%.2f,%s,%s\n", r.StartS+float64(i)*r.StepS, cell(r.Arterial.Values[i]), cell(r.Venous.Values[i]))
	}
	return b.Bytes()
}

func cell(x float64) string {
	if math.IsNaN(x) {
		return ""
	}
	return strconv.FormatFloat(x, 'f', 3, 64)
}

// BenchmarkThreeInjectionsWithCurves charts, audits and recomputes a sheet with three
// injections of which each has two curves, in parallel, and reports sheets a second.
func BenchmarkThreeInjectionsWithCurves(b *testing.B) {
	text, files := threeRecorded(b)
	o := options(sheetFolder, nil)
	o.Open = func(name string) ([]byte, error) { return files[name], nil }
	o = o.Prepare()
	b.RunParallel(func(p *testing.PB) {
		for p.Next() {
			r := chart.Sheet("sheet.yaml", text, o)
			if r.Bundle == nil {
				b.Error("not charted: ", r.Findings)
				return
			}
			audit.Check("bundle.json", r.Bundle, audit.Options{Beside: func([]derive.Beside) {}})
		}
	})
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "sheets/s")
}
