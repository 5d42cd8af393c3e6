package main

import (
	"log/slog"
	"maps"
	"sync/atomic"

	"github.com/spf13/cobra"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/internal/language"
	"saltmark/internal/report"
	"saltmark/internal/selection"
	"saltmark/internal/source"
	"saltmark/mapping/record"
)

// auditFlags are those of the command audit.
type auditFlags struct {
	recompute bool
	rules     string
	baseline  string
	newOnly   bool
	sheets    []string
	baseNames bool
	runFlags
}

func newAuditCmd(e *env) *cobra.Command {
	var f auditFlags
	cmd := &cobra.Command{
		Use:   "audit FILE...",
		Short: "Judge FHIR R4 bundles, resources and NDJSON, ours or not",
		Long: `audit judges FHIR R4 JSON by the rules that chart applies before it gives a
bundle out: text, shape, base rules, bundles and references, units, terminology,
vital signs; and for bundles of this program the flow labels, what is read back
and what follows from the facts in it.

--recompute computes the curves again that chart --curves wrote into a bundle, shows
what comes of it beside what the monitor reported, and judges what the bundle says of
them. The computation was tested on simulated circulations only.

FILE is a bundle or a single resource; a file that ends in .ndjson or .jsonl with one
of them on each line (the lines of a session are judged as one document); one of these
with .gz behind its name; an archive (.tgz, .tar.gz), such as a FHIR package; a folder,
with all such files in it and below; or - for standard input, in any of these forms but
an archive. Of any number of lines only a few are held at once. Findings go to standard
output, a summary to standard error.

--rules FILE says which rules are applied and which findings are accepted, each with a
reason; errors that guard against harm stay and count whatever it says. --baseline
compares with an earlier report in JSON; with --new-only only findings which that one
did not have end in exit code 1. --sheet adds the line of the session sheet to findings
about bundles of this program, where that very sheet is at hand.

--report writes a report of the run, by the ending of its name or the word before it:
.json, .xml (JUnit), .sarif (SARIF 2.1.0), .html (a page). It may be repeated.`,
		Example: `  saltmark audit charted/
  saltmark audit --recompute bundle.json
  saltmark audit --findings json bundle.json
  saltmark audit --report audit.html --report audit.json charted/
  saltmark audit --baseline audit.json --new-only charted/
  saltmark audit --sheet ward/ charted/
  saltmark chart --form ndjson ward/ | saltmark audit -`,
		Args: someArgs("a file, a folder or -"),
		RunE: work(func(cmd *cobra.Command, args []string) error { return f.run(cmd, e, args) }),
	}
	flags := cmd.Flags()
	flags.BoolVar(&f.recompute, "recompute", false, "compute the curves that bundles carry again, and hold what is said of them against it")
	flags.StringVar(&f.rules, "rules", "", "file that says which rules are applied and which findings are accepted")
	flags.StringVar(&f.baseline, "baseline", "", "report of an earlier run in JSON, to compare with")
	flags.BoolVar(&f.newOnly, "new-only", false, "only findings that --baseline did not have count for the exit code")
	flags.StringArrayVar(&f.sheets, "sheet", nil, "sheet, or folder of sheets, that bundles were charted from; may be repeated")
	flags.BoolVar(&f.baseNames, "base-names", false, "show of each file the last part of its name alone")
	f.addTo(flags)
	return cmd
}

func (f *auditFlags) run(cmd *cobra.Command, e *env, args []string) error {
	if f.newOnly && f.baseline == "" {
		return usagef(cmd, "--new-only wants --baseline, the earlier report to compare with")
	}
	inputs := resourceInputs(args)
	inputs.baseNames = f.baseNames
	from := &intake{env: e, workers: f.jobs.workers(), hashing: len(f.report) > 0}
	if err := checkReport(cmd, f.report, inputs, ""); err != nil {
		return err
	}
	spoken := f.language.or(language.English)
	run := &auditRun{env: e, recompute: f.recompute, newOnly: f.newOnly}
	if err := run.prepare(f, spoken); err != nil {
		return err
	}
	head := report.Head{Command: "audit", FailOn: f.failOn.severity(), NewOnly: f.newOnly, Language: spoken}
	file, err := newRunReport(e, f.report, head, func(end *report.End) { run.complete(end, from) })
	if err != nil {
		return err
	}
	defer file.abort()
	begun := e.Now()
	run.report = file
	if f.toPeople() {
		run.bar.start(e, inputs.documents(), "documents")
	}
	defer run.bar.stop()
	run.log = e.loggerTo(run.bar.above(e.Stderr))
	if run.found, err = f.writer(run.bar.above(e.Stdout), e.Stdout, report.Options{Language: spoken}); err != nil {
		return err
	}
	err = inOrderOf(e.Context, f.jobs.workers(), from.documents(inputs), document.bytes, run.judge, run.take)
	if err == nil {
		err = run.tellOfSelection()
	}
	if closing := run.found.Close(); err == nil {
		err = closing
	}
	run.bar.stop()
	if closing := file.close(err, func() []string { return nil }); err == nil {
		err = closing
	}
	sayFailures(e.Stderr, run.failures)
	if !f.quiet {
		run.sayOfSheets()
		run.tally.ClosingOfAudit(e.Stderr, report.AuditCourse{Took: e.Now().Sub(begun), Selection: run.selected(), Baseline: run.compared()})
		sayMore(e.Stderr, run.found, f.findings)
	}
	return f.failOn.ending(err, run.failures, run.worst)
}

