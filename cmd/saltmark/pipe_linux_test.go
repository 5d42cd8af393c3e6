package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A named pipe that nobody writes into lets its reader wait.
func TestAnInterruptEndsTheWaitForAPipe(t *testing.T) {
	folder := t.TempDir()
	first, pipe, said := filepath.Join(folder, "first.json"), filepath.Join(folder, "pipe.json"), filepath.Join(folder, "said")
	if err := os.WriteFile(first, []byte("{}"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := os.Create(said)
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	var words bytes.Buffer
	cmd := program(t, "audit", first, pipe)
	cmd.Stdout, cmd.Stderr = out, &words
	code := interrupted(t, cmd, func() bool {
		info, err := os.Stat(said)
		return err == nil && info.Size() > 0 // what is wrong with the first file
	})
	if code != exitFailed || !strings.HasSuffix(words.String(), "\nsaltmark: interrupted\n") {
		t.Errorf("exit code %d, %s", code, words.String())
	}
	if info, err := os.Stat(pipe); err != nil || info.Mode()&os.ModeNamedPipe == 0 {
		t.Errorf("the pipe is gone: %v", err)
	}
}
