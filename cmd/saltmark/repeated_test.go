package main

import (
	"bytes"
	"context"
	"io"
	"strings"
	"testing"
	"time"
)

// What one line of a stream holds, no other line of it may hold.
func TestASessionTwiceInAStreamIsAnError(t *testing.T) {
	audited := func(args []string, stdin io.Reader) (int, string, []byte) {
		var out, words bytes.Buffer
		e := &env{Args: args, Stdin: stdin, Stdout: &out, Stderr: &words, Now: time.Now, Context: context.Background(), Version: "test"}
		code := follow(e, newRootCmd(e))
		return code, out.String(), out.Bytes()
	}
	code, _, bundle := audited([]string{"chart", "../../testdata/sheets/02-minimal.yaml"}, nil)
	if code != 0 {
		t.Fatalf("chart ends with %d", code)
	}
	if code, out, _ := audited([]string{"audit", "-"}, bytes.NewReader(bundle)); code != 0 {
		t.Errorf("once: exit %d\n%s", code, out)
	}
	code, out, _ := audited([]string{"audit", "-"}, bytes.NewReader(append(bytes.Clone(bundle), bundle...)))
	if code != 1 || !strings.Contains(out, "line-twice") {
		t.Errorf("twice: exit %d\n%s", code, out)
	}
}
