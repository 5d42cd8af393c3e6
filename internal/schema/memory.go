package schema

import (
	"strings"
	"sync"
)

// Memory holds what the library has found right in documents before, so that it need
// not judge it again in the next one: what it says of a plain value at a place, or of
// the names of an object there, holds of their equals. Whatever stood in a document
// with a fault is not remembered. It is bounded, safe for use by several goroutines
// at once, and never changes what is found; the zero value is ready.
type Memory struct {
	mu   sync.Mutex
	free []*notes
}

// notes are what one goroutine at a time knows of documents.
type notes struct {
	types   map[string]*shape // by resource type and list in it
	lasting bool              // they outlive the document
	size    int               // places and orders of names
	turn    int               // number of the document
}

// The bounds of what lasts.
const (
	mostPlaces   = 1 << 14 // of one set of notes
	mostValues   = 64      // of one place: a code has few, a time has one in each document
	longestValue = 100     // in bytes
)

// take gives notes for one document.
func (m *Memory) take() *notes {
	if m == nil {
		return &notes{types: map[string]*shape{}}
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	last := len(m.free) - 1
	if last < 0 {
		return &notes{types: map[string]*shape{}, lasting: true, turn: 1}
	}
	n := m.free[last]
	m.free = m.free[:last]
	n.turn++
	return n
}

// giveBack keeps the notes of a document in which all was right.
func (m *Memory) giveBack(n *notes) {
	if m == nil || n.size > mostPlaces {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.free = append(m.free, n)
}

// place gives the place of a resource of a type, or of a list in it.
func (n *notes) place(kind, list string) *shape {
	key := kind + "." + list
	p := n.types[key]
	if p == nil {
		p = &shape{}
		n.types[key] = p
	}
	return p
}

// kept gives a text that may outlive the document, of whose text it is a piece.
func (n *notes) kept(text string) string {
	if n.lasting {
		return strings.Clone(text)
	}
	return text
}
