package schema

import (
	"strconv"

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
	// shapes leave out, by resource type, what the library gets already; nil leaves
	// nothing out.
	shapes map[string]*shape
}

// newSorter makes a sorter; brief leaves out what the library gets already.
func newSorter(doc *source.Document, brief bool) *sorter {
	s := &sorter{converter: converter{fhir: true}, doc: doc, types: fhirTypes(), lists: map[string][]any{}, from: map[string][]string{}}
	if brief {
		s.shapes = map[string]*shape{}
	}
	return s
}

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
		case s.shapes == nil || m.Name == "resourceType":
			members[m.Name] = s.member(n, m)
		default:
			if v, left := s.briefMember(n, m, s.shape(kind).member(m.Name)); left {
				members[m.Name] = v
			} else if requiredSomewhere()[m.Name] {
				members[m.Name] = s.standIn(m.Value)
			}
		}
	}
	s.lists[kind] = append(s.lists[kind], members)
	s.from[kind] = append(s.from[kind], pointer)
}

// shape gives the place of a whole resource of a type.
func (s *sorter) shape(kind string) *shape {
	p := s.shapes[kind]
	if p == nil {
		p = &shape{}
		s.shapes[kind] = p
	}
	return p
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
