package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"testing"
)

// accuracyBlock is the table of the goals as the last whole run of internal/accuracy left
// them in its log.
func accuracyBlock(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../../internal/accuracy/log.tsv")
	if errors.Is(err, fs.ErrNotExist) {
		return "No whole run is in the log yet.\n"
	}
	if err != nil {
		t.Fatal(err)
	}
	return accuracyTable(string(text))
}

// accuracyRow is one figure of the last run, on each circuit.
type accuracyRow struct {
	figure, goal string
	reached      map[string]string
	met          bool
}

// accuracyTable makes the table of the last run in a log.
func accuracyTable(log string) string {
	lines := strings.Split(strings.TrimRight(log, "\n"), "\n")[1:]
	last := strings.Split(lines[len(lines)-1], "\t")
	var rows []accuracyRow
	var circuits []string
	for _, line := range lines {
		cells := strings.Split(line, "\t")
		if cells[1] != last[1] || cells[9] == "" {
			continue
		}
		circuit, figure := cells[3], cells[4]
		if !slices.Contains(circuits, circuit) {
			circuits = append(circuits, circuit)
		}
		i := slices.IndexFunc(rows, func(r accuracyRow) bool { return r.figure == figure })
		if i < 0 {
			i, rows = len(rows), append(rows, accuracyRow{figure, cells[9], map[string]string{}, true})
		}
		rows[i].reached[circuit] = fmt.Sprintf("%s (%s to %s), n %s", cells[6], cells[7], cells[8], cells[5])
		rows[i].met = rows[i].met && strings.HasPrefix(cells[10], "met")
	}
	var b strings.Builder
	fmt.Fprintf(&b, "| figure, %% | goal | %s | |\n|---|---|%s---|\n", strings.Join(circuits, " | "), strings.Repeat("---|", len(circuits)))
	kinds, named := 0, 0
	for _, r := range rows {
		if strings.Contains(r.figure, ": named") {
			if kinds++; r.met {
				named++
			}
			continue
		}
		shown := "not shown"
		if r.met {
			shown = "met"
		}
		fmt.Fprintf(&b, "| %s | %s |", r.figure, strings.TrimSuffix(r.goal, " %"))
		for _, c := range circuits {
			fmt.Fprintf(&b, " %s |", strings.NewReplacer("+Inf", "?", "-Inf", "?", "NaN", "none").Replace(r.reached[c]))
		}
		fmt.Fprintf(&b, " %s |\n", shown)
	}
	fmt.Fprintf(&b, "\nWhat goes wrong with a recording: %d of %d goals are met (each rule named in at least 95 %% of\nspoiled recordings, and in at most 1 %% of others). Estimator of commit `%s`.\n", named, kinds, last[1])
	return b.String()
}

func TestTheAccuracyOfTheReadmeIsThatOfTheLastRun(t *testing.T) {
	log := "date\tcommit\tseed\tcircuit\tfigure\tn\tvalue\tlow\thigh\tgoal\tverdict\n" +
		"2031-06-01\taaa\t1\ttanks\tflow\t10\t9\t8\t10\tat most 5 %\tnot shown\n" +
		"2031-06-02\tbbb\t2\ttanks\tflow\t10\t4\t3\t4.5\tat most 5 %\tmet\n" +
		"2031-06-02\tbbb\t2\ttanks\tflow charted\t10\t99\t90\t100\t\t\n" +
		"2031-06-02\tbbb\t2\ttanks\tair-burst: named\t10\t99\t96\t100\tat least 95 %\tmet\n" +
		"2031-06-02\tbbb\t2\tparcels\tflow\t10\t4\t3\t+Inf\tat most 5 %\tnot shown\n" +
		"2031-06-02\tbbb\t2\tparcels\tair-burst: named\t10\t99\t96\t100\tat least 95 %\tmet\n" +
		"2031-06-02\tbbb\t2\tparcels\tflow charted\t10\t99\t90\t100\t\t\n"
	want := "| figure, % | goal | tanks | parcels | |\n|---|---|---|---|---|\n" +
		"| flow | at most 5 | 4 (3 to 4.5), n 10 | 4 (3 to ?), n 10 | not shown |\n" +
		"\nWhat goes wrong with a recording: 1 of 1 goals are met (each rule named in at least 95 % of\nspoiled recordings, and in at most 1 % of others). Estimator of commit `bbb`.\n"
	if got := accuracyTable(log); got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
}
