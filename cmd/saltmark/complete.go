package main

import (
	"slices"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// completion tells what a shell offers for a flag of a command, or, where no flag is
// named, for its arguments: files with one of the endings (all files where none is
// given), or folders.
type completion struct {
	command, flag string // command "" = every one
	folder        bool
	endings       []string
}

// completions is the table. A flag that takes one of a few words, or none, needs no
// line.
var completions = []completion{
	{command: "chart", endings: []string{"yaml", "yml", "json"}},
	{command: "audit", endings: []string{"json", "ndjson", "jsonl", "gz", "tgz"}},
	{command: "repeatability", endings: []string{"json", "ndjson"}},
	{command: "trace", endings: []string{"yaml", "yml", "json", "ndjson"}},
	{command: "migrate", endings: []string{"yaml", "yml", "json"}},
	{command: "check", endings: []string{"yaml", "yml", "json"}},
	{command: "diff", endings: []string{"yaml", "yml", "json"}},
	{command: "chart", flag: "out", folder: true},
	{command: "trace", flag: "out", endings: []string{"svg", "png"}},
	{command: "migrate", flag: "out", folder: true},
	{command: "blank", flag: "out", endings: []string{"yaml", "yml"}},
	{command: "man", flag: "out", folder: true},
	{command: "rehearse", flag: "out", folder: true},
	{command: "guide", flag: "out", folder: true},
	{command: "measures", flag: "out", endings: []string{"txt", "json", "md"}},
	{flag: "site", endings: []string{"yaml", "yml", "json"}},
	{flag: "previous", endings: []string{"json", "ndjson"}},
	{flag: "report", endings: []string{"json", "xml", "sarif", "html"}},
	{flag: "rules", endings: []string{"yaml", "yml", "json"}},
	{flag: "baseline", endings: []string{"json"}},
	{flag: "sheet", endings: []string{"yaml", "yml", "json"}},
}

// completionOf finds the line for a flag, or for the arguments.
func completionOf(command, flag string) (completion, bool) {
	i := slices.IndexFunc(completions, func(c completion) bool {
		return c.flag == flag && (c.command == command || c.command == "" && flag != "")
	})
	if i < 0 {
		return completion{}, false
	}
	return completions[i], true
}

// addCompletions tells the library what shells offer for each command.
func addCompletions(cmd *cobra.Command) {
	if c, ok := completionOf(cmd.Name(), ""); ok && cmd.ValidArgsFunction == nil {
		cmd.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return c.endings, cobra.ShellCompDirectiveFilterFileExt
		}
	}
	for _, flags := range []*pflag.FlagSet{cmd.LocalNonPersistentFlags(), cmd.PersistentFlags()} {
		flags.VisitAll(func(f *pflag.Flag) { addCompletionOfFlag(cmd, f) })
	}
	for _, c := range cmd.Commands() {
		addCompletions(c)
	}
}

func addCompletionOfFlag(cmd *cobra.Command, f *pflag.Flag) {
	if words, ok := f.Value.(*choice); ok {
		offer := cobra.FixedCompletions(words.allowed, cobra.ShellCompDirectiveNoFileComp)
		_ = cmd.RegisterFlagCompletionFunc(f.Name, offer) // fails only for a flag that is not there
		return
	}
	c, ok := completionOf(cmd.Name(), f.Name)
	switch {
	case !ok:
	case c.folder:
		_ = cmd.MarkFlagDirname(f.Name)
	default:
		_ = cmd.MarkFlagFilename(f.Name, c.endings...)
	}
}

// completeCommands offers the names of commands.
func completeCommands(cmd *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	var lines []string
	if found, rest, err := cmd.Root().Find(args); err == nil && len(rest) == 0 {
		for _, c := range found.Commands() {
			if c.IsAvailableCommand() {
				lines = append(lines, c.Name()+"\t"+c.Short)
			}
		}
	}
	return lines, cobra.ShellCompDirectiveNoFileComp
}
