package source

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"iter"

	"saltmark/internal/finding"
)

// Line is one line of NDJSON that is not blank.
type Line struct {
	// Number counts all lines of the stream from one.
	Number int
	// Document is never nil; its Root is nil when Findings hold an error. Places
	// in it are places of the stream.
	Document *Document
	Findings finding.List
}

// RawLine is one line that is not blank, not yet read as JSON.
type RawLine struct {
	Number int
	Text   []byte // without its line end; nil where it is longer than the limit
	Length int    // in bytes
}

// Lines reads one JSON value from each line of a stream and leaves out blank
// lines. Memory is that of one line, whose length lim bounds: a longer one is a
// finding and is skipped without being held. A byte order mark is an error of
// the line that it begins. The error is that of reading the stream, and the last
// thing that is given.
func Lines(name string, r io.Reader, lim Limits) iter.Seq2[Line, error] {
	lim = lim.orSheet()
	return func(yield func(Line, error) bool) {
		for raw, err := range RawLines(name, r, lim.Bytes) {
			if err != nil {
				yield(Line{Number: raw.Number}, err)
				return
			}
			if !yield(raw.Read(name, lim), nil) {
				return
			}
		}
	}
}

// fewLines is how many bytes are read at once: a line that lies within them is copied
// once. A bundle has some 120 kB.
const fewLines = 256 << 10

// RawLines gives the lines of a stream as they are, so that they can be read on several
// cores. No more than limit bytes of a line are held.
func RawLines(name string, r io.Reader, limit int) iter.Seq2[RawLine, error] {
	return func(yield func(RawLine, error) bool) {
		in := bufio.NewReaderSize(r, fewLines)
		for number := 1; ; number++ {
			number += skipEmpty(in)
			text, length, err := readLine(in, limit)
			if err != nil && !errors.Is(err, io.EOF) {
				yield(RawLine{Number: number}, fmt.Errorf("reading line %d of %s: %w", number, name, err))
				return
			}
			if length > limit || len(bytes.Trim(text, " \t")) > 0 {
				if !yield(RawLine{number, text, length}, nil) {
					return
				}
			}
			if err != nil {
				return
			}
		}
	}
}

// skipEmpty goes past empty lines that are in the buffer and tells how many they were.
func skipEmpty(in *bufio.Reader) int {
	waiting, _ := in.Peek(in.Buffered())
	n := 0
	for n < len(waiting) && waiting[n] == '\n' {
		n++
	}
	_, _ = in.Discard(n) // they are in the buffer
	return n
}

// Read reads the value of a line.
func (l RawLine) Read(name string, lim Limits) Line {
	lim = lim.orSheet()
	doc := &Document{Name: name, Text: l.Text, Format: JSON, firstLine: l.Number}
	if l.Length > lim.Bytes {
		f := faults{doc: doc, lim: lim}
		f.addWhole(tooLong(lim.Bytes, finding.Say("the line has {1} bytes", finding.Number(l.Length))))
		doc, found := f.finish(nil)
		return Line{l.Number, doc, found}
	}
	doc, found := readJSON(doc, lim)
	return Line{l.Number, doc, found}
}

// readLine gives a line without its line end and how long it is. Of a line longer
// than limit it holds no more than a part and gives nothing.
func readLine(in *bufio.Reader, limit int) (text []byte, length int, err error) {
	const lineEnd = 2 // a carriage return and a line feed
	for more := true; more; {
		var part []byte
		part, err = in.ReadSlice('\n')
		more = errors.Is(err, bufio.ErrBufferFull)
		if length += len(part); length <= limit+lineEnd {
			if length > cap(text) && length > limit/4 { // a line near the limit grows once more
				text = append(make([]byte, 0, limit+lineEnd), text...)
			}
			text = append(text, part...)
		}
	}
	if length > limit+lineEnd {
		return nil, length, err
	}
	if err == nil {
		text = bytes.TrimSuffix(bytes.TrimSuffix(text, []byte{'\n'}), []byte{'\r'})
	}
	return text, len(text), err
}
