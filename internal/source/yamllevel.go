package source

import (
	"slices"

	"saltmark/internal/finding"
)

// levelKind tells what holds the values of one level.
type levelKind uint8

const (
	noLevel levelKind = iota // a line that holds a value alone
	blockMap
	blockList
	flowMap
	flowList
)

// level is one object or list that is not closed yet.
type level struct {
	kind   levelKind
	column int    // of a block: how far its keys or dashes are indented
	offset int    // where it begins
	name   string // of the member under way
	index  int    // of the entry under way
	wants  want   // in brackets
}

func (l level) inBrackets() bool { return l.kind == flowMap || l.kind == flowList }

func (l level) list() bool { return l.kind == blockList || l.kind == flowList }

// pointer names the value that is read now, or what holds it where its key is
// not known yet.
func (s *scanner) pointer() string {
	if s.top().inBrackets() && s.top().wants == wantKey {
		return s.holder()
	}
	return s.pointerTo(len(s.levels))
}

// holder names the object or list that the value belongs to.
func (s *scanner) holder() string { return s.pointerTo(max(len(s.levels)-1, 0)) }

// pointerTo is "" while the levels do not hold: it would mislead.
func (s *scanner) pointerTo(depth int) string {
	if s.stuck || s.unplaced {
		return ""
	}
	p := make(path, depth)
	for i, l := range s.levels[:depth] {
		p[i] = step{name: l.name, index: l.index, inList: l.list()}
	}
	return p.pointer()
}

func (s *scanner) top() *level {
	if len(s.levels) == 0 {
		return &level{column: -1}
	}
	return &s.levels[len(s.levels)-1]
}

// push goes one level down.
func (s *scanner) push(kind levelKind, column, at int) {
	if s.stuck && (kind == blockMap || kind == blockList) {
		return
	}
	if len(s.levels) >= s.lim.Depth {
		s.halt(at, tooDeep(s.lim.Depth))
		return
	}
	s.countValue(at)
	l := level{kind: kind, column: column, offset: at, wants: wantItem}
	if kind == flowMap {
		l.wants = wantKey
	}
	if kind == blockList {
		l.index = -1 // the first dash makes it 0
	}
	s.levels = append(s.levels, l)
	s.put(mark{kind: openings[kind], offset: at})
}

// openings are the marks of the levels.
var openings = [...]markKind{blockMap: openBlockMap, blockList: openBlockList, flowMap: openMap, flowList: openList}

// leave closes levels until so many are left.
func (s *scanner) leave(depth int) {
	for len(s.levels) > depth {
		s.put(mark{kind: closing, offset: s.start})
		s.levels = s.levels[:len(s.levels)-1]
	}
}

func (s *scanner) countValue(at int) {
	if s.values++; s.values > s.lim.Nodes {
		s.halt(at, tooManyValues(s.lim.Nodes))
	}
}

// settle finds the level that a new line of a block belongs to, by its
// indentation and by what it begins with.
func (s *scanner) settle(kind levelKind, column, at int) {
	s.unplaced = false
	if s.stuck || s.halted {
		return
	}
	if s.open {
		above := s.top()
		if column > above.column || kind == blockList && above.kind == blockMap && column == above.column {
			s.open = false
			s.newLine(column)
			if kind != noLevel {
				s.push(kind, column, at)
			}
			return
		}
		s.empty()
	}
	keep := len(s.levels)
	for keep > 0 && s.levels[keep-1].column > column {
		keep--
	}
	if keep > 1 && kind == blockMap && s.levels[keep-1].kind == blockList && s.levels[keep-2].column == column {
		keep-- // the list stood in the column of its key, and the next key follows
	}
	if keep == 0 || s.levels[keep-1].column != column || s.levels[keep-1].kind != kind {
		s.misplaced(kind, column, at, keep)
		return
	}
	s.leave(keep)
	s.newLine(column)
}

// misplaced reports a line that belongs to no level; keep is how many levels are
// not indented deeper.
func (s *scanner) misplaced(kind levelKind, column, at, keep int) {
	deeper := column > s.top().column
	var what fault
	switch {
	case len(s.levels) == 0:
		what = moreThanOne()
	case kind == noLevel && deeper:
		what = fault{
			rule:    "yaml-form",
			found:   "a text without quotes goes on over a second line",
			allowed: "longer texts stand in a block after | or >",
		}
	case kind == noLevel:
		what = fault{
			rule:    "syntax",
			found:   "a line has neither a key nor a dash",
			allowed: `"key: value" or "- value" is wanted, the colon and the dash each with a space`,
		}
	case deeper:
		what = s.indentedBy(column, ", deeper than a finished value allows")
	case keep == 0 || s.levels[keep-1].column != column:
		what = s.indentedBy(column, "")
	case kind == blockList:
		what = fault{rule: "syntax", found: "a list entry stands among keys", allowed: "a key is wanted"}
	default:
		what = fault{rule: "syntax", found: "a key stands among list entries", allowed: "a dash and a space are wanted"}
	}
	s.add(at, "", what)
	s.stuck = true
}

func (s *scanner) indentedBy(column int, more finding.Text) fault {
	return fault{
		rule:    "indentation",
		found:   finding.Say("the line is indented by {1}{2}", spaces(column), more),
		allowed: finding.Say("{1} here", s.columns()),
	}
}

// columns lists the indentations that the open levels have.
func (s *scanner) columns() finding.Text {
	var columns []int
	for _, l := range s.levels {
		columns = append(columns, l.column)
	}
	columns = slices.Compact(columns) // a list may share the column of its key
	last := len(columns) - 1
	words := make([]finding.Text, len(columns))
	for i, c := range columns {
		words[i] = finding.Number(c)
	}
	words[last] = spaces(columns[last])
	return finding.Or(words...)
}

func spaces(n int) finding.Text {
	switch n {
	case 0:
		return "no space"
	case 1:
		return "1 space"
	}
	return finding.Say("{1} spaces", finding.Number(n))
}
