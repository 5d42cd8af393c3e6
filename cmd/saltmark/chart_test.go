package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"
)

const plainSheet = "../../testdata/sheets/01-plain-infant.yaml"

func TestABundleIsForItsOwnerAlone(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("files have no such modes there")
	}
	folder := filepath.Join(t.TempDir(), "above", "charted")
	e, _, stderr := trial("chart", "--out", folder, plainSheet)
	if code := follow(e, newRootCmd(e)); code != exitFine {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	for path, want := range map[string]os.FileMode{
		filepath.Join(folder, "demo-2031-0001.json"): 0o600,
		folder:               0o700,
		filepath.Dir(folder): 0o700,
	} {
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		if got := info.Mode().Perm(); got != want {
			t.Errorf("%s has mode %o, want %o", path, got, want)
		}
	}
}

// The interrupt comes while standard input is read, between the two sheets.
func TestAnInterruptLeavesNoPartOfAFile(t *testing.T) {
	folder := t.TempDir()
	e, _, stderr := trial("chart", "--out", folder, "-", plainSheet)
	ctx, cancel := context.WithCancel(context.Background())
	e.Context = ctx
	text, err := os.ReadFile(plainSheet)
	if err != nil {
		t.Fatal(err)
	}
	e.Stdin = interrupting{bytes.NewReader(text), cancel}
	if code, want := follow(e, newRootCmd(e)), "0 of 2 sheets: 0 charted, 0 refused, 0 not read or written\nsaltmark: interrupted\n"; code != exitFailed || stderr.String() != want {
		t.Errorf("exit code %d, %q, want %q", code, stderr, want)
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) > 0 {
		t.Errorf("the folder holds %v, error %v", left, err)
	}
}

// interrupting cancels as soon as it is read.
type interrupting struct {
	from   *bytes.Reader
	cancel func()
}

func (i interrupting) Read(p []byte) (int, error) {
	i.cancel()
	return i.from.Read(p)
}

// As with `saltmark chart | head`: whoever reads has gone.
func TestAReaderThatWentAwayIsNoNoise(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a broken pipe is no signal there")
	}
	read, write, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	read.Close()
	defer write.Close()
	var words bytes.Buffer
	cmd := program(t, "chart", "--lines", "../../testdata/sheets")
	cmd.Stdout, cmd.Stderr = write, &words
	err = cmd.Run()
	if ended := (*exec.ExitError)(nil); !errors.As(err, &ended) {
		t.Errorf("the program ended with %v, though nobody read what it wrote", err)
	}
	if words.Len() > 0 {
		t.Errorf("words on standard error: %s", words.String())
	}
}
