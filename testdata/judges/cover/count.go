package main

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// statuses of a report that has a flow, in the order of its life.
var statuses = []record.Status{record.Partial, record.Preliminary, record.Final, record.Amended, record.Corrected, record.EnteredInError}

// cell is what is counted: a row in a status and a way.
type cell struct {
	row    string
	status record.Status
	way    string
}

// count holds what was covered.
type count struct {
	rows   []row
	ways   []way
	met    map[cell]int
	levels map[string]int        // a level in a state
	flows  map[record.Status]int // by the status of the flow itself
	total  int
}

func newCount(rows []row, ways []way) *count {
	return &count{rows: rows, ways: ways, met: map[cell]int{}, levels: map[string]int{}, flows: map[record.Status]int{}}
}

// add counts a text by what is read from it; the error says where it is not what was
// meant.
func (c *count) add(s session, text []byte) error {
	read, found := mapping.Read(s.id(), text)
	if found.HasErrors() {
		return fmt.Errorf("it cannot be read back: %v", found)
	}
	if why := s.context.differs(read); why != "" {
		return fmt.Errorf("read back: %s", why)
	}
	if string(read.ReportStatus) != s.standing.name {
		return fmt.Errorf("the report is %s", read.ReportStatus)
	}
	flow := read.Find(record.TheSession, "blood-flow", record.Derived)
	if flow == nil {
		return fmt.Errorf("it has no flow")
	}
	if want := measure.Judge(read.Shunts()).Label; flow.Label != want {
		return fmt.Errorf("the flow is labelled %s, %s was meant", flow.Label.Code(), want.Code())
	}
	c.total++
	c.met[cell{s.row.name, read.ReportStatus, s.way.name}]++
	c.flows[flow.Status]++
	for _, level := range measure.Levels {
		c.levels[level+" "+string(read.Shunts().At(level))]++
	}
	return nil
}

// cannotBe gives the reason why a cell stays empty, "" where it must be met.
func cannotBe(r row, status record.Status, w way) string {
	switch {
	case w.mode == mapping.CreateOnce && status != record.Final:
		return "what is created once is verified, of a first revision, and never withdrawn"
	case r.held && status == record.Final:
		return "a row that further data could cure holds a first revision preliminary"
	case r.answered && status == record.Partial:
		return "a sign is answered by whoever verifies"
	}
	return ""
}

// tell prints a line for each row and status with the number of bundles in each way,
// and fails where a cell that there can be is empty.
func (c *count) tell(out io.Writer) error {
	var names, missing []string
	for _, w := range c.ways {
		names = append(names, w.name)
	}
	fmt.Fprintf(out, "row\tstatus\t%s\n", strings.Join(names, "\t"))
	cells, full, impossible := 0, 0, map[string]int{}
	for _, r := range c.rows {
		for _, status := range statuses {
			var shown []string
			for _, w := range c.ways {
				met, why := c.met[cell{r.name, status, w.name}], cannotBe(r, status, w)
				cells++
				switch {
				case met > 0:
					full++
					shown = append(shown, fmt.Sprint(met))
				case why != "":
					impossible[why]++
					shown = append(shown, "-")
				default:
					missing = append(missing, fmt.Sprintf("%s, %s, %s", r.name, status, w.name))
					shown = append(shown, "MISSING")
				}
			}
			fmt.Fprintf(out, "%s\t%s\t%s\n", r.name, status, strings.Join(shown, "\t"))
		}
	}
	fmt.Fprintf(out, "cells\t%d of %d met with %d bundles\n", full, cells, c.total)
	for _, why := range slices.Sorted(maps.Keys(impossible)) {
		fmt.Fprintf(out, "cannot be\t%d\t%s\n", impossible[why], why)
	}
	for _, level := range measure.Levels {
		for _, state := range measure.States {
			if c.levels[level+" "+string(state)] == 0 {
				missing = append(missing, level+" "+string(state))
			}
		}
	}
	fmt.Fprintf(out, "levels\t%d of %d, each in every state\n", len(c.levels), len(measure.Levels)*len(measure.States))
	if len(missing) > 0 {
		return fmt.Errorf("not covered: %s", strings.Join(missing, "; "))
	}
	return nil
}
