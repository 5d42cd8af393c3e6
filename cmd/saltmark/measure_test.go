//go:build measure && linux

// What the program costs as a process: `make measure`. Each limit is that of the
// first release; the figures are printed with the machine they were taken on.
package main

import (
	"bufio"
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"io"
	"os"
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
	var ended *exec.ExitError
	if err := cmd.Run(); err != nil && !(errors.As(err, &ended) && ended.ExitCode() == exitFinding) { // its output goes to the null device
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

// The corpus of hostile documents on the program itself, at the limits that are promised.
func TestMeasureHostileDocuments(t *testing.T) {
	own, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	checkHostile(t, hostileCorpus(), built(t), linked(t, own, "costof"), time.Second, 100<<10)
}

const (
	gigabyte     = 1 << 30
	largestAudit = 200 // MiB, of any number of lines
	mostOfDecode = 2.0
)

// A gigabyte of lines on two cores takes at most twice the CPU time that encoding/json
// takes to decode it into any, which is the bar of the audit for bundles without curves.
// CPU time, for a busy machine gives no other.
func TestMeasureAuditOfAGigabyte(t *testing.T) {
	program, lines := built(t), filepath.Join(t.TempDir(), "lines.ndjson")
	written, count, sample := writeLines(t, program, lines)
	begun := ownCPU(t)
	for range 3 {
		for _, text := range sample {
			var v any
			if err := json.Unmarshal(text, &v); err != nil {
				t.Fatal(err)
			}
		}
	}
	bytes := 0
	for _, text := range sample {
		bytes += 3 * len(text)
	}
	decode := time.Duration(float64(ownCPU(t)-begun) * float64(written) / float64(bytes))
	cmd := exec.Command(program, "audit", "--quiet", "--jobs", "2", lines)
	cmd.Env = append(cmd.Environ(), "GOMAXPROCS=2")
	c := costOfRun(t, cmd)
	t.Logf("%d bundles, %d MB on two cores: %v (CPU %v, peak %.0f MiB); encoding/json decodes them in %v of CPU, of which it is %.2f times; the bar is %.1f",
		count, written>>20, c.wall.Round(time.Millisecond), c.cpu.Round(time.Millisecond), mebi(c), decode.Round(time.Millisecond), float64(c.cpu)/float64(decode), mostOfDecode)
	if mebi(c) > largestAudit {
		t.Errorf("more than %d MiB", largestAudit)
	}
	if float64(c.cpu) > mostOfDecode*float64(decode) {
		t.Errorf("more than %.1f times", mostOfDecode)
	}
}

// ownCPU is the CPU time of this process so far.
func ownCPU(t *testing.T) time.Duration {
	t.Helper()
	var own syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &own); err != nil {
		t.Fatal(err)
	}
	return time.Duration(own.Utime.Nano() + own.Stime.Nano())
}

// writeLines has a gigabyte of sheets charted, a bundle on each line, and gives a few of
// the lines.
func writeLines(t *testing.T, program, path string) (written int64, count int, sample [][]byte) {
	t.Helper()
	const each = 110_000 // bytes of a bundle, at least
	count = gigabyte/each + 1
	file, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	cmd := exec.Command(program, "chart", "--quiet", "--lines", manySheets(t, count))
	cmd.Stdout = file
	if err := cmd.Run(); err != nil {
		t.Fatal(err)
	}
	info, err := file.Stat()
	if err != nil || info.Size() < gigabyte {
		t.Fatalf("%d bytes, %v", info.Size(), err)
	}
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(file)
	lines.Buffer(nil, 1<<20)
	for len(sample) < 50 {
		if !lines.Scan() {
			t.Fatal(lines.Err())
		}
		sample = append(sample, bytes.Clone(lines.Bytes()))
	}
	return info.Size(), count, sample
}

func mebi(c cost) float64        { return float64(c.peakKiB) / 1024 }
func ms(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }
