package source

import (
	"bytes"
	"strconv"

	"saltmark/internal/finding"
)

// put notes a part of the text and writes its mark into the skeleton.
func (s *scanner) put(m mark) {
	number := strconv.Itoa(len(s.marks))
	s.marks = append(s.marks, m)
	if s.stuck {
		return
	}
	switch m.kind {
	case scalarValue:
		s.write("x" + number + " ")
	case keyName:
		s.write("x" + number + ": ")
	case dashEntry:
		s.write("-")
	case openList:
		s.write("[ ")
	case openMap:
		s.write("{ ")
	case anchorName:
		s.write("&x" + number + " ")
	case aliasName:
		s.write("*x" + number + " ")
	}
}

func (s *scanner) write(part string) { s.skeleton = append(s.skeleton, part...) }

func (s *scanner) pad(n int) { s.skeleton = append(s.skeleton, bytes.Repeat([]byte{' '}, n)...) }

// newLine begins a line of the skeleton with the indentation of the text.
func (s *scanner) newLine(column int) {
	if len(s.marks) > 0 {
		s.write("\n")
	}
	s.lineAt = append(s.lineAt, s.start)
	s.pad(column)
}

// wait tells that the value of a key, a dash or an anchor has yet to come.
func (s *scanner) wait(at int) { s.open, s.openAt = true, at }

// empty puts null where a value was awaited and none came.
func (s *scanner) empty() {
	s.open = false
	s.putValue(&Node{Kind: Null, Offset: s.openAt})
}

func (s *scanner) putValue(n *Node) {
	s.countValue(n.Offset)
	s.put(mark{kind: scalarValue, offset: n.Offset, value: n})
}

func (s *scanner) putKey(name string, quoted bool, at int) {
	if s.keys++; s.keys > s.lim.Keys {
		s.add(at, s.holder(), tooManyKeys(s.lim.Keys))
		s.halted = true
		return
	}
	if what, bad := s.keyFault(name, quoted); bad {
		s.add(at, s.holder(), what)
	}
	if len(name) <= s.lim.KeyBytes {
		s.top().name = name
	}
	s.put(mark{kind: keyName, offset: at, name: name})
}

func (s *scanner) keyFault(name string, quoted bool) (fault, bool) {
	if what, bad := s.lim.keyTooLong(name); bad {
		return what, true
	}
	if quoted {
		return fault{}, false
	}
	if name == "<<" {
		return fault{
			rule:    "merge-key",
			found:   "a merge key stands here",
			allowed: "keys are written out, or a whole value is repeated by an alias",
		}, true
	}
	kind := foreignNumber(name)
	switch plainKind(name) {
	case Null:
		kind = "a null"
	case Bool:
		kind = "a boolean"
	case Number:
		kind = "a number"
	}
	if kind == "" {
		return fault{}, false
	}
	return fault{rule: "key-type", found: finding.Say("{1} stands as a key", kind), allowed: "keys are texts; quotes make it one"}, true
}

// putAnchor notes an anchor before its value.
func (s *scanner) putAnchor(name string, at int) {
	if name == "" {
		return
	}
	if s.anchors++; s.anchors > s.lim.Anchors {
		s.halt(at, tooManyAnchors("anchors", s.lim.Anchors))
	}
	s.put(mark{kind: anchorName, offset: at, name: name})
}

func (s *scanner) putAlias(name string, at int) {
	if s.aliases++; s.aliases > s.lim.Aliases {
		s.halt(at, tooManyAnchors("aliases", s.lim.Aliases))
	}
	s.put(mark{kind: aliasName, offset: at, name: name})
}
