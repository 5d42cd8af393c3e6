package sheet

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"unicode"
)

// line is one node of the YAML that is written: a text, something plain such as a
// number, an object, or a list.
type line struct {
	text    string
	plain   string
	members []named
	items   []*line
}

type named struct {
	name  string
	value *line
}

// yaml writes a node as a document in block style.
func (l *line) yaml() []byte {
	var b bytes.Buffer
	l.block(&b, 0)
	return b.Bytes()
}

const indent = "  "

func (l *line) block(b *bytes.Buffer, depth int) {
	for _, m := range l.members {
		b.WriteString(strings.Repeat(indent, depth))
		m.block(b, depth)
	}
}

// block writes a member whose line is indented already.
func (m named) block(b *bytes.Buffer, depth int) {
	b.WriteString(m.name + ":")
	switch {
	case len(m.value.items) > 0:
		b.WriteByte('\n')
		for _, item := range m.value.items {
			for i, inner := range item.members {
				b.WriteString(strings.Repeat(indent, depth+1) + map[bool]string{true: "- ", false: indent}[i == 0])
				inner.block(b, depth+2)
			}
		}
	case len(m.value.members) > 0:
		b.WriteByte('\n')
		m.value.block(b, depth+1)
	default:
		b.WriteString(" " + m.value.scalar() + "\n")
	}
}

func (l *line) scalar() string {
	if l.plain != "" {
		return l.plain
	}
	if plainText.MatchString(l.text) && !taken[strings.ToLower(l.text)] {
		return l.text
	}
	return quoted(l.text)
}

// plainText are texts that every reader of YAML takes for the same text, unless
// they are one of the words of taken: those with a letter at the front, and
// quantities and times.
var plainText = regexp.MustCompile(`^([A-Za-z][A-Za-z0-9._/-]*( [A-Za-z0-9._/-]+)*|-?[0-9]+(\.[0-9]+)? [A-Za-z/][A-Za-z0-9./]*|[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:.]+(Z|[+-][0-9:]+))$`)

// taken are words that some reader of YAML takes for a truth, a number or nothing.
var taken = map[string]bool{
	"true": true, "false": true, "null": true, "yes": true, "no": true, "on": true, "off": true, "y": true, "n": true,
}

// quoted writes a text in double quotes on one line.
func quoted(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case unicode.IsPrint(r):
			b.WriteRune(r)
		case r > 0xFFFF:
			fmt.Fprintf(&b, `\U%08x`, r)
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
