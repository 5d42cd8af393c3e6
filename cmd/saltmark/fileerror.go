package main

import (
	"errors"
	"os"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"saltmark/internal/finding"
)

// fileError is an error about a file or a folder, said in each language.
type fileError struct {
	says finding.Text // a template with two slots
	name string       // for the first of them
	why  finding.Text // for the second
	err  error        // of the system, nil where it has none
}

// What could not be done.
const (
	cannotOpen       finding.Text = "cannot open {1}: {2}"
	cannotRead       finding.Text = "cannot read {1}: {2}"
	cannotReadFolder finding.Text = "cannot read the folder {1}: {2}"
	cannotMakeFolder finding.Text = "cannot make the folder {1}: {2}"
)

func (f *fileError) Error() string { return f.problem().Error() }

func (f *fileError) problem() error {
	return finding.Refuse(f.says, finding.Data(shownPath(f.name)), f.why)
}

// Unwrap gives what is said in each language, and what the system said.
func (f *fileError) Unwrap() []error {
	if f.err == nil {
		return []error{f.problem()}
	}
	return []error{f.problem(), f.err}
}

// failing makes an error of what the system says of a file.
func failing(says finding.Text, name string, err error) error {
	return &fileError{says, name, finding.Reason(err), err}
}

// describe says what could not be done to the file that an error names.
func describe(says finding.Text, err error) error {
	var failed *os.PathError
	if errors.As(err, &failed) {
		return failing(says, failed.Path, failed.Err)
	}
	return err
}

// named gives an error about the input's file with the name under which that is shown.
func (in input) named(err error) error {
	var f *fileError
	if errors.As(err, &f) && f.name == in.path {
		return &fileError{f.says, in.name, f.why, f.err}
	}
	return err
}

// interruptedWord is why a run ended that somebody interrupted.
const interruptedWord finding.Text = "interrupted"

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
