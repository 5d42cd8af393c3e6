package main

import (
	"fmt"
	"io"
	"math"

	"saltmark/internal/circuit"
)

const confidence = 0.95

// result is a figure on one circuit.
type result struct {
	figure  figure
	circuit string
	interval
}

// verdict: a goal is met only when the worse end of the interval meets it.
func (r result) verdict() string {
	switch {
	case r.figure.goal.none():
		return ""
	case !r.figure.goal.met(r.interval):
		return "not shown"
	case !r.figure.stretch.none() && r.figure.stretch.met(r.interval):
		return "met, stretch too"
	}
	return "met"
}

// computed gives every figure on one circuit.
func computed(circuit string, all []outcome, confidence float64) (list []result) {
	for _, f := range allFigures() {
		list = append(list, result{f, circuit, f.by(chosen(all, f.of), confidence)})
	}
	return list
}

func chosen(all []outcome, by func(outcome) bool) (list []outcome) {
	for _, o := range all {
		if o.refused == nil && by(o) {
			list = append(list, o)
		}
	}
	return list
}

// worse gives of two results that which is further from its goal.
func worse(a, b result) result {
	distance := func(r result) float64 {
		if r.n == 0 {
			return math.Inf(1)
		}
		return max(r.figure.goal.low-r.low, r.high-r.figure.goal.high)
	}
	if r := a.figure.goal; r.none() {
		if math.Abs(b.value) > math.Abs(a.value) {
			return b
		}
		return a
	}
	if distance(b) > distance(a) {
		return b
	}
	return a
}

func (i interval) text(unit string) string {
	return fmt.Sprintf("%.3g %s | %s to %s", i.value, unit, endText(i.low), endText(i.high))
}

func endText(x float64) string {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return "?"
	}
	return fmt.Sprintf("%.3g", x)
}

func (g goal) text(unit string) string {
	switch {
	case g.none():
		return ""
	case math.IsInf(g.low, -1):
		return fmt.Sprintf("at most %g %s", g.high, unit)
	case math.IsInf(g.high, 1):
		return fmt.Sprintf("at least %g %s", g.low, unit)
	}
	return fmt.Sprintf("%g to %g %s", g.low, g.high, unit)
}

// writeFigures prints the figures as a table of Markdown.
func writeFigures(w io.Writer, list []result) {
	fmt.Fprintf(w, "\n| figure | circuit | n | value | 95 %% interval | goal | verdict |\n|---|---|---|---|---|---|---|\n")
	for _, r := range list {
		fmt.Fprintf(w, "| %s | %s | %d | %s | %s | %s |\n", r.figure.name, r.circuit, r.n, r.text(r.figure.unit), r.figure.goal.text(r.figure.unit), r.verdict())
	}
}

// writeStrata prints what flow comes to in each part of the main cases.
func writeStrata(w io.Writer, circuitName string, all []outcome) {
	fmt.Fprintf(w, "\nFlow in parts, on %s. The goal of coverage in each part is 90 to 99 %%.\n", circuitName)
	fmt.Fprintf(w, "\n| shunt | part | n | charted %% | median error %% | 95th percentile %% | covers %% | verdict | width ± %% |\n|---|---|---|---|---|---|---|---|---|\n")
	for _, kind := range []struct {
		name string
		of   func(outcome) bool
	}{{"none", noShunt}, {"left to right", leftToRight}, {"right to left", rightToLeft}} {
		for _, s := range strata() {
			list := chosen(all, both(clean, kind.of, s.has))
			if len(list) == 0 {
				continue
			}
			fmt.Fprintf(w, "| %s | %s %s %s\n", kind.name, s.by, s.name, flowCells(list))
		}
	}
}

// flowCells are the cells that tell what flow comes to in a list.
func flowCells(list []outcome) string {
	cover := flow.covered(list, confidence)
	verdict := "not shown"
	if within(90, 99).met(cover) {
		verdict = "met"
	}
	return fmt.Sprintf("| %d | %.3g | %s | %s | %s | %s | %.2g |", len(list), part(chartedFlow)(list, confidence).value,
		brief(flow.median(list, confidence)), brief(flow.percentile95(list, confidence)), brief(cover), verdict, flow.width(list, confidence).value)
}

func brief(i interval) string {
	return fmt.Sprintf("%.3g (%s to %s)", i.value, endText(i.low), endText(i.high))
}

// writeConditions prints the second table, which has no goals: what disturbances do.
func writeConditions(w io.Writer, circuitName string, all []outcome) {
	fmt.Fprintf(w, "\nDisturbances, on %s: no goals, but what they do to the flow.\n", circuitName)
	fmt.Fprintf(w, "\n| condition | shunt | n | charted %% | median error %% | 95th percentile %% | covers %% | width ± %% | volume at 60 s: charted %% | its 95th percentile %% |\n|---|---|---|---|---|---|---|---|---|---|\n")
	rows := append([]condition{{name: ""}}, conditions()...)
	for _, structure := range circuit.Structures() {
		rows = append(rows, condition{name: withoutName(structure)})
	}
	for _, c := range rows {
		name := c.name
		if name == "" {
			name = "as usual"
		}
		for _, kind := range []struct {
			name string
			of   func(outcome) bool
		}{{"none", noShunt}, {"left to right", leftToRight}} {
			list := chosen(all, both(func(o outcome) bool { return o.condition == c.name }, kind.of))
			if len(list) == 0 {
				continue
			}
			long := chosen(list, longEnough)
			fmt.Fprintf(w, "| %s | %s | %d | %.3g | %s | %s | %s | %.2g | %.3g | %s |\n", name, kind.name, len(list), part(chartedFlow)(list, confidence).value,
				brief(flow.median(list, confidence)), brief(flow.percentile95(list, confidence)), brief(flow.covered(list, confidence)), flow.width(list, confidence).value,
				part(chartedVolume)(long, confidence).value, brief(distribution.percentile95(long, confidence)))
		}
	}
}

// writeRefused tells how many cases the circuit could not run, and why the first.
func writeRefused(w io.Writer, all []outcome) {
	var refused []error
	for _, o := range all {
		if o.refused != nil {
			refused = append(refused, o.refused)
		}
	}
	fmt.Fprintf(w, "\n%d cases, %d that the circuit refused.\n", len(all), len(refused))
	if len(refused) > 0 {
		fmt.Fprintf(w, "The first of them: %v\n", refused[0])
	}
}
