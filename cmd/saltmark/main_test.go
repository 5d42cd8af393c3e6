package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/spf13/cobra"

	"saltmark/internal/finding"
)

// trial is an env whose output can be read.
func trial(args ...string) (e *env, stdout, stderr *bytes.Buffer) {
	stdout, stderr = &bytes.Buffer{}, &bytes.Buffer{}
	return &env{
		Args: args, Stdin: strings.NewReader(""), Stdout: stdout, Stderr: stderr,
		Now:     func() time.Time { return time.Date(2031, 4, 5, 6, 7, 8, 0, time.UTC) },
		Context: context.Background(), Version: "1.2.3",
	}, stdout, stderr
}

// withJob is the whole tree and one command more, "try", that does the job.
func withJob(e *env, job func(cmd *cobra.Command, args []string) error) *cobra.Command {
	root := newRootCmd(e)
	root.AddCommand(&cobra.Command{Use: "try", Args: noArgs, RunE: work(job)})
	return root
}

func TestTheExitCodeSaysWhatKindOfOutcomeItWas(t *testing.T) {
	for _, c := range []struct {
		name   string
		args   []string
		job    error
		want   int
		stderr string
	}{
		{"fine", []string{"try"}, nil, exitFine, ""},
		{"a finding", []string{"try"}, errFindings, exitFinding, ""},
		{"a finding, wrapped", []string{"try"}, fmt.Errorf("2 sheets: %w", errFindings), exitFinding, ""},
		{"work that failed", []string{"try"}, errors.New("no space left"), exitFailed, "saltmark: no space left\n"},
		{"an argument too many", []string{"try", "this"}, nil, exitUsage, "saltmark: try takes no argument; \"this\" is given\nTo read more: saltmark try --help\n"},
		{"usage found out by the job", []string{"try"}, &usageError{"several sheets want --out", "saltmark try"}, exitUsage, "saltmark: several sheets want --out\nTo read more: saltmark try --help\n"},
	} {
		e, stdout, stderr := trial(c.args...)
		got := follow(e, withJob(e, func(*cobra.Command, []string) error { return c.job }))
		if got != c.want || stderr.String() != c.stderr || stdout.Len() > 0 {
			t.Errorf("%s: exit code %d, want %d; stderr %q, want %q; stdout %q", c.name, got, c.want, stderr, c.stderr, stdout)
		}
	}
}

func TestAnInterruptIsNoFaultOfTheData(t *testing.T) {
	e, _, stderr := trial("try")
	ctx, cancel := context.WithCancel(context.Background())
	e.Context = ctx
	got := follow(e, withJob(e, func(cmd *cobra.Command, _ []string) error {
		cancel()
		return fmt.Errorf("read the sheet: %w", cmd.Context().Err())
	}))
	if want := "saltmark: interrupted\n"; got != exitFailed || stderr.String() != want {
		t.Errorf("exit code %d, %q, want %q", got, stderr, want)
	}
}

func TestAPanicReachesTheUserAsOneLineWithoutItsWords(t *testing.T) {
	job := func(*cobra.Command, []string) error { panic("patient Ada") }
	e, _, stderr := trial("try")
	if got := follow(e, withJob(e, job)); got != exitFailed || strings.Count(stderr.String(), "\n") != 1 || strings.Contains(stderr.String(), "Ada") {
		t.Errorf("exit code %d, %s", got, stderr)
	}
	e, _, stderr = trial("try", "--log-level", "debug")
	follow(e, withJob(e, job))
	if !strings.Contains(stderr.String(), "main_test.go") || strings.Contains(stderr.String(), "Ada") {
		t.Errorf("with --log-level debug: %s", stderr)
	}
}

func TestTheLogIsWrittenAsTheFlagsSay(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string
	}{
		{nil, "time=2031-04-05T06:07:08.000Z level=WARN msg=slow sheets=3\n"},
		{[]string{"--log-level=error"}, ""},
		{[]string{"--log-level=info"}, "time=2031-04-05T06:07:08.000Z level=INFO msg=start\ntime=2031-04-05T06:07:08.000Z level=WARN msg=slow sheets=3\n"},
		{[]string{"--log-format=json"}, `{"time":"2031-04-05T06:07:08Z","level":"WARN","msg":"slow","sheets":3}` + "\n"},
	} {
		e, stdout, stderr := trial(append([]string{"try"}, c.args...)...)
		follow(e, withJob(e, func(*cobra.Command, []string) error {
			e.logger().Info("start")
			e.logger().Warn("slow", "sheets", 3)
			return nil
		}))
		if diff := cmp.Diff(c.want, stderr.String()); diff != "" || stdout.Len() > 0 {
			t.Errorf("%q: %s%s", c.args, diff, stdout)
		}
	}
}

func TestVersionNamesTheProgramsOwn(t *testing.T) {
	e, stdout, _ := trial("version")
	if got := follow(e, newRootCmd(e)); got != exitFine || !strings.HasPrefix(stdout.String(), "saltmark    1.2.3\n") {
		t.Errorf("exit code %d, %s", got, stdout)
	}
}

func TestOutputThatCannotBeWrittenIsWorkThatFailed(t *testing.T) {
	e, _, stderr := trial("version")
	e.Stdout = noRoom{}
	if got, want := follow(e, newRootCmd(e)), "saltmark: write the version: no room\n"; got != exitFailed || stderr.String() != want {
		t.Errorf("exit code %d, %q, want %q", got, stderr, want)
	}
}

type noRoom struct{}

func (noRoom) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestFailOnJudgesByTheGravestFinding(t *testing.T) {
	for _, c := range []struct {
		flag  string
		worst finding.Severity
		fails bool
	}{
		{"", 0, false}, {"", finding.Info, false}, {"", finding.Warning, false}, {"", finding.Error, true},
		{"warning", 0, false}, {"warning", finding.Info, false}, {"warning", finding.Warning, true}, {"warning", finding.Error, true},
		{"error", finding.Warning, false}, {"error", finding.Error, true},
	} {
		var limit failOn
		cmd := &cobra.Command{}
		limit.addTo(cmd.Flags())
		if c.flag != "" {
			if err := cmd.Flags().Set("fail-on", c.flag); err != nil {
				t.Fatal(err)
			}
		}
		if err := limit.judge(c.worst); (err != nil) != c.fails || c.fails && !errors.Is(err, errFindings) {
			t.Errorf("--fail-on %q, worst %v: %v", c.flag, c.worst, err)
		}
	}
}

func TestAWrongValueOfFailOnIsUsage(t *testing.T) {
	e, _, stderr := trial("try", "--fail-on", "information")
	root := newRootCmd(e)
	cmd := &cobra.Command{Use: "try", Args: noArgs, RunE: work(func(*cobra.Command, []string) error { return nil })}
	var limit failOn
	limit.addTo(cmd.Flags())
	root.AddCommand(cmd)
	want := "saltmark: the flag --fail-on: \"information\" is given; error or warning is wanted\nTo read more: saltmark try --help\n"
	if got := follow(e, root); got != exitUsage || stderr.String() != want {
		t.Errorf("exit code %d, %q, want %q", got, stderr, want)
	}
}

func TestSomeArgsWantsAtLeastOne(t *testing.T) {
	e, _, stderr := trial("try")
	root := newRootCmd(e)
	root.AddCommand(&cobra.Command{Use: "try", Args: someArgs("a sheet, a folder or -"), RunE: work(func(*cobra.Command, []string) error { return nil })})
	want := "saltmark: try wants a sheet, a folder or -\nTo read more: saltmark try --help\n"
	if got := follow(e, root); got != exitUsage || stderr.String() != want {
		t.Errorf("exit code %d, %q, want %q", got, stderr, want)
	}
	e, _, stderr = trial("try", "a.yaml", "b.yaml")
	root = newRootCmd(e)
	root.AddCommand(&cobra.Command{Use: "try", Args: someArgs("a sheet, a folder or -"), RunE: work(func(*cobra.Command, []string) error { return nil })})
	if got := follow(e, root); got != exitFine {
		t.Errorf("exit code %d, %s", got, stderr)
	}
}

// Without Args a command swallows extra words; without RunE its error is lost; a
// hook before the run would also run for shell completion.
func TestEveryCommandSetsArgsAndKeepsToItsRun(t *testing.T) {
	e, _, _ := trial()
	var walk func(cmd *cobra.Command)
	walk = func(cmd *cobra.Command) {
		if cmd.Args == nil || cmd.RunE == nil {
			t.Errorf("%s sets no Args or no RunE", cmd.CommandPath())
		}
		if cmd.PersistentPreRun != nil || cmd.PersistentPreRunE != nil || cmd.PreRun != nil || cmd.PreRunE != nil {
			t.Errorf("%s has a hook before its run", cmd.CommandPath())
		}
		if cmd.Short == "" || strings.HasSuffix(cmd.Short, ".") {
			t.Errorf("%s: one short line without a full stop is wanted: %q", cmd.CommandPath(), cmd.Short)
		}
		for _, c := range cmd.Commands() {
			walk(c)
		}
	}
	walk(newRootCmd(e))
}
