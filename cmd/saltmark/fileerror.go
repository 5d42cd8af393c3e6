package main

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// fileError says what is wrong with a file or a folder, in our words, with its name
// between them.
type fileError struct {
	before, name, after string
	err                 error
}

func (f *fileError) Error() string { return f.before + shownPath(f.name) + f.after }

func (f *fileError) Unwrap() error { return f.err }

// describe says what could not be done to the file that an error names.
func describe(doing string, err error) error {
	var failed *os.PathError
	if errors.As(err, &failed) {
		return &fileError{"cannot " + doing + " ", failed.Path, ": " + failed.Err.Error(), failed.Err}
	}
	return fmt.Errorf("cannot %s: %w", doing, err)
}

// named gives an error about the input's file with the name under which that is shown.
func (in input) named(err error) error {
	var f *fileError
	if errors.As(err, &f) && f.name == in.path {
		return &fileError{f.before, in.name, f.after, f.err}
	}
	return err
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
func shownPath(path string) string { return printable(path) }

// printable quotes a text that holds characters which cannot be printed.
func printable(text string) string {
	if utf8.ValidString(text) && strings.IndexFunc(text, func(r rune) bool { return !unicode.IsPrint(r) }) < 0 {
		return text
	}
	return strconv.QuoteToASCII(text)
}
