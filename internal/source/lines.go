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

// Lines reads one JSON value from each line of a stream and leaves out blank
// lines. Memory is that of one line, whose length lim bounds: a longer one is a
// finding and is skipped without being held. A byte order mark is an error of
// the line that it begins. The error is that of reading the stream, and the last
// thing that is given.
func Lines(name string, r io.Reader, lim Limits) iter.Seq2[Line, error] {
	lim = lim.orSheet()
	return func(yield func(Line, error) bool) {
		in := bufio.NewReaderSize(r, 64<<10)
		for number := 1; ; number++ {
			text, length, err := readLine(in, lim.Bytes)
			if err != nil && !errors.Is(err, io.EOF) {
				yield(Line{Number: number}, fmt.Errorf("reading line %d of %s: %w", number, name, err))
				return
			}
			if length > lim.Bytes || len(bytes.Trim(text, " \t")) > 0 {
				doc := &Document{Name: name, Text: text, Format: JSON, firstLine: number}
				if !yield(line(doc, length, lim), nil) {
					return
				}
			}
			if err != nil {
				return
			}
		}
	}
}

func line(doc *Document, length int, lim Limits) Line {
	l := Line{Number: doc.firstLine, Document: doc}
	if length > lim.Bytes {
		f := faults{doc: doc, lim: lim}
		f.addWhole(tooLong(lim.Bytes, finding.Say("the line has {1} bytes", finding.Number(length))))
		l.Document, l.Findings = f.finish(nil)
		return l
	}
	l.Document, l.Findings = readJSON(doc, lim)
	return l
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
