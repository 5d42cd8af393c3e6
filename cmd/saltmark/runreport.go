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
	"saltmark/internal/outfile"
	"saltmark/internal/report"
	"saltmark/mapping/measure"
)

// runReport is the file that --report names, on its way. Without the flag it is nil,
// and takes everything and does nothing.
type runReport struct {
	run  *report.Run
	file *outfile.File
}

// checkReport refuses a file whose ending names no form, one that is worked on, and
// one that would be taken for a sheet or a bundle later on.
func checkReport(cmd *cobra.Command, path string, inputs inputs, out string) error {
	if path == "" {
		return nil
	}
	ending := strings.ToLower(filepath.Ext(path))
	if !slices.Contains(report.RunEndings(), ending) {
		return usagef(cmd, "the flag --report: %s is given; a file that ends in %s is wanted", finding.Quote(path), oneOf(report.RunEndings()))
	}
	folder := filepath.Dir(path)
	if out != "" && ending == ".json" && sameFile(folder, out) {
		return usagef(cmd, "the report %s would lie among the bundles; another folder is wanted", finding.Quote(path))
	}
	for _, g := range inputs.groups {
		switch {
		case g.folder != "" && ending == ".json" && sameFile(folder, g.folder):
			return usagef(cmd, "the report %s would lie among what is read; another folder is wanted", finding.Quote(path))
		case g.one.path != "" && sameFile(path, g.one.path):
			return usagef(cmd, "the report %s is what is read; another file is wanted", finding.Quote(path))
		}
	}
	return nil
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

// newRunReport begins the file, so that one that cannot be written is told of before
// any work.
func newRunReport(e *env, path string, head report.Head) (*runReport, error) {
	if path == "" {
		return nil, nil
	}
	head.Version, head.MeasuresHash = e.Version, measure.TableHash()
	run, err := report.NewRun(path, head)
	if err != nil {
		return nil, err
	}
	file, err := outfile.Create(path)
	if err != nil {
		return nil, err
	}
	return &runReport{run, file}, nil
}

func (r *runReport) add(i report.Item) error {
	if r == nil {
		return nil
	}
	return r.run.Add(i)
}

// close writes the report, also of a run that was stopped. missed names what the run
// did not come to.
func (r *runReport) close(stopped error, missed func() []string) error {
	if r == nil {
		return nil
	}
	defer r.file.Abort()
	var end report.End
	switch {
	case errors.Is(stopped, context.Canceled):
		end.Stopped = "interrupted"
	case stopped != nil:
		end.Stopped = stopped.Error()
	}
	if stopped != nil {
		end.Missed = missed()
	}
	if err := r.run.Finish(r.file, end); err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	return r.file.Commit()
}

// abort gives the report up; after close it does nothing.
func (r *runReport) abort() {
	if r != nil {
		r.file.Abort()
	}
}
