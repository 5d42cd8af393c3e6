package mapping

import (
	"bytes"
	"encoding/json"
	"io"
	"iter"
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/mapping/record"
)

// Reading is a session as Read gives it, with what the text tells of how it was written.
type Reading struct {
	Session  *record.Session
	Findings Findings
	// Codings are those of a site that explain what stands beside our codes.
	Codings map[string][]Coding
}

// ReadStream reads every session of a stream of lines (NDJSON), one after the other:
// of lines with one resource each, as the form of that name has them, the lines of a
// session following one another; and of lines with a whole bundle. Lines with nothing
// of a session are left out. Memory is that of one session. The error is that of
// reading the stream, and the last thing that is given.
func ReadStream(name string, r io.Reader) iter.Seq2[Reading, error] {
	limits := source.ResourceLimits()
	return func(yield func(Reading, error) bool) {
		for group, err := range Gather(source.Lines(name, r, limits), limits.Bytes) {
			if err != nil {
				yield(Reading{}, err)
				return
			}
			if reading, ok := ReadGroup(group); ok && !yield(reading, nil) {
				return
			}
		}
	}
}

// ReadGroup reads what Gather gave; not ok for what holds nothing of a session.
func ReadGroup(group []Line) (Reading, bool) {
	var faults Findings
	for _, line := range group {
		faults = append(faults, line.Findings...)
	}
	first := group[0].Document
	var reading Reading
	switch {
	case len(group) == 1 && r4.Text(first.Root, "resourceType") == "Bundle":
		reading = ReadDocument(first)
	case slices.ContainsFunc(group, func(l Line) bool { return belongs(l).session != "" }):
		reading = ReadLines(group)
	case len(faults) == 0:
		return reading, false
	}
	reading.Findings = append(reading.Findings, faults...)
	reading.Findings.Sort()
	return reading, true
}

// readOne reads the one session that the lines of a text hold.
func readOne(name string, text []byte) (*record.Session, Findings) {
	var all Reading
	for next, err := range ReadStream(name, bytes.NewReader(text)) {
		if err != nil {
			break // reading from memory does not fail
		}
		all.Findings = append(all.Findings, next.Findings...)
		switch {
		case all.Session == nil:
			all.Session = next.Session
		case next.Session != nil:
			all.Findings = append(all.Findings, finding.New("session-several", finding.Place{File: name}, "the lines hold the session {}", next.Session.ID, "one session, the lines of which follow one another"))
		}
	}
	if all.Session == nil && len(all.Findings) == 0 {
		all.Findings = Findings{finding.New("session-missing", finding.Place{File: name}, "no line carries an identity of a measurement session", "", "a session of ours is wanted")}
	}
	return all.Session, all.Findings
}

// isLines tells whether a text is NDJSON: its first line is a whole value, and others
// follow.
func isLines(text []byte) bool {
	first, rest, more := bytes.Cut(bytes.TrimLeft(text, " \t\r\n"), []byte("\n"))
	return more && len(bytes.TrimSpace(rest)) > 0 && json.Valid(first)
}

// Gather puts the lines of one session together and gives every other line alone. A
// session begins with its first line or the shared devices before it, and ends with
// its Provenance, with the first line of another session or a bundle, or when its
// lines have more than most bytes. A line that cannot be read stays with the session
// around it.
func Gather(lines iter.Seq2[Line, error], most int) iter.Seq2[[]Line, error] {
	return func(yield func([]Line, error) bool) {
		g := gathering{yield: yield}
		for line, err := range lines {
			if err != nil {
				if g.flush() {
					yield(nil, err)
				}
				return
			}
			if !g.add(line) || g.bytes > most && !g.flush() {
				return
			}
		}
		g.flush()
	}
}

// gathering is the session whose lines come in.
type gathering struct {
	yield   func([]Line, error) bool
	lines   []Line
	session string // with its system; "" while there are shared devices alone
	bytes   int
}

// add takes a line and tells whether more are wanted.
func (g *gathering) add(line Line) bool {
	b := belongs(line)
	switch {
	case b.session != "" && g.session != "" && b.session != g.session, b.bundle:
		if !g.flush() {
			return false
		}
	case b.session == "" && !b.device && (len(g.lines) == 0 || !b.provenance && !b.broken):
		return g.yield([]Line{line}, nil)
	}
	if b.bundle {
		return g.yield([]Line{line}, nil)
	}
	if g.session == "" {
		g.session = b.session
	}
	g.lines = append(g.lines, line)
	g.bytes += len(line.Document.Text)
	return !b.provenance || g.flush()
}

// flush gives what was gathered: the lines of a session together, others alone.
func (g *gathering) flush() bool {
	lines, together := g.lines, g.session != ""
	g.lines, g.session, g.bytes = nil, "", 0
	if together {
		return g.yield(lines, nil)
	}
	for _, line := range lines {
		if !g.yield([]Line{line}, nil) {
			return false
		}
	}
	return true
}

// belonging is what tells to which session a line belongs.
type belonging struct {
	session string // with its system
	// What belongs to the session around it.
	device, provenance, broken bool
	bundle                     bool
}

func belongs(line Line) belonging {
	root := line.Document.Root
	kind := r4.Text(root, "resourceType")
	b := belonging{broken: root == nil, bundle: kind == "Bundle", provenance: kind == "Provenance"}
	for _, id := range Identifiers(root) {
		value := r4.Text(id, "value")
		if session, ok := SessionIn(kind, value); ok {
			b.session = r4.Text(id, "system") + "|" + session
		}
		b.device = b.device || kind == "Device" && IsShared(value)
	}
	return b
}

// IsShared tells whether the identifier of a Device is that of one which sessions share.
func IsShared(value string) bool {
	role, _, keyed := strings.Cut(value, "/")
	return keyed && (role == monitorRole || role == loopRole || role == softwareRole)
}
