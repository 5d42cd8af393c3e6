package main

import "github.com/spf13/cobra"

// commands lists the constructors of the commands. Each gives a fresh command and
// keeps nothing.
func commands() []func(*env) *cobra.Command {
	return []func(*env) *cobra.Command{
		newChartCmd,
		newAuditCmd,
		newMeasuresCmd,
		newExplainCmd,
		newTraceCmd,
		newBlankCmd,
		newMigrateCmd,
		newRepeatabilityCmd,
		newRehearseCmd,
		newSiteCmd,
		newGuideCmd,
		newVersionCmd,
	}
}

// newRootCmd builds the whole tree of commands anew.
func newRootCmd(e *env) *cobra.Command {
	root := &cobra.Command{
		Use:   "saltmark",
		Short: "Indicator-dilution measurements as FHIR R4",
		Long: `saltmark turns the record of a bedside indicator-dilution measurement into
FHIR R4, checks it and reads it back.

For documentation, quality review and research; not for diagnosis, treatment
decisions or monitoring. Check every number against the monitor and the patient.

Exit codes: 0 fine; 1 a finding as grave as --fail-on says; 2 the command line
cannot be followed; 3 the work could not be done.`,
		Args:                       aCommand,
		RunE:                       func(*cobra.Command, []string) error { return nil }, // aCommand lets nothing through
		SilenceErrors:              true,
		SilenceUsage:               true,
		SuggestionsMinimumDistance: 2,
	}
	root.SetIn(e.Stdin)
	root.SetOut(e.Stdout)
	root.SetErr(e.Stderr)
	root.SetFlagErrorFunc(flagError(e))
	e.log.addTo(root.PersistentFlags())
	for _, newCmd := range commands() {
		root.AddCommand(newCmd(e))
	}
	root.CompletionOptions.DisableDefaultCmd = true // ours has refusals and a help of our own
	root.AddCommand(newCompletionCmd(e), newManCmd(e))
	addHelp(root)
	addHelpFlags(root)
	addCompletions(root)
	return root
}
