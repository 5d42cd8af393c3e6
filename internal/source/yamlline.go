package source

import "saltmark/internal/finding"
import "strings"

// position tells what stands before a value or key on its line.
type position uint8

const (
	lineStart position = iota
	afterDash
	afterKey
)

// entry reads the dashes that a line begins with and what follows them.
func (s *scanner) entry(p int) {
	at := lineStart
	for s.text[p] == '-' && s.whiteOrEnd(p+1) {
		s.dash(p, at)
		at = afterDash
		q := p + 1
		for q < s.eol && s.text[q] == ' ' {
			q++
		}
		if s.blank(q) {
			s.pad(1)
			s.wait(p + 1)
			return
		}
		if s.text[q] == '\t' {
			s.add(q, "", tabFault())
			s.stuck = true
			q = s.white(q)
		}
		s.pad(q - p - 1)
		p = q
		if s.halted {
			return
		}
	}
	s.content(p, at)
}

func (s *scanner) dash(p int, at position) {
	column := p - s.start
	if at == lineStart {
		s.settle(blockList, column, p)
	} else {
		s.push(blockList, column, p)
	}
	s.item = column
	if top := s.top(); top.kind == blockList {
		top.index++
	}
	s.put(mark{kind: dashEntry, offset: p})
}

// content reads a key with its value, or a value alone, up to the end of the
// line or of what goes on over several lines.
func (s *scanner) content(p int, at position) {
	anchor, anchorAt, p := s.properties(p, s.eol)
	if s.halted {
		return
	}
	if s.blank(p) {
		s.anchorAlone(anchor, anchorAt, at, p)
		return
	}
	if s.text[p] == '?' && s.whiteOrEnd(p+1) {
		s.halt(p, complexKey())
		return
	}
	found, end := s.scalar(p, plainEnd)
	if colon := s.white(end); found.mayBeKey() && colon < s.eol && s.text[colon] == ':' && s.whiteOrEnd(colon+1) {
		s.keyLine(found, colon, at, anchor != "")
		return
	}
	if at == lineStart {
		first := p
		if anchor != "" {
			first = anchorAt
		}
		s.settle(noLevel, first-s.start, first)
	}
	s.putAnchor(anchor, anchorAt)
	s.value(found, p, end)
}

// anchorAlone reads an anchor that ends its line: its value follows below.
func (s *scanner) anchorAlone(anchor string, anchorAt int, at position, p int) {
	if at == lineStart {
		if anchor != "" {
			s.halt(anchorAt, fault{
				rule:    "anchor",
				found:   "an anchor stands alone on its line",
				allowed: "an anchor follows the key or the dash of its value",
			})
		}
		return
	}
	s.putAnchor(anchor, anchorAt)
	s.wait(p)
}

// keyLine reads a key, its colon and what follows.
func (s *scanner) keyLine(key scalar, colon int, at position, anchored bool) {
	switch {
	case key.form == aliasForm:
		s.halt(key.offset, complexKey())
		return
	case at == afterKey:
		s.halt(colon, fault{
			rule:    "syntax",
			found:   "a second colon with a space stands on the line",
			allowed: "a text with a colon in it stands in quotes",
		})
		return
	case anchored:
		s.halt(key.offset, fault{
			rule:    "anchor",
			found:   "an anchor stands before a key",
			allowed: "an anchor follows the key or the dash of its value",
		})
		return
	case at == lineStart:
		s.settle(blockMap, key.offset-s.start, key.offset)
	default:
		s.push(blockMap, key.offset-s.start, key.offset)
	}
	if s.halted {
		return
	}
	s.item = key.offset - s.start
	s.putKey(key.text, key.quoted, key.offset)
	p := s.white(colon + 1)
	if s.blank(p) {
		s.wait(colon + 1)
		return
	}
	s.content(p, afterKey)
}

// value puts what was found in the place of a value and sees to it that the line
// ends after it.
func (s *scanner) value(found scalar, p, end int) {
	switch found.form {
	case aliasForm:
		s.countValue(p)
		s.putAlias(found.text, p)
	case blockForm:
		s.putValue(&Node{Kind: String, Text: s.blockText(p), Offset: p})
		return
	case bracketForm:
		end = s.brackets(p)
	default:
		s.putScalar(found)
	}
	if !s.halted && !s.blank(end) {
		s.afterValue(s.white(end))
	}
}

func (s *scanner) afterValue(p int) {
	c, _ := runeAt(s.text[p:s.eol])
	found, value := shape(c)
	s.add(p, s.pointer(), fault{
		rule:    "syntax",
		found:   finding.Say("{1} follows a finished value", found),
		value:   value,
		allowed: "the line ends after a value; comments begin with a space and #",
	})
	s.stuck = true
}

// properties reads what may stand before a value, up to a limit: an anchor, which
// is given back, and tags, which are faults.
func (s *scanner) properties(p, end int) (anchor string, at, after int) {
	for p < end {
		switch c := s.text[p]; {
		case c == '!':
			s.add(p, s.pointer(), fault{rule: "tag", found: "a tag stands here", allowed: "quotes make a text, and nothing else is marked"})
			p = s.white(s.word(p))
		case c == '&' && anchor == "":
			word := s.word(p)
			if anchor, at = s.text[p+1:word], p; !isName(anchor) || !s.whiteOrEnd(word) {
				s.halt(p, noName("an anchor"))
				return "", p, p
			}
			p = s.white(word)
		default:
			return anchor, at, p
		}
	}
	return anchor, at, p
}

// word gives the end of the name of an anchor, an alias or a tag.
func (s *scanner) word(p int) int {
	if end := strings.IndexAny(s.text[p:s.eol], " \t,[]{}"); end >= 0 {
		return p + end
	}
	return s.eol
}

// isName tells whether anchors and aliases may have a name: one that all readers
// of YAML take.
func isName(name string) bool {
	return name != "" && strings.Trim(strings.ToLower(name), "abcdefghijklmnopqrstuvwxyz0123456789-_") == ""
}

func noName(what finding.Text) fault {
	return fault{
		rule:    "anchor",
		found:   finding.Say("{1} has no name that is read", what),
		allowed: "names of letters, digits, - and _ follow & and *; quotes make a text",
	}
}

func complexKey() fault {
	return fault{rule: "key-type", found: "a key is no text", allowed: `keys are texts, as in "key: value"`}
}
