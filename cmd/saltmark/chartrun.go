package main

import (
	"cmp"
	"crypto/sha256"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"saltmark/internal/chart"
	"saltmark/internal/finding"
	"saltmark/internal/language"
	"saltmark/internal/report"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// chartRun is one run of chart over its sheets.
type chartRun struct {
	env     *env
	log     *slog.Logger
	inputs  inputs
	options chart.Options
	out     bundleOut
	found   *report.Writer
	report  *runReport
	bar     progress
	tally   report.Tally
	// failures tell what could not be read or written.
	failures []error
	// written maps each session to the number of the sheet that it came from in this
	// run.
	written map[fingerprint]int
	// read are the sheets that were read, for a report.
	read []report.Input
}

// fingerprint stands for a session's identifier, with less memory: it is half of the
// SHA-256.
type fingerprint [sha256.Size / 2]byte

func fingerprintOf(id string) fingerprint {
	sum := sha256.Sum256([]byte(id))
	return fingerprint(sum[:sha256.Size/2])
}

func (f *chartFlags) prepare(cmd *cobra.Command, e *env, inputs inputs) (*chartRun, error) {
	settings, err := f.site.loadApproved(e, f.format(), f.language.or(language.English))
	if err != nil {
		return nil, err
	}
	options := chart.Options{
		Site: settings, Software: mapping.Software{Name: "saltmark", Version: e.Version}, Curves: f.curves, Pictures: f.pictures,
		Form: mapping.Form(f.form.String()), Mode: mapping.Mode(f.mode.String()),
	}
	form, err := options.Writes()
	switch {
	case err != nil:
		return nil, usagef(cmd, "%v", err)
	case inputs.count > 1 && f.out == "" && !f.lines && form != mapping.NDJSON:
		return nil, usagef(cmd, "%d sheets are given; several need --out FOLDER or --lines", inputs.count)
	}
	if options.Previous, err = previousBundles(e, f.previous); err != nil {
		return nil, err
	}
	spoken := f.language.or(settings.Language)
	var run *chartRun
	file, err := newRunReport(e, f.report, report.Head{
		Command: "chart", SettingsHash: settings.Hash(), DryRun: f.dryRun, FailOn: f.failOn.severity(), Language: spoken,
	}, func(end *report.End) { end.Inputs = run.read })
	if err != nil {
		return nil, err
	}
	out, err := newBundleOut(e, f.out, endingOf(form), f.dryRun, inputs)
	if err != nil {
		file.abort()
		return nil, err
	}
	run = &chartRun{
		env: e, inputs: inputs, out: out, report: file, written: map[fingerprint]int{},
		options: options.Prepare(),
	}
	if f.drawsBar(e) {
		run.bar.start(e, inputs.count, "sheets")
	}
	above := run.bar.above(e.Stderr)
	run.log = e.loggerTo(above)
	run.found, err = f.writer(above, e.Stderr, report.Options{Language: spoken, MostAlike: f.mostAlike(inputs)})
	return run, err
}

// charted is what became of one sheet. It holds no more than its turn needs: several
// wait for it, and the session is the larger part.
type charted struct {
	report.Item
	bundle []byte        // nil where the sheet was refused
	named  finding.Place // where the sheet names its session
	took   time.Duration
	input  report.Input
}

func (r *chartRun) chart(in input) (c charted) {
	defer func() {
		if fault := recover(); fault != nil {
			c = charted{Item: report.Item{Name: in.name, Failure: faultOf(r.log, in.name, fault)}}
		}
	}()
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
	seen := sheet.Glance()
	c = charted{
		Item: report.Item{
			Name: in.name, Session: strings.Clone(sheet.ID), // which is a piece of the text
			Flow: seen.Flow, Withheld: seen.Withheld, Relabelled: seen.Relabelled, Beside: sheet.Beside, Findings: sheet.Findings,
		},
		bundle: sheet.Bundle,
	}
	c.named = finding.Place{File: in.name}
	if sheet.Session != nil {
		c.named = cmp.Or(sheet.Session.Places.Fields["session.id"], c.named)
	}
	if sheet.Bundle != nil {
		c.Status = sheet.Session.ReportStatus
	}
	if c.Status == record.Preliminary {
		for _, h := range sheet.Held {
			c.Held = append(c.Held, report.Reason{Code: h.Code, Words: h.Words.In(measure.English)})
		}
	}
	if r.report != nil {
		c.input = report.Input{Name: in.name, Bytes: int64(len(text)), SHA256: chart.SumOf(text)}
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
	if c.input.SHA256 != "" && c.input.Bytes <= int64(source.SheetLimits().Bytes) { // a longer one was not read to its end
		r.read = append(r.read, c.input)
	}
	if err := r.found.Add(c.Findings...); err != nil {
		return err
	}
	if c.bundle != nil {
		r.written[fingerprintOf(c.Session)] = n
		c.Written, c.Failure = r.out.put(c.Session, c.bundle)
		if c.Failure != nil && r.out.ends(c.Failure) {
			return c.Failure
		}
	}
	if c.Failure != nil {
		r.failures = append(r.failures, c.Failure)
	}
	c.Outcome = c.outcome()
	r.bar.step(c.Outcome)
	r.tally.Add(c.Item, c.took)
	if err := r.report.add(c.Item); err != nil {
		return err
	}
	r.log.Info("sheet", "file", c.Name, "outcome", string(c.Outcome), "findings", len(c.Findings), "bytes", len(c.bundle), "took", c.took)
	return nil
}

// missed names the sheets that a run which was stopped did not come to.
func (r *chartRun) missed() []string {
	var names []string
	for n, in := range r.inputs.each() {
		if n >= r.tally.Documents() {
			names = append(names, in.name)
		}
	}
	return names
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
	c.Findings = finding.List{finding.New("session-twice", c.named, finding.Say("the session was charted from {1} in this run", finding.Data(r.inputs.name(first))), "", "one sheet for a session in a run; revisions are charted one after the other with --previous")}
}
