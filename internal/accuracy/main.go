// Command accuracy tells how near the estimator of internal/dilution comes to the truth
// of simulated circulations:
//
//	accuracy run          every figure, from about 17,000 cases on each circuit; about ten
//	                      minutes. Appends to log.tsv and writes latest.md.
//	accuracy run -quick   a tenth of the cases, appends nothing, fails where a goal that
//	                      the log says is met is missed for sure. For CI.
//	accuracy speed        what one injection costs, from CSV text to all results.
//
// The seed of all cases is the hash of the last commit that touched the estimator, so
// nobody chooses them; what the estimator learned comes from other seeds and from a
// population that is wider than this one (cases.Setup). Intervals are exact: order
// statistics for medians and percentiles, Clopper and Pearson for shares. A goal is met
// when the worse end of the interval meets it, on every circuit.
//
// Nobody was measured: the figures are of simulated circulations only.
package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"saltmark/internal/circuit"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	err := run(ctx, os.Args[1:])
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "accuracy:", err)
		os.Exit(1)
	}
}

var errUsage = errors.New("run or speed is wanted, then its flags")

func run(ctx context.Context, args []string) error {
	if len(args) == 0 {
		return errUsage
	}
	flags := flag.NewFlagSet(args[0], flag.ContinueOnError)
	o := options{}
	flags.StringVar(&o.top, "top", ".", "top folder of the repository")
	flags.StringVar(&o.circuits, "circuits", "", "circuits to run, separated by commas; without it all")
	flags.BoolVar(&o.quick, "quick", false, "a tenth of the cases; nothing is appended to the log")
	flags.Float64Var(&o.part, "part", 1, "part of the cases; below 1 nothing is appended to the log")
	flags.BoolVar(&o.mainOnly, "main", false, "the main figures only; nothing is appended to the log")
	flags.IntVar(&o.n, "n", 200, "speed: number of injections")
	flags.BoolVar(&o.strict, "strict", false, "speed: fail where a bar is missed")
	if err := flags.Parse(args[1:]); err != nil {
		return err
	}
	if flags.NArg() > 0 {
		return fmt.Errorf("%q is no flag", flags.Arg(0))
	}
	switch args[0] {
	case "run":
		return o.run(ctx)
	case "speed":
		return speed(ctx, os.Stdout, o.n, o.strict)
	}
	return errUsage
}

// options of a run.
type options struct {
	top, circuits   string
	quick, mainOnly bool
	part            float64
	n               int
	strict          bool
}

func (o options) run(ctx context.Context) error {
	from, err := originOf(ctx, o.top)
	if err != nil {
		return err
	}
	chosenCircuits, err := circuitsNamed(o.circuits)
	if err != nil {
		return err
	}
	if o.quick {
		o.part = 0.1
	}
	var runs []circuitRun
	for _, c := range chosenCircuits {
		groups := thinned(o.groups(c), o.part)
		fmt.Fprintf(os.Stderr, "%s: %d cases\n", c.Name(), len(workOf(groups, 0)))
		all, err := runAll(ctx, c, groups, from.seed)
		if err != nil {
			return err
		}
		runs = append(runs, circuitRun{c.Name(), all, computed(c.Name(), all, confidence)})
	}
	var text bytes.Buffer
	o.report(&text, from, runs)
	if _, err := os.Stdout.Write(text.Bytes()); err != nil {
		return err
	}
	if o.quick {
		return gates(o.top, runs)
	}
	if o.part < 1 || o.mainOnly || o.circuits != "" || from.changed {
		return nil
	}
	if err := os.WriteFile(filepath.Join(o.top, latestFile), text.Bytes(), 0o644); err != nil {
		return err
	}
	return appendLog(o.top, from, resultsOf(runs), time.Now())
}

// circuitRun is what a run came to on one circuit.
type circuitRun struct {
	name    string
	all     []outcome
	results []result
}

// resultsOf gives the results of all circuits, one circuit after the other.
func resultsOf(runs []circuitRun) (list []result) {
	for _, r := range runs {
		list = append(list, r.results...)
	}
	return list
}

// groups are those that run on a circuit.
func (o options) groups(c circuit.Circuit) []group {
	list := mainGroups()
	if o.mainOnly {
		return list
	}
	return slices.Concat(list, spoiledGroups(), mistakenGroups(), disturbedGroups(), withoutGroups(c))
}

// report writes everything, the worse of the circuits first.
func (o options) report(w io.Writer, from origin, runs []circuitRun) {
	changed := ""
	if from.changed {
		changed = ", with changes that no commit holds"
	}
	fmt.Fprintf(w, "# How near the estimator comes\n\nSimulated circulations only; nobody was measured. Made by `make accuracy`.\n")
	fmt.Fprintf(w, "Estimator of commit %.12s%s, seed %016x.\n\nThe worse of the circuits:\n", from.commit, changed, from.seed)
	writeFigures(w, worst(runs))
	fmt.Fprintf(w, "\nQp/Qs is not given as a number. A flow that is withheld counts as doubted; all other\nfigures are of what is charted, and how often that is stands beside them.\n")
	for _, r := range runs {
		fmt.Fprintf(w, "\n## %s\n", r.name)
		writeRefused(w, r.all)
		writeFigures(w, r.results)
		writeStrata(w, r.name, r.all)
		if !o.mainOnly {
			writeConditions(w, r.name, r.all)
		}
	}
}

// worst gives for each figure the result that is furthest from its goal.
func worst(runs []circuitRun) (list []result) {
	list = slices.Clone(runs[0].results)
	for _, other := range runs[1:] {
		for i := range list {
			list[i] = worse(list[i], other.results[i])
		}
	}
	return list
}

func circuitsNamed(names string) ([]circuit.Circuit, error) {
	if names == "" && len(circuits()) > 0 {
		return circuits(), nil
	}
	var list []circuit.Circuit
	for name := range strings.SplitSeq(names, ",") {
		i := slices.IndexFunc(circuits(), func(c circuit.Circuit) bool { return c.Name() == name })
		if i < 0 {
			return nil, fmt.Errorf("%q is no circuit", name)
		}
		list = append(list, circuits()[i])
	}
	return list, nil
}

// gates asks every circuit.
func gates(top string, runs []circuitRun) error {
	var faults []error
	for _, r := range runs {
		faults = append(faults, gate(top, r.name, r.all))
	}
	return errors.Join(faults...)
}

// gate fails where a goal that the log says is met is missed even by the better end of
// an interval of 99.9 %, and where there is nothing to judge.
func gate(top, circuitName string, all []outcome) error {
	verdicts, err := lastVerdicts(top)
	if err != nil {
		return err
	}
	for _, o := range all {
		if o.refused != nil {
			return fmt.Errorf("a circuit refused a case: %w", o.refused)
		}
	}
	var faults []error
	for _, r := range computed(circuitName, all, 0.999) {
		if strings.HasPrefix(verdicts[logged{circuitName, r.figure.name}], "met") && (r.n == 0 || r.figure.goal.missed(r.interval)) {
			faults = append(faults, fmt.Errorf("%s on %s: %s, the goal is %s, and the log says it was met", r.figure.name, circuitName, r.text(r.figure.unit), r.figure.goal.text(r.figure.unit)))
		}
	}
	return errors.Join(faults...)
}
