package source

import (
	"strings"
	"unicode/utf8"

	"saltmark/internal/finding"
)

// form tells how a value is written.
type form uint8

const (
	plainForm form = iota
	quotedForm
	aliasForm
	blockForm
	bracketForm
)

// scalar is a value as it was found, before its kind is known.
type scalar struct {
	form   form
	quoted bool
	text   string // decoded
	offset int
}

func (v scalar) mayBeKey() bool { return v.form != blockForm }

// scalar reads what begins at p and gives where it ends. Of a block text and of
// brackets it reads nothing yet. ends tells where a plain scalar ends.
func (s *scanner) scalar(p int, ends func(*scanner, int) bool) (scalar, int) {
	v := scalar{offset: p}
	end := p
	switch c := s.text[p]; c {
	case '"':
		v.form, v.quoted = quotedForm, true
		v.text, end = s.doubleQuoted(p)
	case '\'':
		v.form, v.quoted = quotedForm, true
		v.text, end = s.singleQuoted(p)
	case '*':
		v.form = aliasForm
		end = s.word(p)
		if v.text = s.text[p+1 : end]; !isName(v.text) {
			s.halt(p, noName("an alias"))
		}
	case '|', '>':
		v.form = blockForm
	case '[', '{':
		v.form = bracketForm
	default:
		end = s.plain(p, ends)
		v.text = s.text[p:end]
	}
	return v, end
}

// plain gives the end of a text without quotes.
func (s *scanner) plain(p int, ends func(*scanner, int) bool) int {
	if c := s.text[p]; strings.IndexByte("[]{},#&*!|>'\"%@`", c) >= 0 ||
		(c == ':' || c == '-' || c == '?') && ends(s, p+1) ||
		c == '?' && s.top().inBrackets() { // which readers take for the mark of a key
		found, value := shape(rune(c))
		s.halt(p, fault{
			rule:    "yaml-form",
			found:   finding.Say("a text without quotes begins with {1}", found),
			value:   value,
			allowed: "quotes are wanted around it",
		})
		return s.eol
	}
	end := p
	for q := p; q < s.eol; q++ {
		switch c := s.text[q]; {
		case s.isWhite(q):
			continue
		case c == '#' && q > p && s.isWhite(q-1):
			return end
		case c == ':' && ends(s, q+1):
			return end
		case ends(s, q):
			return end
		}
		end = q + 1
	}
	return end
}

// plainEnd ends a plain scalar outside of brackets.
func plainEnd(s *scanner, p int) bool { return s.whiteOrEnd(p) }

// flowEnd ends one inside of brackets.
func flowEnd(s *scanner, p int) bool {
	return s.whiteOrEnd(p) || strings.IndexByte(",[]{}", s.text[p]) >= 0
}

// plainKind is the kind of a plain scalar.
func plainKind(text string) Kind {
	switch text {
	case "null", "~":
		return Null
	case "true", "false":
		return Bool
	}
	if readsAsNumber(text) {
		return Number
	}
	return String
}

// putScalar puts a plain or quoted scalar as a value.
func (s *scanner) putScalar(v scalar) {
	n := &Node{Kind: String, Text: v.text, Quoted: v.quoted, Offset: v.offset}
	if v.form == plainForm {
		n.Kind = plainKind(v.text)
		switch n.Kind {
		case Null:
			n.Text = ""
		case Number:
			if what, bad := s.lim.numberTooBig(v.text); bad {
				s.add(v.offset, s.pointer(), what)
			}
		case String:
			if kind := foreignNumber(v.text); kind != "" {
				s.add(v.offset, s.pointer(), foreignNumberFault(kind))
			}
		}
	}
	s.putValue(n)
}

// singleQuoted decodes a text in single quotes, in which two of them are one.
func (s *scanner) singleQuoted(p int) (string, int) {
	var b strings.Builder
	for q := p + 1; q < s.eol; q++ {
		if s.text[q] == '\'' {
			if q+1 >= s.eol || s.text[q+1] != '\'' {
				return b.String(), q + 1
			}
			q++
		}
		b.WriteByte(s.text[q])
	}
	return "", s.openText(p)
}

// doubleQuoted decodes a text in double quotes with its escapes.
func (s *scanner) doubleQuoted(p int) (string, int) {
	var b strings.Builder
	for q := p + 1; q < s.eol; {
		switch s.text[q] {
		case '"':
			return b.String(), q + 1
		case '\\':
			if q+1 == s.eol {
				return "", s.openText(p)
			}
			r, size, ok := yamlEscape(s.text[q:s.eol])
			switch {
			case !ok:
				s.add(q, s.pointer(), escapeFault(`\" \\ \/ \0 \a \b \t \n \v \f \r \e \N \_ \L \P, \x, \u and \U with two, four and eight hexadecimal digits`))
				size = 2
			case r == 0:
				s.add(q, s.pointer(), nullCharacter())
			default:
				b.WriteRune(r)
			}
			q = min(q+size, s.eol)
		default:
			b.WriteByte(s.text[q])
			q++
		}
	}
	return "", s.openText(p)
}

// openText reports quotes that are not closed. The lines that follow may be part
// of the text, so that they are no longer read.
func (s *scanner) openText(p int) int {
	s.halt(p, openQuotes())
	return s.eol
}

// yamlEscape decodes the escape that a text begins with (YAML 1.2.2, section
// 5.7, without the escaped line break).
func yamlEscape(t string) (r rune, size int, ok bool) {
	const letters, values = "0abt\tnvfre \"/\\N_LP", "\x00\a\b\t\t\n\v\f\r\x1b \"/\\\u0085\u00A0\u2028\u2029"
	if i := strings.IndexByte(letters, t[1]); i >= 0 {
		return []rune(values)[i], 2, true
	}
	switch t[1] {
	case 'x':
		r, ok = hexRune(t, `\x`, 2)
		return r, 4, ok
	case 'u':
		return unicodeEscape(t)
	case 'U':
		r, ok = hexRune(t, `\U`, 8)
		return r, 10, ok && utf8.ValidRune(r)
	}
	return 0, 0, false
}

func runeAt(t string) (rune, int) { return utf8.DecodeRuneInString(t) }
