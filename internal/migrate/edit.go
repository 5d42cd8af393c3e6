package migrate

import (
	"bytes"
	"slices"

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

// insert puts a member in front of the others of an object at the top, in its
// notation. It is a text, and stands in quotes.
func (e *edit) insert(key string, m source.Member) finding.Text {
	object := e.doc.Root.Get(key)
	first := object.Members[0]
	value := `"` + m.Value.Text + `"`
	if e.doc.Text[object.Offset] == '{' {
		name := m.Name
		if e.doc.Text[first.Offset] == '"' {
			name = `"` + name + `"`
		}
		e.changes = append(e.changes, change{object.Offset + 1, 0, name + ": " + value + ", "})
	} else {
		begin := bytes.LastIndexByte(e.doc.Text[:first.Offset], '\n') + 1
		indent := e.doc.Text[begin:first.Offset]
		if len(bytes.TrimLeft(indent, " ")) > 0 {
			return "its notation leaves no room for the change"
		}
		at := e.lineAfter(e.keyAt(key))
		e.changes = append(e.changes, change{at, 0, string(indent) + m.Name + ": " + value + e.lineEnd()})
	}
	wanted := e.want.Get(key)
	wanted.Members = slices.Insert(wanted.Members, 0, m)
	return ""
}

// keyAt is where a key at the top stands.
func (e *edit) keyAt(key string) int {
	i := slices.IndexFunc(e.doc.Root.Members, func(m source.Member) bool { return m.Name == key })
	return e.doc.Root.Members[i].Offset
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
