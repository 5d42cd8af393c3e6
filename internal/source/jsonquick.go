package source

import (
	"strings"

	"github.com/go-json-experiment/json/jsontext"
)

// quickly reads a text in which nothing is wrong, which almost every text is, in a
// fraction of the time of the decoder. At the first thing that it does not know to be
// right it gives up and false comes back: document then reads anew and tells what it is.
// What is read here is what document would have read (a test and a fuzz target compare).
func (r *jsonReader) quickly() (*Node, bool) {
	q := quickReader{jsonReader: r, at: r.base}
	q.space()
	root, ok := q.value(0)
	if !ok {
		return nil, false
	}
	q.space()
	return root, q.at == len(q.text)
}

type quickReader struct {
	*jsonReader
	at int
}

func (q *quickReader) space() {
	for q.at < len(q.text) {
		switch q.text[q.at] {
		case ' ', '\n', '\t', '\r':
			q.at++
		default:
			return
		}
	}
}

// next steps over a character, if it is the one that stands here.
func (q *quickReader) next(c byte) bool {
	if q.at < len(q.text) && q.text[q.at] == c {
		q.at++
		return true
	}
	return false
}

func (q *quickReader) value(depth int) (*Node, bool) {
	if q.count++; q.count > q.lim.Nodes || q.at >= len(q.text) {
		return nil, false
	}
	n := q.node()
	n.Offset = q.at
	switch c := q.text[q.at]; c {
	case '{':
		n.Kind = Object
		return n, depth < q.lim.Depth && q.object(n, depth)
	case '[':
		n.Kind = Array
		return n, depth < q.lim.Depth && q.array(n, depth)
	case '"':
		n.Kind, n.Quoted = String, true
		text, ok := q.quoted()
		n.Text = text
		return n, ok
	case 't':
		n.Kind = Bool
		return n, q.word(n, "true")
	case 'f':
		n.Kind = Bool
		return n, q.word(n, "false")
	case 'n':
		n.Kind = Null
		ok := q.word(n, "null")
		n.Text = ""
		return n, ok
	default:
		n.Kind = Number
		return n, (c == '-' || isDigit(c)) && q.number(n)
	}
}

func (q *quickReader) word(n *Node, word string) bool {
	if !strings.HasPrefix(q.text[q.at:], word) {
		return false
	}
	n.Text = q.text[q.at : q.at+len(word)]
	q.at += len(word)
	return true
}

func (q *quickReader) object(n *Node, depth int) bool {
	q.at++
	mine := len(q.members)
	q.space()
	for more := !q.next('}'); more; {
		start := q.at
		if start >= len(q.text) || q.text[start] != '"' {
			return false
		}
		name, ok := q.quoted()
		if !ok || len(name) > q.lim.KeyBytes || len(q.members)-mine >= q.lim.Members {
			return false
		}
		q.space()
		if !q.next(':') {
			return false
		}
		q.space()
		v, ok := q.value(depth + 1)
		if !ok {
			return false
		}
		q.members = append(q.members, Member{Name: name, Offset: start, Value: v})
		q.space()
		if more = q.next(','); !more && !q.next('}') {
			return false
		}
		q.space()
	}
	if nameTwice(q.members[mine:]) {
		return false
	}
	n.Members = q.keptMembers(q.members[mine:])
	q.members = q.members[:mine]
	return true
}

func (q *quickReader) array(n *Node, depth int) bool {
	q.at++
	mine := len(q.items)
	q.space()
	for more := !q.next(']'); more; {
		v, ok := q.value(depth + 1)
		if !ok {
			return false
		}
		q.items = append(q.items, v)
		q.space()
		if more = q.next(','); !more && !q.next(']') {
			return false
		}
		q.space()
	}
	n.Items = q.keptItems(q.items[mine:])
	q.items = q.items[:mine]
	return true
}

// quoted reads a string and steps over it.
func (q *quickReader) quoted() (string, bool) {
	start := q.at
	escaped := false
	for i := EndOfPlain(q.text, start+1); i < len(q.text); i = EndOfPlain(q.text, i) {
		switch c := q.text[i]; {
		case c == '"':
			q.at = i + 1
			if escaped {
				return unescaped(q.text[start:q.at])
			}
			return q.text[start+1 : i], true
		case c == '\\':
			escaped = true
			i += 2
		case c < ' ':
			return "", false
		default: // beyond ASCII
			i++
		}
	}
	return "", false
}

// unescaped decodes a string with escapes; it leaves those of surrogates and of U+0000
// to the decoder.
func unescaped(raw string) (string, bool) {
	if i := strings.Index(raw, `\u`); i >= 0 {
		for rest := raw[i:]; len(rest) > 4; {
			if c := rest[2] | 0x20; c == 'd' || rest[2:4] == "00" && rest[4] == '0' {
				return "", false
			}
			if i = strings.Index(rest[2:], `\u`); i < 0 {
				break
			}
			rest = rest[2+i:]
		}
	}
	decoded, err := jsontext.AppendUnquote(nil, raw)
	return string(decoded), err == nil
}

// number reads a number in the grammar of RFC 8259.
func (q *quickReader) number(n *Node) bool {
	start := q.at
	q.next('-')
	switch {
	case q.next('0'):
	case !q.digits():
		return false
	}
	if q.next('.') && !q.digits() {
		return false
	}
	if q.next('e') || q.next('E') {
		if !q.next('-') {
			q.next('+')
		}
		if !q.digits() {
			return false
		}
	}
	n.Text = q.text[start:q.at]
	_, bad := q.lim.numberTooBig(n.Text)
	return !bad
}

func (q *quickReader) digits() bool {
	start := q.at
	for q.at < len(q.text) && isDigit(q.text[q.at]) {
		q.at++
	}
	return q.at > start
}

// nameTwice tells whether two members have one name.
func nameTwice(members []Member) bool {
	const few = 64 // up to here comparing those that look alike is faster than a map
	if len(members) <= few {
		var looks uint64 // a bit for the looks of each name before
		for i := range members {
			look := lookOf(members[i].Name)
			if looks&look != 0 && hasName(members[:i], members[i].Name) {
				return true
			}
			looks |= look
		}
		return false
	}
	seen := make(map[string]struct{}, len(members))
	for i := range members {
		seen[members[i].Name] = struct{}{}
	}
	return len(seen) < len(members)
}

// lookOf gives one of 64 bits, by the length and two letters of a name.
func lookOf(name string) uint64 {
	if name == "" {
		return 1
	}
	return 1 << ((byte(len(name))*7 + name[0]*5 + name[len(name)-1]) & 63)
}

func hasName(members []Member, name string) bool {
	for i := range members {
		if members[i].Name == name {
			return true
		}
	}
	return false
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }
