package main

import (
	"io"

	"github.com/spf13/pflag"

	"saltmark/internal/report"
)

// runFlags are the flags that the commands share that work on many documents.
type runFlags struct {
	findings choice
	language languageFlag
	show     bool
	quiet    bool
	report   []string
	jobs     jobs
	failOn   failOn
}

func (f *runFlags) addTo(flags *pflag.FlagSet) {
	f.findings = newChoice(report.Formats()[0], report.Formats()...)
	flags.Var(&f.findings, "findings", "form of the findings")
	f.language.addTo(flags)
	flags.BoolVar(&f.show, "show-values", false, "show values of the data in findings, on a terminal only")
	flags.BoolVarP(&f.quiet, "quiet", "q", false, "say only what makes the exit code other than 0")
	flags.StringArrayVar(&f.report, "report", nil, "file for a report of the run, by its ending: .json, .xml (JUnit), .sarif, .html; may be repeated")
	f.failOn.addTo(flags)
	f.jobs.addTo(flags)
}

// format is that of the findings.
func (f *runFlags) format() report.Format { return report.Format(f.findings.String()) }

// toPeople tells whether words for people may stand beside the findings.
func (f *runFlags) toPeople() bool { return f.format() == report.Text && !f.quiet }

// writer gives the writer of the findings, in a language, which go through to onto a
// stream.
func (f *runFlags) writer(to, stream io.Writer, o report.Options) (*report.Writer, error) {
	o.ShowValues = f.show && isTerminal(stream)
	if f.quiet {
		o.AtLeast = f.failOn.severity()
	}
	return report.NewWriter(to, f.format(), o)
}
