//go:build measure && linux

// What the program costs as a process: `make measure`. Each limit is that of the
// first release; the figures are printed with the machine they were taken on.
package main

import (
	"cmp"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"syscall"
	"testing"
	"time"
)

const (
	longestColdStart   = 150 * time.Millisecond // one sheet, from nothing to its end
	largestPeakGrowth  = 1.2                    // peak memory at many sheets, to that at few
	fewSheets          = 1_000
	manyTimesMore      = 10_000
	coldRuns, peakRuns = 21, 3
	rateRuns           = 5
	rateWanted         = 600 // sheets a second on two cores: a goal, told beside the figure
)

// built gives the program as a user would build it.
func built(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "saltmark")
	if words, err := exec.Command("go", "build", "-trimpath", "-o", path, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, words)
	}
	t.Logf("%s on %d cores, %s/%s", runtime.Version(), runtime.NumCPU(), runtime.GOOS, runtime.GOARCH)
	return path
}

// cost is what one run of the program took.
type cost struct {
	wall, cpu time.Duration
	peakKiB   int64
}

func costOf(t *testing.T, program string, args ...string) cost {
	t.Helper()
	return costOfRun(t, exec.Command(program, args...))
}

func costOfRun(t *testing.T, cmd *exec.Cmd) cost {
	t.Helper()
	begun := time.Now()
	if err := cmd.Run(); err != nil { // its output goes to the null device
		t.Fatal(err)
	}
	c := cost{wall: time.Since(begun), cpu: cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()}
	c.peakKiB = cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss
	return c
}

func median[T any, K cmp.Ordered](all []T, by func(T) K) T {
	slices.SortFunc(all, func(a, b T) int { return cmp.Compare(by(a), by(b)) })
	return all[len(all)/2]
}

func TestMeasureAColdProcess(t *testing.T) {
	program := built(t)
	var all []cost
	for range coldRuns {
		all = append(all, costOf(t, program, "chart", plainSheet))
	}
	c := median(all, func(c cost) time.Duration { return c.wall })
	t.Logf("one sheet in a cold process: median of %d runs %v (CPU %v, peak %d MiB); slowest %v",
		coldRuns, c.wall.Round(time.Millisecond), c.cpu.Round(time.Millisecond), c.peakKiB>>10, all[len(all)-1].wall.Round(time.Millisecond))
	if c.wall > longestColdStart {
		t.Errorf("more than %v", longestColdStart)
	}
}

// Sheets a second, files read and bundles written among it, on one core and on two. How
// fast a machine is cannot be judged by a test: the ratio to a decoder of others can
// (internal/chart), so this tells and fails nothing.
func TestMeasureSheetsPerSecond(t *testing.T) {
	program, sheets := built(t), manySheets(t, fewSheets)
	for _, cores := range []int{1, 2} {
		var all []cost
		for range rateRuns {
			cmd := exec.Command(program, "chart", "--jobs", strconv.Itoa(cores), "--lines", sheets)
			cmd.Env = append(cmd.Environ(), "GOMAXPROCS="+strconv.Itoa(cores))
			all = append(all, costOfRun(t, cmd))
		}
		best := slices.MinFunc(all, func(a, b cost) int { return cmp.Compare(a.wall, b.wall) })
		t.Logf("%d sheets a second on %d of %d cores (the best of %d runs of %d sheets, %.2f ms of CPU a sheet); %d on two are wanted",
			int(fewSheets/best.wall.Seconds()), cores, runtime.NumCPU(), rateRuns, fewSheets, ms(best.cpu)/fewSheets, rateWanted)
	}
}

func TestMeasurePeakMemory(t *testing.T) {
	program := built(t)
	few, many := manySheets(t, fewSheets), manySheets(t, manyTimesMore)
	for _, form := range []string{"--out", "--lines"} {
		run := func(sheets string) cost {
			if form == "--out" {
				return costOf(t, program, "chart", "--out", t.TempDir(), sheets)
			}
			return costOf(t, program, "chart", form, sheets)
		}
		var all []cost
		for range peakRuns {
			all = append(all, run(few))
		}
		atFew, atMany := median(all, func(c cost) int64 { return c.peakKiB }), run(many)
		growth := float64(atMany.peakKiB) / float64(atFew.peakKiB)
		t.Logf("chart %s: peak %.1f MiB at %d sheets (median of %d runs), %.1f MiB at %d: %.2f times; %.1f ms of CPU and %.1f ms a sheet",
			form, mebi(atFew), fewSheets, peakRuns, mebi(atMany), manyTimesMore, growth,
			ms(atMany.cpu)/manyTimesMore, ms(atMany.wall)/manyTimesMore)
		if growth > largestPeakGrowth {
			t.Errorf("more than %.1f times", largestPeakGrowth)
		}
		// A process begins with the peak of the one that started it.
		var own syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &own); err != nil || own.Maxrss >= atFew.peakKiB {
			t.Errorf("the test itself has a peak of %d KiB, error %v: nothing is measured", own.Maxrss, err)
		}
	}
}

func mebi(c cost) float64        { return float64(c.peakKiB) / 1024 }
func ms(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }
