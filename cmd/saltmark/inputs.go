package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// standardInput is the argument that stands for it.
const standardInput = "-"

// input is one document that a command works on.
type input struct {
	name string // as shown: a path, or "-"
	path string // "" for standard input
	err  error  // why there is nothing to read, known before
}

// open begins the reading. An interrupt ends it.
func (in input) open(e *env) (io.ReadCloser, error) {
	switch {
	case in.err != nil:
		return nil, in.err
	case in.path == "":
		return interruptible(e.Context, e.Stdin), nil
	}
	f, err := os.Open(in.path)
	if err != nil {
		return nil, describe("open", err)
	}
	if info, err := f.Stat(); err == nil && !info.Mode().IsRegular() && !info.IsDir() { // such as a pipe
		return interruptible(e.Context, f), nil
	}
	return f, nil
}

// read gives the whole text, of at most limit bytes and one more.
func (in input) read(e *env, limit int) ([]byte, error) {
	r, err := in.open(e)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	text, err := readUpTo(r, limit)
	if err != nil {
		return nil, in.failed(err)
	}
	return text, nil
}

// failed says that the reading of the input failed.
func (in input) failed(err error) error {
	if in.path == "" {
		return fmt.Errorf("cannot read standard input: %w", err)
	}
	return describe("read", err)
}

// readUpTo reads one byte more than the limit, so that the reader of the text
// sees that it is too long and says so.
func readUpTo(r io.Reader, limit int) ([]byte, error) {
	return io.ReadAll(io.LimitReader(r, int64(limit)+1))
}

// interruptible reads from r until the context ends, also while r waits for
// somebody to type.
func interruptible(ctx context.Context, r io.Reader) io.ReadCloser {
	out, in := io.Pipe()
	go func() {
		_, err := io.Copy(in, r)
		in.CloseWithError(err)
	}()
	context.AfterFunc(ctx, func() { in.CloseWithError(context.Cause(ctx)) })
	return out
}

// inputsOf lists the documents that arguments name: files, folders (their own files
// with one of the endings, sorted by name, neither hidden ones nor those of folders
// below) and "-" for standard input. An argument that names nothing to read is one
// input that says so, for the others are worked on all the same.
func inputsOf(args []string, endings ...string) []input {
	var all []input
	for _, arg := range args {
		info, err := os.Stat(arg)
		switch {
		case arg == standardInput:
			all = append(all, input{name: arg})
		case err != nil:
			all = append(all, input{name: arg, path: arg, err: describe("open", err)})
		case info.IsDir():
			all = append(all, folderInputs(arg, endings)...)
		default:
			all = append(all, input{name: arg, path: arg})
		}
	}
	return all
}

func folderInputs(folder string, endings []string) []input {
	entries, err := os.ReadDir(folder) // sorted by name
	if err != nil {
		return []input{{name: folder, path: folder, err: describe("read the folder", err)}}
	}
	var all []input
	for _, entry := range entries {
		if isDocument(entry, endings) {
			path := filepath.Join(folder, entry.Name())
			all = append(all, input{name: path, path: path})
		}
	}
	if len(all) == 0 {
		err := fmt.Errorf("the folder %s holds no file that ends in %s", shownPath(folder), oneOf(endings))
		return []input{{name: folder, path: folder, err: err}}
	}
	return all
}

func isDocument(entry os.DirEntry, endings []string) bool {
	ordinary := entry.Type().IsRegular() || entry.Type()&os.ModeSymlink != 0
	hidden := strings.HasPrefix(entry.Name(), ".")
	return ordinary && !hidden && slices.Contains(endings, strings.ToLower(filepath.Ext(entry.Name())))
}

// describe says what could not be done to which file, in our words.
func describe(doing string, err error) error {
	var failed *os.PathError
	if errors.As(err, &failed) {
		return fmt.Errorf("cannot %s %s: %w", doing, shownPath(failed.Path), failed.Err)
	}
	return fmt.Errorf("cannot %s: %w", doing, err)
}

// cause gives what an error about a path says without the path.
func cause(err error) error {
	var failed *os.PathError
	if errors.As(err, &failed) {
		return failed.Err
	}
	return err
}

// shownPath quotes a path that holds characters which cannot be printed.
func shownPath(path string) string {
	if utf8.ValidString(path) && strings.IndexFunc(path, func(r rune) bool { return !unicode.IsPrint(r) }) < 0 {
		return path
	}
	return strconv.QuoteToASCII(path)
}
