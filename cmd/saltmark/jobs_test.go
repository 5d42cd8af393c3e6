package main

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Good sheets, bad ones and files that are not there, many times over.
func TestTheNumberOfJobsChangesNoByte(t *testing.T) {
	run := func(args ...string) string {
		e, stdout, stderr := trial(args...)
		code := follow(e, newRootCmd(e))
		if code != exitFailed || stdout.Len() == 0 || stderr.Len() == 0 {
			t.Fatalf("exit code %d, %d and %d bytes", code, stdout.Len(), stderr.Len())
		}
		return stdout.String() + "\n--\n" + stderr.String()
	}
	for _, args := range [][]string{
		{"chart", "--lines", "../../testdata/sheets", "../../testdata/bad", "nowhere.yaml", "../../testdata/sheets/series"},
		{"audit", "../../testdata/bundles", "nowhere.json", "../../testdata/sheets/22-full.yaml"},
	} {
		want := run(append([]string{args[0], "--jobs", "1"}, args[1:]...)...)
		for _, jobs := range []string{"2", "5", "64"} {
			if diff := cmp.Diff(want, run(append([]string{args[0], "--jobs", jobs}, args[1:]...)...)); diff != "" {
				t.Errorf("%s --jobs %s (- with one):\n%s", args[0], jobs, diff)
			}
		}
	}
}

func TestANumberOfJobsIsAWholeNumberFromOne(t *testing.T) {
	for _, word := range []string{"0", "-1", "1025", "two", "1.5", "", "99999999999999999999"} {
		e, _, stderr := trial("chart", "--jobs="+word, plainSheet)
		want := "saltmark: the flag --jobs: \"" + word + "\" is given; a whole number from 1 to 1024 is wanted\nTo read more: saltmark chart --help\n"
		if code := follow(e, newRootCmd(e)); code != exitUsage || stderr.String() != want {
			t.Errorf("%q: exit code %d, %s", word, code, stderr)
		}
	}
}
