package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
)

// commandGroups lists the commands in the order in which a newcomer reads of them.
var commandGroups = []struct {
	title    string
	commands []string
}{
	{"From the sheet to the record", []string{"blank", "chart", "audit", "explain", "trace"}},
	{"Setting up and reviewing", []string{"site", "measures", "repeatability", "migrate", "rehearse", "guide"}},
	{"The program", []string{"version", "completion", "help"}},
}

// addHelp gives a tree of commands its help: the description, and after it how the
// command is used, in lines of 80 columns.
func addHelp(root *cobra.Command) {
	root.SetHelpCommand(newHelpCmd())
	root.SetUsageFunc(func(cmd *cobra.Command) error { return writeUsage(cmd.OutOrStderr(), cmd) })
	root.SetHelpFunc(func(cmd *cobra.Command, _ []string) {
		w := cmd.OutOrStdout()
		fmt.Fprintf(w, "%s\n\n", wrapped(textOf(cmd), textWidth()))
		writeUsage(w, cmd) // a help that cannot be written has no one to tell
	})
}

// addHelpFlags gives each command the flag --help, in our words.
func addHelpFlags(cmd *cobra.Command) {
	cmd.Flags().BoolP("help", "h", false, "show this page")
	for _, c := range cmd.Commands() {
		addHelpFlags(c)
	}
}

// textOf is the description of a command.
func textOf(cmd *cobra.Command) string {
	if cmd.Long != "" {
		return strings.TrimSpace(cmd.Long)
	}
	return cmd.Short
}

// useOf is the line that shows how a command is called. A command that only groups
// others has none of its own.
func useOf(cmd *cobra.Command) string {
	if cmd.HasAvailableSubCommands() {
		return cmd.CommandPath() + " <command>"
	}
	return cmd.UseLine()
}

func writeUsage(w io.Writer, cmd *cobra.Command) error {
	var b strings.Builder
	fmt.Fprintf(&b, "Usage:\n  %s\n", useOf(cmd))
	if cmd.HasExample() {
		fmt.Fprintf(&b, "\nExamples:\n%s\n", cmd.Example)
	}
	for _, g := range groupsOf(cmd) {
		b.WriteString("\n" + g.title + ":\n")
		for _, c := range g.commands {
			writeEntry(&b, c.Name(), c.Short, commandColumn)
		}
	}
	for _, part := range []struct {
		title string
		flags []flagEntry
	}{{"Flags", flagEntries(cmd.LocalFlags())}, {"Flags of every command", flagEntries(cmd.InheritedFlags())}} {
		if len(part.flags) > 0 {
			b.WriteString("\n" + part.title + ":\n")
		}
		for _, f := range part.flags {
			writeEntry(&b, f.left(), f.words, flagColumn)
		}
	}
	if cmd.HasAvailableSubCommands() {
		fmt.Fprintf(&b, "\nTo read more about one: %s <command> --help\n", cmd.CommandPath())
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// group is a part of the list of commands.
type group struct {
	title    string
	commands []*cobra.Command
}

// groupsOf gives the commands below one: those of the root in the groups of the table,
// others together.
func groupsOf(cmd *cobra.Command) []group {
	rest := group{title: "Commands"}
	placed := map[string]bool{}
	var groups []group
	if !cmd.HasParent() {
		for _, g := range commandGroups {
			one := group{title: g.title}
			for _, name := range g.commands {
				if c := commandNamed(cmd, name); c != nil {
					one.commands = append(one.commands, c)
					placed[name] = true
				}
			}
			if len(one.commands) > 0 {
				groups = append(groups, one)
			}
		}
	}
	for _, c := range cmd.Commands() {
		if c.IsAvailableCommand() && !placed[c.Name()] {
			rest.commands = append(rest.commands, c)
		}
	}
	if len(rest.commands) > 0 {
		groups = append(groups, rest)
	}
	return groups
}

func commandNamed(cmd *cobra.Command, name string) *cobra.Command {
	for _, c := range cmd.Commands() {
		if c.Name() == name && (c.IsAvailableCommand() || name == "help") {
			return c
		}
	}
	return nil
}

func newHelpCmd() *cobra.Command {
	return &cobra.Command{
		Use:     "help [command]",
		Short:   "Tell how a command is used",
		Example: "  saltmark help chart",
		Args: func(cmd *cobra.Command, args []string) error {
			if found, rest, _ := cmd.Root().Find(args); len(rest) > 0 {
				return noSuchCommand(found, rest[0])
			}
			return nil
		},
		ValidArgsFunction: completeCommands,
		RunE: work(func(cmd *cobra.Command, args []string) error {
			found, _, err := cmd.Root().Find(args)
			if err != nil {
				return err
			}
			return found.Help()
		}),
	}
}
