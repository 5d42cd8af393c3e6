package source

import (
	"bytes"
	"strings"

	"github.com/go-json-experiment/json/jsontext"

	"saltmark/internal/finding"
)

// ReadJSON reads one JSON value. The document is never nil; its Root is nil when
// the list holds an error.
func ReadJSON(name string, text []byte, lim Limits) (*Document, finding.List) {
	return readJSON(&Document{Name: name, Text: text, Format: JSON}, lim.orSheet())
}

// A text may have fewValues values, and beyond them one for each bytesOfAValue bytes:
// bundles of this program have one in 25 bytes, the densest official example of FHIR R4
// has one in 40. So a text that is all brackets costs no more memory than its size is
// worth.
const (
	fewValues     = 50_000
	bytesOfAValue = 8
)

func readJSON(doc *Document, lim Limits) (*Document, finding.List) {
	lim.Nodes = min(lim.Nodes, fewValues+len(doc.Text)/bytesOfAValue)
	f := faults{doc: doc, lim: lim}
	f.pointerTo = f.pointerInJSON
	if !f.checkBytes() {
		return f.finish(nil)
	}
	r := jsonReader{faults: &f, text: string(doc.Text)}
	if strings.HasPrefix(r.text, byteOrderMark) {
		r.base = len(byteOrderMark)
		f.add(0, "", fault{rule: "text-bom", found: "the text begins with a byte order mark", allowed: "JSON begins with its value"})
	}
	if strings.Trim(r.text[r.base:], " \t\r\n") == "" {
		f.add(len(r.text), "", emptyText())
		return f.finish(nil)
	}
	if at, many := r.manyValues(); many {
		f.add(at, "", tooManyValues(lim.Nodes))
		return f.finish(nil)
	}
	return f.finish(r.document())
}

// manyValues tells where a text has more commas outside of strings than it may have
// values, before any memory is spent on them. What it lets through is counted exactly.
func (r *jsonReader) manyValues() (at int, many bool) {
	if strings.Count(r.text, ",") <= r.lim.Nodes { // those in strings counted too
		return 0, false
	}
	count, inText := 0, false
	for i := r.base; i < len(r.text); i++ {
		switch r.text[i] {
		case '"':
			inText = !inText
		case '\\':
			if inText {
				i++
			}
		case ',':
			// Behind it another value follows, in an object or in a list.
			if inText {
				continue
			}
			if count++; count > r.lim.Nodes {
				return i, true
			}
		}
	}
	return 0, false
}

// jsonReader makes nodes of the tokens of one text. Strings without escapes and
// numbers are parts of text, and nodes come out of slabs, so that a value costs
// next to no allocation of its own.
type jsonReader struct {
	*faults
	dec  *jsontext.Decoder
	text string
	base int // where the value may begin: after a byte order mark
	// begin and end bound the last token, last tells what it was.
	begin, end int
	last       jsonPart
	cut        bool // the text ends before its value does

	path    path
	count   int // nodes made
	members []Member
	items   []*Node

	nodeSlab   []Node
	memberSlab []Member
	itemSlab   []*Node
}

// jsonPart is what the last token was, for the words of a fault.
type jsonPart uint8

const (
	atStart jsonPart = iota
	afterOpening
	afterName
	afterValue
)

func (r *jsonReader) document() *Node {
	if root, ok := r.quickly(); ok {
		return root
	}
	r.count, r.members, r.items = 0, r.members[:0], r.items[:0]
	r.nodeSlab, r.memberSlab, r.itemSlab = nil, nil, nil // what they hold is in no tree
	return r.slowly()
}

// slowly reads any text, and tells of all that is wrong with it.
func (r *jsonReader) slowly() *Node {
	r.dec = jsontext.NewDecoder(bytes.NewBuffer(r.doc.Text[r.base:]), jsontext.AllowDuplicateNames(true))
	r.end = r.base
	kind, start, ok := r.next()
	if !ok {
		return nil
	}
	root, ok := r.value(kind, start)
	if !ok {
		return nil
	}
	rest := strings.TrimLeft(r.text[r.end:], " \t\r\n")
	if at := len(r.text) - len(rest); rest != "" && !r.refuseNumber(at) {
		r.add(at, "", moreThanOne())
	}
	return root
}

// next reads a token and gives its kind and where it begins. When there is none
// it reports why.
func (r *jsonReader) next() (jsontext.Kind, int, bool) {
	token, err := r.dec.ReadToken()
	if err != nil {
		r.refuse(err)
		return 0, 0, false
	}
	r.begin = r.skip()
	r.end = r.base + int(r.dec.InputOffset())
	return token.Kind(), r.begin, true
}

