//go:build measure && linux

// What a sheet costs, beside others on the same bytes in the same run: `make bench`.
package chart_test

import (
	"encoding/json"
	"os"
	"runtime"
	"syscall"
	"testing"
	"time"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/shape"
	"saltmark/internal/source"
	"saltmark/mapping"
)

// job is one piece of work whose cost is told.
type job struct {
	name string
	do   func()

	// most is what it may cost at the most, in times of what the decode costs: the most
	// that was measured, and a tenth or more, since no two runs give the same. 0 is not
	// held to anything. goal is what it ought to cost, and is told.
	most, goal float64

	cpu    time.Duration // of one run, the least of all rounds
	allocs uint64
	bytes  uint64
}

const (
	rounds = 25
	runs   = 16 // of a job in each round
)

// inTurns runs the jobs in turns, so that whatever else the machine does meets all
// of them, and keeps the least CPU time of each, garbage collection included.
func inTurns(jobs []*job) {
	for _, j := range jobs {
		j.do()
	}
	for range rounds {
		for _, j := range jobs {
			runtime.GC()
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			begun := cpuTime()
			for range runs {
				j.do()
			}
			took := (cpuTime() - begun) / runs
			runtime.ReadMemStats(&after)
			if j.cpu == 0 || took < j.cpu {
				j.cpu = took
			}
			j.allocs, j.bytes = (after.Mallocs-before.Mallocs)/runs, (after.TotalAlloc-before.TotalAlloc)/runs
		}
	}
}

// cpuTime gives the CPU time of the process, of all its threads.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func TestMeasureWhatASheetCosts(t *testing.T) {
	text, err := os.ReadFile(plain)
	if err != nil {
		t.Fatal(err)
	}
	o := options(sheetFolder, nil).Prepare()
	whole := charted(t, plain, nil)
	bundle, session := whole.Bundle, whole.Session
	must := func(ok bool) {
		if !ok {
			t.Fatal("a job failed")
		}
	}
	decode := &job{name: "encoding/json into any", do: func() {
		var v any
		must(json.Unmarshal(bundle, &v) == nil)
	}}
	tree, found := source.ReadJSON("b.json", bundle, source.ResourceLimits())
	must(len(found) == 0)
	jobs := []*job{
		decode,
		{name: "encoding/json into the FHIR structs", do: func() { must(decodeStructs(bundle) == nil) }},
		{name: "chart with audit", most: 4.4, goal: 4, do: func() { must(chart.Sheet(plain, text, o).Bundle != nil) }},
		{name: "audit", most: 2.8, do: func() { must(len(audit.Check("b.json", bundle, audit.Options{})) == 0) }},
		{name: "shape, the tree being there", most: 0.5, do: func() { must(len(shape.Check(tree, shape.Options{})) == 0) }},
		{name: "read", most: 1, do: func() { s, _ := mapping.Read("b.json", bundle); must(s != nil) }},
		{name: "write", most: 0.8, do: func() { _, err := mapping.Write(session, mapping.Options{}); must(err == nil) }},
	}
	inTurns(jobs)
	t.Logf("%s on %d cores, %s/%s; a bundle of %d bytes; CPU of one run, the least of %d rounds", runtime.Version(), runtime.NumCPU(), runtime.GOOS, runtime.GOARCH, len(bundle), rounds)
	for _, j := range jobs {
		t.Logf("%-36s %7.3f ms  %5.2f times the decode  %7d allocations  %8d bytes", j.name, milli(j.cpu), times(j.cpu, decode.cpu), j.allocs, j.bytes)
	}
	for _, j := range jobs {
		if j.goal > 0 {
			t.Logf("%s: %.2f times the CPU of the decode; the goal is %.1f", j.name, times(j.cpu, decode.cpu), j.goal)
		}
		if x := times(j.cpu, decode.cpu); j.most > 0 && x > j.most {
			t.Errorf("%s takes %.2f times the CPU of the decode, at most %.1f are wanted", j.name, x, j.most)
		}
	}
}

func milli(d time.Duration) float64    { return float64(d) / float64(time.Millisecond) }
func times(a, b time.Duration) float64 { return float64(a) / float64(b) }

// decodeStructs decodes a bundle into the structs of the FHIR models, each resource
// by its type.
func decodeStructs(bundle []byte) error {
	var b fhir.Bundle
	if err := json.Unmarshal(bundle, &b); err != nil {
		return err
	}
	for _, e := range b.Entry {
		var head struct{ ResourceType string }
		if err := json.Unmarshal(e.Resource, &head); err != nil {
			return err
		}
		var into any
		switch head.ResourceType {
		case "Observation":
			into = new(fhir.Observation)
		case "Device":
			into = new(fhir.Device)
		case "Procedure":
			into = new(fhir.Procedure)
		case "DiagnosticReport":
			into = new(fhir.DiagnosticReport)
		case "Provenance":
			into = new(fhir.Provenance)
		}
		if err := json.Unmarshal(e.Resource, into); err != nil {
			return err
		}
	}
	return nil
}
