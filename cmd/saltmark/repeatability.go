package main

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"saltmark/internal/finding"
	"saltmark/internal/language"
	"saltmark/internal/repeatability"
	"saltmark/internal/report"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// repeatabilityFlags are those of the command repeatability.
type repeatabilityFlags struct {
	format, values, test, by choice
	only                     map[string]pflag.Value // by the name of a trait
	verified                 bool
	language                 languageFlag
	jobs                     jobs
}

func newRepeatabilityCmd(e *env) *cobra.Command {
	f := repeatabilityFlags{only: map[string]pflag.Value{}}
	cmd := &cobra.Command{
		Use:   "repeatability FILE...",
		Short: "Pool how far the injections of one session scatter",
		Long: `repeatability reads bundles as chart writes them and pools the variation of the
blood flow within sessions: with its degrees of freedom, its interval, and what it
means for the mean of one to four injections.

FILE is a bundle, a file that ends in .ndjson, a folder (its own .json and .ndjson
files) or - for standard input. All technically valid injections count, also those
that did not agree with others. Withdrawn sessions, earlier revisions, sessions in
which the treatment changed and excluded injections do not; what was left out is
told, and why. Test sessions are never pooled with those of patients.

As yaml it is the part of a site's settings that the figure belongs into. Whether it
has enough degrees of freedom the site decides.`,
		Example: `  saltmark repeatability charted/
  saltmark repeatability --by flow charted/
  saltmark repeatability --verified --format yaml charted/
  saltmark chart --form ndjson ward/ | saltmark repeatability --format json -`,
		Args: someArgs("a file, a folder or -"),
		RunE: work(func(cmd *cobra.Command, args []string) error { return f.run(cmd, e, args) }),
	}
	flags := cmd.Flags()
	f.format = newChoice("text", "text", "json", "yaml")
	flags.Var(&f.format, "format", "form of the result; yaml is the part of the settings")
	f.values = newChoice(string(record.Reported), string(record.Reported), string(record.Recomputed))
	flags.Var(&f.values, "values", "which flows: reported by the monitor, or recomputed (as charted, else from the curves that bundles carry)")
	f.test = newChoice("", "yes", "no")
	flags.Var(&f.test, "test", "only test sessions (yes), or only those of patients (no)")
	var traits []string
	for _, t := range repeatability.Traits {
		traits = append(traits, t.Name)
		f.addTrait(flags, t)
	}
	f.by = newChoice("", traits...)
	flags.Var(&f.by, "by", "tell the variation for each of these apart, too")
	flags.BoolVar(&f.verified, "verified", false, "only sessions that were verified")
	f.language.addTo(flags)
	f.jobs.addTo(flags)
	return cmd
}

// addTrait gives the command the flag that chooses sessions by a trait.
func (f *repeatabilityFlags) addTrait(flags *pflag.FlagSet, t repeatability.Trait) {
	words := "only sessions " + t.Words
	if len(t.Values) > 0 {
		one := newChoice("", t.Values...)
		flags.Var(&one, t.Name, words)
	} else {
		flags.String(t.Name, "", words)
	}
	f.only[t.Name] = flags.Lookup(t.Name).Value
}

func (f *repeatabilityFlags) run(cmd *cobra.Command, e *env, args []string) error {
	if f.format.is("yaml") && !f.by.is("") {
		return usagef(cmd, "--format yaml is one figure; instead of --by, --%s chooses one", f.by.String())
	}
	inputs := inputsOf(args, ".json", ".ndjson")
	r := &repeatabilityRun{env: e, pool: repeatability.New(f.options())}
	r.bar.start(e, inputs.documents(), "documents")
	defer r.bar.stop()
	var err error
	spoken := report.Options{Language: f.language.or(language.English)}
	if r.found, err = report.NewWriter(r.bar.above(e.Stderr), report.Text, spoken); err != nil {
		return err
	}
	err = inOrder(e.Context, f.jobs.workers(), documentsOf(e, inputs), r.read, r.take)
	r.bar.stop()
	sayFailures(e.Stderr, r.failures)
	if err != nil {
		return err
	}
	result, err := r.pool.Result()
	return r.ending(result, f.say(cmd, e, result, err))
}

func (f *repeatabilityFlags) options() repeatability.Options {
	o := repeatability.Options{Values: record.Origin(f.values.String()), Test: f.test.String(), Verified: f.verified, By: f.by.String(), Only: map[string]string{}}
	for trait, value := range f.only {
		o.Only[trait] = value.String()
	}
	return o
}

// say writes the result. Where there is no figure, only what was left out is told, to
// people.
func (f *repeatabilityFlags) say(cmd *cobra.Command, e *env, r *repeatability.Result, failure error) error {
	write := map[string]func(io.Writer) error{"text": r.WriteText, "json": r.WriteJSON, "yaml": r.WriteSettings}[f.format.String()]
	switch {
	case errors.Is(failure, repeatability.ErrMixed):
		return fmt.Errorf("%w; --test yes or --test no chooses", failure)
	case failure != nil:
		r.WriteLeftOut(e.Stderr) // the failure is what counts
		return failure
	}
	return write(e.Stdout)
}

// repeatabilityRun is one run of repeatability.
type repeatabilityRun struct {
	env      *env
	pool     *repeatability.Pool
	found    *report.Writer
	bar      progress
	failures []error
}

// readDocument is what was read of a document.
type readDocument struct {
	name    string
	reading mapping.Reading
	foreign bool // nothing of a session, and nothing wrong
	err     error
}

func (r *repeatabilityRun) read(d document) (read readDocument) {
	defer func() {
		if fault := recover(); fault != nil {
			read = readDocument{name: d.name, err: faultOf(r.env.logger(), d.name, fault)}
		}
	}()
	read = readDocument{name: d.name, err: d.err}
	switch {
	case d.err != nil:
	case len(d.lines) > 0:
		reading, ours := mapping.ReadGroup(d.lines)
		read.reading, read.foreign = reading, !ours
	default:
		session, found := mapping.Read(d.name, d.text)
		read.reading = mapping.Reading{Session: session, Findings: found}
	}
	return read
}

func (r *repeatabilityRun) take(_ int, d readDocument) error {
	outcome := report.Passed
	defer func() { r.bar.step(outcome) }()
	var found finding.List
	switch {
	case d.err != nil:
		outcome = report.Failed
		r.failures = append(r.failures, d.err)
	case !d.foreign:
		if found = r.pool.Add(d.name, d.reading); found.HasErrors() {
			outcome = report.Faulty
		}
	}
	return r.found.Add(found...)
}

// ending gives the error with which the run ends.
func (r *repeatabilityRun) ending(result *repeatability.Result, err error) error {
	switch {
	case err != nil:
		return err
	case len(r.failures) > 0:
		return errUnfinished
	case result.HasFaults():
		return errFindings
	}
	return nil
}
