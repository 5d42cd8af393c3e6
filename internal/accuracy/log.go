package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// estimator is the folder whose last commit gives the seed.
const estimator = "internal/dilution"

// logFile is what every whole run is appended to; a line is never changed.
const logFile = "internal/accuracy/log.tsv"

// latestFile has all tables of the last whole run.
const latestFile = "internal/accuracy/latest.md"

const logHeader = "date\tcommit\tseed\tcircuit\tfigure\tn\tvalue\tlow\thigh\tgoal\tverdict\n"

// origin is what a run is of: the last commit that touched the estimator, and the seed
// that follows from it. So nobody chooses the cases that the estimator is judged by.
type origin struct {
	commit string
	seed   uint64
	// changed tells that the estimator has changes which no commit holds.
	changed bool
}

func originOf(ctx context.Context, top string) (origin, error) {
	commit, err := git(ctx, top, "log", "-1", "--format=%H", "--", estimator)
	if err != nil {
		return origin{}, err
	}
	if len(commit) < 16 {
		return origin{}, fmt.Errorf("git names no commit that touched %s", estimator)
	}
	seed, err := strconv.ParseUint(commit[:16], 16, 64)
	if err != nil {
		return origin{}, fmt.Errorf("the commit %q: %w", commit, err)
	}
	changes, err := git(ctx, top, "status", "--porcelain", "--", estimator)
	return origin{commit, seed, changes != ""}, err
}

func git(ctx context.Context, top string, args ...string) (string, error) {
	cmd := exec.CommandContext(ctx, "git", append([]string{"-c", "safe.directory=*", "-C", top}, args...)...)
	out, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("git %s: %w", strings.Join(args, " "), err)
	}
	return strings.TrimSpace(string(out)), nil
}

// appendLog adds the results of a whole run.
func appendLog(top string, from origin, list []result, now time.Time) error {
	var b strings.Builder
	for _, r := range list {
		fmt.Fprintf(&b, "%s\t%s\t%016x\t%s\t%s\t%d\t%.4g\t%.4g\t%.4g\t%s\t%s\n", now.UTC().Format(time.DateOnly), from.commit[:12], from.seed,
			r.circuit, r.figure.name, r.n, r.value, r.low, r.high, r.figure.goal.text(r.figure.unit), r.verdict())
	}
	name := filepath.Join(top, logFile)
	file, err := os.OpenFile(name, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	defer file.Close()
	if at, err := file.Seek(0, 2); err == nil && at == 0 {
		b2 := logHeader + b.String()
		b.Reset()
		b.WriteString(b2)
	}
	_, err = file.WriteString(b.String())
	return err
}

// logged is what the log says of a figure on a circuit.
type logged struct{ circuit, figure string }

// lastVerdicts gives the verdicts of the last run in the log. No log, no verdicts.
func lastVerdicts(top string) (map[logged]string, error) {
	text, err := os.ReadFile(filepath.Join(top, logFile))
	if os.IsNotExist(err) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	verdicts := map[logged]string{}
	n := 0
	for line := range strings.Lines(string(text)) {
		n++
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if len(cells) != strings.Count(logHeader, "\t")+1 {
			return nil, fmt.Errorf("%s:%d: %d cells, %d are wanted", logFile, n, len(cells), strings.Count(logHeader, "\t")+1)
		}
		if n > 1 {
			verdicts[logged{cells[3], cells[4]}] = cells[10]
		}
	}
	return verdicts, nil
}
