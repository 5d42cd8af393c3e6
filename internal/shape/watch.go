package shape

import "saltmark/internal/source"

// Watch is a choice of data types and parts whose values somebody wants to see on the way
// through a document, wherever they stand.
type Watch struct {
	of []uint8 // by the serial of a definition: 1 and its place in the choice, 0 for none
}

// Value is one that was met.
type Value struct {
	Which  int // its type, by its place in the choice
	Node   *source.Node
	Trail  source.Trail // from the document; it changes when the visit is over
	Person bool         // it tells of a person
}

// NewWatch chooses types and parts by name: Identifier, Timing.repeat. A type that is made
// of a chosen one (Age, of Quantity) has a name of its own.
func NewWatch(kinds ...string) *Watch {
	w := &Watch{}
	t, err := tables()
	if err != nil {
		return w // Check tells that nothing can be judged
	}
	w.of = make([]uint8, len(t.all)+1)
	for i, kind := range kinds {
		if d := t.all[kind]; d != nil {
			w.of[d.serial] = uint8(i + 1)
		}
	}
	return w
}

// met tells of a value that was chosen.
func (c *checker) met(d *definition, n *source.Node) {
	if c.Watch == nil || d.serial >= len(c.Watch.of) {
		return
	}
	if which := c.Watch.of[d.serial]; which != 0 {
		c.Value(Value{int(which) - 1, n, c.trail, c.person})
	}
}

// KnowsType tells whether FHIR R4 has a data type or a part of that name.
func KnowsType(kind string) bool {
	t, err := tables()
	return err == nil && t.all[kind] != nil
}
