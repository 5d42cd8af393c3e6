package main

import (
	"github.com/spf13/cobra"

	"saltmark/internal/report"
)

// chartFlags are those of the command chart.
type chartFlags struct {
	site     string
	out      string
	previous string
	curves   bool
	lines    bool
	dryRun   bool
	runFlags
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
	flags.BoolVar(&f.dryRun, "dry-run", false, "do all the work, write no bundle, tell what would be written")
	f.runFlags.addTo(flags)
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
	if err := checkReport(cmd, f.report, inputs, f.out); err != nil {
		return err
	}
	begun := e.Now()
	run, err := f.prepare(e, inputs)
	if err != nil {
		return err
	}
	defer run.report.abort()
	err = inOrder(e.Context, f.jobs.workers(), inputs.each(), run.chart, run.take)
	if closing := run.found.Close(); err == nil {
		err = closing
	}
	if closing := run.report.close(err, run.missed); err == nil {
		err = closing
	}
	sayFailures(e.Stderr, run.failures)
	if f.toPeople() {
		run.tally.Closing(e.Stderr, report.Course{Given: inputs.count, Took: e.Now().Sub(begun), DryRun: f.dryRun})
		sayMore(e.Stderr, run.found, f.findings)
	}
	switch {
	case err != nil:
		return err
	case len(run.failures) > 0:
		return errUnfinished
	}
	return f.failOn.judge(run.found.Worst())
}
