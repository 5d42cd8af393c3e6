package outfile_test

import (
	"context"
	"errors"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"saltmark/internal/outfile"
)

// holds fails where the folder holds anything but the named files.
func holds(t *testing.T, folder string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("the folder holds %q, want %q", got, want)
	}
}

func content(t *testing.T, path, want string) {
	t.Helper()
	got, err := os.ReadFile(path)
	if err != nil || string(got) != want {
		t.Errorf("%s holds %q, %v; want %q", filepath.Base(path), got, err, want)
	}
}

func TestAFileIsThereOnlyAfterCommit(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "out.json")
	f, err := outfile.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{"one ", "two"} {
		if _, err := f.Write([]byte(part)); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("before commit: %v", err)
	}
	if err := f.Commit(); err != nil {
		t.Fatal(err)
	}
	if err := f.Abort(); err != nil {
		t.Errorf("abort after commit: %v", err)
	}
	content(t, path, "one two")
	holds(t, folder, "out.json")
}

func TestAbortLeavesWhatWasThereBefore(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "out.json")
	if err := outfile.Write(path, []byte("old")); err != nil {
		t.Fatal(err)
	}
	f, err := outfile.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write([]byte("new")); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if err := f.Abort(); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := f.Write([]byte("more")); !errors.Is(err, fs.ErrClosed) {
		t.Errorf("write after abort: %v", err)
	}
	if err := f.Commit(); !errors.Is(err, fs.ErrClosed) {
		t.Errorf("commit after abort: %v", err)
	}
	content(t, path, "old")
	holds(t, folder, "out.json")
}

func TestASecondCommitDoesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.json")
	f, err := outfile.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Commit(); err != nil {
		t.Fatal(err)
	}
	if err := f.Commit(); !errors.Is(err, fs.ErrClosed) {
		t.Errorf("%v", err)
	}
	content(t, path, "")
}

func TestACancelledContextLeavesNothing(t *testing.T) {
	reason := errors.New("interrupted")
	for _, c := range []struct {
		name string
		then func(*outfile.File) error
	}{
		{"write", func(f *outfile.File) error { _, err := f.Write([]byte("more")); return err }},
		{"commit", (*outfile.File).Commit},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder := t.TempDir()
			path := filepath.Join(folder, "out.json")
			ctx, cancel := context.WithCancelCause(t.Context())
			f, err := outfile.CreateContext(ctx, path)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := f.Write([]byte("half")); err != nil {
				t.Fatal(err)
			}
			cancel(reason)
			if err := c.then(f); !errors.Is(err, reason) {
				t.Errorf("%v, want %v", err, reason)
			}
			holds(t, folder)
			if _, err := outfile.CreateContext(ctx, path); !errors.Is(err, reason) {
				t.Errorf("begun after cancelling: %v", err)
			}
		})
	}
}

func TestACancelledContextDoesNotUndoACommit(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.json")
	ctx, cancel := context.WithCancel(t.Context())
	f, err := outfile.CreateContext(ctx, path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write([]byte("whole")); err != nil {
		t.Fatal(err)
	}
	if err := f.Commit(); err != nil {
		t.Fatal(err)
	}
	cancel()
	if err := f.Abort(); err != nil {
		t.Fatal(err)
	}
	content(t, path, "whole")
}

func TestFilesAndNewFoldersAreForTheirOwnerOnly(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no permission bits there")
	}
	root := t.TempDir()
	replaced := filepath.Join(root, "old.json")
	if err := os.WriteFile(replaced, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	deep := filepath.Join(root, "a", "b", "out.json")
	for _, path := range []string{replaced, deep} {
		if err := outfile.Write(path, []byte("x")); err != nil {
			t.Fatal(err)
		}
	}
	for path, want := range map[string]fs.FileMode{
		replaced: 0o600, deep: 0o600,
		filepath.Join(root, "a"): fs.ModeDir | 0o700, filepath.Join(root, "a", "b"): fs.ModeDir | 0o700,
	} {
		info, err := os.Lstat(path)
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode() != want {
			t.Errorf("%s: %v, want %v", path, info.Mode(), want)
		}
	}
}

func TestOnlyAnOrdinaryFileIsReplaced(t *testing.T) {
	root := t.TempDir()
	target := filepath.Join(root, "target")
	if err := os.WriteFile(target, []byte("kept"), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, put := range map[string]func(string) error{
		"folder":         func(p string) error { return os.Mkdir(p, 0o700) },
		"link":           func(p string) error { return os.Symlink(target, p) },
		"dangling link":  func(p string) error { return os.Symlink(filepath.Join(root, "nowhere"), p) },
		"link to folder": func(p string) error { return os.Symlink(root, p) },
		"socket": func(p string) error {
			listener, err := net.Listen("unix", p)
			if err == nil {
				t.Cleanup(func() { listener.Close() })
			}
			return err
		},
	} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			path := filepath.Join(folder, "out.json")
			if err := put(path); err != nil {
				t.Skip(err)
			}
			before, err := os.Lstat(path)
			if err != nil {
				t.Fatal(err)
			}
			if err := outfile.Write(path, []byte("new")); err == nil {
				t.Error("it was replaced or followed")
			}
			if after, err := os.Lstat(path); err != nil || after.Mode() != before.Mode() {
				t.Errorf("it is now %v, %v", after, err)
			}
			holds(t, folder, "out.json")
		})
	}
	content(t, target, "kept")
	holds(t, root, "target")
}

// A link that comes between Create and Commit is not followed either.
func TestALinkThatAppearsMeanwhileIsRefused(t *testing.T) {
	folder, elsewhere := t.TempDir(), filepath.Join(t.TempDir(), "kept")
	if err := os.WriteFile(elsewhere, []byte("kept"), 0o600); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, "out.json")
	f, err := outfile.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(elsewhere, path); err != nil {
		t.Skip(err)
	}
	if err := f.Commit(); err == nil {
		t.Error("committed over a link")
	}
	content(t, elsewhere, "kept")
	holds(t, folder, "out.json")
}

func TestAPathThatNamesNoFileIsRefused(t *testing.T) {
	folder := t.TempDir()
	for _, path := range []string{"", ".", "..", folder + "/", folder + "/new/", folder + "/..", folder + "/."} {
		if err := outfile.Write(path, []byte("x")); err == nil {
			t.Errorf("%q was written", path)
		}
	}
	holds(t, folder)
}

func TestAFileInTheWayOfAFolderIsToldWithThePath(t *testing.T) {
	folder := t.TempDir()
	if err := outfile.Write(filepath.Join(folder, "a"), nil); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, "a", "b", "out.json")
	err := outfile.Write(path, []byte("x"))
	if err == nil || !strings.Contains(err.Error(), path) {
		t.Errorf("%v, want an error that names %s", err, path)
	}
	holds(t, folder, "a")
}
