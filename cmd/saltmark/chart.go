package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"saltmark/internal/chart"
	"saltmark/internal/finding"
	"saltmark/internal/outfile"
	"saltmark/internal/report"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// chartFlags are those of the command chart.
type chartFlags struct {
	site     string
	out      string
	previous string
	curves   bool
	lines    bool
	findings choice
	show     bool
	failOn   failOn
}

func newChartCmd(e *env) *cobra.Command {
	var f chartFlags
	cmd := &cobra.Command{
		Use:   "chart SHEET...",
		Short: "Turn session sheets into audited FHIR bundles",
		Long: `chart reads session sheets (YAML or JSON), derives what follows from them,
writes each as one FHIR R4 transaction bundle and audits the very bytes before it
gives them out. A sheet with an error gives nothing; the other sheets are charted
all the same.

SHEET is a file, a folder (its own .yaml, .yml and .json files) or - for standard
input. One sheet goes to standard output. Several need --out, a folder that gets
one file for each session, named by the session's identifier, or --ndjson, one
bundle on each line of standard output.

A revision above 1 needs --previous: the bundle of the session that the record
last accepted, or a folder of such bundles as --out names them.

Findings go to standard error, and after them, unless --findings asks for a form
for programs, a summary.`,
		Example: `  saltmark chart testdata/sheets/01-plain-infant.yaml > bundle.json
  saltmark chart --out charted/ ward/
  saltmark chart --previous charted/demo.json --out charted/ corrected.yaml
  cat sheet.yaml | saltmark chart -`,
		Args: someArgs("a sheet, a folder or -"),
		RunE: work(func(cmd *cobra.Command, args []string) error { return f.run(cmd, e, args) }),
	}
	flags := cmd.Flags()
	flags.StringVar(&f.site, "site", "", "file of the site's settings (default: the demo settings)")
	flags.StringVar(&f.out, "out", "", "folder for one bundle file for each session")
	flags.StringVar(&f.previous, "previous", "", "bundle that the record last accepted, or a folder of such")
	flags.BoolVar(&f.curves, "curves", false, "write the traces that sheets name into the bundles")
	flags.BoolVar(&f.lines, "ndjson", false, "write one bundle on each line of standard output")
	f.findings = newChoice(report.Formats()[0], report.Formats()...)
	flags.Var(&f.findings, "findings", "form of the findings on standard error")
	flags.BoolVar(&f.show, "show-values", false, "show values of the sheet in findings, on a terminal only")
	f.failOn.addTo(flags)
	return cmd
}

func (f *chartFlags) run(cmd *cobra.Command, e *env, args []string) error {
	if f.out != "" && f.lines {
		return usagef(cmd, "--out and --ndjson exclude each other")
	}
	inputs, err := inputsOf(args, ".yaml", ".yml", ".json")
	if err != nil {
		return err
	}
	if len(inputs) > 1 && f.out == "" && !f.lines {
		return usagef(cmd, "%d sheets are given; several need --out FOLDER or --ndjson", len(inputs))
	}
	run, err := f.prepare(e)
	if err != nil {
		return err
	}
	err = inOrder(e.Context, len(inputs), func(i int) charted { return run.chart(inputs[i]) }, func(_ int, c charted) error { return run.take(c) })
	if closing := run.found.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return err
	}
	if f.findings.is(report.Formats()[0]) { // the other forms are read by programs
		run.summary()
	}
	if run.failed > 0 {
		return fmt.Errorf("%d of %d sheets could not be read or written", run.failed, len(inputs))
	}
	return f.failOn.judge(run.found.Worst())
}

// chartRun is one run of chart over its sheets.
type chartRun struct {
	env     *env
	flags   *chartFlags
	options chart.Options
	found   *report.Writer
	// written maps a session's identifier to the sheet it came from in this run.
	written map[string]string

	sheets, wrote, refused, failed int
	statuses                       map[record.Status]int
}

// charted is the result of one sheet, or why it could not be read.
type charted struct {
	chart.Result
	err error
}

func (f *chartFlags) prepare(e *env) (*chartRun, error) {
	settings, err := f.settings(e)
	if err != nil {
		return nil, err
	}
	format, err := report.ParseFormat(f.findings.String())
	if err != nil {
		return nil, err
	}
	found, err := report.NewWriter(e.Stderr, format, report.Options{ShowValues: f.show && isTerminal(e.Stderr)})
	if err != nil {
		return nil, err
	}
	previous, err := previousBundles(f.previous)
	if err != nil {
		return nil, err
	}
	return &chartRun{
		env: e, flags: f, found: found, written: map[string]string{}, statuses: map[record.Status]int{},
		options: chart.Options{
			Site: settings, Software: mapping.Software{Name: "saltmark", Version: e.Version},
			Previous: previous, Curves: f.curves,
		}.Prepare(),
	}, nil
}

