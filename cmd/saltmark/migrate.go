package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"saltmark/internal/finding"
	"saltmark/internal/migrate"
	"saltmark/internal/outfile"
	"saltmark/internal/report"
	"saltmark/internal/source"
)

// migrateFlags are those of the command migrate.
type migrateFlags struct {
	out      string
	inPlace  bool
	test     choice
	findings choice
	failOn   failOn
}

func newMigrateCmd(e *env) *cobra.Command {
	var f migrateFlags
	cmd := &cobra.Command{
		Use:   "migrate FILE...",
		Short: "Bring older sheets and settings to the newest version of their format",
		Long: `migrate brings session sheets and settings of a site from an earlier version of
their format to the newest. Only what the new version wants is changed: comments,
order and notation stay as they were written. Older versions go on being read, so
nothing has to be brought up; it is for those who want to use what is new.

FILE is a file, a folder (its own .yaml, .yml and .json files) or - for standard
input. One file goes to standard output. Several need --out, a folder in which no
file is replaced, or --in-place, which keeps the old text beside the new one, as
FILE.v1 (its version). A file of the newest version stays as it is.

A sheet of version 1 cannot say whether its session is test data; --test says it for
all sheets of the run. Before anything is written every file has been read.`,
		Example: `  saltmark migrate --test yes old/sheet.yaml > sheet-2.yaml
  saltmark migrate --test no --out migrated/ old/
  saltmark migrate --test yes --in-place old/sheet.yaml`,
		Args: someArgs("a file, a folder or -"),
		RunE: work(func(cmd *cobra.Command, args []string) error { return f.run(cmd, e, args) }),
	}
	flags := cmd.Flags()
	flags.StringVar(&f.out, "out", "", "folder for the files; none that is there is replaced")
	flags.BoolVar(&f.inPlace, "in-place", false, "replace the files, and keep each old one beside it")
	f.test = newChoice("", "yes", "no")
	flags.Var(&f.test, "test", "whether the sessions of old sheets are test data")
	f.findings = newChoice(report.Formats()[0], report.Formats()...)
	flags.Var(&f.findings, "findings", "form of the findings on standard error")
	f.failOn.addTo(flags)
	return cmd
}

// migrated is what became of one file.
type migrated struct {
	in     input
	result migrate.Result
	found  finding.List
	err    error
}

func (f *migrateFlags) run(cmd *cobra.Command, e *env, args []string) error {
	inputs := inputsOf(args, ".yaml", ".yml", ".json")
	if err := f.check(cmd, inputs); err != nil {
		return err
	}
	files, err := f.plan(cmd, e, inputs)
	if err != nil {
		return err
	}
	found, err := report.NewWriter(e.Stderr, report.Format(f.findings.String()), report.Options{})
	if err != nil {
		return err
	}
	var tally migrateTally
	for i := range files {
		m := &files[i]
		if err := found.Add(m.found...); err != nil {
			return err
		}
		if m.err == nil && !m.found.HasErrors() {
			m.err = f.put(e, m)
		}
		tally.add(m)
	}
	if err := found.Close(); err != nil {
		return err
	}
	sayFailures(e.Stderr, tally.failures)
	if f.findings.is(string(report.Text)) {
		tally.say(e)
	}
	sayMore(e.Stderr, found, f.findings)
	if len(tally.failures) > 0 {
		return errUnfinished
	}
	return f.failOn.judge(found.Worst())
}

// check finds flags that do not go together.
func (f *migrateFlags) check(cmd *cobra.Command, all inputs) error {
	if f.out != "" && f.inPlace {
		return usagef(cmd, "--out and --in-place exclude each other")
	}
	if all.count > 1 && f.out == "" && !f.inPlace {
		return usagef(cmd, "%d files are given; several need --out FOLDER or --in-place", all.count)
	}
	for _, in := range all.each() {
		if in.err == nil && in.path == "" && (f.out != "" || f.inPlace) {
			return usagef(cmd, "standard input (-) has no name; it goes to standard output alone")
		}
	}
	return nil
}

// plan brings every file up before any is written. A question without an answer ends
// the run.
func (f *migrateFlags) plan(cmd *cobra.Command, e *env, all inputs) ([]migrated, error) {
	files := make([]migrated, 0, all.count)
	for _, in := range all.each() {
		if err := e.Context.Err(); err != nil {
			return nil, err
		}
		m := migrated{in: in}
		text, err := in.read(e, source.SheetLimits().Bytes)
		if err == nil {
			m.result, m.found, err = migrate.File(in.name, text, migrate.Answers{Test: f.test.String()})
		}
		if open := (*migrate.Unanswered)(nil); errors.As(err, &open) {
			return nil, usagef(cmd, "%v", open)
		}
		m.err = err
		files = append(files, m)
	}
	return files, nil
}

// put writes a file of the newest version to where it belongs.
func (f *migrateFlags) put(e *env, m *migrated) error {
	switch {
	case f.out != "":
		return putNew(filepath.Join(f.out, filepath.Base(m.in.path)), m.result.Text)
	case !f.inPlace:
		if _, err := e.Stdout.Write(m.result.Text); err != nil {
			return fmt.Errorf("write %s: %w", m.in.name, err)
		}
		return nil
	case m.result.From == m.result.To:
		return nil
	}
	old, err := m.in.read(e, source.SheetLimits().Bytes)
	if err != nil {
		return err
	}
	if err := putNew(fmt.Sprintf("%s.v%d", m.in.path, m.result.From), old); err != nil {
		return err
	}
	return outfile.Write(m.in.path, m.result.Text)
}

// putNew writes a file under a name that is free.
func putNew(path string, text []byte) error {
	switch _, err := os.Lstat(path); {
	case err == nil:
		return fmt.Errorf("%s is there already; it was not replaced", path)
	case !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("cannot look for %s: %w", path, err)
	}
	return outfile.Write(path, text)
}

// migrateTally counts what became of the files.
type migrateTally struct {
	brought, newest, refused int
	failures                 []error
}

func (t *migrateTally) add(m *migrated) {
	switch {
	case m.err != nil:
		t.failures = append(t.failures, m.err)
	case m.found.HasErrors():
		t.refused++
	case m.result.From == m.result.To:
		t.newest++
	default:
		t.brought++
	}
}

func (t *migrateTally) say(e *env) {
	fmt.Fprintf(e.Stderr, "files: %d brought to the newest version, %d of it already, %d refused, %d not read or written\n",
		t.brought, t.newest, t.refused, len(t.failures))
}
