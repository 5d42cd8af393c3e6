package main

import (
	"bytes"
	"errors"
	"fmt"
	"iter"
	"path/filepath"
	"slices"
	"strconv"

	"github.com/spf13/cobra"

	"saltmark/internal/chart"
	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/internal/illustrate"
	"saltmark/internal/outfile"
	"saltmark/internal/picture"
	"saltmark/internal/r4"
	"saltmark/internal/report"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// traceRun is one run of trace over its files.
type traceRun struct {
	env      *env
	flags    *traceFlags
	options  chart.Options
	shown    illustrate.Options
	folder   bundleOut
	found    *report.Writer
	failures []error
	drawn    map[string]string // sessions, and from what they were drawn
	without  int               // sessions without a recording
}

// drawn is what became of one session.
type drawn struct {
	name, session string
	picture       []byte // nil where nothing was drawn
	found         finding.List
	without       bool // it carries no recording
	err           error
}

func (f *traceFlags) run(cmd *cobra.Command, e *env, args []string) error {
	all := inputsOf(args, ".yaml", ".yml", ".json", ".ndjson")
	if err := f.check(cmd, all); err != nil {
		return err
	}
	settings, err := f.site.load(e, report.Format(f.findings.String()), f.language.or("en"))
	if err != nil {
		return err
	}
	spoken := f.language.or(settings.Language)
	r := &traceRun{
		env: e, flags: f, drawn: map[string]string{},
		options: chart.Options{Site: settings}.Prepare(),
		shown:   illustrate.Options{Language: spoken, Whole: f.whole},
	}
	if f.out != "" && !f.outIsFile() {
		if r.folder, err = newBundleOut(e, f.out, f.ending(), false, all); err != nil {
			return err
		}
	}
	if r.found, err = report.NewWriter(e.Stderr, report.Format(f.findings.String()), report.Options{Language: spoken}); err != nil {
		return err
	}
	err = inOrder(e.Context, f.jobs.workers(), r.documents(all), r.draw, r.take)
	if closing := r.found.Close(); err == nil {
		err = closing
	}
	r.close()
	return f.failOn.ending(err, r.failures, r.found.Worst())
}

// documents gives every session of the inputs: sheets and bundles whole, streams by
// the lines of a session.
func (r *traceRun) documents(all inputs) iter.Seq2[int, document] {
	return documentsOf(r.env, all)
}

// draw makes the picture of one session.
func (r *traceRun) draw(d document) (made drawn) {
	defer func() {
		if fault := recover(); fault != nil {
			made = drawn{name: d.name, err: faultOf(r.env.logger(), d.name, fault)}
		}
	}()
	made = drawn{name: d.name, err: d.err}
	if d.err != nil {
		return made
	}
	var s *record.Session
	if s, made.found = r.session(d); s == nil {
		return made
	}
	made.session = s.ID
	computed := derive.Curves(s)
	if r.flags.injection != 0 {
		whole := len(computed)
		computed = slices.DeleteFunc(computed, func(c derive.Computed) bool { return c.Injection.Key != strconv.Itoa(r.flags.injection) })
		if whole > 0 && len(computed) == 0 {
			made.err = fmt.Errorf("%s carries no recording of an injection %d", shownPath(d.name), r.flags.injection)
			return made
		}
	}
	if len(computed) == 0 {
		made.without = true
		return made
	}
	made.picture, made.err = r.render(illustrate.Session(s, computed, r.shown))
	return made
}

func (r *traceRun) render(p picture.Picture) ([]byte, error) {
	if r.flags.png {
		return picture.PNG(p, 2)
	}
	return picture.SVG(p), nil
}

// session reads what a document is: a bundle or lines of one, or a sheet.
func (r *traceRun) session(d document) (*record.Session, finding.List) {
	switch {
	case len(d.lines) > 0:
		var reading mapping.Reading
		if first := d.lines[0].Document; len(d.lines) == 1 && first != nil && r4.Text(first.Root, "resourceType") == "Bundle" {
			reading = mapping.ReadDocument(first)
		} else {
			reading = mapping.ReadLines(d.lines)
		}
		return reading.Session, finding.List(reading.Findings)
	case isBundle(d.text):
		s, found := mapping.Read(d.name, d.text)
		return s, finding.List(found)
	}
	o := r.options
	if d.name != standardInput {
		o.Open = func(name string) ([]byte, error) { return readBeside(d.name, name) }
	}
	return chart.Traced(d.name, d.text, o)
}

// isBundle tells a FHIR resource from a sheet that is written as JSON.
func isBundle(text []byte) bool {
	text = bytes.TrimLeft(text, " \t\r\n")
	return len(text) > 0 && text[0] == '{' && bytes.Contains(text, []byte(`"resourceType"`))
}

// take reports what became of a session and gives its picture out.
func (r *traceRun) take(_ int, d drawn) error {
	if err := r.found.Add(d.found...); err != nil {
		return err
	}
	if d.without {
		r.without++
		return nil
	}
	if d.err == nil && d.picture != nil {
		d.err = r.put(d)
		if d.err != nil && (r.flags.out == "" || r.folder.ends(d.err)) {
			return d.err
		}
	}
	if d.err != nil {
		r.failures = append(r.failures, d.err)
	}
	return nil
}

// put writes a picture whole or not at all.
func (r *traceRun) put(d drawn) error {
	if first, twice := r.drawn[d.session]; twice {
		return fmt.Errorf("the session of %s was drawn from %s already; it was not drawn again", shownPath(d.name), shownPath(first))
	}
	r.drawn[d.session] = d.name
	switch {
	case r.flags.out == "":
		if _, err := r.env.Stdout.Write(d.picture); err != nil {
			return fmt.Errorf("write the picture: %w", err)
		}
		return nil
	case r.flags.outIsFile():
		_, err := bundleOut{env: r.env}.putFile(r.flags.out, d.picture)
		return err
	}
	name, err := outfile.SafeName(d.session)
	if err != nil {
		return err
	}
	_, err = r.folder.putFile(filepath.Join(r.flags.out, name+r.flags.ending()), d.picture)
	return err
}

// close says what was not drawn and why.
func (r *traceRun) close() {
	if len(r.drawn) == 0 && r.without > 0 && len(r.failures) == 0 {
		r.failures = append(r.failures, errors.New("no recording is there to draw; a sheet that names trace files is wanted, or a bundle that was charted with --curves"))
	}
	sayFailures(r.env.Stderr, r.failures)
	if !r.flags.findings.is(string(report.Text)) {
		return
	}
	if len(r.drawn) > 0 && r.without > 0 {
		fmt.Fprintf(r.env.Stderr, "%s without a recording\n", report.Number(r.without, "session"))
	}
	sayMore(r.env.Stderr, r.found, r.flags.findings)
}
