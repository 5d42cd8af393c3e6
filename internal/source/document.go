// Package source holds the reading of a text, YAML or JSON, into a strict tree
// whose numbers are exact, and the way back from a value to its place in the
// text: file, line, column, JSON pointer.
//
// It knows what a text is and nothing of what the text means: no sheet, no FHIR,
// no unit, no schema. Rooms above judge the tree; for keys they do not know they
// find here the nearest known one.
//
// JSON is that of RFC 8259 as narrowed by RFC 7493 (I-JSON): UTF-8, each name of
// an object once, surrogates in pairs. Pointers are those of RFC 6901. Lines of
// JSON (NDJSON) are read one at a time in flat memory.
//
// YAML is a part of YAML 1.2.2 in which one text has one reading:
//
//   - true and false are the booleans; null, ~ and nothing are null; a plain
//     scalar in the notation of a JSON number is that number; any other plain
//     scalar is a string with the characters that were written (yes, no, on,
//     off, 2024-05-01 and 12:30 among them).
//   - What other readers take for a number and JSON does not (0x1F, 017, 1_000,
//     .5, +1, .inf) is an error: quotes make it a string.
//   - Keys are strings, each once. Tags, merge keys, directives, keys after "?",
//     a second document and tabs in the indentation are errors.
//   - Plain and quoted strings end on their line; longer ones stand in a block
//     after | or >.
//   - An alias stands for the tree of its anchor, which it shares.
//
// In both, U+0000, a carriage return without line feed, and numbers of more than
// 40 characters or with an exponent beyond the Limits are errors. A byte order mark is
// an error in JSON and skipped in YAML.
//
// The YAML parser is no wall against hostile text, and other readers of the same
// text may differ from it. So a scanner of our own goes first: it enforces the
// rules and the Limits and takes every scalar out of the text. The parser gets
// the skeleton that is left (indentation, dashes, colons, brackets, and one
// numbered mark for each scalar) and says how the parts nest; what comes back
// must hold every mark once and in order, or the text is refused.
//
// No finding of this package shows a value of the text. Key names may be shown.
package source

import (
	"bytes"
	"strings"
	"sync"

	"saltmark/internal/finding"
)

// Format is the notation of a document.
type Format uint8

// The formats that are read.
const (
	JSON Format = iota + 1
	YAML
)

// String gives the name of the format.
func (f Format) String() string {
	switch f {
	case JSON:
		return "JSON"
	case YAML:
		return "YAML"
	}
	return "unset"
}

// Document is one text with its tree.
type Document struct {
	// Name is the file as findings show it.
	Name string
	// Text is the whole text; offsets count its bytes.
	Text   []byte
	Format Format
	// Root is nil when the text holds an error.
	Root *Node

	// outermost are the texts that stand in the outermost object, in their order, as far
	// as a reader got that tells of faults.
	outermost []Member

	// firstLine is the number of the first line of Text: above 1 for a line of NDJSON.
	firstLine int

	marksOnce sync.Once
	marks     []lineMark
}

// FirstLine is the number of the first line of Text: 1, or that of a line of NDJSON.
func (d *Document) FirstLine() int { return max(d.firstLine, 1) }

// Outermost gives the text of a member of the outermost object, "" where it has none; of
// a JSON text that holds an error too, as far as it could be read.
func (d *Document) Outermost(name string) string {
	if d.Root != nil {
		if n := d.Root.Get(name); n != nil && n.Kind == String {
			return n.Text
		}
		return ""
	}
	for _, m := range d.outermost {
		if m.Name == name {
			return m.Value.Text
		}
	}
	return ""
}

// byteOrderMark is U+FEFF in UTF-8.
const byteOrderMark = "\uFEFF"

// Read reads a text as JSON when its first character that is no space is { or [
// or when its name ends in .json, and as YAML otherwise. The document is never
// nil; its Root is nil when the list holds an error.
func Read(name string, text []byte, lim Limits) (*Document, finding.List) {
	if looksLikeJSON(name, text) {
		return ReadJSON(name, text, lim)
	}
	return ReadYAML(name, text, lim)
}

func looksLikeJSON(name string, text []byte) bool {
	if strings.HasSuffix(strings.ToLower(name), ".json") {
		return true
	}
	body := bytes.TrimLeft(bytes.TrimPrefix(text, []byte(byteOrderMark)), " \t\r\n")
	return len(body) > 0 && (body[0] == '{' || body[0] == '[')
}

// finish gives the document and its findings as they leave the package: sorted,
// and without a tree when one of them is an error.
func (f *faults) finish(root *Node) (*Document, finding.List) {
	f.list.Sort()
	if !f.list.HasErrors() {
		f.doc.Root = root
	}
	return f.doc, f.list
}
