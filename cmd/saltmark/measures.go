package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"saltmark/internal/finding"
	"saltmark/internal/language"
	"saltmark/internal/outfile"
	"saltmark/internal/report"
	"saltmark/internal/review"
)

// measuresFlags are those of the command measures.
type measuresFlags struct {
	site   siteFlag
	out    string
	format choice
}

func newMeasuresCmd(e *env) *cobra.Command {
	var f measuresFlags
	cmd := &cobra.Command{
		Use:   "measures [WORD...]",
		Short: "Show the table of measures and how each is coded",
		Long: `measures shows the mapping: each measure with its words, unit, decimals, codes
and the condition of each, its place on the sheet and in the resources, and the
values and limits of the settings with their sources.

WORD selects the measures whose key, words or codes contain it. Without a WORD the
text is one line for each measure; of a selection it tells all.

With --site it is the mapping that is in force under the settings of a site. As HTML
it is a page on which a committee reviews the mapping: one file without scripts, to be
filled in on a screen or printed on A4 and signed, with a decision on each measure and
the SHA-256 of the table and of the settings.`,
		Example: `  saltmark measures
  saltmark measures blood-flow
  saltmark measures 8737-9 --format json
  saltmark measures --site our-site.yaml --out review.html`,
		Args: anyArgs("a part of a key, of words or of a code"),
		RunE: work(func(cmd *cobra.Command, args []string) error { return f.run(cmd, e, args) }),
	}
	flags := cmd.Flags()
	f.site.addTo(flags)
	flags.StringVar(&f.out, "out", "", "file to write instead of standard output; its ending says the format")
	f.format = newChoice(string(review.Text), review.Formats()...)
	flags.Var(&f.format, "format", "form in which the table is shown")
	return cmd
}

func (f *measuresFlags) run(cmd *cobra.Command, e *env, words []string) error {
	format := review.Format(f.format.String())
	if f.out != "" && !cmd.Flags().Changed("format") {
		if format = review.FormatOf(filepath.Ext(f.out)); format == "" {
			return usagef(cmd, "--out %s: the ending says no format; --format is wanted", finding.Quote(f.out))
		}
	}
	settings, err := f.site.load(e, report.Text, language.English)
	if err != nil {
		return err
	}
	shown, missed := review.Of(settings, e.Version).Select(words)
	if missed != "" {
		return usagef(cmd, "no measure has %s in its key, its words or its codes%s", finding.Quote(missed), didYouMean(review.Nearest(missed)))
	}
	return f.write(e, shown, format)
}

// write writes to standard output, or a whole file or none.
func (f *measuresFlags) write(e *env, shown review.Mapping, format review.Format) error {
	if f.out == "" {
		if err := shown.Write(e.Stdout, format); err != nil {
			return fmt.Errorf("write the measures: %w", err)
		}
		return nil
	}
	out, err := outfile.CreateContext(e.Context, f.out)
	if err != nil {
		return err
	}
	defer out.Abort()
	if err := shown.Write(out, format); err != nil {
		return fmt.Errorf("write the measures: %w", err)
	}
	return out.Commit()
}

func didYouMean(near string) string {
	if near == "" {
		return ""
	}
	return "; did you mean " + finding.Quote(near) + "?"
}
