package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"
)

// patience is how long a test waits for what must come.
const patience = time.Minute

// manySheets gives a folder with copies of the plain infant's sheet, each of a
// session of its own.
func manySheets(t testing.TB, n int) string {
	t.Helper()
	text, err := os.ReadFile(plainSheet)
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	for i := range n {
		sheet := bytes.Replace(text, []byte("demo-2031-0001"), fmt.Appendf(nil, "demo-2031-%06d", i), 1)
		if err := os.WriteFile(filepath.Join(folder, fmt.Sprintf("%06d.yaml", i)), sheet, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return folder
}

// program gives the program as a process would run it; testscript.Main puts it there.
func program(t testing.TB, args ...string) *exec.Cmd {
	t.Helper()
	path, err := exec.LookPath("saltmark")
	if err != nil {
		t.Fatal(err)
	}
	return exec.Command(path, args...)
}

// interrupted starts a program, waits until it has come so far, interrupts it and
// gives its exit code.
func interrupted(t *testing.T, cmd *exec.Cmd, soFar func() bool) int {
	t.Helper()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	late := time.AfterFunc(patience, func() { cmd.Process.Kill() })
	defer late.Stop()
	for begun := time.Now(); !soFar() && time.Since(begun) < patience; {
		time.Sleep(time.Millisecond)
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	err := cmd.Wait()
	if ended := (*exec.ExitError)(nil); err != nil && !errors.As(err, &ended) {
		t.Fatal(err)
	}
	return cmd.ProcessState.ExitCode()
}

func TestAnInterruptAmidManySheetsLeavesWholeFilesOnly(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be interrupted there")
	}
	const sheets = 500
	folder := filepath.Join(t.TempDir(), "charted")
	cmd := program(t, "chart", "--out", folder, manySheets(t, sheets))
	var words bytes.Buffer
	cmd.Stderr = &words
	code := interrupted(t, cmd, func() bool {
		files, _ := os.ReadDir(folder)
		return len(files) > 3
	})
	if said := regexp.MustCompile(`^\d+ of 500 sheets: \d+ charted, 0 refused, 0 not read or written\n  \d+ final\nFiles: \d+ new\nThe flow is:\n  \d+ blood flow [^\n]*\n\d+ sheets in [^\n]*\nsaltmark: interrupted\n$`); code != exitFailed || !said.MatchString(words.String()) {
		t.Errorf("exit code %d, %s", code, words.String())
	}
	files, err := os.ReadDir(folder)
	if err != nil || len(files) == 0 || len(files) == sheets {
		t.Fatalf("%d files, error %v", len(files), err)
	}
	if want := fmt.Sprintf(": %d charted", len(files)); !strings.Contains(words.String(), want) {
		t.Errorf("%d files are there: %s", len(files), words.String())
	}
	for _, file := range files {
		text, err := os.ReadFile(filepath.Join(folder, file.Name()))
		if err != nil || !json.Valid(text) || !strings.HasPrefix(file.Name(), "demo-2031-") {
			t.Errorf("%s is no whole bundle, error %v", file.Name(), err)
		}
	}
}

// Somebody types "saltmark chart -", and nothing more.
func TestAnInterruptEndsTheWaitForStandardInput(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be interrupted there")
	}
	for _, command := range []string{"chart", "audit"} {
		cmd := program(t, command, "--log-level=debug", "-")
		typed, err := cmd.StdinPipe()
		if err != nil {
			t.Fatal(err)
		}
		var words bytes.Buffer
		cmd.Stderr = &words
		code := interrupted(t, cmd, func() bool {
			_, err := io.WriteString(typed, strings.Repeat(" ", 1<<18)) // more than a pipe holds: somebody reads
			return err == nil
		})
		if code != exitFailed || !strings.HasSuffix(words.String(), "\nsaltmark: interrupted\n") {
			t.Errorf("%s: exit code %d, %s", command, code, words.String())
		}
	}
}
