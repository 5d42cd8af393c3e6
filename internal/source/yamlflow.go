package source

import "saltmark/internal/finding"

// want tells what may come next inside of brackets.
type want uint8

const (
	wantItem  want = iota // a value of a list, or its end
	wantKey               // a key of an object, or its end
	wantColon             // after a key
	wantValue             // after a colon
	wantComma             // after a value: a comma, or the end
)

// brackets reads what begins with [ or { up to its end, over lines, and gives
// where it ends. In the skeleton it stands on one line.
func (s *scanner) brackets(p int) int {
	outside := len(s.levels)
	s.openBracket(p)
	p++
	for len(s.levels) > outside && !s.halted && !s.full {
		if s.blank(p) {
			if !s.load(s.next) {
				s.unclosed()
				return s.eol
			}
			p = s.start
			if s.isDocumentMark(p) {
				s.unclosed()
				return s.eol
			}
			continue
		}
		p = s.inBrackets(s.white(p))
	}
	return p
}

func (s *scanner) isDocumentMark(p int) bool {
	if !s.whiteOrEnd(p+3) || s.eol-p < 3 {
		return false
	}
	mark := s.text[p : p+3]
	return mark == "---" || mark == "..."
}

// unclosed reports the innermost bracket that the text leaves open.
func (s *scanner) unclosed() {
	top := s.top()
	closing := "]"
	if top.kind == flowMap {
		closing = "}"
	}
	at := top.offset
	s.levels = s.levels[:len(s.levels)-1]
	s.halt(at, fault{
		rule:    "syntax",
		found:   "a bracket is not closed",
		allowed: finding.Say(`"{1}" is wanted`, finding.Data(closing)),
	})
}

func (s *scanner) openBracket(p int) {
	if s.text[p] == '[' {
		s.push(flowList, 0, p)
		return
	}
	s.push(flowMap, 0, p)
}

// inBrackets reads one part and gives where the next may begin.
func (s *scanner) inBrackets(p int) int {
	switch c := s.text[p]; c {
	case ',':
		s.comma(p)
		return p + 1
	case ':':
		s.colon(p)
		return p + 1
	case ']', '}':
		s.closeBracket(p)
		return p + 1
	}
	return s.bracketValue(p)
}

func (s *scanner) comma(p int) {
	top := s.top()
	if top.wants == wantValue {
		s.openAt = p
		s.empty()
		top.wants = wantComma
	}
	if top.wants != wantComma {
		s.unwanted(p)
		return
	}
	s.write(", ")
	top.index++
	if top.wants = wantItem; top.kind == flowMap {
		top.wants = wantKey
	}
}

func (s *scanner) colon(p int) {
	if top := s.top(); top.wants == wantColon {
		top.wants = wantValue
		return
	}
	s.unwanted(p)
}

func (s *scanner) closeBracket(p int) {
	top := s.top()
	if top.wants == wantValue {
		s.openAt = p
		s.empty()
		top.wants = wantComma
	}
	if top.wants == wantColon || (top.kind == flowList) != (s.text[p] == ']') {
		s.unwanted(p)
		return
	}
	s.write(s.text[p:p+1] + " ")
	s.leave(len(s.levels) - 1)
	s.top().valueDone()
}

func (l *level) valueDone() {
	if l.inBrackets() {
		l.wants = wantComma
	}
}

// bracketValue reads a key or a value.
func (s *scanner) bracketValue(p int) int {
	anchor, anchorAt, p := s.properties(p, s.eol)
	if s.halted {
		return p
	}
	if s.blank(p) || s.text[p] == ',' || s.text[p] == ']' || s.text[p] == '}' {
		if anchor != "" {
			s.halt(anchorAt, fault{rule: "anchor", found: "an anchor has no value", allowed: "a value follows it on its line"})
		}
		return p
	}
	top := s.top()
	switch c := s.text[p]; {
	case top.wants == wantComma || top.wants == wantColon:
		s.unwanted(p)
		return p
	case c == '?' && s.whiteOrEnd(p+1), top.wants == wantKey && (c == '[' || c == '{' || c == '*'):
		s.halt(p, complexKey())
		return p
	}
	found, end := s.scalar(p, flowEnd)
	switch {
	case s.halted:
	case found.form == blockForm:
		s.halt(p, fault{rule: "yaml-form", found: "a block text begins inside of brackets", allowed: "quotes are wanted around a text here"})
	case top.wants == wantKey && anchor != "":
		s.halt(anchorAt, fault{rule: "anchor", found: "an anchor stands before a key", allowed: "an anchor follows the colon of its value"})
	case top.wants == wantKey:
		s.putKey(found.text, found.quoted, p)
		top.wants = wantColon
	default:
		s.putAnchor(anchor, anchorAt)
		end = s.bracketItem(found, p, end)
	}
	return end
}

// bracketItem puts a value of a list or of a member.
func (s *scanner) bracketItem(found scalar, p, end int) int {
	switch found.form {
	case bracketForm:
		s.openBracket(p)
		return p + 1
	case aliasForm:
		s.countValue(p)
		s.putAlias(found.text, p)
	default:
		s.putScalar(found)
	}
	s.top().valueDone()
	return end
}

// unwanted reports a part that may not come next, and ends the reading.
func (s *scanner) unwanted(p int) {
	top := s.top()
	c, _ := runeAt(s.text[p:s.eol])
	found, value := shape(c)
	var allowed finding.Text
	switch {
	case top.wants == wantColon:
		allowed = "a colon and a value are wanted after the key"
	case top.wants == wantComma && top.kind == flowMap:
		allowed = `a comma or "}" is wanted`
	case top.wants == wantComma && c == ':':
		allowed = "a key with its value stands in braces"
	case top.wants == wantComma:
		allowed = `a comma or "]" is wanted`
	case top.wants == wantKey:
		allowed = `a key or "}" is wanted`
	case top.kind == flowMap:
		allowed = "a value is wanted"
	default:
		allowed = `a value or "]" is wanted`
	}
	s.halt(p, fault{rule: "syntax", found: finding.Say("{1} stands here", found), value: value, allowed: allowed})
}
