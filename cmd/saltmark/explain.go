package main

import (
	"fmt"
	"io"
	"os"
	"strconv"

	"github.com/spf13/cobra"

	"saltmark/internal/finding"
	"saltmark/internal/report"
	"saltmark/internal/source"
)

// explainFlags are those of the command explain.
type explainFlags struct{ format choice }

func newExplainCmd(e *env) *cobra.Command {
	var f explainFlags
	cmd := &cobra.Command{
		Use:   "explain [RULE...]",
		Short: "Print the page of a rule: what, why, source, how to mend",
		Long: `explain prints what is to be known of the rules that findings name: what each
demands and how grave a breach is, what harm or failure it prevents, the standard
or practice that it comes from, and how to mend what was found.

Without RULE it lists all rules by layer, each on one line. The same pages are in
internal/finding/rules.md.`,
		Example: `  saltmark explain unit-missing
  saltmark explain
  saltmark explain --format markdown > rules.md
  saltmark explain --format json replicates-third replicates-tied`,
		Args:              anyArgs("the identifier of a rule"),
		ValidArgsFunction: completeRules,
		RunE:              work(func(cmd *cobra.Command, args []string) error { return f.run(cmd, e, args) }),
	}
	f.format = newChoice(report.PageFormats()[0], report.PageFormats()...)
	cmd.Flags().Var(&f.format, "format", "form of the pages")
	return cmd
}

func (f *explainFlags) run(cmd *cobra.Command, e *env, args []string) error {
	format := report.PageFormat(f.format.String())
	if len(args) == 0 {
		return report.Rules(e.Stdout, format, finding.Layers())
	}
	rules := make([]finding.Rule, 0, len(args))
	for _, id := range args {
		r, ok := finding.RuleOf(id)
		if !ok {
			return noSuchRule(cmd, id)
		}
		rules = append(rules, r)
	}
	return report.Pages(e.Stdout, format, rules, widthOf(e.Stdout))
}

func noSuchRule(cmd *cobra.Command, id string) error {
	if near, ok := source.Nearest(id, ruleIDs()); ok {
		return usagef(cmd, "no rule %s; did you mean %s?", finding.Quote(id), finding.Quote(near))
	}
	return usagef(cmd, "no rule %s; %s lists them", finding.Quote(id), cmd.CommandPath())
}

func ruleIDs() []string {
	var ids []string
	for _, r := range finding.Rules() {
		ids = append(ids, r.ID)
	}
	return ids
}

// completeRules offers the rules to a shell.
func completeRules(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	var lines []string
	for _, r := range finding.Rules() {
		lines = append(lines, r.ID+"\t"+r.Says)
	}
	return lines, cobra.ShellCompDirectiveNoFileComp
}

// widest is how wide a text for people is at most; narrowest, how narrow.
const (
	widest    = 80
	narrowest = 30
)

// textWidth is the width at which text for people is wrapped: that which the shell
// tells of (COLUMNS), within bounds.
func textWidth() int {
	columns, _ := strconv.Atoi(os.Getenv("COLUMNS"))
	return bounded(columns)
}

// widthOf is the same for text that goes to a stream: where the shell does not tell, a
// terminal does.
func widthOf(to io.Writer) int {
	if f, ok := to.(*os.File); ok && os.Getenv("COLUMNS") == "" && isTerminal(f) {
		return bounded(columnsOf(f))
	}
	return textWidth()
}

func bounded(columns int) int {
	if columns <= 0 {
		return widest
	}
	return min(max(columns, narrowest), widest)
}

// sayMore tells people who got findings where to read on.
func sayMore(w io.Writer, found *report.Writer, format choice) {
	if n := found.Omitted(); n > 0 {
		fmt.Fprintf(w, "%s with the same words; --report FILE has all\n", report.Number(n, "more note"))
	}
	if found.Count() > 0 && format.is(string(report.Text)) {
		fmt.Fprintln(w, "saltmark explain RULE says more: why, from where, how to mend")
	}
}
