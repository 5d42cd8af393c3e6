package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// eachCommand calls f for every command of the tree, the hidden ones too.
func eachCommand(f func(*cobra.Command)) {
	e, _, _ := trial()
	var walk func(*cobra.Command)
	walk = func(cmd *cobra.Command) {
		f(cmd)
		for _, c := range cmd.Commands() {
			walk(c)
		}
	}
	walk(newRootCmd(e))
}

func TestEachPageOfTheHelpFitsInEightyColumns(t *testing.T) {
	t.Setenv("COLUMNS", "")
	eachCommand(func(cmd *cobra.Command) {
		var b bytes.Buffer
		cmd.Root().SetOut(&b)
		if err := cmd.Help(); err != nil || b.Len() == 0 {
			t.Fatalf("%s: %v", cmd.CommandPath(), err)
		}
		for line := range strings.Lines(b.String()) {
			if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > 80 || strings.TrimRight(line, " \n") != strings.TrimRight(line, "\n") {
				t.Errorf("%s --help: %d columns, or blanks at the end: %q", cmd.CommandPath(), n, line)
			}
		}
	})
}

func TestEachCommandHasItsPlaceInTheHelpAndAnExample(t *testing.T) {
	grouped := map[string]bool{}
	for _, g := range commandGroups {
		for _, name := range g.commands {
			grouped[name] = true
		}
	}
	eachCommand(func(cmd *cobra.Command) {
		if cmd.Parent() == cmd.Root() && !cmd.Hidden && !grouped[cmd.Name()] {
			t.Errorf("%s is in no group of the help (commandGroups in help.go)", cmd.CommandPath())
		}
		if !cmd.HasSubCommands() && cmd.Example == "" {
			t.Errorf("%s has no example in its help", cmd.CommandPath())
		}
	})
}

// What a flag takes is said by a word, and completed by a shell.
func TestShellsAreToldWhatEachFlagTakes(t *testing.T) {
	free := map[string]bool{"date": true, "monitor": true, "unit": true} // nothing can be offered
	eachCommand(func(cmd *cobra.Command) {
		cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if valueWord(f) == "TEXT" && !free[f.Name] {
				t.Errorf("%s --%s: a shell is told nothing of what it takes (completions in complete.go)", cmd.CommandPath(), f.Name)
			}
		})
	})
	for _, c := range completions {
		found := false
		eachCommand(func(cmd *cobra.Command) {
			found = found || (c.command == "" || c.command == cmd.Name()) && (c.flag == "" || cmd.LocalFlags().Lookup(c.flag) != nil)
		})
		if !found {
			t.Errorf("complete.go has a line for %q --%s, which is not there", c.command, c.flag)
		}
	}
}

// The requests of troff that a page uses; anything else at the start of a line would be
// text that went astray.
var troffRequest = regexp.MustCompile(`^\.(TH|SH|TP|PP|nf|fi)\b`)

func TestManualPagesAreTheSameEachTimeAndHoldNoStrayRequest(t *testing.T) {
	one, two := t.TempDir(), t.TempDir()
	for _, folder := range []string{one, two} {
		e, stdout, stderr := trial("man", "--date", "2031-04-05", "--out", folder)
		if code := follow(e, newRootCmd(e)); code != exitFine || stdout.Len()+stderr.Len() > 0 {
			t.Fatalf("exit code %d: %s", code, stderr)
		}
	}
	pages, err := os.ReadDir(one)
	if err != nil || len(pages) < 8 {
		t.Fatalf("%d pages, error %v", len(pages), err)
	}
	for _, page := range pages {
		text, err := os.ReadFile(filepath.Join(one, page.Name()))
		again, errAgain := os.ReadFile(filepath.Join(two, page.Name()))
		if err != nil || errAgain != nil || !bytes.Equal(text, again) || !bytes.HasPrefix(text, []byte(".TH SALTMARK")) || !bytes.Contains(text, []byte(`1 "2031-04-05" "saltmark 1.2.3"`)) {
			t.Errorf("%s: %v, %v", page.Name(), err, errAgain)
		}
		for line := range strings.Lines(string(text)) {
			if strings.HasPrefix(line, "'") || strings.HasPrefix(line, ".") && !troffRequest.MatchString(line) {
				t.Errorf("%s: %q", page.Name(), line)
			}
		}
		groff, err := exec.LookPath("groff")
		if err != nil {
			continue
		}
		cmd := exec.Command(groff, "-man", "-Tutf8", "-ww", "-z", filepath.Join(one, page.Name()))
		if words, err := cmd.CombinedOutput(); err != nil || len(words) > 0 {
			t.Errorf("%s: %v, %s", page.Name(), err, words)
		}
	}
}

func TestTextThatLooksLikeARequestIsText(t *testing.T) {
	for text, want := range map[string]string{".SH x": `\&.SH x`, "'quoted'": `\&'quoted'`, `a\b --out`: `a\eb \-\-out`} {
		if got := troff(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
