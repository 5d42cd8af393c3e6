package source

import (
	"strings"

	"saltmark/internal/finding"
)

// ReadYAML reads one YAML document, never with wider limits than those of a
// sheet. The document is never nil; its Root is nil when the list holds an error.
func ReadYAML(name string, text []byte, lim Limits) (*Document, finding.List) {
	f := faults{
		doc: &Document{Name: name, Text: text, Format: YAML},
		lim: lim.orSheet().withinSheet(),
	}
	if !f.checkBytes() {
		return f.finish(nil)
	}
	s := scanner{faults: &f, text: string(text), open: true, item: -1}
	if !f.checkControls(s.text) {
		return f.finish(nil)
	}
	if strings.HasPrefix(s.text, byteOrderMark) {
		s.next = len(byteOrderMark)
	}
	s.scan()
	if s.halted || s.stuck || f.full || len(s.marks) == 0 {
		return f.finish(nil)
	}
	return f.finish(s.tree())
}

// scanner goes over a YAML text line by line, enforces the rules of the package
// comment, takes the scalars out and leaves the skeleton.
type scanner struct {
	*faults
	text string

	// start and eol bound the line that is read, without its line end; next is
	// where the line after it begins.
	start, eol, next int

	levels []level
	// open tells that the last key, dash or anchor waits for its value, which the
	// next line may bring; openAt is where an empty value would stand.
	open   bool
	openAt int
	// item is the column of the last key or dash of a block, -1 before any.
	item int

	marks    []mark
	skeleton []byte
	// lineAt gives for each line of the skeleton where it begins in the text.
	lineAt []int

	values, keys, anchors, aliases int

	begun, ended bool // a document mark or a value was met; an end mark was met
	// unplaced tells that the level of the line is not known yet.
	unplaced bool
	// stuck tells that lines no longer fit together: there will be no tree, and
	// only what is wrong within a line is still reported. halted ends the reading.
	stuck, halted bool
}

// markKind tells what a mark of the skeleton stands for.
type markKind uint8

const (
	scalarValue markKind = iota + 1
	keyName
	dashEntry
	openList
	openMap
	openBlockList
	openBlockMap
	closing
	anchorName
	aliasName
)

// mark is one part of the text that the skeleton only numbers.
type mark struct {
	kind   markKind
	offset int
	name   string // of a key, an anchor, an alias
	value  *Node  // of a scalar
}

func (s *scanner) scan() {
	for s.load(s.next) && !s.halted && !s.full {
		s.line()
	}
	switch {
	case s.halted || s.full:
	case len(s.marks) == 0 && len(s.list) == 0:
		s.add(len(s.text), "", emptyText())
	case s.open:
		s.empty()
	}
	s.leave(0)
}

// load takes the line that begins at an offset; false at the end of the text.
func (s *scanner) load(at int) bool {
	if at >= len(s.text) {
		return false
	}
	s.start = at
	end := strings.IndexByte(s.text[at:], '\n')
	if end < 0 {
		s.eol, s.next = len(s.text), len(s.text)
	} else {
		s.eol, s.next = at+end, at+end+1
	}
	if s.eol > at && s.text[s.eol-1] == '\r' {
		s.eol--
	}
	return true
}

// line reads one line outside of brackets and of block texts.
func (s *scanner) line() {
	p := s.start
	for p < s.eol && s.text[p] == ' ' {
		p++
	}
	if s.blank(p) {
		return
	}
	if s.text[p] == '\t' {
		s.add(p, "", tabFault())
		s.stuck = true
		p = s.white(p)
	}
	if s.documentMark(p) {
		return
	}
	if s.ended {
		s.add(p, "", moreThanOne())
		s.halted = true
		return
	}
	if s.text[p] == '%' && p == s.start && !s.begun {
		s.halt(p, fault{rule: "yaml-form", found: "a directive stands here", allowed: "the document begins with its value"})
		return
	}
	s.begun, s.unplaced = true, true
	s.entry(p)
}

// blank tells that nothing but white space or a comment follows on the line.
func (s *scanner) blank(p int) bool {
	q := s.white(p)
	return q >= s.eol || s.text[q] == '#' && (q > p || q == s.start || s.isWhite(q-1))
}

func (s *scanner) white(p int) int {
	for s.isWhite(p) {
		p++
	}
	return p
}

func (s *scanner) isWhite(p int) bool {
	return p < s.eol && (s.text[p] == ' ' || s.text[p] == '\t')
}

// whiteOrEnd tells that a mark of the notation ends before p.
func (s *scanner) whiteOrEnd(p int) bool { return p >= s.eol || s.isWhite(p) }

// documentMark reads "---" and "..." at the beginning of a line.
func (s *scanner) documentMark(p int) bool {
	if p != s.start || !s.whiteOrEnd(p+3) {
		return false
	}
	switch {
	case strings.HasPrefix(s.text[p:s.eol], "---"):
		if s.begun || s.ended {
			s.add(p, "", moreThanOne())
			s.halted = true
			return true
		}
	case strings.HasPrefix(s.text[p:s.eol], "..."):
		s.ended = true
	default:
		return false
	}
	s.begun = true
	if !s.blank(p + 3) {
		s.add(s.white(p+3), "", fault{
			rule:    "yaml-form",
			found:   "the line of a document mark goes on",
			allowed: "the document begins on the next line",
		})
		s.halted = true
	}
	return true
}

func tabFault() fault {
	return fault{
		rule:    "tab-indentation",
		found:   "a tab stands in the indentation",
		allowed: "lines are indented with spaces",
	}
}

// halt ends the reading with a fault.
func (s *scanner) halt(at int, what fault) {
	s.add(at, s.pointer(), what)
	s.halted = true
}
