package main

import (
	"io"

	"github.com/spf13/cobra"
)

// shells lists those that the program writes completion scripts for, with where such a
// script is put.
var shells = []struct {
	name  string
	place string
	write func(root *cobra.Command, w io.Writer) error
}{
	{
		"bash", `To try it: source <(saltmark completion bash). To keep it, write the script to a file
named saltmark in the folder of your completions, such as
~/.local/share/bash-completion/completions. It wants the package bash-completion.`,
		func(root *cobra.Command, w io.Writer) error { return root.GenBashCompletionV2(w, true) },
	},
	{
		"zsh", `To try it: source <(saltmark completion zsh). To keep it, write the script to a file
named _saltmark in a folder of $fpath. compinit must have been run.`,
		func(root *cobra.Command, w io.Writer) error { return root.GenZshCompletion(w) },
	},
	{
		"fish", `To try it: saltmark completion fish | source. To keep it, write the script to
~/.config/fish/completions/saltmark.fish.`,
		func(root *cobra.Command, w io.Writer) error { return root.GenFishCompletion(w, true) },
	},
	{
		"powershell", `To try it: saltmark completion powershell | Out-String | Invoke-Expression. To keep it,
add the script to your profile.`,
		func(root *cobra.Command, w io.Writer) error { return root.GenPowerShellCompletionWithDesc(w) },
	},
}

func newCompletionCmd(e *env) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "completion",
		Short: "Write the completion script for a shell",
		Long: `completion writes a script with which a shell completes commands, flags, the words
that a flag takes, and files by their endings.`,
		Args: aCommand,
		RunE: func(*cobra.Command, []string) error { return nil }, // aCommand lets nothing through
	}
	for _, shell := range shells {
		cmd.AddCommand(&cobra.Command{
			Use:     shell.name,
			Short:   "Write the completion script for " + shell.name,
			Long:    "completion " + shell.name + " writes the script to standard output.\n\n" + shell.place,
			Example: "  saltmark completion " + shell.name + " > completion." + shell.name,
			Args:    noArgs,
			RunE: work(func(cmd *cobra.Command, _ []string) error {
				return shell.write(cmd.Root(), e.Stdout)
			}),
		})
	}
	return cmd
}
