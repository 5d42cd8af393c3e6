package main

import (
	"crypto/sha256"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"saltmark/internal/chart"
	"saltmark/internal/finding"
	"saltmark/internal/report"
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
	jobs     jobs
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
  saltmark chart --previous charted/ --out charted/ corrected.yaml
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
	f.jobs.addTo(flags)
	return cmd
}

func (f *chartFlags) run(cmd *cobra.Command, e *env, args []string) error {
	if f.out != "" && f.lines {
		return usagef(cmd, "--out and --ndjson exclude each other")
	}
	inputs := inputsOf(args, ".yaml", ".yml", ".json")
	if inputs.count > 1 && f.out == "" && !f.lines {
		return usagef(cmd, "%d sheets are given; several need --out FOLDER or --ndjson", inputs.count)
	}
	begun := e.Now()
	run, err := f.prepare(e, inputs)
	if err != nil {
		return err
	}
	err = inOrder(e.Context, f.jobs.workers(), inputs.each(), run.chart, run.take)
	if closing := run.found.Close(); err == nil {
		err = closing
	}
	sayFailures(e.Stderr, run.failures)
	if f.findings.is(string(report.Text)) {
		run.tally.Closing(e.Stderr, inputs.count, e.Now().Sub(begun))
	}
	sayMore(e.Stderr, run.found, f.findings)
	switch {
	case err != nil:
		return err
	case len(run.failures) > 0:
		return errUnfinished
	}
	return f.failOn.judge(run.found.Worst())
}

// chartRun is one run of chart over its sheets.
type chartRun struct {
	env     *env
	log     *slog.Logger
	inputs  inputs
	options chart.Options
	out     bundleOut
	found   *report.Writer
	tally   report.Tally
	// failures tell what could not be read or written.
	failures []error
	// written maps each session to the number of the sheet that it came from in this
	// run.
	written map[fingerprint]int
}

// fingerprint stands for a session's identifier, with less memory: it is half of the
// SHA-256.
type fingerprint [sha256.Size / 2]byte

func fingerprintOf(id string) fingerprint {
	sum := sha256.Sum256([]byte(id))
	return fingerprint(sum[:sha256.Size/2])
}

func (f *chartFlags) prepare(e *env, inputs inputs) (*chartRun, error) {
	settings, err := loadSite(e, f.site, report.Format(f.findings.String()))
	if err != nil {
		return nil, err
	}
	previous, err := previousBundles(e, f.previous)
	if err != nil {
		return nil, err
	}
	out, err := newBundleOut(e, f.out)
	if err != nil {
		return nil, err
	}
	found, err := report.NewWriter(e.Stderr, report.Format(f.findings.String()), report.Options{ShowValues: f.show && isTerminal(e.Stderr)})
	if err != nil {
		return nil, err
	}
	return &chartRun{
		env: e, log: e.logger(), inputs: inputs, out: out, found: found, written: map[fingerprint]int{},
		options: chart.Options{
			Site: settings, Software: mapping.Software{Name: "saltmark", Version: e.Version},
			Previous: previous, Curves: f.curves,
		}.Prepare(),
	}, nil
}

// charted is what became of one sheet. It holds no more than its turn needs: several
// wait for it, and the session is the larger part.
type charted struct {
	report.Item
	bundle []byte // nil where the sheet was refused
	took   time.Duration
}

func (r *chartRun) chart(in input) charted {
	begun := r.env.Now()
	text, err := in.read(r.env, source.SheetLimits().Bytes)
	if err != nil {
		return charted{Item: report.Item{Name: in.name, Failure: err}}
	}
	o := r.options
	if in.path != "" {
		o.Open = func(name string) ([]byte, error) { return readBeside(in.path, name) }
	}
	sheet := chart.Sheet(in.name, text, o)
	c := charted{
		Item: report.Item{
			Name: in.name, Session: strings.Clone(sheet.ID), // which is a piece of the text
			Flow: sheet.Flow(), Withheld: sheet.Withheld(), Findings: sheet.Findings,
		},
		bundle: sheet.Bundle,
	}
	if sheet.Bundle != nil {
		c.Status = sheet.Session.ReportStatus
	}
	if c.Status == record.Preliminary {
		for _, h := range sheet.Held {
			c.Held = append(c.Held, report.Reason{Code: h.Code, Words: h.Words})
		}
	}
	c.took = r.env.Now().Sub(begun)
	return c
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

// take reports what became of a sheet and gives its bundle out. What could not be
// read or written is told of at the end; the other sheets go on.
func (r *chartRun) take(n int, c charted) error {
	r.refuseSecond(&c)
	if err := r.found.Add(c.Findings...); err != nil {
		return err
	}
	if c.bundle != nil {
		r.written[fingerprintOf(c.Session)] = n
		c.Failure = r.out.put(c.Session, c.bundle)
		if c.Failure != nil && r.out.ends() {
			return c.Failure
		}
	}
	if c.Failure != nil {
		r.failures = append(r.failures, c.Failure)
	}
	c.Outcome = c.outcome()
	r.tally.Add(c.Item, c.took)
	r.log.Info("sheet", "file", c.Name, "outcome", string(c.Outcome), "findings", len(c.Findings), "bytes", len(c.bundle), "took", c.took)
	return nil
}

func (c *charted) outcome() report.Outcome {
	switch {
	case c.Failure != nil:
		return report.Failed
	case c.bundle == nil:
		return report.Refused
	}
	return report.Charted
}

// refuseSecond refuses a second sheet of a session. Its other findings may have come
// from a previous bundle that the first one has just replaced, and are not told.
func (r *chartRun) refuseSecond(c *charted) {
	first, twice := r.written[fingerprintOf(c.Session)]
	if !twice {
		return
	}
	c.bundle = nil
	c.Findings = finding.List{finding.New("session-twice", finding.Place{File: c.Name}, finding.Say("the session was charted from {1} in this run", finding.Data(r.inputs.name(first))), "", "one sheet for a session in a run; revisions are charted one after the other with --previous")}
}
