package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"iter"
	"path/filepath"
	"strings"

	"saltmark/internal/source"
	"saltmark/mapping"
)

// document is one FHIR document of an input: the whole text of it, or a line of
// NDJSON, or the lines of a session, or why it could not be read.
type document struct {
	name  string
	text  []byte
	lines []source.Line
	err   error
}

// documentsOf gives the documents of the inputs one after the other. A stream of
// lines is never held whole.
func documentsOf(e *env, all inputs) iter.Seq2[int, document] {
	return func(yield func(int, document) bool) {
		n := -1
		for _, in := range all.each() {
			more := in.documents(e, func(d document) bool {
				n++
				return yield(n, d)
			})
			if !more {
				return
			}
		}
	}
}

// documents gives the documents of one input and tells whether more are wanted.
// NDJSON is told by the ending of the file, on standard input by a first line that
// is a whole document.
func (in input) documents(e *env, yield func(document) bool) bool {
	file, err := in.open(e)
	if err != nil {
		return yield(document{name: in.name, err: err})
	}
	defer file.Close()
	limits := source.ResourceLimits()
	if isStream(in.path) {
		return in.lines(file, limits, yield)
	}
	var r io.Reader = file
	if in.path == "" {
		rest := bufio.NewReader(file)
		first, err := firstLine(rest, limits.Bytes)
		if err != nil {
			return yield(document{name: in.name, err: in.failed(err)})
		}
		r = io.MultiReader(bytes.NewReader(first), rest)
		if json.Valid(first) {
			return in.lines(r, limits, yield)
		}
	}
	text, err := readUpTo(r, limits.Bytes)
	if err != nil {
		return yield(document{name: in.name, err: in.failed(err)})
	}
	return yield(document{name: in.name, text: text})
}

// isStream tells whether a file holds a document on each line.
func isStream(path string) bool { return strings.EqualFold(filepath.Ext(path), ".ndjson") }

func (in input) lines(r io.Reader, limits source.Limits, yield func(document) bool) bool {
	for lines, err := range mapping.Gather(source.Lines(in.name, r, limits), limits.Bytes) {
		if err != nil {
			return yield(document{name: in.name, err: in.failed(err)})
		}
		if !yield(document{name: in.name, lines: lines}) {
			return false
		}
	}
	return true
}

// firstLine reads up to the end of the first line that is not blank, and no further
// than one line past the limit.
func firstLine(r *bufio.Reader, limit int) ([]byte, error) {
	var text []byte
	for len(text) <= limit {
		part, err := r.ReadSlice('\n')
		text = append(text, part...)
		switch {
		case errors.Is(err, io.EOF):
			return text, nil
		case errors.Is(err, bufio.ErrBufferFull):
		case err != nil || len(bytes.TrimSpace(text)) > 0:
			return text, err
		}
	}
	return text, nil
}
