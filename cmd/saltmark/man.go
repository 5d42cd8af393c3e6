package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"saltmark/internal/outfile"
)

// newManCmd writes the manual pages. It is for those who make packages, and no part of
// the help.
func newManCmd(e *env) *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:    "man",
		Short:  "Write the manual pages, one for each command",
		Hidden: true,
		Long: `man writes the manual pages (troff, section 1) into a folder, made of what --help
shows. The date is that of --date; without one the pages have none, so that the same
program writes the same bytes.`,
		Example: "  saltmark man --out man1/",
		Args:    noArgs,
	}
	date := cmd.Flags().String("date", "", "date of the pages, as 2031-04-05")
	cmd.Flags().StringVar(&out, "out", "", "folder for the pages")
	cmd.RunE = work(func(cmd *cobra.Command, _ []string) error {
		if out == "" {
			return usagef(cmd, "man wants --out FOLDER")
		}
		if _, err := time.Parse(time.DateOnly, *date); *date != "" && err != nil {
			return usagef(cmd, "the flag --date: a date as 2031-04-05 is wanted")
		}
		return writeManual(cmd.Root(), out, "saltmark "+e.Version, *date)
	})
	return cmd
}

// writeManual writes a page for each command of a tree that the help shows.
func writeManual(cmd *cobra.Command, folder, version, date string) error {
	path := filepath.Join(folder, manName(cmd)+".1")
	if err := outfile.Write(path, []byte(manPage(cmd, version, date))); err != nil {
		return err
	}
	for _, g := range groupsOf(cmd) {
		for _, c := range g.commands {
			if err := writeManual(c, folder, version, date); err != nil {
				return err
			}
		}
	}
	return nil
}

// manName is the name of a command's page: saltmark-completion-bash.
func manName(cmd *cobra.Command) string { return strings.ReplaceAll(cmd.CommandPath(), " ", "-") }

// manPage is the page of a command: what its help says, in the parts that a manual has.
func manPage(cmd *cobra.Command, version, date string) string {
	var b strings.Builder
	name := manName(cmd)
	fmt.Fprintf(&b, ".TH %s 1 \"%s\" \"%s\" \"saltmark\"\n", strings.ToUpper(name), date, troff(version))
	fmt.Fprintf(&b, ".SH NAME\n%s \\- %s\n", troff(name), troff(cmd.Short))
	fmt.Fprintf(&b, ".SH SYNOPSIS\n\\fB%s\\fR\n", troff(useOf(cmd)))
	b.WriteString(".SH DESCRIPTION\n" + troffParagraphs(textOf(cmd)))
	for _, g := range groupsOf(cmd) {
		fmt.Fprintf(&b, ".SH \"%s\"\n", strings.ToUpper(g.title))
		for _, c := range g.commands {
			fmt.Fprintf(&b, ".TP\n\\fB%s\\fR\n%s\n", troff(c.Name()), troff(c.Short))
		}
	}
	b.WriteString(".SH OPTIONS\n")
	for _, f := range append(flagEntries(cmd.LocalFlags()), flagEntries(cmd.InheritedFlags())...) {
		fmt.Fprintf(&b, ".TP\n%s\n%s\n", troffFlag(f), troff(f.words))
	}
	if cmd.HasExample() {
		b.WriteString(".SH EXAMPLES\n.nf\n" + troffLines(cmd.Example) + ".fi\n")
	}
	b.WriteString(".SH \"SEE ALSO\"\n" + strings.Join(seeAlso(cmd), ",\n") + "\n")
	return b.String()
}

// seeAlso names the pages of the commands above and below.
func seeAlso(cmd *cobra.Command) []string {
	var pages []string
	if cmd.HasParent() {
		pages = append(pages, manReference(cmd.Parent()))
	}
	for _, g := range groupsOf(cmd) {
		for _, c := range g.commands {
			pages = append(pages, manReference(c))
		}
	}
	return pages
}

func manReference(cmd *cobra.Command) string { return "\\fB" + troff(manName(cmd)) + "\\fR(1)" }

func troffFlag(f flagEntry) string {
	s := "\\fB" + troff("--"+f.name) + "\\fR"
	if f.short != "" {
		s = "\\fB" + troff("-"+f.short) + "\\fR, " + s
	}
	if f.value != "" {
		s += " \\fI" + f.value + "\\fR"
	}
	return s
}

// troffParagraphs sets each paragraph; one that is laid out by hand keeps its lines.
func troffParagraphs(text string) string {
	var b strings.Builder
	for i, paragraph := range strings.Split(text, "\n\n") {
		if i > 0 {
			b.WriteString(".PP\n")
		}
		if laidOut(paragraph) {
			b.WriteString(".nf\n" + troffLines(paragraph) + ".fi\n")
			continue
		}
		b.WriteString(troffLines(paragraph))
	}
	return b.String()
}

func troffLines(text string) string {
	var b strings.Builder
	for line := range strings.SplitSeq(strings.TrimRight(text, "\n"), "\n") {
		b.WriteString(troff(line) + "\n")
	}
	return b.String()
}

// troff writes text so that nothing of it is a command of troff.
func troff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`, "\t", "  ").Replace(s)
	if strings.HasPrefix(s, ".") || strings.HasPrefix(s, "'") {
		s = `\&` + s
	}
	return s
}