// skip gives where the next token begins: after space and the marks between two
// tokens, whose order the decoder judges.
func (r *jsonReader) skip() int {
	i := r.end
	for i < len(r.text) {
		switch r.text[i] {
		case ' ', '\t', '\r', '\n', ',', ':':
			i++
		default:
			return i
		}
	}
	return i
}

// value makes the node of a token and of all that lies in it.
func (r *jsonReader) value(kind jsontext.Kind, start int) (*Node, bool) {
	if r.count++; r.count > r.lim.Nodes {
		r.add(start, r.path.pointer(), tooManyValues(r.lim.Nodes))
		return nil, false
	}
	n := r.node()
	n.Offset = start
	ok := true
	switch kind {
	case jsontext.KindBeginObject:
		n.Kind = Object
		ok = r.object(n)
	case jsontext.KindBeginArray:
		n.Kind = Array
		ok = r.array(n)
	case jsontext.KindString:
		n.Kind, n.Quoted = String, true
		n.Text = r.unquote(start, r.path)
	case jsontext.KindNumber:
		n.Kind, n.Text = Number, r.text[start:r.end]
		if what, bad := r.lim.numberTooBig(n.Text); bad {
			r.add(start, r.path.pointer(), what)
		}
	case jsontext.KindTrue, jsontext.KindFalse:
		n.Kind, n.Text = Bool, r.text[start:r.end]
	default:
		n.Kind = Null
	}
	r.last = afterValue
	return n, ok && !r.full
}

func (r *jsonReader) object(n *Node) bool {
	if !r.enter(n, step{}) {
		return false
	}
	mine := len(r.members)
	for {
		kind, start, ok := r.next()
		if !ok {
			return false
		}
		if kind == jsontext.KindEndObject {
			break
		}
		if len(r.members)-mine >= r.lim.Members {
			r.add(start, r.path[:len(r.path)-1].pointer(), tooManyMembers(r.lim.Members))
			return false
		}
		name := r.memberName(start)
		r.last = afterName
		kind, at, ok := r.next()
		if !ok {
			return false
		}
		v, ok := r.value(kind, at)
		if !ok {
			return false
		}
		r.members = append(r.members, Member{Name: name, Offset: start, Value: v})
		if len(r.path) == 1 && v.Kind == String {
			r.doc.outermost = append(r.doc.outermost, r.members[len(r.members)-1])
		}
	}
	r.path = r.path[:len(r.path)-1]
	n.Members = r.keptMembers(r.keep(r.members[mine:], r.path.pointer))
	r.members = r.members[:mine]
	return true
}

func (r *jsonReader) array(n *Node) bool {
	if !r.enter(n, step{inList: true}) {
		return false
	}
	mine := len(r.items)
	for {
		kind, start, ok := r.next()
		if !ok {
			return false
		}
		if kind == jsontext.KindEndArray {
			break
		}
		v, ok := r.value(kind, start)
		if !ok {
			return false
		}
		r.items = append(r.items, v)
		r.path[len(r.path)-1].index++
	}
	r.path = r.path[:len(r.path)-1]
	n.Items = r.keptItems(r.items[mine:])
	r.items = r.items[:mine]
	return true
}

// memberName takes a name and stands at its member from then on.
func (r *jsonReader) memberName(start int) string {
	here := len(r.path) - 1
	name := r.unquote(start, r.path[:here])
	r.path[here].name = name
	if what, bad := r.lim.keyTooLong(name); bad {
		r.path[here].name = "" // no pointer carries such a name
		r.add(start, r.path[:here].pointer(), what)
	}
	return name
}

// enter goes one level down.
func (r *jsonReader) enter(n *Node, s step) bool {
	if len(r.path) >= r.lim.Depth {
		r.add(n.Offset, r.path.pointer(), tooDeep(r.lim.Depth))
		return false
	}
	r.path = append(r.path, s)
	r.last = afterOpening
	return true
}

// unquote decodes the string between start and the end of the last token, which
// stands at a path.
func (r *jsonReader) unquote(start int, at path) string {
	raw := r.text[start:r.end]
	if strings.IndexByte(raw, '\\') < 0 {
		return raw[1 : len(raw)-1]
	}
	decoded, err := jsontext.AppendUnquote(nil, raw)
	if err != nil { // the decoder has read the same string without one
		r.refuse(err)
		return ""
	}
	if bytes.IndexByte(decoded, 0) >= 0 {
		r.add(start+escapedNull(raw), at.pointer(), nullCharacter())
	}
	return string(decoded)
}

// escapedNull finds the escape of U+0000 in a raw string.
func escapedNull(raw string) int {
	for i := 0; i < len(raw); i++ {
		if raw[i] != '\\' {
			continue
		}
		if strings.HasPrefix(raw[i:], `\u0000`) {
			return i
		}
		i++
	}
	return 0
}