// auditRun is one run of audit.
type auditRun struct {
	recompute bool
	newOnly   bool
	env       *env
	log       *slog.Logger
	found     *report.Writer
	worst     finding.Severity // of what counts for the exit code

	rules  *selection.Selection // nil where every rule is applied
	use    *selection.Use
	known  *report.Known // nil without a baseline
	sheets chart.Sheets  // nil without sheets
	looked atomic.Int64  // how often a sheet was looked for
	met    atomic.Int64  // how often it was there

	report   *runReport
	bar      progress
	tally    report.Tally
	failures []error
	gaps     map[audit.Gap]int
	stream   stream
}

// stream is what the lines of one input have held, until another input follows.
type stream struct {
	name string
	last int // line
	held audit.Lines
}

// judged is what the audit says of one document.
type judged struct {
	report.Item
	lines []source.Line // of a stream; none for a document of its own
	gaps  map[audit.Gap]int
}

func (r *auditRun) judge(d document) (j judged) {
	defer func() {
		if fault := recover(); fault != nil {
			j = judged{Item: report.Item{Name: d.name, Failure: faultOf(r.log, d.name, fault)}}
		}
	}()
	begun := r.env.Now()
	j = judged{Item: report.Item{Name: d.name, Failure: d.err}}
	o := r.options(&j)
	switch refused, isData := refusalIn(d.err); {
	case isData: // what is wrong is the text, not the reading
		j.Failure, j.Findings = nil, finding.List{refused.Finding(d.name)}
	case d.err != nil:
	case len(d.lines) == 0:
		j.Findings = audit.Check(d.name, d.text, o)
		j.Findings = r.withSheet(j.Findings, d)
	default:
		j.Line, j.lines = d.lines[0].Number, d.lines
		j.Findings = audit.CheckLines(d.lines, o)
		j.Findings = r.withSheet(j.Findings, d)
	}
	j.Took = r.env.Now().Sub(begun)
	return j
}

// options are those of the audit of one document, which writes into its item.
func (r *auditRun) options(j *judged) audit.Options {
	o := audit.Options{}
	if r.rules != nil {
		o.Off = r.rules.Off
	}
	if r.recompute {
		o.Beside = func(rows []derive.Beside) { j.Beside = rows }
	}
	if r.report == nil {
		return o
	}
	o.Gaps = func(gaps map[audit.Gap]int) { j.gaps = gaps }
	o.Session = func(s *record.Session) {
		seen := chart.GlanceAt(s)
		j.Session, j.Status = s.ID, s.ReportStatus
		j.Flow, j.Withheld, j.Relabelled = seen.Flow, maps.Clone(seen.Withheld), seen.Relabelled
	}
	return o
}

// take reports what the audit says of a document. What could not be read is told of
// at the end.
func (r *auditRun) take(_ int, j judged) error {
	for _, line := range j.lines {
		for _, f := range r.linesBefore(j.Name, line.Number).Repeated(line.Document) {
			if r.rules == nil || !r.rules.Off[f.Rule] {
				j.Findings = append(j.Findings, f)
			}
		}
	}
	if r.use != nil {
		j.Findings, j.Acknowledged, j.Accepted = r.use.Apply(j.Findings)
	}
	if r.known != nil {
		j.States = r.known.Compare(j.Findings)
	}
	r.count(j.Item)
	for gap, n := range j.gaps {
		r.addGap(gap, n)
	}
	switch {
	case j.Failure != nil:
		j.Outcome = report.Failed
		r.failures = append(r.failures, j.Failure)
	case j.Findings.HasErrors():
		j.Outcome = report.Faulty
	default:
		j.Outcome = report.Passed
	}
	r.bar.step(j.Outcome)
	r.tally.Add(j.Item, j.Took)
	if err := r.report.add(j.Item); err != nil {
		return err
	}
	r.log.Info("document", "file", j.Name, "outcome", string(j.Outcome), "findings", len(j.Findings))
	return r.found.Add(j.Findings...)
}

// count keeps the gravest of the findings that count for the exit code.
func (r *auditRun) count(i report.Item) {
	for n, f := range i.Findings {
		if !r.newOnly || i.States[n] != report.Remaining {
			r.worst = max(r.worst, f.Severity)
		}
	}
}

// linesBefore gives what the lines of a stream before this one have held. Another input
// has another name, or begins anew.
func (r *auditRun) linesBefore(name string, line int) *audit.Lines {
	if r.stream.name != name || line <= r.stream.last {
		r.stream = stream{name: name}
	}
	r.stream.last = line
	return &r.stream.held
}
