package main

import (
	"errors"

	"github.com/spf13/cobra"

	"saltmark/internal/chart"
	"saltmark/internal/guide"
	"saltmark/internal/language"
	"saltmark/internal/report"
	"saltmark/internal/site"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// guideFlags are those of the command guide.
type guideFlags struct {
	out  newFolder
	site siteFlag
}

func newGuideCmd(e *env) *cobra.Command {
	var f guideFlags
	cmd := &cobra.Command{
		Use:   "guide --out FOLDER",
		Short: "Write the FHIR implementation guide: profiles, codes, pages",
		Long: `guide fills a new folder with the definitions behind the bundles, for those who
receive them: profiles with snapshots, extensions, code systems, value sets, maps to
published codes, what a server must be able to do, a search by flow label, and the
resources of one invented session as examples.

  resources/   the definitions, one a file
  examples/    an invented session, one resource a file
  pages/       for each profile a page in plain words: what its elements mean to
               a clinician; the same in German in pages/de/. Open index.html
  *.tgz        definitions and examples as a FHIR package

All of it is made from the tables of the program. With --site the addresses lie below
the base of the site.`,
		Example: `  saltmark guide --out guide/
  saltmark guide --site our-site.yaml --out our-guide/`,
		Args: noArgs,
		RunE: work(func(cmd *cobra.Command, _ []string) error { return f.run(cmd, e) }),
	}
	flags := cmd.Flags()
	f.out.addTo(flags)
	f.site.addTo(flags)
	return cmd
}

func (f *guideFlags) run(cmd *cobra.Command, e *env) error {
	if f.out == "" {
		return usagef(cmd, "guide wants --out FOLDER")
	}
	if err := f.out.check(); err != nil {
		return err
	}
	settings, err := f.site.load(e, report.Text, language.English)
	if err != nil {
		return err
	}
	examples, err := exampleSession(settings.Base, e.Version)
	if err != nil {
		return err
	}
	files, err := guide.Make(guide.Options{Base: settings.Base, Examples: examples})
	if err != nil {
		return err
	}
	return f.out.fill(files)
}

// exampleSession charts the sheet of the guide under the demo settings, at the base of a
// site.
func exampleSession(base, version string) ([]guide.Example, error) {
	settings := *site.Demo()
	settings.Base = base
	text, err := guide.ExampleFile(guide.ExampleSheet)
	if err != nil {
		return nil, err
	}
	result := chart.Sheet(guide.ExampleSheet, text, chart.Options{
		Site: &settings, Software: mapping.Software{Name: "saltmark", Version: version},
		Previous: func(string) (*record.Session, error) { return nil, nil }, Open: guide.ExampleFile, Curves: true, Form: mapping.NDJSON,
	})
	if result.Bundle == nil {
		return nil, errors.New("the example of the guide was not charted")
	}
	return guide.ExamplesOf(result.Bundle, base)
}
