package outfile

import (
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

// A disk that fails is played by a temporary file that is closed underneath.
func TestAFailedWriteCannotBeCommitted(t *testing.T) {
	folder := t.TempDir()
	f, err := Create(filepath.Join(folder, "out.json"))
	if err != nil {
		t.Fatal(err)
	}
	f.temporary.Close()
	if _, err := f.Write([]byte("x")); err == nil {
		t.Error("written to a closed file")
	}
	if err := f.Commit(); err == nil {
		t.Error("committed after a failed write")
	}
	left(t, folder)
}

func TestAFailedSyncLeavesNothing(t *testing.T) {
	folder := t.TempDir()
	f, err := Create(filepath.Join(folder, "out.json"))
	if err != nil {
		t.Fatal(err)
	}
	f.temporary.Close()
	if err := f.Commit(); err == nil {
		t.Error("committed a file that could not be made durable")
	}
	left(t, folder)
}

func TestAnErrorNamesTheFinalFileAndNotTheTemporaryOne(t *testing.T) {
	cause := &fs.PathError{Op: "write", Path: "/t/.saltmark-1.part", Err: fs.ErrPermission}
	if got, want := failure("cannot write {1}: {2}", "out.json", cause).Error(), `cannot write "out.json": permission denied`; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	link := &os.LinkError{Op: "rename", Old: "a", New: "b", Err: fs.ErrExist}
	if got, want := failure("cannot finish {1}: {2}", "out.json", link).Error(), `cannot finish "out.json": file already exists`; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func left(t *testing.T, folder string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil || len(entries) > 0 {
		t.Errorf("left behind: %v, %v", entries, err)
	}
}
