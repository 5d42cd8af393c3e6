package source

import (
	"strings"
	"unicode/utf8"

	"saltmark/internal/finding"
)

// lineMark is the line and the column at one byte of the text.
type lineMark struct{ line, column int }

// markEvery is how many bytes lie between two marks: a look-up reads no more
// than that, in a text of one long line too.
const markEvery = 4096

// Place gives the place of a value; line and column are looked up only now. A
// value that is nil has a file and a pointer but no line.
func (d *Document) Place(n *Node, pointer string) finding.Place {
	if n == nil {
		return finding.Place{File: d.Name, Pointer: pointer}
	}
	return d.At(n.Offset, pointer)
}

// At gives the place of a byte of the text. Columns count characters.
func (d *Document) At(offset int, pointer string) finding.Place {
	d.marksOnce.Do(d.setMarks)
	offset = min(max(offset, 0), len(d.Text))
	m := d.marks[offset/markEvery]
	m.walk(d.Text, offset-offset%markEvery, offset)
	return finding.Place{File: d.Name, Line: m.line, Column: m.column, Pointer: pointer}
}

// Locate gives the place of the value that a pointer names or, where there is
// none, of the nearest value around it, with the pointer as it was given.
func (d *Document) Locate(pointer string) finding.Place {
	for around := pointer; ; {
		if n := d.Find(around); n != nil {
			return d.At(n.Offset, pointer)
		}
		slash := strings.LastIndexByte(around, '/')
		if slash < 0 {
			return d.Place(nil, pointer)
		}
		around = around[:slash]
	}
}

func (d *Document) setMarks() {
	m := lineMark{line: max(d.firstLine, 1), column: 1}
	d.marks = make([]lineMark, 0, len(d.Text)/markEvery+1)
	for start := 0; start <= len(d.Text); start += markEvery {
		d.marks = append(d.marks, m)
		m.walk(d.Text, start, min(start+markEvery, len(d.Text)))
	}
}

// walk goes on over the bytes from start up to end. A byte order mark at the
// beginning of the text takes no column.
func (m *lineMark) walk(text []byte, start, end int) {
	if start == 0 && strings.HasPrefix(string(text[:min(len(text), utf8.UTFMax)]), byteOrderMark) {
		start = min(len(byteOrderMark), end)
	}
	for _, b := range text[start:end] {
		switch {
		case b == '\n':
			m.line++
			m.column = 1
		case utf8.RuneStart(b):
			m.column++
		}
	}
}
