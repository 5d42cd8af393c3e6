package main

import (
	"github.com/spf13/cobra"

	"saltmark/internal/report"
	"saltmark/mapping"
)

// chartFlags are those of the command chart.
type chartFlags struct {
	site     siteFlag
	out      string
	previous string
	curves   bool
	pictures bool
	lines    bool
	form     choice
	mode     choice
	dryRun   bool
	runFlags
}

func newChartCmd(e *env) *cobra.Command {
	var f chartFlags
	cmd := &cobra.Command{
		Use:   "chart SHEET...",
		Short: "Turn session sheets into audited FHIR bundles",
		Long: `chart reads session sheets (YAML or JSON), derives what follows from them,
writes each as FHIR R4 and audits the very bytes before it gives them out. A sheet
with an error gives nothing; the other sheets are charted all the same.

--form says what a session is written as: a transaction, which a server takes whole
or not at all; a collection; a document, which begins with a page to read; or
ndjson, one resource on each line. --mode says how a transaction asks: conditional
updates by identifier, by-id by an id that follows from it, create-once only creates.

SHEET is a file, a folder (its own .yaml, .yml and .json files) or - for standard
input. One sheet goes to standard output. Several need --out, a folder that gets
one file for each session, named by the session's identifier, or --lines, one
bundle on each line of standard output; ndjson needs neither.

A revision above 1 needs --previous: the bundle of the session that the record
last accepted, or a folder of such bundles as --out names them.

Findings go to standard error, and after them, unless --findings asks for a form
for programs, a summary.`,
		Example: `  saltmark chart testdata/sheets/01-plain-infant.yaml > bundle.json
  saltmark chart --out charted/ ward/
  saltmark chart --form document --out documents/ ward/
  saltmark chart --previous charted/ --out charted/ corrected.yaml
  cat sheet.yaml | saltmark chart -`,
		Args: someArgs("a sheet, a folder or -"),
		RunE: work(func(cmd *cobra.Command, args []string) error { return f.run(cmd, e, args) }),
	}
	flags := cmd.Flags()
	f.site.addTo(flags)
	flags.StringVar(&f.out, "out", "", "folder for one bundle file for each session")
	flags.StringVar(&f.previous, "previous", "", "bundle that the record last accepted, or a folder of such")
	f.form = newChoice("", words(mapping.Forms())...)
	flags.Var(&f.form, "form", "what a session is written as (default: as the settings say)")
	f.mode = newChoice("", words(mapping.Modes())...)
	flags.Var(&f.mode, "mode", "how a transaction asks for what is written (default: as the settings say)")
	flags.BoolVar(&f.curves, "curves", false, "write the traces that sheets name into the bundles")
	flags.BoolVar(&f.pictures, "pictures", false, "add a picture of the traces to each report")
	flags.BoolVar(&f.lines, "lines", false, "write one bundle on each line of standard output")
	flags.BoolVar(&f.dryRun, "dry-run", false, "do all the work, write no bundle, tell what would be written")
	f.runFlags.addTo(flags)
	return cmd
}

func (f *chartFlags) run(cmd *cobra.Command, e *env, args []string) error {
	if f.out != "" && f.lines {
		return usagef(cmd, "--out and --lines exclude each other")
	}
	inputs := inputsOf(args, ".yaml", ".yml", ".json")
	if err := checkReport(cmd, f.report, inputs, f.out); err != nil {
		return err
	}
	begun := e.Now()
	run, err := f.prepare(cmd, e, inputs)
	if run != nil {
		defer run.report.abort()
		defer run.bar.stop()
	}
	if err != nil {
		return err
	}
	err = inOrder(e.Context, f.jobs.workers(), inputs.each(), run.chart, run.take)
	if closing := run.found.Close(); err == nil {
		err = closing
	}
	run.bar.stop()
	if closing := run.report.close(err, run.missed); err == nil {
		err = closing
	}
	sayFailures(e.Stderr, run.failures)
	if f.toPeople() {
		run.tally.Closing(e.Stderr, report.Course{Given: inputs.count, Took: e.Now().Sub(begun), DryRun: f.dryRun})
		sayMore(e.Stderr, run.found, f.findings)
	}
	return f.failOn.ending(err, run.failures, run.found.Worst())
}

// mostAlike is how many notes with the same words people are shown of several sheets, so
// that an error is not lost among a thousand of them. Programs get all.
func (f *chartFlags) mostAlike(inputs inputs) int {
	if inputs.count > 1 && f.toPeople() {
		return 5
	}
	return 0
}

// words gives the words of a set of names.
func words[T ~string](names []T) []string {
	list := make([]string, len(names))
	for i, name := range names {
		list[i] = string(name)
	}
	return list
}

// drawsBar tells whether the bar disturbs nothing that goes to the terminal: neither
// findings in a form for programs nor bundles, nor the list of a dry run.
func (f *chartFlags) drawsBar(e *env) bool {
	return f.toPeople() && (f.out != "" && !f.dryRun || !isTerminal(e.Stdout))
}
