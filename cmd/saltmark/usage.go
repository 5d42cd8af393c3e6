package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// usageError says why a command line cannot be followed.
type usageError struct {
	says    string
	command string // whose help tells more
}

func (e *usageError) Error() string { return e.says }

func usagef(cmd *cobra.Command, format string, args ...any) error {
	return &usageError{says: fmt.Sprintf(format, args...), command: cmd.CommandPath()}
}

// workError marks what a command's work returned, in contrast to what kept the
// command from its work.
type workError struct{ err error }

func (e *workError) Error() string { return e.err.Error() }
func (e *workError) Unwrap() error { return e.err }

// work makes the run of a command out of its job. What the job returns counts as
// the outcome of the work, unless the job found the command line at fault (usagef).
func work(job func(cmd *cobra.Command, args []string) error) func(*cobra.Command, []string) error {
	return func(cmd *cobra.Command, args []string) error {
		err := job(cmd, args)
		if wrong := (*usageError)(nil); err == nil || errors.As(err, &wrong) {
			return err
		}
		return &workError{err}
	}
}

// noArgs is the Args of a command that takes none.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usagef(cmd, "%s takes no argument; %s is given", shortPath(cmd), finding.Quote(args[0]))
	}
	return nil
}

// someArgs is the Args of a command that takes one or more of a kind of thing
// ("a sheet, a folder or -"). Standard input can be read once only.
func someArgs(thing string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return usagef(cmd, "%s wants %s", shortPath(cmd), thing)
		}
		stdin := 0
		for _, arg := range args {
			switch arg {
			case "":
				return usagef(cmd, "%s wants %s; an empty argument is given", shortPath(cmd), thing)
			case standardInput:
				stdin++
			}
		}
		if stdin > 1 {
			return usagef(cmd, "standard input (-) is given %d times; it can be read once", stdin)
		}
		return nil
	}
}

// anyArgs is the Args of a command that takes any number of a kind of thing.
func anyArgs(thing string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if slices.Contains(args, "") {
			return usagef(cmd, "%s takes %s; an empty argument is given", shortPath(cmd), thing)
		}
		return nil
	}
}

// exactly is the Args of a command that takes a number of a kind of thing ("two files
// of settings").
func exactly(n int, things string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != n || slices.Contains(args, "") {
			return usagef(cmd, "%s wants %s", shortPath(cmd), things)
		}
		return nil
	}
}

// atMost is the Args of a command that takes no more than a number of a kind of thing.
func atMost(n int, thing string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) > n || slices.Contains(args, "") {
			return usagef(cmd, "%s takes at most %d: %s", shortPath(cmd), n, thing)
		}
		return nil
	}
}

// aCommand is the Args of a command that only groups others.
func aCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return usagef(cmd, "a command is wanted: %s", oneOf(commandNames(cmd)))
	}
	return noSuchCommand(cmd, args[0])
}

// shortPath names a command without the program.
func shortPath(cmd *cobra.Command) string {
	_, path, _ := strings.Cut(cmd.CommandPath(), " ")
	return path
}

func noSuchCommand(group *cobra.Command, word string) error {
	near := group.SuggestionsFor(word)
	if one, ok := source.Nearest(word, commandNames(group)); ok && len(near) == 0 {
		near = []string{one}
	}
	for i, name := range near {
		near[i] = finding.Quote(name)
	}
	if len(near) > 0 {
		return usagef(group, "no command %s; did you mean %s?", finding.Quote(word), oneOf(near))
	}
	return usagef(group, "no command %s; %s is wanted", finding.Quote(word), oneOf(commandNames(group)))
}

func commandNames(group *cobra.Command) []string {
	var names []string
	for _, c := range group.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return names
}

// flagError says in our own words what the library found wrong with a flag.
func flagError(e *env) func(*cobra.Command, error) error {
	return func(cmd *cobra.Command, err error) error {
		var (
			unknown *pflag.NotExistError
			empty   *pflag.ValueRequiredError
			invalid *pflag.InvalidValueError
		)
		switch {
		case errors.Is(err, pflag.ErrHelp):
			return err
		case errors.As(err, &unknown):
			word := firstWord(cmd.Root().PersistentFlags(), e.Args)
			if !cmd.HasParent() && word != "" && !slices.Contains(commandNames(cmd), word) {
				return noSuchCommand(cmd, word) // its flags were read before its name was missed
			}
			return noSuchFlag(cmd, unknown)
		case errors.As(err, &empty):
			return usagef(cmd, "the flag --%s wants a value: %s", empty.GetFlag().Name, empty.GetFlag().Value.Type())
		case errors.As(err, &invalid):
			switch v := invalid.GetFlag().Value.(type) {
			case *choice, *jobs, *wholeNumber: // they say it in our words
				return usagef(cmd, "the flag --%s: %v", invalid.GetFlag().Name, v.Set(invalid.GetValue()))
			}
			return usagef(cmd, "the flag --%s: %s is given; a value of the kind %s is wanted",
				invalid.GetFlag().Name, finding.Quote(invalid.GetValue()), invalid.GetFlag().Value.Type())
		}
		return usagef(cmd, "a flag is written as --name, --name=value or --name value")
	}
}

// noSuchFlag names the flag that was most likely meant.
func noSuchFlag(cmd *cobra.Command, unknown *pflag.NotExistError) error {
	var names []string
	cmd.Flags().VisitAll(func(f *pflag.Flag) { // with those of every command, once the flags are read
		if !f.Hidden {
			names = append(names, f.Name)
		}
	})
	if near, ok := source.Nearest(unknown.GetSpecifiedName(), names); ok {
		return usagef(cmd, "no flag %s; did you mean \"--%s\"?", flagName(unknown), near)
	}
	if slices.Contains(commandNames(cmd.Root()), unknown.GetSpecifiedName()) { // such as --version
		return usagef(cmd, "no flag %s; did you mean \"%s %s\"?", flagName(unknown), cmd.Root().Name(), unknown.GetSpecifiedName())
	}
	return usagef(cmd, "no flag %s", flagName(unknown))
}

func flagName(e *pflag.NotExistError) string {
	if e.GetSpecifiedShortnames() != "" {
		return finding.Quote("-" + e.GetSpecifiedName())
	}
	return finding.Quote("--" + e.GetSpecifiedName())
}

// firstWord gives the first argument that is neither a flag nor the value of one
// of the flags known.
func firstWord(known *pflag.FlagSet, args []string) string {
	for i := 0; i < len(args); i++ {
		name, isFlag := strings.CutPrefix(args[i], "--")
		switch {
		case args[i] == "--":
			return ""
		case isFlag:
			if f := known.Lookup(name); f != nil && f.NoOptDefVal == "" {
				i++
			}
		case !strings.HasPrefix(args[i], "-"):
			return args[i]
		}
	}
	return ""
}
