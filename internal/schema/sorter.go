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
	// notes tell what the library need not get again; nil leaves nothing out.
	notes *notes
}

// newSorter makes a sorter that leaves out what the notes, if any, know already.
func newSorter(doc *source.Document, known *notes) *sorter {
	return &sorter{converter: converter{fhir: true}, doc: doc, types: fhirTypes(), lists: map[string][]any{}, from: map[string][]string{}, notes: known}
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
	members, left := any(nil), true
	if s.notes == nil {
		members = s.wholeResource(n, kind, pointer)
	} else {
		members, left = s.briefResource(n, kind, pointer)
	}
	if left {
		s.lists[kind] = append(s.lists[kind], members)
		s.from[kind] = append(s.from[kind], pointer)
	}
}

func (s *sorter) wholeResource(n *source.Node, kind, pointer string) any {
	members := make(map[string]any, len(n.Members))
	for i := range n.Members {
		m := &n.Members[i]
		switch {
		case m.Name == "contained":
			members[m.Name] = s.each(m.Value, pointer+"/contained", s.inside)
		case m.Name == "entry" && kind == "Bundle":
			members[m.Name] = s.each(m.Value, pointer+"/entry", s.entry)
		default:
			members[m.Name] = s.member(n, m)
		}
	}
	return members
}

// briefResource leaves out what the library knows. A resource of which nothing new
// is left needs no judgement at all.
func (s *sorter) briefResource(n *source.Node, kind, pointer string) (any, bool) {
	apart := map[string]any{"resourceType": kind}
	anew := false
	if held := n.Get("contained"); held != nil {
		apart["contained"], anew = s.each(held, pointer+"/contained", s.inside), true
	}
	if entries := n.Get("entry"); entries != nil && kind == "Bundle" {
		list, left := s.briefEntries(entries, s.notes.place(kind, "entry"), pointer+"/entry")
		apart["entry"], anew = list, anew || left
	}
	return s.briefPart(n, s.notes.place(kind, ""), apart, anew)
}

// briefEntries judges the resources of entries and gives the entries of which
// something else is new.
func (s *sorter) briefEntries(n *source.Node, at *shape, pointer string) (any, bool) {
	if n.Kind != source.Array || len(n.Items) == 0 {
		return s.value(n), true
	}
	var list []any
	for i, e := range n.Items {
		pointer := pointer + "/" + strconv.Itoa(i)
		if e.Kind != source.Object || e.Get("response") != nil {
			list = append(list, s.entry(e, pointer))
			continue
		}
		apart := map[string]any{}
		if held := e.Get("resource"); held != nil {
			apart["resource"] = s.inside(held, pointer+"/resource")
		}
		if v, left := s.briefPart(e, at, apart, false); left {
			list = append(list, v)
		}
	}
	if list == nil {
		return []any{map[string]any{"resource": true}}, false
	}
	return list, true
}

// kind gives the type of a resource that can be judged.
func (s *sorter) kind(n *source.Node, pointer string) (string, bool) {
	place, path := s.doc.Place, source.PathWords
	if n.Kind != source.Object {
		s.list = append(s.list, finding.New("schema-type", place(n, pointer), n.Kind.Stands(path(pointer)), n.Text, "a resource is wanted").Hide())
		return "", false
	}
	name := n.Get("resourceType")
	if name == nil {
		s.list = append(s.list, finding.New("schema-resource-type", place(n, pointer), finding.Say("{1} has no resourceType", path(pointer)), "", "each resource names its type"))
		return "", false
	}
	judged, known := s.types[name.Text]
	at := pointer + "/resourceType"
	if !known || name.Kind != source.String {
		s.list = append(s.list, finding.New("schema-resource-type", place(name, at), finding.Say("{1} is {}", path(at)), name.Text, s.types.advice(name.Text)))
		return "", false
	}
	if !judged {
		s.list = append(s.list, finding.New("schema-resource-unchecked", place(name, at), finding.Say("{1} is of type {}", path(pointer)), name.Text, "its content was not judged"))
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
