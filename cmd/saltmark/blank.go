package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"saltmark/internal/outfile"
	"saltmark/internal/sheet"
)

// blankFlags are those of the command blank.
type blankFlags struct {
	options sheet.BlankOptions
	out     string
}

func newBlankCmd(e *env) *cobra.Command {
	var f blankFlags
	cmd := &cobra.Command{
		Use:   "blank",
		Short: "Write an empty session sheet to fill in",
		Long: `blank writes an empty session sheet with a comment at every key: what it is, how
it is written, which words it may have. It holds no value and no example of one. As
long as a key that is in use stays empty, the sheet is not charted.

With --short it has only what every sheet needs.`,
		Example: `  saltmark blank --out new-sheet.yaml
  saltmark blank --short --injections 3 > bedside.yaml`,
		Args: noArgs,
		RunE: work(func(cmd *cobra.Command, _ []string) error { return f.run(cmd, e) }),
	}
	flags := cmd.Flags()
	flags.IntVar(&f.options.Injections, "injections", 2, fmt.Sprintf("how many injections there is room for, up to %d", sheet.MostBlankInjections))
	flags.BoolVar(&f.options.Short, "short", false, "only what every sheet needs")
	flags.StringVar(&f.out, "out", "", "file to write instead of standard output; one that is there is never replaced")
	return cmd
}

func (f *blankFlags) run(cmd *cobra.Command, e *env) error {
	text, err := sheet.Blank(f.options)
	if err != nil {
		return usagef(cmd, "--injections: %v", err)
	}
	if f.out == "" {
		if _, err := e.Stdout.Write(text); err != nil {
			return fmt.Errorf("write the empty sheet: %w", err)
		}
		return nil
	}
	switch _, err := os.Lstat(f.out); {
	case err == nil:
		return fmt.Errorf("%s is there already; nothing was written", f.out)
	case !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("cannot look for %s: %w", f.out, err)
	}
	return outfile.Write(f.out, text)
}
