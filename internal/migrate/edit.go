package migrate

import (
	"bytes"
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// edit gathers changes of a text by the places of its values, and what the tree is to
// be after them.
type edit struct {
	doc     *source.Document
	want    *source.Node
	changes []change
}

// change puts words in place of some bytes.
type change struct {
	at, length int
	words      string
}

func newEdit(doc *source.Document) *edit { return &edit{doc: doc, want: copied(doc.Root)} }

// copied gives a tree of its own: two places that share a value by an alias do so no
// longer.
func copied(n *source.Node) *source.Node {
	c := *n
	c.Members, c.Items = slices.Clone(n.Members), slices.Clone(n.Items)
	for i := range c.Members {
		c.Members[i].Value = copied(c.Members[i].Value)
	}
	for i := range c.Items {
		c.Items[i] = copied(c.Items[i])
	}
	return &c
}

// same tells whether two trees say the same, wherever it stands.
func same(a, b *source.Node) bool {
	return a.Kind == b.Kind && a.Text == b.Text &&
		slices.EqualFunc(a.Items, b.Items, same) &&
		slices.EqualFunc(a.Members, b.Members, func(x, y source.Member) bool { return x.Name == y.Name && same(x.Value, y.Value) })
}

// replaceNumber puts another number in place of that of a key at the top.
func (e *edit) replaceNumber(key, number string) finding.Text {
	n := e.doc.Root.Get(key)
	if !bytes.HasPrefix(e.doc.Text[n.Offset:], []byte(n.Text)) {
		return "its version is written in another way"
	}
	e.changes = append(e.changes, change{n.Offset, len(n.Text), number})
	e.want.Get(key).Text = number
	return ""
}

// noRoom is why a change is not made that the notation of a text does not allow.
const noRoom finding.Text = "its notation leaves no room for the change"

// insert puts a member in front of the others of an object at the top, in its
// notation. Its value is a text and stands in quotes.
func (e *edit) insert(key string, m source.Member) finding.Text {
	object, wanted := e.doc.Root.Get(key), e.want.Get(key)
	wanted.Members = slices.Insert(wanted.Members, 0, m)
	if e.inBraces(object) {
		e.intoBraces(object, m)
		return ""
	}
	return e.line(e.keyAt(key), object.Members[0].Offset, m)
}

// insertBehind puts a member behind another at the top, in the same way; in braces,
// in front of all.
func (e *edit) insertBehind(key string, m source.Member) finding.Text {
	root, at := e.doc.Root, 0
	if e.inBraces(root) {
		e.intoBraces(root, m)
	} else {
		at = e.indexOf(key) + 1
		if why := e.line(e.keyAt(key), e.keyAt(key), m); why != "" {
			return why
		}
	}
	e.want.Members = slices.Insert(e.want.Members, at, m)
	return ""
}

// replace puts another name and text in place of those of a member at the top; what
// stood in quotes does so again.
func (e *edit) replace(key string, m source.Member) finding.Text {
	i := e.indexOf(key)
	old := e.doc.Root.Members[i]
	name, ok := e.quotes(old.Offset, key)
	value, okToo := e.quotes(old.Value.Offset, old.Value.Text)
	if !ok || !okToo {
		return noRoom
	}
	e.changes = append(e.changes,
		change{old.Offset, len(key) + 2*len(name), name + m.Name + name},
		change{old.Value.Offset, len(old.Value.Text) + 2*len(value), value + m.Value.Text + value})
	e.want.Members[i] = m
	return ""
}

// quotes gives the quotes that words stand in at a place, "" for none, and whether
// they stand there at all.
func (e *edit) quotes(at int, words string) (string, bool) {
	for _, q := range []string{"", `"`, "'"} {
		if bytes.HasPrefix(e.doc.Text[at:], []byte(q+words+q)) {
			return q, true
		}
	}
	return "", false
}

func (e *edit) inBraces(object *source.Node) bool { return e.doc.Text[object.Offset] == '{' }

// intoBraces writes a member as the first in braces, its name in quotes where the
// next one has them.
func (e *edit) intoBraces(object *source.Node, m source.Member) {
	name := m.Name
	if e.doc.Text[object.Members[0].Offset] == '"' {
		name = `"` + name + `"`
	}
	e.changes = append(e.changes, change{object.Offset + 1, 0, name + `: "` + m.Value.Text + `", `})
}

// line writes a member on a line of its own, below that of one place and indented
// like that of another.
func (e *edit) line(above, like int, m source.Member) finding.Text {
	begin := bytes.LastIndexByte(e.doc.Text[:like], '\n') + 1
	indent := strings.TrimPrefix(string(e.doc.Text[begin:like]), byteOrderMark)
	if strings.Trim(indent, " ") != "" {
		return noRoom
	}
	at, before := e.lineAfter(above), ""
	if at == len(e.doc.Text) && !bytes.HasSuffix(e.doc.Text, []byte("\n")) {
		before = e.lineEnd()
	}
	e.changes = append(e.changes, change{at, 0, before + indent + m.Name + `: "` + m.Value.Text + `"` + e.lineEnd()})
	return ""
}

// byteOrderMark may open a text.
const byteOrderMark = "\uFEFF"

func (e *edit) indexOf(key string) int {
	return slices.IndexFunc(e.doc.Root.Members, func(m source.Member) bool { return m.Name == key })
}

// keyAt is where a key at the top stands.
func (e *edit) keyAt(key string) int {
	return e.doc.Root.Members[e.indexOf(key)].Offset
}

// lineAfter is where the line behind that of a place begins.
func (e *edit) lineAfter(at int) int {
	if n := bytes.IndexByte(e.doc.Text[at:], '\n'); n >= 0 {
		return at + n + 1
	}
	return len(e.doc.Text)
}

// lineEnd is how the lines of the text end.
func (e *edit) lineEnd() string {
	if n := bytes.IndexByte(e.doc.Text, '\n'); n > 0 && e.doc.Text[n-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// result gives the text with its changes.
func (e *edit) result() []byte {
	slices.SortFunc(e.changes, func(a, b change) int { return a.at - b.at })
	var b bytes.Buffer
	done := 0
	for _, c := range e.changes {
		b.Write(e.doc.Text[done:c.at])
		b.WriteString(c.words)
		done = c.at + c.length
	}
	b.Write(e.doc.Text[done:])
	return b.Bytes()
}
