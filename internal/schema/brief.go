package schema

import (
	"slices"
	"strings"
	"sync"

	"saltmark/internal/source"
)

// shape is a place in the resources of one type, by the names that lead to it from
// the type; items of a list share one. In FHIR's schema those names alone decide
// what is allowed there, and each member of an object and each item of a list is
// judged for itself. So what was handed to the library at a place need not be handed
// to it there again: what the library says of one holds of its equal. Of an object
// that is its plain values, and its names, of which some may be required.
type shape struct {
	below  map[string]*shape
	orders order              // of the names of objects
	values map[plain]struct{} // that last
	more   map[plain]struct{} // of this document only
	turn   int                // the document that more is of
}

// plain is a value that holds no others.
type plain struct {
	kind source.Kind
	text string
}

// order is where one stands in the names of an object, taken in the order in which
// they are written.
type order struct {
	steps  []orderStep
	judged bool // an object with these names was handed to the library
}

type orderStep struct {
	name  string
	place *shape
	next  *order
}

// member gives the place of a member, and where its name leads to from those before.
func (n *notes) member(p *shape, at *order, name string) (*shape, *order) {
	for i := range at.steps {
		if s := &at.steps[i]; s.name == name {
			return s.place, s.next
		}
	}
	name = n.kept(name)
	place := p.below[name]
	if place == nil {
		if p.below == nil {
			p.below = map[string]*shape{}
		}
		place = &shape{}
		p.below[name] = place
	}
	n.size++
	next := &order{}
	at.steps = append(at.steps, orderStep{name, place, next})
	return place, next
}

// isNew tells whether a plain value is at this place for the first time.
func (n *notes) isNew(p *shape, key plain) bool {
	if _, known := p.values[key]; known {
		return false
	}
	if !n.lasting || len(p.values) < mostValues && len(key.text) <= longestValue {
		if p.values == nil {
			p.values = map[plain]struct{}{}
		}
		p.values[plain{key.kind, n.kept(key.text)}] = struct{}{}
		return true
	}
	if p.turn != n.turn {
		p.turn = n.turn
		clear(p.more)
	}
	if _, known := p.more[key]; known {
		return false
	}
	if p.more == nil {
		p.more = map[plain]struct{}{}
	}
	p.more[key] = struct{}{}
	return true
}

// anElement stands for an object of which nothing new is to be judged, where the
// schema asks that there is one: every data type of FHIR may have an id.
var anElement = map[string]any{"id": "judged"}

// brief converts what the library has not judged yet of a value at a place. left is
// false where that is nothing.
func (s *sorter) brief(n *source.Node, at *shape) (value any, left bool) {
	switch n.Kind {
	case source.Object:
		return s.briefObject(n, at)
	case source.Array:
		return s.briefList(n, at)
	}
	if !s.notes.isNew(at, s.plain(n)) {
		return nil, false
	}
	return s.value(n), true
}

// plain gives what the library sees of a plain value.
func (s *sorter) plain(n *source.Node) plain {
	if n.Kind == source.Number && !isWild(n.Text) && isFraction(n.Text) {
		return plain{n.Kind, oneHalf}
	}
	return plain{n.Kind, n.Text}
}

func (s *sorter) briefObject(n *source.Node, at *shape) (any, bool) {
	return s.briefPart(n, at, nil, false)
}

// briefPart is briefObject where some members are converted apart, by rules of their
// own; anew tells that those hold something to be judged.
func (s *sorter) briefPart(n *source.Node, at *shape, apart map[string]any, anew bool) (any, bool) {
	var members map[string]any
	names := &at.orders
	for i := range n.Members {
		m := &n.Members[i]
		var place *shape
		place, names = s.notes.member(at, names, m.Name)
		if _, there := apart[m.Name]; there {
			continue
		}
		if v, left := s.briefMember(n, m, place); left {
			if members == nil {
				members = make(map[string]any, len(n.Members))
			}
			members[m.Name] = v
		}
	}
	if members == nil && names.judged && !anew && len(n.Members) > 0 {
		return nil, false
	}
	names.judged = true
	return s.withRequired(n, members, apart), true
}

// withRequired adds what was converted apart, and what some definition requires and
// has been judged before.
func (s *sorter) withRequired(n *source.Node, members, apart map[string]any) any {
	if members == nil {
		members = make(map[string]any, len(apart)+1)
	}
	for name, v := range apart {
		members[name] = v
	}
	for i := range n.Members {
		m := &n.Members[i]
		if _, there := members[m.Name]; !there && requiredSomewhere()[m.Name] {
			members[m.Name] = s.standIn(m.Value)
		}
	}
	if len(members) == 0 && len(n.Members) > 0 { // an empty object would be a fault
		members[n.Members[0].Name] = s.member(n, &n.Members[0])
	}
	return members
}

// briefMember converts a list whole where null stands in it, as in the twin of a
// list of primitives: there the places of the items matter.
func (s *sorter) briefMember(object *source.Node, m *source.Member, at *shape) (any, bool) {
	if m.Value.Kind == source.Array && (strings.HasPrefix(m.Name, "_") || slices.ContainsFunc(m.Value.Items, isNull)) {
		return s.member(object, m), true
	}
	return s.brief(m.Value, at)
}

func isNull(n *source.Node) bool { return n.Kind == source.Null }

func (s *sorter) briefList(n *source.Node, at *shape) (any, bool) {
	var items []any
	for _, item := range n.Items {
		if v, left := s.brief(item, at); left {
			items = append(items, v)
		}
	}
	if items == nil && len(n.Items) > 0 {
		return nil, false
	}
	if items == nil {
		items = []any{}
	}
	return items, true
}

// standIn gives something valid for a value that was judged before.
func (s *sorter) standIn(n *source.Node) any {
	if n.Kind == source.Object {
		return anElement
	}
	return s.value(n)
}

// requiredSomewhere are the names of members that some definition of the cut
// requires.
var requiredSomewhere = sync.OnceValue(func() map[string]bool {
	names := map[string]bool{}
	root, err := decode(fhirText)
	if err != nil {
		return names
	}
	definitions, _ := root["definitions"].(map[string]any)
	for _, d := range definitions {
		definition, _ := d.(map[string]any)
		list, _ := definition["required"].([]any)
		for _, name := range list {
			names[text(name)] = true
		}
	}
	return names
})
