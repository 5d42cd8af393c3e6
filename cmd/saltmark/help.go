package main

import "github.com/spf13/cobra"

// usageTemplate lays out what --help says after the description. A command that
// only groups others has no use line of its own.
const usageTemplate = `Usage:
  {{if .HasAvailableSubCommands}}{{.CommandPath}} <command>{{else}}{{.UseLine}}{{end}}
{{- if .HasExample}}

Examples:
{{.Example}}
{{- end}}
{{- if .HasAvailableSubCommands}}

Commands:
{{- range .Commands}}{{if .IsAvailableCommand}}
  {{rpad .Name .NamePadding}}  {{.Short}}
{{- end}}{{end}}
{{- end}}
{{- if .HasAvailableLocalFlags}}

Flags:
{{.LocalFlags.FlagUsages | trimTrailingWhitespaces}}
{{- end}}
{{- if .HasAvailableInheritedFlags}}

Flags of every command:
{{.InheritedFlags.FlagUsages | trimTrailingWhitespaces}}
{{- end}}
{{- if .HasAvailableSubCommands}}

To read more about one: {{.CommandPath}} <command> --help
{{- end}}
`

func newHelpCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "help [command]",
		Short: "Tell how a command is used",
		Args: func(cmd *cobra.Command, args []string) error {
			if found, rest, _ := cmd.Root().Find(args); len(rest) > 0 {
				return noSuchCommand(found, rest[0])
			}
			return nil
		},
		RunE: work(func(cmd *cobra.Command, args []string) error {
			found, _, err := cmd.Root().Find(args)
			if err != nil {
				return err
			}
			found.InitDefaultHelpFlag()
			return found.Help()
		}),
	}
}

// addCompletion gives the tree the library's command that writes completion scripts
// for shells, with refusals in our own words.
func addCompletion(root *cobra.Command) {
	root.InitDefaultCompletionCmd("completion")
	for _, c := range root.Commands() {
		if c.Name() != "completion" {
			continue
		}
		c.Short = "Write the completion script for a shell"
		c.Args = aCommand
		c.RunE = func(*cobra.Command, []string) error { return nil } // aCommand lets nothing through
		for _, shell := range c.Commands() {
			shell.Args = noArgs
		}
	}
}
