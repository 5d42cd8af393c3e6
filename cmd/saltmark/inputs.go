package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// standardInput is the argument that stands for it.
const standardInput = "-"

// input is one document that a command works on.
type input struct {
	name string // as shown: a path, or "-"
	path string // "" for standard input
}

// read gives the whole text, of at most limit bytes and one more.
func (in input) read(e *env, limit int64) ([]byte, error) {
	if in.path == "" {
		return readUpTo(e.Stdin, limit)
	}
	f, err := os.Open(in.path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return readUpTo(f, limit)
}

// readUpTo reads one byte more than the limit, so that the reader of the text
// sees that it is too long and says so.
func readUpTo(r io.Reader, limit int64) ([]byte, error) {
	return io.ReadAll(io.LimitReader(r, limit+1))
}

// inputsOf lists the documents that arguments name: files, folders (their own
// files with one of the endings, sorted by name, not those of folders below) and
// "-" for standard input.
func inputsOf(args []string, endings ...string) ([]input, error) {
	var all []input
	for _, arg := range args {
		if arg == standardInput {
			all = append(all, input{name: "-"})
			continue
		}
		info, err := os.Stat(arg)
		if err != nil {
			return nil, describe("open", err)
		}
		if !info.IsDir() {
			all = append(all, input{name: arg, path: arg})
			continue
		}
		files, err := folderInputs(arg, endings)
		if err != nil {
			return nil, err
		}
		all = append(all, files...)
	}
	return all, nil
}

func folderInputs(folder string, endings []string) ([]input, error) {
	entries, err := os.ReadDir(folder) // sorted by name
	if err != nil {
		return nil, describe("read the folder", err)
	}
	var all []input
	for _, entry := range entries {
		if !entry.IsDir() && slices.Contains(endings, strings.ToLower(filepath.Ext(entry.Name()))) {
			path := filepath.Join(folder, entry.Name())
			all = append(all, input{name: path, path: path})
		}
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("the folder %s holds no file that ends in %s", folder, strings.Join(endings, ", "))
	}
	return all, nil
}

// describe says what could not be done to which file, in our words.
func describe(doing string, err error) error {
	var failed *os.PathError
	if errors.As(err, &failed) {
		return fmt.Errorf("cannot %s %s: %w", doing, failed.Path, failed.Err)
	}
	return fmt.Errorf("cannot %s: %w", doing, err)
}
