package source

import "saltmark/internal/finding"
import "strings"

// blockHeader is what follows | or >.
type blockHeader struct {
	folded bool
	indent int  // as written, 0 when the first line decides
	chomp  byte // '-', '+' or 0
}

// blockText reads a block scalar (YAML 1.2.2, section 8.1) that begins at p. It
// ends before the first line that is indented no deeper than the key or dash.
func (s *scanner) blockText(p int) string {
	header, ok := s.blockHeader(p)
	if !ok {
		s.halt(p, fault{
			rule:    "yaml-form",
			found:   "the head of a block text is not known",
			allowed: "| or >, then at most one digit from 1 to 9 and one of - and +",
		})
		return ""
	}
	lines, ended := s.blockLines(header.indent)
	if !ended && len(lines) > 0 && lines[len(lines)-1] == "" {
		lines, ended = lines[:len(lines)-1], true // blanks before the end of the text are no line
	}
	kept := len(lines)
	for kept > 0 && lines[kept-1] == "" {
		kept--
	}
	empty := len(lines) - kept
	text := strings.Join(lines[:kept], "\n")
	if header.folded {
		text = fold(lines[:kept])
	}
	switch {
	case header.chomp == '-':
	case header.chomp == '+':
		if kept > 0 && (ended || empty > 0) {
			text += "\n"
		}
		text += strings.Repeat("\n", empty)
	case kept > 0 && (ended || empty > 0):
		text += "\n"
	}
	return text
}

func (s *scanner) blockHeader(p int) (blockHeader, bool) {
	h := blockHeader{folded: s.text[p] == '>'}
	for p++; !s.whiteOrEnd(p); p++ {
		switch c := s.text[p]; {
		case c >= '1' && c <= '9' && h.indent == 0:
			h.indent = int(c - '0')
		case (c == '-' || c == '+') && h.chomp == 0:
			h.chomp = c
		default:
			return h, false
		}
	}
	return h, s.blank(p)
}

// blockLines takes the lines of a block text without their indentation. ended
// tells whether the last of them has a line end.
func (s *scanner) blockLines(indent int) (lines []string, ended bool) {
	outside := max(s.item, 0) // readers differ in whether a block text at the root needs a space
	if indent > 0 {
		indent += outside
	}
	deepest, deepestAt := 0, 0 // of the empty lines before the first that is not
	for s.next < len(s.text) {
		here, start, eol := s.next, s.start, s.eol
		s.load(here)
		spaces := 0
		for here+spaces < s.eol && s.text[here+spaces] == ' ' {
			spaces++
		}
		rest := here + spaces
		if rest < s.eol {
			if spaces <= outside || spaces < indent && s.text[rest] == '#' {
				s.start, s.eol, s.next = start, eol, here
				return lines, ended
			}
			if indent == 0 && deepest > spaces {
				s.add(deepestAt, s.pointer(), blockIndentation("an empty line is indented deeper than the first line of its block text"))
			}
			if indent == 0 {
				indent = spaces
			}
			if spaces < indent {
				s.add(rest, s.pointer(), blockIndentation("a line is indented less than the first line of its block text"))
			}
		} else if indent == 0 && spaces > deepest {
			deepest, deepestAt = spaces, rest
		}
		line := ""
		if indent > 0 || rest < s.eol {
			line = s.text[min(here+indent, s.eol):s.eol]
		}
		lines = append(lines, line)
		ended = s.next > s.eol
	}
	return lines, ended
}

func blockIndentation(found finding.Text) fault {
	return fault{rule: "indentation", found: found, allowed: "all lines of a block text are indented at least as deep as its first"}
}

// fold joins lines as section 8.1.3 says: a line break becomes a space, an empty
// line a line break; around lines that begin with white space nothing changes.
func fold(lines []string) string {
	var b strings.Builder
	breaks, deeper, first := 0, false, true
	for _, line := range lines {
		if line == "" {
			breaks++
			continue
		}
		now := line[0] == ' ' || line[0] == '\t'
		switch {
		case first:
		case deeper || now:
			breaks++
		case breaks == 0:
			b.WriteByte(' ')
		}
		b.WriteString(strings.Repeat("\n", breaks))
		b.WriteString(line)
		breaks, deeper, first = 0, now, false
	}
	return b.String()
}