func (f *chartFlags) settings(e *env) (*site.Settings, error) { return loadSite(e, f.site) }

// loadSite reads the site's settings, or gives the demo settings.
func loadSite(e *env, path string) (*site.Settings, error) {
	if path == "" {
		return site.Demo(), nil
	}
	text, err := input{name: path, path: path}.read(e, int64(source.SheetLimits().Bytes))
	if err != nil {
		return nil, describe("read the settings", err)
	}
	doc, found := source.Read(path, text, source.SheetLimits())
	var settings *site.Settings
	if !found.HasErrors() {
		var more finding.List
		settings, more = site.Read(doc)
		found = append(found, more...)
	}
	if found.HasErrors() {
		found.Sort()
		if err := report.Write(e.Stderr, report.Text, found, report.Options{}); err != nil {
			return nil, err
		}
		return nil, errors.New("the site's settings cannot be used; nothing was charted")
	}
	return settings, nil
}

func (r *chartRun) chart(in input) charted {
	text, err := in.read(r.env, int64(source.SheetLimits().Bytes))
	if err != nil {
		return charted{Result: chart.Result{Name: in.name}, err: describe("read", err)}
	}
	o := r.options
	if in.path != "" {
		o.Open = func(name string) ([]byte, error) { return readBeside(in.path, name) }
	}
	return charted{Result: chart.Sheet(in.name, text, o)}
}

// readBeside reads a trace file that a sheet names: beside the sheet or below.
func readBeside(sheet, name string) ([]byte, error) {
	root, err := os.OpenRoot(filepath.Dir(sheet))
	if err != nil {
		return nil, err
	}
	defer root.Close()
	f, err := root.Open(filepath.FromSlash(name))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return readUpTo(f, chart.LongestTrace)
}

// take reports what became of a sheet and writes its bundle.
func (r *chartRun) take(c charted) error {
	r.sheets++
	if c.err != nil {
		r.failed++
		r.env.logger().Error("sheet not read", "sheet", c.Name, "why", c.err.Error())
		return nil
	}
	if first, twice := r.written[c.ID]; twice && c.Bundle != nil {
		c.Findings = append(c.Findings, finding.New("session-twice", finding.Place{File: c.Name}, "the session was charted from "+first+" in this run", "", "one sheet for a session in a run; revisions are charted one after the other with --previous"))
		c.Bundle = nil
	}
	if err := r.found.Add(c.Findings...); err != nil {
		return err
	}
	if c.Bundle == nil {
		r.refused++
		return nil
	}
	r.written[strings.Clone(c.ID)] = c.Name // the identifier itself is a piece of the sheet's text
	if err := r.write(c); err != nil {
		if r.env.Context.Err() != nil || r.flags.out == "" {
			return err
		}
		r.failed++
		r.env.logger().Error("bundle not written", "sheet", c.Name, "why", err.Error())
		return nil
	}
	r.wrote++
	r.statuses[c.Session.ReportStatus]++
	return nil
}

func (r *chartRun) write(c charted) error {
	if r.flags.out == "" {
		_, err := r.env.Stdout.Write(append(c.Bundle, '\n'))
		return err
	}
	name, err := outfile.SafeName(c.ID)
	if err != nil {
		return err
	}
	file, err := outfile.CreateContext(r.env.Context, filepath.Join(r.flags.out, name+".json"))
	if err != nil {
		return err
	}
	defer file.Abort()
	if _, err := file.Write(append(c.Bundle, '\n')); err != nil {
		return err
	}
	return file.Commit()
}

// summary says on standard error what became of the sheets.
func (r *chartRun) summary() {
	w := r.env.Stderr
	fmt.Fprintf(w, "%s: %d charted, %d refused, %d not read or written\n", count(r.sheets, "sheet"), r.wrote, r.refused, r.failed)
	for _, status := range []record.Status{record.Partial, record.Preliminary, record.Final, record.Amended, record.Corrected, record.Cancelled, record.EnteredInError} {
		if n := r.statuses[status]; n > 0 {
			fmt.Fprintf(w, "  %d %s\n", n, statusWords[status])
		}
	}
}

// statusWords explains the standing of a report.
var statusWords = map[record.Status]string{
	record.Partial:        "partial: not verified",
	record.Preliminary:    "preliminary: verified, but held back until more is known",
	record.Final:          "final",
	record.Amended:        "amended",
	record.Corrected:      "corrected",
	record.Cancelled:      "cancelled: never measured",
	record.EnteredInError: "withdrawn",
}

func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
