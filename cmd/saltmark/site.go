package main

import (
	"bytes"
	"fmt"
	"regexp"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"saltmark/internal/finding"
	"saltmark/internal/language"
	"saltmark/internal/report"
	"saltmark/internal/site"
	"saltmark/mapping/measure"
)

func newSiteCmd(e *env) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "site",
		Short: "Show what the settings of a site decide, and what changed in them",
		Args:  aCommand,
		RunE:  func(*cobra.Command, []string) error { return nil }, // aCommand lets nothing through
	}
	cmd.AddCommand(newSiteCheckCmd(e), newSiteDiffCmd(e))
	return cmd
}

func newSiteCheckCmd(e *env) *cobra.Command {
	var (
		findings choice
		spoken   languageFlag
	)
	cmd := &cobra.Command{
		Use:   "check [FILE]",
		Short: "Show every decision that is in force, and whether it is approved",
		Long: `check reads the settings of a site and prints every decision that is in force:
where it stands in the file, or that it holds by default, its value, and from where
the site has it. At the end stand the SHA-256 to approve, which covers the decisions
and the table of measures, and whether the settings are approved.

FILE is a file of settings; without it the settings are those that ` + siteVariable + `
names, else the demo settings. Findings go to standard error. The exit code is 1
where chart would refuse the settings.`,
		Example: `  saltmark site check our-site.yaml
  saltmark site check`,
		Args: atMost(1, "a file of settings"),
		RunE: work(func(_ *cobra.Command, args []string) error {
			return checkSite(e, args, report.Format(findings.String()), spoken)
		}),
	}
	findings = newChoice(report.Formats()[0], report.Formats()...)
	cmd.Flags().Var(&findings, "findings", "form of the findings on standard error")
	spoken.addTo(cmd.Flags())
	return cmd
}

func checkSite(e *env, args []string, format report.Format, spoken languageFlag) error {
	path, _ := (&siteFlag{}).file(e)
	if len(args) > 0 {
		path = args[0]
	}
	settings, found, l := site.Demo(), finding.List(nil), spoken.or(language.English)
	if path != "" {
		var err error
		if settings, found, err = readSite(e, path); err != nil {
			return err
		}
	}
	if settings != nil {
		if _, err := e.Stdout.Write(shownSite(settings)); err != nil {
			return fmt.Errorf("write the settings: %w", err)
		}
		found, l = append(found, settings.Approved()...), spoken.or(settings.Language)
	}
	if err := report.Write(e.Stderr, format, found, report.Options{Language: l}); err != nil {
		return err
	}
	if found.HasErrors() {
		return errFindings
	}
	return nil
}

// shownSite lists the decisions of settings in columns, and how they stand.
func shownSite(t *site.Settings) []byte {
	var b bytes.Buffer
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	for _, d := range t.Decisions() {
		from := "default"
		if !d.ByDefault() {
			from = fmt.Sprintf("line %d", d.Place.Line)
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", printable(d.Path), printable(d.Value), from, printable(d.Source))
	}
	_ = w.Flush() // a bytes.Buffer takes all
	fmt.Fprintf(&b, "\n%d decisions; table of measures %s\nSHA-256 to approve: %s\n%s\n", len(t.Decisions()), measure.TableHash(), t.ApprovalHash(), standingOf(t))
	return endOfLine.ReplaceAll(b.Bytes(), nil)
}

// endOfLine is the space that fills the columns of a table up.
var endOfLine = regexp.MustCompile(`(?m) +$`)

// standingOf says in words whether settings are approved.
func standingOf(t *site.Settings) string {
	who := "by " + printable(t.Approval.By) + " at " + string(t.Approval.At)
	switch {
	case t.Test:
		return "For test data: no approval is needed, and no patient is charted."
	case t.Approval == site.Approval{}:
		return "Not approved: no patient is charted."
	case len(t.Approved()) > 0:
		return "Changed since they were approved " + who + ": no patient is charted."
	}
	return "Approved " + who + "."
}

func newSiteDiffCmd(e *env) *cobra.Command {
	return &cobra.Command{
		Use:   "diff OLD NEW",
		Short: "Show each decision that two files of settings do not share",
		Long: `diff compares what two files of settings decide: each code, unit, limit and text
that changed, with its source, also where it changed because a file no longer says it
and the default holds. Comments, order, notation, the version of the file and the
approval take no part.

The exit code is that of diff tools: 0 where both decide the same, 1 where they
differ, 3 where one cannot be used.`,
		Example: `  saltmark site diff our-site.yaml new-site.yaml`,
		Args:    exactly(2, "two files of settings"),
		RunE:    work(func(_ *cobra.Command, args []string) error { return diffSites(e, args[0], args[1]) }),
	}
}

func diffSites(e *env, from, to string) error {
	var both [2]*site.Settings
	var refused error
	for i, path := range []string{from, to} {
		settings, found, err := readSite(e, path)
		if err != nil {
			return err
		}
		if err := refuseSite(e, report.Text, language.English, found); err != nil {
			refused = err
		}
		both[i] = settings
	}
	if refused != nil {
		return refused
	}
	changes := site.Diff(both[0], both[1])
	if len(changes) == 0 {
		return nil
	}
	var b bytes.Buffer
	for _, c := range changes {
		fmt.Fprintln(&b, printable(c.Path))
		sayDecision(&b, "-", c.Old, from)
		sayDecision(&b, "+", c.New, to)
	}
	if _, err := e.Stdout.Write(b.Bytes()); err != nil {
		return fmt.Errorf("write the changes: %w", err)
	}
	return errFindings
}

// sayDecision says what one of two settings decides, with where that comes from.
func sayDecision(w *bytes.Buffer, sign string, d *site.Decision, file string) {
	if d == nil {
		return
	}
	from := "by default in " + file
	if !d.ByDefault() {
		from = d.Place.String()
	}
	why := ""
	if d.Source != "" {
		why = "; " + printable(d.Source)
	}
	fmt.Fprintf(w, "  %s %s  (%s%s)\n", sign, printable(d.Value), from, why)
}
