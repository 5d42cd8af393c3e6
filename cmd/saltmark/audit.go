package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"saltmark/internal/audit"
	"saltmark/internal/finding"
	"saltmark/internal/report"
	"saltmark/internal/source"
)

// auditFlags are those of the command audit.
type auditFlags struct {
	findings choice
	show     bool
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

FILE is a bundle or a single resource (.json), a file with one of them on each
line (.ndjson), a folder of such files, or - for standard input. Findings go to
standard output.`,
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
	return cmd
}

// auditRun is one run of audit.
type auditRun struct {
	env   *env
	found *report.Writer

	judged, faulty, failed int
}

func (f *auditFlags) run(e *env, args []string) error {
	inputs, err := inputsOf(args, ".json", ".ndjson")
	if err != nil {
		return err
	}
	format, err := report.ParseFormat(f.findings.String())
	if err != nil {
		return err
	}
	found, err := report.NewWriter(e.Stdout, format, report.Options{ShowValues: f.show && isTerminal(e.Stdout)})
	if err != nil {
		return err
	}
	run := &auditRun{env: e, found: found}
	err = inOrder(e.Context, len(inputs), func(i int) judged { return run.judge(inputs[i]) }, func(_ int, j judged) error { return run.take(j) })
	if closing := found.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(e.Stderr, "%s: %d judged, %d with errors, %d not read\n", count(len(inputs), "file"), run.judged, run.faulty, run.failed)
	if run.failed > 0 {
		return fmt.Errorf("%d of %d files could not be read", run.failed, len(inputs))
	}
	return f.failOn.judge(found.Worst())
}

// judged is what the audit says of one file.
type judged struct {
	name             string
	documents, wrong int
	found            finding.List
	err              error
}

// judge audits one file. NDJSON is told by its ending, on standard input by a
// second line that begins another document.
func (r *auditRun) judge(in input) judged {
	j := judged{name: in.name}
	text, err := in.read(r.env, int64(source.ResourceLimits().Bytes))
	if err != nil {
		j.err = describe("read", err)
		return j
	}
	if strings.EqualFold(filepath.Ext(in.name), ".ndjson") || in.path == "" && severalLines(text) {
		for line, err := range source.Lines(in.name, bytes.NewReader(text), source.ResourceLimits()) {
			if err != nil {
				j.err = describe("read", err)
				return j
			}
			j.add(append(line.Findings, judgeLine(line)...))
		}
		return j
	}
	j.add(audit.Check(in.name, text, audit.Options{}))
	return j
}

func judgeLine(line source.Line) finding.List {
	if line.Document == nil || line.Document.Root == nil || line.Findings.HasErrors() {
		return nil
	}
	return audit.CheckDocument(line.Document, audit.Options{})
}

func (j *judged) add(found finding.List) {
	j.documents++
	if found.HasErrors() {
		j.wrong++
	}
	j.found = append(j.found, found...)
}

// severalLines tells whether a text holds a whole document on its first line and
// another after it.
func severalLines(text []byte) bool {
	first, rest, two := bytes.Cut(bytes.TrimSpace(text), []byte("\n"))
	first = bytes.TrimSpace(first)
	return two && len(bytes.TrimSpace(rest)) > 0 && len(first) > 1 && first[0] == '{' && first[len(first)-1] == '}'
}

func (r *auditRun) take(j judged) error {
	if j.err != nil {
		r.failed++
		r.env.logger().Error("file not read", "file", j.name, "why", j.err.Error())
		return nil
	}
	r.judged += j.documents
	r.faulty += j.wrong
	return r.found.Add(j.found...)
}
