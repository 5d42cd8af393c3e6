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
// judged for itself. So a plain value that was handed to the library at a place
// need not be handed to it there again: what the library says of one holds of its
// equal.
type shape struct {
	below map[string]*shape
	seen  map[plain]bool
}

// plain is a value that holds no others.
type plain struct {
	kind source.Kind
	text string
}

func (p *shape) member(name string) *shape {
	if p.below == nil {
		p.below = map[string]*shape{}
	}
	next := p.below[name]
	if next == nil {
		next = &shape{}
		p.below[name] = next
	}
	return next
}

// isNew tells whether a plain value is at this place for the first time.
func (p *shape) isNew(n *source.Node) bool {
	key := plain{n.Kind, n.Text}
	if p.seen[key] {
		return false
	}
	if p.seen == nil {
		p.seen = map[plain]bool{}
	}
	p.seen[key] = true
	return true
}

// anElement stands for an object of which nothing new is to be judged, where the
// schema asks that there is one: every data type of FHIR may have an id.
var anElement = map[string]any{"id": "judged"}

// brief converts what the library has not judged yet of a value at a place. left is
// false where that is nothing.
func (c *converter) brief(n *source.Node, at *shape) (value any, left bool) {
	switch n.Kind {
	case source.Object:
		return c.briefObject(n, at)
	case source.Array:
		return c.briefList(n, at)
	}
	if !at.isNew(n) {
		return nil, false
	}
	return c.value(n), true
}

func (c *converter) briefObject(n *source.Node, at *shape) (any, bool) {
	var members map[string]any
	var required []string
	for i := range n.Members {
		m := &n.Members[i]
		v, left := c.briefMember(n, m, at.member(m.Name))
		switch {
		case left:
			if members == nil {
				members = make(map[string]any, len(n.Members))
			}
			members[m.Name] = v
		case requiredSomewhere()[m.Name]:
			required = append(required, m.Name)
		}
	}
	if members == nil && len(n.Members) > 0 {
		return nil, false
	}
	for _, name := range required {
		members[name] = c.standIn(n.Get(name))
	}
	if members == nil {
		members = map[string]any{}
	}
	return members, true
}

// briefMember converts a list whole where null stands in it, as in the twin of a
// list of primitives: there the places of the items matter.
func (c *converter) briefMember(object *source.Node, m *source.Member, at *shape) (any, bool) {
	if m.Value.Kind == source.Array && (strings.HasPrefix(m.Name, "_") || slices.ContainsFunc(m.Value.Items, isNull)) {
		return c.member(object, m), true
	}
	return c.brief(m.Value, at)
}

func isNull(n *source.Node) bool { return n.Kind == source.Null }

func (c *converter) briefList(n *source.Node, at *shape) (any, bool) {
	var items []any
	for _, item := range n.Items {
		if v, left := c.brief(item, at); left {
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

// standIn gives something valid for a required value that was judged before.
func (c *converter) standIn(n *source.Node) any {
	if n.Kind == source.Object {
		return anElement
	}
	return c.value(n)
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
