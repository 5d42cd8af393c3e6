package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"iter"
	"os"
	"strings"

	"saltmark/internal/report"
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

// bytes is how many bytes of the input the document is.
func (d document) bytes() int64 {
	n := int64(len(d.text))
	for _, line := range d.lines {
		n += int64(len(line.Document.Text))
	}
	return n
}

// intake reads the documents of inputs.
type intake struct {
	env *env
	// workers is how many lines of a stream are read as JSON at once.
	workers int
	// hashing has the inputs that were read to their end listed with their SHA-256.
	hashing bool
	inputs  []report.Input
	// leftOut counts the files of archives that hold no resource.
	leftOut int
}

// documentsOf gives the documents of the inputs one after the other. A stream of
// lines is never held whole.
func documentsOf(e *env, all inputs) iter.Seq2[int, document] {
	return (&intake{env: e, workers: 1}).documents(all)
}

func (t *intake) documents(all inputs) iter.Seq2[int, document] {
	return func(yield func(int, document) bool) {
		n := -1
		for _, in := range all.each() {
			more := t.of(in, func(d document) bool {
				n++
				return yield(n, d)
			})
			if !more {
				return
			}
		}
	}
}

// of gives the documents of one input and tells whether more are wanted.
func (t *intake) of(in input, yield func(document) bool) bool {
	file, err := in.open(t.env)
	if err != nil {
		return yield(document{name: in.name, err: err})
	}
	defer file.Close()
	var r io.Reader = file
	var hashed *hashing
	if t.hashing {
		hashed = newHashing(file)
		r = hashed
	}
	var more bool
	if isArchive(in.path) {
		more = t.archive(in, r, yield)
	} else {
		more = t.file(in, in.path, r, sizeOf(file), yield)
	}
	if hashed != nil {
		if sum, ok := hashed.sum(in.name); ok {
			t.inputs = append(t.inputs, sum)
		}
	}
	return more
}

// file gives the documents of a file that is no archive. NDJSON is told by the ending
// of its name, on standard input by a first line that is a whole document; gzip by the
// ending, on standard input by its first bytes. size is 0 where it is not known.
func (t *intake) file(in input, name string, r io.Reader, size int64, yield func(document) bool) bool {
	limits := source.ResourceLimits()
	rest := bufio.NewReaderSize(r, 64<<10)
	stdin := name == ""
	if head, _ := rest.Peek(2); hasEnding(name, gzipEnding) || stdin && source.IsGzip(head) {
		name = name[:max(len(name)-len(gzipEnding), 0)]
		rest, size = bufio.NewReaderSize(source.Expand(rest), 64<<10), 0
	}
	r = rest
	switch {
	case isStream(name):
		return t.lines(in, r, limits, yield)
	case stdin:
		first, err := firstLine(rest, limits.Bytes)
		if err != nil {
			return yield(document{name: in.name, err: in.failed(err)})
		}
		r = io.MultiReader(bytes.NewReader(first), rest)
		if json.Valid(first) {
			return t.lines(in, r, limits, yield)
		}
	}
	text, err := readHinted(r, limits.Bytes, size)
	if err != nil {
		return yield(document{name: in.name, err: in.failed(err)})
	}
	return yield(document{name: in.name, text: text})
}

// sizeOf gives the size of a file, 0 where it is none.
func sizeOf(r io.Reader) int64 {
	file, ok := r.(*os.File)
	if !ok {
		return 0
	}
	info, err := file.Stat()
	if err != nil {
		return 0
	}
	return info.Size()
}

// Endings of the names of files with a document on each line, and of compressed ones.
var streamEndings = []string{".ndjson", ".jsonl"}

const gzipEnding = ".gz"

// hasEnding tells whether a name ends in that way, in small letters or capitals.
func hasEnding(name, ending string) bool {
	return len(name) >= len(ending) && strings.EqualFold(name[len(name)-len(ending):], ending)
}

// isStream tells whether a file holds a document on each line, compressed or not.
func isStream(path string) bool {
	if hasEnding(path, gzipEnding) {
		path = path[:len(path)-len(gzipEnding)]
	}
	for _, ending := range streamEndings {
		if hasEnding(path, ending) {
			return true
		}
	}
	return false
}

func (t *intake) lines(in input, r io.Reader, limits source.Limits, yield func(document) bool) bool {
	for lines, err := range mapping.Gather(t.read(in.name, r, limits), limits.Bytes) {
		if err != nil {
			return yield(document{name: in.name, err: in.failed(err)})
		}
		if !yield(document{name: in.name, lines: lines}) {
			return false
		}
	}
	return true
}

// batch is a few lines of a stream on their way to be read.
type batch struct {
	raw  []source.RawLine
	read []source.Line
	err  error
	size int64
}

// batchBytes is how many bytes of lines are handed to a core at once: a single small
// line costs more to hand over than to read.
const batchBytes = 64 << 10

// read reads the lines of a stream on several cores and gives them in their order.
func (t *intake) read(name string, r io.Reader, limits source.Limits) iter.Seq2[source.Line, error] {
	if t.workers < 2 {
		return source.Lines(name, r, limits)
	}
	return func(yield func(source.Line, error) bool) {
		enough := errors.New("enough")
		do := func(b batch) batch {
			for _, raw := range b.raw {
				b.read = append(b.read, raw.Read(name, limits))
			}
			return b
		}
		err := inOrderOf(t.env.Context, t.workers, batches(name, r, limits.Bytes), func(b batch) int64 { return b.size }, do, func(_ int, b batch) error {
			for _, line := range b.read {
				if !yield(line, nil) {
					return enough
				}
			}
			if b.err != nil && !yield(source.Line{}, b.err) {
				return enough
			}
			return nil
		})
		if err != nil && !errors.Is(err, enough) {
			yield(source.Line{}, err)
		}
	}
}

// batches puts the lines of a stream together, some on each batch.
func batches(name string, r io.Reader, limit int) iter.Seq2[int, batch] {
	return func(yield func(int, batch) bool) {
		var b batch
		n := 0
		for raw, err := range source.RawLines(name, r, limit) {
			if err != nil {
				b.err = err
				break
			}
			b.raw = append(b.raw, raw)
			if b.size += int64(len(raw.Text)); b.size < batchBytes && len(b.raw) < 512 {
				continue
			}
			if !yield(n, b) {
				return
			}
			n++
			b = batch{}
		}
		if len(b.raw) > 0 || b.err != nil {
			yield(n, b)
		}
	}
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

// refusalIn gives the fault of the data that an error of reading is, if it is one.
func refusalIn(err error) (*source.Refusal, bool) {
	var refused *source.Refusal
	return refused, errors.As(err, &refused)
}
