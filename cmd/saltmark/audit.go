package main

import (
	"fmt"
	"log/slog"
	"slices"

	"github.com/spf13/cobra"

	"saltmark/internal/audit"
	"saltmark/internal/finding"
	"saltmark/internal/report"
	"saltmark/internal/schema"
	"saltmark/internal/source"
)

// auditFlags are those of the command audit.
type auditFlags struct {
	findings choice
	show     bool
	jobs     jobs
	failOn   failOn
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

FILE is a bundle or a single resource, a file that ends in .ndjson with one of them
on each line, a folder (its own .json and .ndjson files) or - for standard input, in
either form. Findings go to standard output, a summary to standard error.`,
		Example: `  saltmark audit charted/
  saltmark audit --findings json bundle.json
  saltmark chart --ndjson ward/ | saltmark audit -`,
		Args: someArgs("a file, a folder or -"),
		RunE: work(func(_ *cobra.Command, args []string) error { return f.run(e, args) }),
	}
	flags := cmd.Flags()
	f.findings = newChoice(report.Formats()[0], report.Formats()...)
	flags.Var(&f.findings, "findings", "form of the findings")
	flags.BoolVar(&f.show, "show-values", false, "show values of the data in findings, on a terminal only")
	f.failOn.addTo(flags)
	f.jobs.addTo(flags)
	return cmd
}

func (f *auditFlags) run(e *env, args []string) error {
	inputs := inputsOf(args, ".json", ".ndjson")
	found, err := report.NewWriter(e.Stdout, report.Format(f.findings.String()), report.Options{ShowValues: f.show && isTerminal(e.Stdout)})
	if err != nil {
		return err
	}
	run := &auditRun{env: e, log: e.logger(), found: found}
	err = inOrder(e.Context, f.jobs.workers(), documentsOf(e, inputs), run.judge, run.take)
	if closing := found.Close(); err == nil {
		err = closing
	}
	run.say()
	switch {
	case err != nil:
		return err
	case len(run.failures) > 0:
		return errUnfinished
	}
	return f.failOn.judge(found.Worst())
}

// auditRun is one run of audit.
type auditRun struct {
	env   *env
	log   *slog.Logger
	found *report.Writer

	shapes schema.Memory

	judged, faulty int
	failures       []error
	streams        map[string]*audit.Lines // what the lines of each stream have held
}

// judged is what the audit says of one document, or why it could not be read.
type judged struct {
	name  string
	line  *source.Document // nil for a document that is no line of a stream
	found finding.List
	err   error
}

func (r *auditRun) judge(d document) judged {
	j := judged{name: d.name, err: d.err}
	switch {
	case d.err != nil:
	case d.line == nil:
		j.found = audit.Check(d.name, d.text, r.options())
	case d.line.Document.Root == nil || d.line.Findings.HasErrors():
		j.found = d.line.Findings
	default:
		j.line = d.line.Document
		j.found = append(slices.Clip(d.line.Findings), audit.CheckDocument(d.line.Document, r.options())...)
	}
	return j
}

func (r *auditRun) options() audit.Options { return audit.Options{Shapes: &r.shapes} }

// take reports what the audit says of a document. What could not be read is told of
// at the end.
func (r *auditRun) take(_ int, j judged) error {
	if j.err != nil {
		r.failures = append(r.failures, j.err)
		return nil
	}
	r.judged++
	if j.line != nil {
		j.found = append(j.found, r.stream(j.name).Repeated(j.line)...)
	}
	if j.found.HasErrors() {
		r.faulty++
	}
	r.log.Info("document", "file", j.name, "findings", len(j.found))
	return r.found.Add(j.found...)
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

// say tells what could not be read, and how the documents came out.
func (r *auditRun) say() {
	sayFailures(r.env.Stderr, r.failures)
	fmt.Fprintf(r.env.Stderr, "%s judged: %d with errors; %s not read\n", count(r.judged, "document"), r.faulty, count(len(r.failures), "file"))
}
