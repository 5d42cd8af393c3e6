package main

import (
	"log/slog"
	"time"

	"github.com/spf13/cobra"

	"saltmark/internal/audit"
	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/internal/language"
	"saltmark/internal/report"
	"saltmark/internal/source"
)

// auditFlags are those of the command audit.
type auditFlags struct {
	recompute bool
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

--report writes a report of the run, by the ending of its name or the word before it:
.json, .xml (JUnit), .sarif (SARIF 2.1.0). It may be repeated.`,
		Example: `  saltmark audit charted/
  saltmark audit --recompute bundle.json
  saltmark audit --findings json bundle.json
  saltmark audit --report audit.json --report audit.sarif charted/
  saltmark chart --form ndjson ward/ | saltmark audit -`,
		Args: someArgs("a file, a folder or -"),
		RunE: work(func(cmd *cobra.Command, args []string) error { return f.run(cmd, e, args) }),
	}
	cmd.Flags().BoolVar(&f.recompute, "recompute", false, "compute the curves that bundles carry again, and hold what is said of them against it")
	f.addTo(cmd.Flags())
	return cmd
}

func (f *auditFlags) run(cmd *cobra.Command, e *env, args []string) error {
	inputs := resourceInputs(args)
	from := &intake{env: e, workers: f.jobs.workers(), hashing: len(f.report) > 0}
	if err := checkReport(cmd, f.report, inputs, ""); err != nil {
		return err
	}
	spoken := f.language.or(language.English)
	file, err := newRunReport(e, f.report, report.Head{Command: "audit", FailOn: f.failOn.severity(), Language: spoken}, func() []report.Input { return from.inputs })
	if err != nil {
		return err
	}
	defer file.abort()
	begun := e.Now()
	run := &auditRun{env: e, report: file, recompute: f.recompute}
	if f.toPeople() {
		run.bar.start(e, inputs.documents(), "documents")
	}
	defer run.bar.stop()
	run.log = e.loggerTo(run.bar.above(e.Stderr))
	if run.found, err = f.writer(run.bar.above(e.Stdout), e.Stdout, report.Options{Language: spoken}); err != nil {
		return err
	}
	err = inOrderOf(e.Context, f.jobs.workers(), from.documents(inputs), document.bytes, run.judge, run.take)
	if closing := run.found.Close(); err == nil {
		err = closing
	}
	run.bar.stop()
	if closing := file.close(err, func() []string { return nil }); err == nil {
		err = closing
	}
	sayFailures(e.Stderr, run.failures)
	if !f.quiet {
		run.tally.ClosingOfAudit(e.Stderr, e.Now().Sub(begun))
		sayMore(e.Stderr, run.found, f.findings)
	}
	return f.failOn.ending(err, run.failures, run.found.Worst())
}

// auditRun is one run of audit.
type auditRun struct {
	recompute bool
	env       *env
	log       *slog.Logger
	found     *report.Writer

	report   *runReport
	bar      progress
	tally    report.Tally
	failures []error
	streams  map[string]*audit.Lines // what the lines of each stream have held
}

// judged is what the audit says of one document.
type judged struct {
	report.Item
	lines []source.Line // of a stream; none for a document of its own
	took  time.Duration
}

func (r *auditRun) judge(d document) (j judged) {
	defer func() {
		if fault := recover(); fault != nil {
			j = judged{Item: report.Item{Name: d.name, Failure: faultOf(r.log, d.name, fault)}}
		}
	}()
	begun := r.env.Now()
	j = judged{Item: report.Item{Name: d.name, Failure: d.err}}
	o := audit.Options{}
	if r.recompute {
		o.Beside = func(rows []derive.Beside) { j.Beside = rows }
	}
	switch refused, isData := refusalIn(d.err); {
	case isData: // what is wrong is the text, not the reading
		j.Failure, j.Findings = nil, finding.List{refused.Finding(d.name)}
	case d.err != nil:
	case len(d.lines) == 0:
		j.Findings = audit.Check(d.name, d.text, o)
	default:
		j.Line, j.lines = d.lines[0].Number, d.lines
		j.Findings = audit.CheckLines(d.lines, o)
	}
	j.took = r.env.Now().Sub(begun)
	return j
}

// take reports what the audit says of a document. What could not be read is told of
// at the end.
func (r *auditRun) take(_ int, j judged) error {
	for _, line := range j.lines {
		j.Findings = append(j.Findings, r.stream(j.Name).Repeated(line.Document)...)
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
	r.tally.Add(j.Item, j.took)
	if err := r.report.add(j.Item); err != nil {
		return err
	}
	r.log.Info("document", "file", j.Name, "outcome", string(j.Outcome), "findings", len(j.Findings))
	return r.found.Add(j.Findings...)
}

// stream gives what the lines of a stream before this one have held.
func (r *auditRun) stream(name string) *audit.Lines {
	if r.streams == nil {
		r.streams = map[string]*audit.Lines{}
	}
	if r.streams[name] == nil {
		r.streams[name] = &audit.Lines{}
	}
	return r.streams[name]
}
