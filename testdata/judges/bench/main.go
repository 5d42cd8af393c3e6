// Command bench tells what it costs to judge a bundle: the audit of saltmark and its
// parts beside decoders and validators of others, on the same bytes in one run.
//
//	go run . [-strict] [-times FILE]
//
// The jobs take turns, so that whatever else the machine does meets all of them, and of
// each the least CPU time is told, as a multiple of what encoding/json takes to decode
// the bytes into any. With -strict a bar that is missed is red.
package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"runtime"
	"strings"
	"syscall"
	"time"
)

func main() {
	strict := flag.Bool("strict", false, "end red where a bar is missed")
	times := flag.String("times", "", "write the table to `FILE` too")
	rounds := flag.Int("rounds", 9, "how many turns")
	flag.Parse()
	table, missed, err := measure(*rounds)
	if err == nil && *times != "" {
		err = os.WriteFile(*times, []byte(table), 0o644)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(2)
	}
	fmt.Print(table)
	if missed && *strict {
		os.Exit(1)
	}
}

// subject is a bundle as chart writes it, and the bars that it is held to.
type subject struct {
	name, file string
	bars       map[string]float64 // by job, in times of the decode
}

var subjects = []subject{
	{"without traces", "testdata/bundles/01-plain-infant.json", map[string]float64{auditJob: 2, shapeJob: 0.5}},
	{"with traces", "testdata/bundles/27-with-traces.json", map[string]float64{auditJob: 2.5, shapeJob: 0.5}},
}

// job is a piece of work on a text.
type job struct {
	name string
	do   func() error
	cpu  time.Duration // of one run, the least of all turns
}

const runs = 4 // of a job in each turn

func measure(rounds int) (table string, missed bool, err error) {
	var out strings.Builder
	for _, s := range subjects {
		written, err := os.ReadFile("../../../" + s.file)
		if err != nil {
			return "", false, err
		}
		var plain bytes.Buffer
		if err := json.Compact(&plain, written); err != nil {
			return "", false, err
		}
		jobs, err := jobsOn(plain.Bytes())
		if err != nil {
			return "", false, err
		}
		if err := inTurns(jobs, rounds); err != nil {
			return "", false, fmt.Errorf("%s: %w", s.file, err)
		}
		fmt.Fprintf(&out, "%s, %d bytes, %s on %s/%s:\n", s.name, plain.Len(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
		for _, j := range jobs {
			ratio := float64(j.cpu) / float64(jobs[0].cpu)
			verdict := ""
			if bar := s.bars[j.name]; bar > 0 {
				verdict = fmt.Sprintf(", at most %.1f wanted", bar)
				if ratio > bar {
					verdict += ": missed"
					missed = true
				}
			}
			fmt.Fprintf(&out, "%s: %.3f ms, %.2f times the decode%s\n", j.name, float64(j.cpu)/float64(time.Millisecond), ratio, verdict)
		}
	}
	return out.String(), missed, nil
}

// inTurns runs the jobs in turns and keeps the least CPU time of each, garbage
// collection included.
func inTurns(jobs []*job, rounds int) error {
	for range rounds {
		for _, j := range jobs {
			runtime.GC()
			before := cpuTime()
			for range runs {
				if err := j.do(); err != nil {
					return fmt.Errorf("%s: %w", j.name, err)
				}
			}
			if took := (cpuTime() - before) / runs; j.cpu == 0 || took < j.cpu {
				j.cpu = took
			}
		}
	}
	return nil
}

// cpuTime gives the CPU time of the process, of all its threads.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
