package main

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// twice names the targets that are built twice, which takes minutes; make
// release-twice does.
const twice = "SALTMARK_RELEASE_TWICE"

func TestTwoReleasesInTwoFoldersAreTheSame(t *testing.T) {
	targets := os.Getenv(twice)
	if targets == "" {
		t.Skip(twice + " names no targets; make release-twice does")
	}
	t.Setenv("SOURCE_DATE_EPOCH", "1935655200")
	var outs []string
	for _, name := range []string{"one", "another/and/a/longer/path"} {
		folder := filepath.Join(t.TempDir(), filepath.FromSlash(name))
		if len(outs) > 0 {
			// An empty cache, or the second build would be a copy of the first.
			t.Setenv("GOCACHE", t.TempDir())
		}
		copySource(t, folder)
		p, err := newPlan(t.Context(), folder, "0.0.0-twice", targets)
		if err != nil {
			t.Fatal(err)
		}
		out := filepath.Join(folder, "dist")
		if err := p.release(t.Context(), out); err != nil {
			t.Fatal(err)
		}
		outs = append(outs, out)
	}
	compare(t, outs[0], outs[1])
	if runtime.GOOS == "linux" && strings.Contains(targets, runtime.GOOS+"/"+runtime.GOARCH) {
		runInContainer(t, filepath.Join(outs[0], "saltmark_0.0.0-twice_linux_"+runtime.GOARCH+".tar.gz"))
	}
}

// copySource copies what git tracks or would track.
func copySource(t *testing.T, to string) {
	t.Helper()
	list, err := git(t.Context(), top, "ls-files", "--cached", "--others", "--exclude-standard")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range strings.Split(list, "\n") {
		text, err := os.ReadFile(filepath.Join(top, name))
		if errors.Is(err, fs.ErrNotExist) {
			continue // deleted, not yet committed
		}
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(to, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func compare(t *testing.T, one, other string) {
	t.Helper()
	entries, err := os.ReadDir(one)
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) < 4 {
		t.Errorf("the release has only %v", entries)
	}
	for _, e := range entries {
		a, err := os.ReadFile(filepath.Join(one, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		b, err := os.ReadFile(filepath.Join(other, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a, b) {
			t.Errorf("%s differs between the two", e.Name())
		}
		t.Logf("%s  %s", sum(a), e.Name())
	}
}

// runInContainer does what the container does: the program is alone in its root, and
// somebody without rights runs it. The sheet names a time zone.
func runInContainer(t *testing.T, archive string) {
	t.Helper()
	root, err := os.MkdirTemp("/tmp", "saltmark-root-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(root) })
	unpack(t, archive, root)
	if err := os.Chmod(root, 0o755); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("/saltmark", "chart", "/sheet.yaml")
	if !confine(cmd, root) {
		t.Log("only root can do without a root of files; not tried")
		return
	}
	var out, words bytes.Buffer
	cmd.Stdout, cmd.Stderr, cmd.Dir, cmd.Env = &out, &words, "/", []string{}
	if err := cmd.Run(); err != nil {
		t.Fatalf("%v: %s", err, words.String())
	}
	if !strings.Contains(out.String(), `"resourceType":"Bundle"`) {
		t.Errorf("no bundle came out: %s", words.String())
	}
}

// unpack takes the program and one sheet out of an archive.
func unpack(t *testing.T, archive, to string) {
	t.Helper()
	packed, err := os.ReadFile(archive)
	if err != nil {
		t.Fatal(err)
	}
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		name := map[string]string{"saltmark": "saltmark", "20-school-child.yaml": "sheet.yaml"}[filepath.Base(h.Name)]
		if name == "" {
			continue
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(to, name), text, 0o755); err != nil {
			t.Fatal(err)
		}
	}
}
