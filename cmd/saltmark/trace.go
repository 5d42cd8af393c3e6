package main

import (
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"saltmark/internal/report"
)

// traceFlags are those of the command trace.
type traceFlags struct {
	site      siteFlag
	out       string
	png       bool
	whole     bool
	injection int
	language  languageFlag
	findings  choice
	failOn    failOn
	jobs      jobs
}

func newTraceCmd(e *env) *cobra.Command {
	var f traceFlags
	cmd := &cobra.Command{
		Use:   "trace FILE...",
		Short: "Draw the recordings of a session, and what follows from them",
		Long: `trace draws one picture for each session: for every recorded injection both
curves over one time axis with baseline, fit, first pass and what is extrapolated,
the flow that each way of separating the first pass gives, what was computed beside
what was reported, and how good the recording is. It changes no record.

What is drawn as computed was tested on simulated circulations only. Check against
the monitor and the patient.

FILE is a session sheet that names trace files, a bundle that carries traces (chart
--curves), a folder (its own .yaml, .yml, .json and .ndjson files) or - for standard
input. One picture goes to standard output. --out is a file that ends in .svg or
.png, or a folder that gets one file for each session, named by its identifier.

The picture is SVG, or PNG with --png, which is drawn with twice as many pixels for
sharp screens and print.`,
		Example: `  saltmark trace testdata/sheets/27-with-traces.yaml > session.svg
  saltmark trace --png --out two.png testdata/sheets/27-with-traces.yaml
  saltmark trace --language de --out pictures/ testdata/sheets/`,
		Args: someArgs("a sheet, a bundle, a folder or -"),
		RunE: work(func(cmd *cobra.Command, args []string) error { return f.run(cmd, e, args) }),
	}
	flags := cmd.Flags()
	f.site.addTo(flags)
	flags.StringVar(&f.out, "out", "", "file (.svg, .png) or folder for the pictures")
	flags.BoolVar(&f.png, "png", false, "draw PNG instead of SVG")
	flags.BoolVar(&f.whole, "whole", false, "show whole recordings, not what lies around the first pass")
	flags.IntVar(&f.injection, "injection", 0, "number of the only injection to show (default: all)")
	f.language.addTo(flags)
	flags.Lookup("language").Usage = "language of pictures and findings (default: that of the site's settings)"
	f.findings = newChoice(report.Formats()[0], report.Formats()...)
	flags.Var(&f.findings, "findings", "form of the findings on standard error")
	f.failOn.addTo(flags)
	f.jobs.addTo(flags)
	return cmd
}

// Endings of the files of pictures.
const (
	svgEnding = ".svg"
	pngEnding = ".png"
)

// outIsFile tells whether --out names a file, by its ending.
func (f *traceFlags) outIsFile() bool {
	ending := strings.ToLower(filepath.Ext(f.out))
	return ending == svgEnding || ending == pngEnding
}

// check finds flags that do not go together, and takes the form of the picture from
// the file that it goes to.
func (f *traceFlags) check(cmd *cobra.Command, all inputs) error {
	if f.outIsFile() {
		ending := strings.ToLower(filepath.Ext(f.out))
		if f.png && ending != pngEnding {
			return usagef(cmd, "--png draws PNG, and --out names a file that ends in %s", ending)
		}
		f.png = ending == pngEnding
	}
	if all.count > 1 && (f.out == "" || f.outIsFile()) {
		return usagef(cmd, "%d files are given; several need --out FOLDER", all.count)
	}
	return nil
}

func (f *traceFlags) ending() string {
	if f.png {
		return pngEnding
	}
	return svgEnding
}
