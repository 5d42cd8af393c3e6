package source

import (
	"strconv"
	"strings"

	"saltmark/internal/finding"
)

// Several are documents that are judged as one: lines of a stream that belong
// together. A pointer into them begins with the number of the document, from nought:
// "/3/status" is "/status" in the fourth. One document alone has no such number.
type Several []*Document

// Below gives the document that a pointer leads into, and the pointer inside it.
func (s Several) Below(pointer string) (*Document, string) {
	if len(s) == 1 || pointer == "" {
		return s[0], pointer
	}
	number, below, deeper := strings.Cut(pointer[1:], "/")
	i, err := strconv.Atoi(number)
	if err != nil || i < 0 || i >= len(s) {
		return s[0], pointer
	}
	if deeper {
		below = "/" + below
	}
	return s[i], below
}

// At gives the pointer of a document as a whole.
func (s Several) At(i int) string {
	if len(s) == 1 {
		return ""
	}
	return "/" + strconv.Itoa(i)
}

// Place is that of a Document. Of several, a value that is nil has the line of its
// document.
func (s Several) Place(n *Node, pointer string) finding.Place {
	doc, below := s.Below(pointer)
	if n == nil && len(s) > 1 {
		n = doc.Root
	}
	return doc.Place(n, below)
}

// Locate is that of a Document.
func (s Several) Locate(pointer string) finding.Place {
	doc, below := s.Below(pointer)
	return doc.Locate(below)
}
