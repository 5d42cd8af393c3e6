package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"saltmark/internal/finding"
	"saltmark/internal/guide"
	"saltmark/internal/outfile"
	"saltmark/internal/report"
	"saltmark/internal/shape"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
)

// runReport is the files that --report names, on their way. Without the flag it is nil,
// and takes everything and does nothing.
type runReport struct {
	files    []reportFile
	complete func(*report.End)
}

// reportFile is one of them.
type reportFile struct {
	run  *report.Run
	file *outfile.File
}

// checkReport refuses a file whose ending names no form, one that is worked on, one
// that would be taken for a sheet or a bundle later on, and one that is named twice.
func checkReport(cmd *cobra.Command, reports []string, inputs inputs, out string) error {
	var seen []string
	for _, argument := range reports {
		_, path, err := report.RunFormOf(argument)
		if err != nil {
			return usagef(cmd, "the flag --report: %s is given; %v", finding.Quote(argument), err)
		}
		if slices.ContainsFunc(seen, func(other string) bool { return sameFile(path, other) }) {
			return usagef(cmd, "the report %s is named twice; another file is wanted", finding.Quote(path))
		}
		seen = append(seen, path)
		if err := checkReportFile(cmd, path, inputs, out); err != nil {
			return err
		}
	}
	return nil
}

func checkReportFile(cmd *cobra.Command, path string, inputs inputs, out string) error {
	folder := filepath.Dir(path)
	taken := slices.Contains([]string{".json", ".ndjson", ".jsonl", ".gz", ".tgz"}, strings.ToLower(filepath.Ext(path)))
	if out != "" && taken && sameFile(folder, out) {
		return usagef(cmd, "the report %s would lie among the bundles; another folder is wanted", finding.Quote(path))
	}
	for _, g := range inputs.groups {
		switch {
		case g.folder != "" && taken && within(folder, g.folder):
			return usagef(cmd, "the report %s would lie among what is read; another folder is wanted", finding.Quote(path))
		case g.one.path != "" && sameFile(path, g.one.path):
			return usagef(cmd, "the report %s is what is read; another file is wanted", finding.Quote(path))
		}
	}
	return nil
}

// within tells whether a folder is another one or lies somewhere below it.
func within(folder, other string) bool {
	if whole, err := filepath.Abs(folder); err == nil {
		folder = whole
	}
	for {
		if sameFile(folder, other) {
			return true
		}
		above := filepath.Dir(folder)
		if above == folder {
			return false
		}
		folder = above
	}
}

// sameFile tells whether two paths are one file or folder, or will be.
func sameFile(a, b string) bool {
	one, errOne := os.Stat(a)
	other, errOther := os.Stat(b)
	if errOne == nil && errOther == nil {
		return os.SameFile(one, other)
	}
	one1, err1 := filepath.Abs(a)
	other1, err2 := filepath.Abs(b)
	return err1 == nil && err2 == nil && one1 == other1
}

// newRunReport begins the files, so that one that cannot be written is told of before
// any work. complete tells what the run
// rested on, once the work is done; it may be nil.
func newRunReport(e *env, reports []string, head report.Head, complete func(*report.End)) (*runReport, error) {
	if len(reports) == 0 {
		return nil, nil
	}
	head.Version, head.MeasuresHash, head.Tables = e.Version, measure.TableHash(), judgedBy()
	r := &runReport{complete: complete}
	for _, argument := range reports {
		form, path, err := report.RunFormOf(argument)
		if err == nil {
			var file *outfile.File
			if file, err = outfile.Create(path); err == nil {
				r.files = append(r.files, reportFile{report.NewRun(form, head), file})
			}
		}
		if err != nil {
			r.abort()
			return nil, err
		}
	}
	return r, nil
}

// judgedBy lists the tables that a judgement rests on, beside the table of measures.
func judgedBy() []report.Table {
	return []report.Table{
		{Name: "loinc", SHA256: terms.TableHash("loinc.tsv")},
		{Name: "currencies", Version: terms.CurrenciesOf, SHA256: terms.TableHash("currencies.tsv")},
		{Name: "fhir-definitions", Version: shape.Version, SHA256: shape.TableHash()},
		{Name: "guide", Version: guide.Version, SHA256: guide.Hash()},
	}
}

func (r *runReport) add(i report.Item) error {
	if r == nil {
		return nil
	}
	for _, f := range r.files {
		if err := f.run.Add(i); err != nil {
			return err
		}
	}
	return nil
}

// close writes the reports, also of a run that was stopped. missed names what the run
// did not come to.
func (r *runReport) close(stopped error, missed func() []string) error {
	if r == nil {
		return nil
	}
	defer r.abort()
	var end report.End
	switch {
	case errors.Is(stopped, context.Canceled):
		end.Stopped = interruptedWord
	case stopped != nil:
		end.Stopped = finding.Of(stopped)
	}
	if stopped != nil {
		end.Missed = missed()
	}
	if r.complete != nil {
		r.complete(&end)
	}
	for _, f := range r.files {
		if err := f.run.Finish(f.file, end); err != nil {
			return fmt.Errorf("write the report: %w", err)
		}
	}
	for _, f := range r.files {
		if err := f.file.Commit(); err != nil {
			return err
		}
	}
	return nil
}

// abort gives the reports up; after close it does nothing.
func (r *runReport) abort() {
	if r == nil {
		return
	}
	for _, f := range r.files {
		f.file.Abort()
		f.run.Drop()
	}
}
