// Package outfile writes a whole file or none.
//
// What is written goes to a temporary file in the folder of the final one; Commit
// makes it durable (fsync), gives it its name in one step (rename) and makes the
// name durable (fsync of the folder). Until then the final name holds what it held
// before, whatever happens: an error, a cancelled context, a killed program, a
// power cut. A killed program may leave a temporary file behind, hidden, named
// .saltmark-*.part; no other trace.
//
// Files are for their owner only (0600, also where a file of other rights is
// replaced), folders that have to be made too (0700). A folder, a device or a
// symbolic link is never replaced and never followed as the final name; links on
// the way to its folder are the system's own matter.
//
// The package refuses to know what it writes. SafeName makes a file name of a
// session's identifier.
//
// Limit: on Windows a folder cannot be made durable by itself; there the rename is
// left to the file system.
package outfile

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"sync"

	"saltmark/internal/finding"
)

// File is a file on its way. It is safe for use by several goroutines.
type File struct {
	ctx  context.Context
	path string
	stop func() bool // ends the watch over ctx

	mu        sync.Mutex
	temporary *os.File // nil once committed or given up
	failed    error    // why nothing can be committed any more
}

// Write puts data under path, whole or not at all.
func Write(path string, data []byte) error {
	f, err := Create(path)
	if err != nil {
		return err
	}
	defer f.Abort()
	if _, err := f.Write(data); err != nil {
		return err
	}
	return f.Commit()
}

// Create begins a file. It ends with Commit or Abort; a deferred Abort does
// nothing after a Commit.
func Create(path string) (*File, error) { return CreateContext(context.Background(), path) }

// CreateContext begins a file that is given up as soon as ctx is done.
func CreateContext(ctx context.Context, path string) (*File, error) {
	if err := context.Cause(ctx); err != nil {
		return nil, failure("cannot begin {1}: {2}", path, err)
	}
	if err := checkTarget(path); err != nil {
		return nil, err
	}
	folder := filepath.Dir(path)
	if err := makeFolders(folder); err != nil {
		return nil, failure("cannot make the folder of {1}: {2}", path, err)
	}
	temporary, err := os.CreateTemp(folder, ".saltmark-*.part")
	if err != nil {
		return nil, failure("cannot begin {1}: {2}", path, err)
	}
	f := &File{ctx: ctx, path: path, temporary: temporary}
	f.stop = context.AfterFunc(ctx, f.cancel)
	return f, nil
}

// Write adds data to the file.
func (f *File) Write(data []byte) (int, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.usable(); err != nil {
		return 0, failure("cannot write {1}: {2}", f.path, err)
	}
	n, err := f.temporary.Write(data)
	if err != nil {
		f.giveUp(err)
		return n, failure("cannot write {1}: {2}", f.path, err)
	}
	return n, nil
}

// Commit puts the file under its final name. After an error the final name holds
// what it held before, with one exception: where only the folder could not be made
// durable, the new file is there but may be lost in a power cut.
func (f *File) Commit() error {
	f.stop()
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.usable(); err != nil {
		return failure("cannot finish {1}: {2}", f.path, err)
	}
	if err := f.publish(); err != nil {
		f.giveUp(err)
		return failure("cannot finish {1}: {2}", f.path, err)
	}
	f.temporary, f.failed = nil, fs.ErrClosed
	if err := syncFolder(filepath.Dir(f.path)); err != nil {
		return failure("cannot make durable the name of {1}: {2}", f.path, err)
	}
	return nil
}

// Abort gives the file up; nothing is left of it. After Commit or Abort it does
// nothing.
func (f *File) Abort() error {
	f.stop()
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.giveUp(fs.ErrClosed); err != nil {
		return failure("cannot remove what was begun of {1}: {2}", f.path, err)
	}
	return nil
}

// cancel is called when the context is done.
func (f *File) cancel() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.giveUp(context.Cause(f.ctx))
}

// usable tells why the file takes nothing more. It looks at the context itself
// too, which may be done before cancel was called.
func (f *File) usable() error {
	if f.failed == nil {
		if err := context.Cause(f.ctx); err != nil {
			f.giveUp(err)
		}
	}
	return f.failed
}

// publish makes the temporary file durable and renames it.
func (f *File) publish() error {
	if err := f.temporary.Sync(); err != nil {
		return err
	}
	if err := f.temporary.Close(); err != nil {
		return err
	}
	if err := checkTarget(f.path); err != nil {
		return err
	}
	return os.Rename(f.temporary.Name(), f.path)
}

// giveUp removes the temporary file and keeps the first reason.
func (f *File) giveUp(why error) error {
	if f.failed == nil {
		f.failed = why
	}
	if f.temporary == nil {
		return nil
	}
	name := f.temporary.Name()
	f.temporary.Close() // it may be closed already, and its content is not wanted
	f.temporary = nil
	return os.Remove(name)
}

// Check tells what would keep a file from being put under path, as far as can be
// told without writing.
func Check(path string) error { return checkTarget(path) }

// Holds tells whether path is a file for its owner only that holds just these bytes:
// writing them again would change nothing.
func Holds(path string, data []byte) bool {
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() || info.Size() != int64(len(data)) || !forOwnerOnly(info) {
		return false
	}
	held, err := os.ReadFile(path)
	return err == nil && bytes.Equal(held, data)
}

// forOwnerOnly: Windows has no such modes.
func forOwnerOnly(info fs.FileInfo) bool {
	return runtime.GOOS == "windows" || info.Mode().Perm() == 0o600
}

// checkTarget refuses a path that names no file or names something else.
func checkTarget(path string) error {
	if path == "" || os.IsPathSeparator(path[len(path)-1]) || filepath.Base(path) == "." || filepath.Base(path) == ".." {
		return finding.Refuse("{1} names no file", quoted(path))
	}
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return failure("cannot look at {1}: {2}", path, err)
	case info.IsDir():
		return finding.Refuse("{1} is a folder; a file is wanted", quoted(path))
	case info.Mode()&fs.ModeSymlink != 0:
		return finding.Refuse("{1} is a symbolic link, which is neither followed nor replaced; name the file itself", quoted(path))
	case !info.Mode().IsRegular():
		return finding.Refuse("{1} is no ordinary file; it is not replaced", quoted(path))
	}
	return nil
}

// failure says what could not be done with which file. Of an error that names a
// path itself only the cause is kept: the path may be that of a temporary file.
func failure(says finding.Text, path string, err error) error {
	var onPath *fs.PathError
	var onLink *os.LinkError
	switch {
	case errors.As(err, &onPath):
		err = onPath.Err
	case errors.As(err, &onLink):
		err = onLink.Err
	}
	return finding.Because(err, says, quoted(path), finding.Reason(err))
}

// quoted shows a path whole, however long, without raw control characters.
func quoted(path string) finding.Text { return finding.Data(strconv.Quote(path)) }
