package schema

import (
	"strconv"
	"sync"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// sorter takes a resource apart into itself and the resources it holds.
type sorter struct {
	converter
	doc   *source.Document
	types resourceTypes
	lists map[string][]any    // what the library gets, by type
	from  map[string][]string // the pointer of each
	list  finding.List
	// known are the values that the library gets already, by type and member: an
	// equal one is left out. nil leaves nothing out.
	known map[memberOf][]*source.Node
}

// newSorter makes a sorter; brief leaves out what the library gets already.
func newSorter(doc *source.Document, brief bool) *sorter {
	s := &sorter{converter: converter{fhir: true}, doc: doc, types: fhirTypes(), lists: map[string][]any{}, from: map[string][]string{}}
	if brief {
		s.known = map[memberOf][]*source.Node{}
	}
	return s
}

// memberOf names a member of the resources of one type.
type memberOf struct{ kind, name string }

// mostKnown is how many values of one member are remembered.
const mostKnown = 8

// brief gives what the library must still see of a member: nothing where an
// earlier resource of the type has an equal one, and of a list only the items that
// no earlier list had. The schema judges each member of a resource, and each item
// of a list, for itself, so what it says of one holds of its equal. What the cut
// requires of a resource stays whole.
func (s *sorter) brief(kind string, n *source.Node, m *source.Member) (_ source.Member, left bool) {
	key := memberOf{kind, m.Name}
	switch {
	case s.known == nil || required()[key]:
	case m.Value.Kind == source.Object:
		return *m, !s.isKnown(key, m.Value)
	case m.Value.Kind == source.Array && n.Get(twinOf(m.Name)) == nil:
		list := *m.Value
		list.Items = nil
		for _, item := range m.Value.Items {
			if item.Kind != source.Object || !s.isKnown(key, item) {
				list.Items = append(list.Items, item)
			}
		}
		return source.Member{Name: m.Name, Offset: m.Offset, Value: &list}, len(list.Items) > 0 || len(m.Value.Items) == 0
	}
	return *m, true
}

// isKnown tells whether an equal value was seen, and remembers this one otherwise.
func (s *sorter) isKnown(key memberOf, n *source.Node) bool {
	known := s.known[key]
	for _, k := range known {
		if k.Equal(n) {
			return true
		}
	}
	if len(known) < mostKnown {
		s.known[key] = append(known, n)
	}
	return false
}

// required are the members that the cut requires of a resource: they stay.
var required = sync.OnceValue(func() map[memberOf]bool {
	members := map[memberOf]bool{}
	root, err := decode(fhirText)
	if err != nil {
		return members
	}
	definitions, _ := root["definitions"].(map[string]any)
	for kind, d := range definitions {
		definition, _ := d.(map[string]any)
		list, _ := definition["required"].([]any)
		for _, name := range list {
			members[memberOf{kind, text(name)}] = true
		}
	}
	return members
})

func (s *sorter) sorted() map[string]any {
	all := make(map[string]any, len(s.lists))
	for name, list := range s.lists {
		all[name] = list
	}
	return all
}

// scene finds back what a fault of the library is about: the first two steps of
// its path are a type and an index.
func (s *sorter) scene(p *prepared, f fault) scene {
	i, _ := strconv.Atoi(f.path[1])
	return scene{doc: s.doc, base: s.from[f.path[0]][i], path: f.path[2:], outline: p.outline(), start: reference(f.path[0])}
}

// resource converts a resource for the list of its type.
func (s *sorter) resource(n *source.Node, pointer string) {
	kind, ok := s.kind(n, pointer)
	if !ok {
		return
	}
	members := make(map[string]any, len(n.Members))
	for i := range n.Members {
		m := &n.Members[i]
		switch {
		case m.Name == "contained":
			members[m.Name] = s.each(m.Value, pointer+"/contained", s.inside)
		case m.Name == "entry" && kind == "Bundle":
			members[m.Name] = s.each(m.Value, pointer+"/entry", s.entry)
		default:
			if b, left := s.brief(kind, n, m); left {
				members[m.Name] = s.member(n, &b)
			}
		}
	}
	s.lists[kind] = append(s.lists[kind], members)
	s.from[kind] = append(s.from[kind], pointer)
}

// kind gives the type of a resource that can be judged.
func (s *sorter) kind(n *source.Node, pointer string) (string, bool) {
	place, path := s.doc.Place, pathWords
	if n.Kind != source.Object {
		s.list = append(s.list, finding.New("schema-type", place(n, pointer), path(pointer)+kindFound[n.Kind], n.Text, "a resource is wanted").Hide())
		return "", false
	}
	name := n.Get("resourceType")
	if name == nil {
		s.list = append(s.list, finding.New("schema-resource-type", place(n, pointer), path(pointer)+" has no resourceType", "", "each resource names its type"))
		return "", false
	}
	judged, known := s.types[name.Text]
	at := pointer + "/resourceType"
	if !known || name.Kind != source.String {
		s.list = append(s.list, finding.New("schema-resource-type", place(name, at), path(at)+" is {}", name.Text, s.types.advice(name.Text)))
		return "", false
	}
	if !judged {
		s.list = append(s.list, finding.New("schema-resource-unchecked", place(name, at), path(pointer)+" is of type {}", name.Text, "its content was not judged"))
	}
	return name.Text, judged
}

// placed converts a node that stands at a pointer.
type placed func(n *source.Node, pointer string) any

// each converts the items of a list that may hold resources.
func (s *sorter) each(n *source.Node, pointer string, item placed) any {
	if n.Kind != source.Array {
		return s.value(n)
	}
	items := make([]any, len(n.Items))
	for i := range n.Items {
		items[i] = item(n.Items[i], pointer+"/"+strconv.Itoa(i))
	}
	return items
}

// inside judges a resource for itself and leaves nothing to judge in its place.
func (s *sorter) inside(n *source.Node, pointer string) any {
	s.resource(n, pointer)
	return true
}

func (s *sorter) entry(n *source.Node, pointer string) any {
	return s.holder(n, pointer, "resource", s.inside, "response", s.response)
}

func (s *sorter) response(n *source.Node, pointer string) any {
	return s.holder(n, pointer, "outcome", s.inside, "", nil)
}

// holder converts an object of which one member, or two, are converted by a rule
// of their own.
func (s *sorter) holder(n *source.Node, pointer string, one string, byOne placed, two string, byTwo placed) any {
	if n.Kind != source.Object {
		return s.value(n)
	}
	members := make(map[string]any, len(n.Members))
	for i := range n.Members {
		m := &n.Members[i]
		switch {
		case m.Name == one:
			members[m.Name] = byOne(m.Value, pointer+"/"+one)
		case m.Name == two && byTwo != nil:
			members[m.Name] = byTwo(m.Value, pointer+"/"+two)
		default:
			members[m.Name] = s.member(n, m)
		}
	}
	return members
}
